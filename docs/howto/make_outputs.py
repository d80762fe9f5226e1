"""Run the console examples of the documents and write down what they print.

Run ``python docs/howto/make_outputs.py`` to renew the outputs in docs/howto and README.md, with
the names of documents for these alone. A test holds every document against a fresh run.

Examples of one document follow one another, as a reader would type them, in a folder that has
the sample audio and corrections of its own. A block of TOML with a file name after ``toml`` is
that file; what a comment ``<!-- first: COMMAND -->`` names is run and not shown. Shown is what
stands in a terminal 120 characters wide, with the folders of a reader's machine; long lines and
long outputs are cut.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import textwrap
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)
STEP = re.compile(
    rf"(?P<shown>{BLOCK.pattern})"
    r"|^```toml (?P<file>[\w.]+)\n(?P<text>.*?)^```$"
    r"|<!-- first: (?P<first>.+?) -->",
    re.MULTILINE | re.DOTALL,
)
WIDTH = 120
MOST_WRAPPED = 6 * WIDTH  # a longer line is data for machines
MOST_LINES, FIRST_LINES = 30, 24
CLASS_FOLDER, DATA_FOLDER = "~/class", "~/.local/share"


def documents() -> list[Path]:
    """Return the documents that have console examples."""
    found = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(ROOT.glob("docs/**/*.md"))]
    made_otherwise = ROOT / "docs" / "cli.md"
    return [p for p in found if p != made_otherwise and BLOCK.search(p.read_text("utf-8"))]


def commands(text: str) -> Iterator[str]:
    """Yield the commands of the console examples in a document, in order."""
    for block in BLOCK.findall(text):
        yield from (line[2:] for line in block.splitlines() if line.startswith("$ "))


def renewed(text: str, cache: str | None = None) -> str:
    """Return a document with what its examples print now.

    text: of the document. cache: folder that keeps what was heard, between documents too.
    Raises RuntimeError for a command that is wrong.
    """
    with tempfile.TemporaryDirectory() as folder:
        desk, data = Path(folder).resolve() / "class", Path(folder).resolve() / "data"
        shutil.copytree(ROOT / "sample_audio", desk / "sample_audio")

        def fresh(step: re.Match[str]) -> str:
            if step["file"]:
                (desk / step["file"]).write_text(step["text"], encoding="utf-8")
            if step["first"]:
                _printed(step["first"], desk, data, cache)
            if not step["shown"]:
                return step[0]
            shown = "".join(
                f"$ {command}\n{_printed(command, desk, data, cache)}"
                for command in commands(step[0])
            )
            return f"```console\n{shown}```"

        return STEP.sub(fresh, text)


def _printed(command: str, desk: Path, data: Path, cache: str | None) -> str:
    program, *arguments = shlex.split(command)
    if program != "aquatempo":
        raise RuntimeError(f"{command}: only aquatempo is run here")
    settings = {"COLUMNS": str(WIDTH), "PYTHONIOENCODING": "utf-8", "XDG_DATA_HOME": str(data)}
    if cache is not None:
        settings["XDG_CACHE_HOME"] = cache
    run = subprocess.run(
        [sys.executable, "-m", "aquatempo", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        cwd=desk,
        env={**os.environ, **settings},
        check=False,
    )
    if run.returncode > 1:  # 1: it could not be done, and what it says is shown
        raise RuntimeError(f"{command}: {run.stdout}")
    text = run.stdout.replace(str(desk), CLASS_FOLDER).replace(str(data), DATA_FOLDER)
    text = text.replace(f"{ROOT}/", "")
    return cut([line.rstrip() for line in text.rstrip().splitlines()])


def cut(lines: list[str]) -> str:
    """Return lines as shown: data cut to the terminal, talk wrapped, of many only the first."""
    lines = [
        part
        for line in lines
        for part in (
            [f"{line[: WIDTH - 1]}…"]
            if len(line) > MOST_WRAPPED
            else textwrap.wrap(line, WIDTH, drop_whitespace=False, subsequent_indent="")
            if len(line) > WIDTH
            else [line]
        )
    ]
    if len(lines) > MOST_LINES:
        lines = [*lines[:FIRST_LINES], f"({len(lines) - FIRST_LINES} more lines)"]
    return "".join(f"{line.rstrip()}\n" for line in lines)


if __name__ == "__main__":
    for path in [Path(name).resolve() for name in sys.argv[1:]] or documents():
        written = path.read_text(encoding="utf-8")
        path.write_text(renewed(written), encoding="utf-8")
        print(path.relative_to(ROOT))
