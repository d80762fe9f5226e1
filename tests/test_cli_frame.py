"""The frame of the command line: version, help, exit codes, streams."""

from __future__ import annotations

import resource
import signal
import subprocess
import sys
import time
from importlib.metadata import version
from pathlib import Path

import pytest
import typer
from conftest import Command

from aquatempo.cli import app, commands
from aquatempo.cli.failures import failing_plainly, one_line

COMMANDS = tuple(
    sorted(p.stem for p in Path(commands.__path__[0]).glob("*.py") if p.stem != "__init__")
)
HELP_CPU_S = 0.4  # issue: --help answers in under 0.4 s


def test_version_is_that_of_the_package(aquatempo_process: Command) -> None:
    """``--version`` prints the installed version and nothing else."""
    run = aquatempo_process("--version")
    assert (run.returncode, run.stdout) == (0, f"aquatempo {version('aquatempo')}\n")


@pytest.mark.parametrize("command", COMMANDS)
def test_help_shows_an_example(aquatempo: Command, command: str) -> None:
    """Each command explains itself with an example that starts with the command."""
    run = aquatempo(command, "--help")
    assert run.returncode == 0
    assert f"    aquatempo {command} " in run.stdout.partition("Example")[2]


def test_help_lists_every_command(aquatempo: Command) -> None:
    """Every module of commands is a command that the help lists, and there is no other."""
    listed = aquatempo("--help").stdout.partition("Commands:\n")[2]
    assert tuple(line.split()[0] for line in listed.splitlines() if line[2:3].strip()) == COMMANDS


def test_help_is_quick() -> None:
    """The best of five runs of ``--help`` uses less than 0.4 s of processor time."""
    used = []
    for _ in range(5):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(
            [sys.executable, "-m", "aquatempo", "--help"], stdout=subprocess.DEVNULL, check=True
        )
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        used.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    assert min(used) < HELP_CPU_S


def test_help_loads_little() -> None:
    """What ``--help`` says needs no record of a class, a plan or a track, and no other library."""
    code = (
        "import sys\nfrom aquatempo.cli.app import build_app\nbuild_app()\n"
        "print([one for one in sys.modules if one in ('numpy', 'secrets', 'pydantic')"
        " or one.startswith(('aquatempo.records.', 'aquatempo.documents', 'aquatempo.w'))])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "['aquatempo.records.plain']"


@pytest.mark.parametrize(
    "arguments",
    [("no-such-command",), ("tempo", "--no-such-option"), ("tempo",), ("tempo", "fast")],
)
def test_wrong_usage_is_exit_code_2(aquatempo_process: Command, arguments: tuple[str, ...]) -> None:
    """Wrong usage prints nothing on stdout, says so on stderr and exits with 2."""
    run = aquatempo_process(*arguments)
    assert run.returncode == 2
    assert run.stdout == ""
    assert "Error" in run.stderr
    assert "Traceback" not in run.stderr


def test_interruption_swallowed_by_a_callback_comes_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C that falls into a decoder's callback, which Python ignores, still ends the work."""

    class Fallen:
        def __del__(self) -> None:
            raise KeyboardInterrupt

    def wait() -> None:
        for _ in range(500):  # one long sleep would not be cut short
            time.sleep(0.01)

    monkeypatch.setattr(sys, "unraisablehook", app._interrupt_again)
    # A process in the background of a shell starts with interruptions ignored.
    earlier = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        fallen = Fallen()
        del fallen
        with pytest.raises(KeyboardInterrupt):
            wait()
    finally:
        signal.signal(signal.SIGINT, earlier)


def test_interruption_is_one_line_and_130(capsys: pytest.CaptureFixture[str]) -> None:
    """Ctrl-C ends a command with one line and exit code 130."""

    def interrupted() -> None:
        raise KeyboardInterrupt

    with pytest.raises(typer.Exit) as leaving:
        failing_plainly(interrupted)()
    assert leaving.value.exit_code == 130
    assert capsys.readouterr().err.strip() == "aquatempo: stopped before it was done"


def test_a_bug_shows_its_traceback() -> None:
    """An exception that is not ours passes through untouched."""

    def broken() -> None:
        raise ZeroDivisionError("a bug")

    with pytest.raises(ZeroDivisionError, match="a bug"):
        failing_plainly(broken)()


def test_messages_stay_on_one_line() -> None:
    """A newline or an escape sequence in a name is spelled out, not obeyed."""
    assert one_line("a\nb\x1b[31m\u202ec é 🎵") == "a\\nb\\x1b[31m\\u202ec é 🎵"


def test_completion_is_offered(aquatempo_process: Command) -> None:
    """The shell completion script for a shell is printed on request."""
    run = aquatempo_process(
        "--show-completion", "bash", env={"_TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION": "1"}
    )
    assert run.returncode == 0
    assert "_aquatempo_completion" in run.stdout


def test_completion_knows_the_moves(aquatempo_process: Command) -> None:
    """Completing ``aquatempo vary ja`` in bash offers the jack."""
    run = aquatempo_process(
        env={
            "_AQUATEMPO_COMPLETE": "complete_bash",
            "COMP_WORDS": "aquatempo vary ja",
            "COMP_CWORD": "2",
        }
    )
    assert "jack" in run.stdout.split()


def test_dropping_corrections_goes_alone(aquatempo: Command) -> None:
    """``correct --forget`` with another correction is refused before anything is dropped."""
    for more in (("--half",), ("--shift", "1"), ("--phrase", "0:03"), ("--tempo", "126")):
        run = aquatempo("correct", "song.mp3", "--forget", *more)
        assert run.returncode == 2
        assert "--forget goes alone" in run.stderr


def test_a_name_too_long_for_a_command_is_shortened(aquatempo: Command) -> None:
    """A slip of a whole text in the place of a command or option does not fill the screen."""
    for words in (("x" * 20_000,), ("--" + "x" * 20_000,), ("library", "x" * 20_000)):
        run = aquatempo(*words)
        assert run.returncode == 2
        assert max(map(len, run.stderr.splitlines())) < 200
        assert "xxx[...]" in run.stderr
