"""Bad input at the command line: one clear line, the right exit code, no traceback."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
from conftest import Command
from numpy.typing import NDArray

from aquatempo.cli.parsing import tempo_or_track
from aquatempo.cli.taps import read_taps
from aquatempo.errors import TextFileError
from aquatempo.store import files as texts

SAMPLES = Path(__file__).parent.parent / "sample_audio"
GOOD = SAMPLES / "first_lengths.ogg"
RATE_HZ = 22_050


def tone(duration_s: float) -> NDArray[np.float64]:
    """Return a steady mono tone."""
    return np.sin(np.arange(round(duration_s * RATE_HZ), dtype=np.float64) * 0.1)


def song(rate_hz: int, channels: int) -> NDArray[np.float64]:
    """Return 20 s of clicks at 120 bpm, an accent every four."""
    samples = np.zeros((20 * rate_hz, channels))
    for beat in range(40):
        start = round(beat * 0.5 * rate_hz)
        length = rate_hz // 50
        samples[start : start + length] = np.hanning(length)[:, None] * (0.4 if beat % 4 else 0.9)
    return samples


def one_line_of(run: subprocess.CompletedProcess[str]) -> str:
    """Return the only line on stderr, checked to be a plain message."""
    lines = run.stderr.splitlines()
    assert len(lines) == 1, run.stderr
    assert lines[0].startswith("aquatempo: ")
    return lines[0]


def write_text(path: Path) -> None:
    """Write words where audio should be."""
    path.write_text("These are words, not music.\n" * 50, encoding="utf-8")


def write_no_samples(path: Path) -> None:
    """Write a wav header without samples."""
    soundfile.write(path, np.zeros(0), RATE_HZ, format="WAV")


def write_three_seconds(path: Path) -> None:
    """Write three seconds of a tone."""
    soundfile.write(path, tone(3.0), RATE_HZ, format="WAV")


UNUSABLE: dict[str, tuple[str, Callable[[Path], object], str]] = {
    "missing": ("gone.mp3", lambda path: None, "there is no such file"),
    "empty": ("empty.mp3", Path.touch, "it is empty (0 bytes)"),
    "text": ("words.mp3", write_text, "this is a text file, renamed?"),
    "no samples": ("zero.wav", write_no_samples, "it holds no sound at all"),
    "three seconds": ("short.wav", write_three_seconds, "at least 5 s are needed"),
    "folder without audio": ("empty folder", Path.mkdir, "no audio in folder"),
    "sheet that is not TOML": ("sheet.toml", write_text, "line 1"),
}


def said_otherwise(name: str) -> tuple[str, ...]:
    """Return the commands that take one track only, and say so of a folder or a sheet."""
    return ("cue", "judge", "correct") if name in ("empty folder", "sheet.toml") else ()


@pytest.mark.parametrize(("name", "make", "said"), UNUSABLE.values(), ids=UNUSABLE)
@pytest.mark.parametrize("command", ["listen", "check", "cue", "judge", "correct"])
def test_unusable_file(
    aquatempo: Command,
    tmp_path: Path,
    command: str,
    name: str,
    make: Callable[[Path], object],
    said: str,
) -> None:
    """A file that cannot be used is one line that names it and says why; exit code 1."""
    make(tmp_path / name)
    run = aquatempo(command, name, *(["--half"] if command == "correct" else []))
    line = one_line_of(run)
    assert name in line
    assert said in line or command in said_otherwise(name)
    assert (run.returncode, run.stdout) == (1, "")


def test_a_batch_keeps_what_works(aquatempo_process: Command, tmp_path: Path) -> None:
    """With good and bad files, each bad one is reported, the good one heard; exit code 1."""
    write_text(tmp_path / "words.mp3")
    shutil.copy(GOOD, tmp_path / "good.ogg")
    run = aquatempo_process("listen", "words.mp3", "good.ogg", "gone.mp3", "--json")
    assert [json.loads(line)["file"] for line in run.stdout.splitlines()] == ["good.ogg"]
    assert len(run.stderr.splitlines()) == 2
    assert run.returncode == 1


def test_more_processes_than_any_machine_has(aquatempo: Command) -> None:
    """A number of processes that nobody can mean is refused, not taken as all cores."""
    run = aquatempo("listen", "song.ogg", "--jobs", "9" * 30)
    assert (run.returncode, "--jobs" in run.stderr) == (2, True), run.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="no named pipes in folders")
def test_texts_that_never_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A pipe into which nobody writes, a device, a text of gigabytes: refused, not waited for."""
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "zero.toml").symlink_to("/dev/zero")
    (tmp_path / "long.toml").write_bytes(b"#" * 100)
    monkeypatch.setattr(texts, "LONGEST", 99)
    for name, said in (("pipe", "not a file"), ("zero", "not a file"), ("long", "no text")):
        with pytest.raises(TextFileError, match=said):
            texts.read_text(tmp_path / f"{name}.toml")


def test_playlist_with_missing_entries(aquatempo: Command, tmp_path: Path) -> None:
    """A playlist gives the tracks that are there, and a line for each one that is not."""
    shutil.copy(GOOD, tmp_path / "good.ogg")
    (tmp_path / "class.m3u").write_text("#EXTM3U\ngone.mp3\ngood.ogg\n", encoding="utf-8")
    run = aquatempo("listen", "class.m3u", "--json")
    assert len(run.stdout.splitlines()) == 1
    assert "'gone.mp3' in playlist 'class.m3u' does not exist" in one_line_of(run)
    assert run.returncode == 1


@pytest.mark.parametrize("name", ["a 'quoted' \"name\" 🎵.ogg", "line\nbreak.ogg", "[bold]x.ogg"])
def test_odd_names(
    aquatempo: Command, aquatempo_process: Command, tmp_path: Path, name: str
) -> None:
    """Spaces, quotes, emoji, newlines and markup in a name change nothing."""
    shutil.copy(GOOD, tmp_path / name)
    run = aquatempo("listen", name, "--json")
    assert run.returncode == 0, run.stderr
    assert json.loads(run.stdout)["file"] == name
    assert aquatempo("listen", name).stdout.splitlines()[0].endswith("ogg") is False
    missing = aquatempo_process("listen", f"no {name}")
    assert missing.returncode == 1
    one_line_of(missing)


@pytest.mark.parametrize(
    ("rate_hz", "channels", "subtype"),
    [(8_000, 1, "PCM_16"), (96_000, 2, "PCM_24"), (44_100, 6, "PCM_16")],
    ids=["8 kHz mono", "96 kHz 24 bit", "5.1"],
)
def test_unusual_formats_are_heard(
    aquatempo: Command, tmp_path: Path, rate_hz: int, channels: int, subtype: str
) -> None:
    """Any rate, depth and number of channels is heard: clicks at 120 bpm come out as 120."""
    soundfile.write(tmp_path / "a.wav", song(rate_hz, channels), rate_hz, subtype=subtype)
    run = aquatempo("listen", "a.wav", "--json")
    assert run.returncode == 0, run.stderr
    heard = json.loads(run.stdout)
    levels = (heard["tempo_bpm"], *(other["tempo_bpm"] for other in heard["tempo_alternatives"]))
    assert any(abs(level - 120.0) < 0.1 for level in levels)  # the level itself is ambiguous


def test_samples_that_are_not_numbers(aquatempo: Command, tmp_path: Path) -> None:
    """NaN samples count as silence, and the output says so."""
    samples = song(RATE_HZ, 1)
    samples[5000:5100] = np.nan
    soundfile.write(tmp_path / "a.wav", samples, RATE_HZ, subtype="FLOAT")
    run = aquatempo("listen", "a.wav", "--json")
    assert run.returncode == 0, run.stderr
    assert "100 samples are no" in " ".join(json.loads(run.stdout)["notes"])


@pytest.mark.parametrize("command", ["cue", "judge", "correct"])
def test_silence_cannot_be_worked_with(aquatempo: Command, tmp_path: Path, command: str) -> None:
    """What needs a beat says that there is none; exit code 1."""
    soundfile.write(tmp_path / "quiet.wav", np.zeros(10 * RATE_HZ), RATE_HZ)
    run = aquatempo(command, "quiet.wav", *(["--half"] if command == "correct" else []))
    assert "no beat was heard in 'quiet.wav'" in one_line_of(run)
    assert run.returncode == 1


def test_speech_like_noise_is_not_taken_for_a_sure_beat(aquatempo: Command, tmp_path: Path) -> None:
    """Bursts of noise at irregular times give no beat, or one that nobody is asked to trust."""
    random = np.random.default_rng(20)
    samples = np.zeros(30 * RATE_HZ)
    for start_s in np.sort(random.uniform(0, 29.5, 90)):
        start, length = int(start_s * RATE_HZ), int(random.uniform(0.05, 0.3) * RATE_HZ)
        samples[start : start + length] += np.hanning(length) * random.normal(0, 0.2, length)
    soundfile.write(tmp_path / "talk.wav", samples, RATE_HZ)
    run = aquatempo("listen", "talk.wav", "--json")
    heard = json.loads(run.stdout)
    assert run.returncode == 0
    assert heard["tempo_bpm"] is None or heard["confidence"] < 0.9


def test_silence_has_no_beat(aquatempo: Command, tmp_path: Path) -> None:
    """Silence is heard as no beat: null in JSON, a line for people, no failure."""
    soundfile.write(tmp_path / "quiet.wav", np.zeros(10 * RATE_HZ), RATE_HZ)
    run = aquatempo("listen", "quiet.wav", "--json")
    heard = json.loads(run.stdout)
    assert (run.returncode, heard["tempo_bpm"], heard["beats_s"]) == (0, None, [])
    assert "no beat was heard" in one_line_of(run)


def test_truncated_mp3(aquatempo: Command, tmp_path: Path) -> None:
    """A cut-off mp3 is heard as far as it goes, and a note says how much is missing."""
    soundfile.write(tmp_path / "whole.mp3", song(44_100, 2), 44_100)
    whole = (tmp_path / "whole.mp3").read_bytes()
    (tmp_path / "cut.mp3").write_bytes(whole[: len(whole) * 2 // 3])
    run = aquatempo("listen", "cut.mp3", "--json")
    assert run.returncode == 0, run.stderr
    assert "damaged or cut off" in " ".join(json.loads(run.stdout)["notes"])


@pytest.mark.skipif(sys.platform != "linux", reason="gives up the rights of root with setpriv")
def test_forbidden_file(tmp_path: Path, needs_program: Callable[[str], str]) -> None:
    """A file without read permission is one line that says so, also where tests run as root."""
    soundfile.write(tmp_path / "mine.wav", tone(6.0), RATE_HZ)
    (tmp_path / "mine.wav").chmod(0)
    as_ordinary = []
    if os.geteuid() == 0:
        dropped = "-dac_override,-dac_read_search"
        as_ordinary = [needs_program("setpriv"), f"--bounding-set={dropped}"]
    run = subprocess.run(
        [*as_ordinary, sys.executable, "-m", "aquatempo", "listen", "mine.wav"],
        capture_output=True,
        encoding="utf-8",
        cwd=tmp_path,
        check=False,
    )
    assert "permission to read it is missing" in one_line_of(run)
    assert run.returncode == 1


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("tempo", "-5"), "tempo -5 bpm: needs 30 to 300 bpm (a tempo is above zero)"),
        (("tempo", "nan"), "needs 30 to 300 bpm"),
        (("tempo", "132", "--pattern", "2-x"), "2-x"),
        (("tempo", "--cadence", "0"), "cadence 0 movements a minute"),
        (("judge", "-132"), "needs 40 to 240 bpm (a tempo is above zero)"),
        (("judge", "132", "--temperature", "29F"), "-1.7 C: needs 10 to 40 C (did you mean Cel"),
        (("correct", str(GOOD), "--shift", "900"), "needs -31 to 31 beats"),
        (("listen", "a.ogg", "--expect", "fast"), "needs a range such as 120-150"),
        (("listen", "a.ogg", "--expect", "150-120"), "needs the slower end first"),
    ],
)
def test_values_that_make_no_sense(
    aquatempo: Command, arguments: tuple[str, ...], said: str
) -> None:
    """A value outside its range is one line with what is needed; exit code 1."""
    run = aquatempo(*arguments)
    assert said in one_line_of(run)
    assert (run.returncode, run.stdout) == (1, "")


@pytest.mark.parametrize(
    "command", [("review", "gone.toml"), ("plan", "a", "--brief", "gone.toml")]
)
def test_missing_text_file(aquatempo: Command, command: tuple[str, ...]) -> None:
    """A plan or brief that is not there is one line, without advice on a place in it."""
    said = one_line_of(aquatempo(*command))
    assert "gone.toml: cannot be read" in said
    assert "Next" not in said


def test_clicks_never_replace_the_song(aquatempo: Command, tmp_path: Path) -> None:
    """Clicks are not written over the song that they are for, even with --force."""
    shutil.copy(GOOD, tmp_path / "song.ogg")
    before = (tmp_path / "song.ogg").read_bytes()
    run = aquatempo("listen", "song.ogg", "--click", "./song.ogg", "--force")
    assert run.returncode == 1
    assert "a song is there that aquatempo did not make" in one_line_of(run)
    assert (tmp_path / "song.ogg").read_bytes() == before


def test_file_in_the_way_of_a_folder(aquatempo: Command, tmp_path: Path) -> None:
    """An output folder that is a file is said to be one."""
    (tmp_path / "deck").write_text("", encoding="utf-8")
    run = aquatempo("judge", "132", "--move", "jack", "--plot", "deck/range.svg")
    assert run.returncode == 1
    assert "a file is in the way of its folder" in one_line_of(run)


@pytest.mark.parametrize(
    "command",
    [
        "listen {song} --plot {out}/a.svg",
        "listen {song} --click {out}/a.wav",
        "listen {song} --jams {out}/a.jams",
        "check {song} --save {out}/a.m3u",
        "judge {song} --move jack --plot {out}/a.svg",
        "judge {song} --move jack --figures {out}/a",
        "export {song} --move jack --to {out}/a",
        "plan {song} --out {out}/a.toml",
        "plan {song} --weeks 2 --out {out}/a",
        "demo --out {out}/a",
    ],
)
def test_place_is_refused_before_anything_is_heard(
    aquatempo: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    """Where a result cannot be written, that is said before the listening, not after it."""
    from aquatempo.music import hearing

    def heard(*_: object) -> None:
        raise AssertionError("something was heard")

    monkeypatch.setattr(hearing, "hear_file", heard)
    (tmp_path / "way").write_text("a file")
    words = command.format(song=GOOD, out=tmp_path / "way").split()
    run = aquatempo(*words)
    assert "a file is in the way of its folder" in one_line_of(run)
    assert run.returncode == 1


def test_taps_without_any_input(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where standard input is closed there are no taps, and no crash."""
    monkeypatch.setattr(sys, "stdin", None)
    assert read_taps() == []


@pytest.mark.parametrize("number", ["9" * 300, "9" * 5000])
def test_a_number_longer_than_any_name_is_no_song(aquatempo: Command, number: str) -> None:
    """What no file system would look for is a tempo, and out of range, in one line."""
    run = aquatempo("tempo", number)
    assert run.returncode == 1
    assert "needs 30 to 300 bpm" in one_line_of(run)


def test_a_name_counts_in_bytes() -> None:
    """Arabic digits take two bytes each: 200 are a number too, as no file has so long a name."""
    assert tempo_or_track("\u0669" * 200) == float("9" * 200)
