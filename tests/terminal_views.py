"""What the main commands print, in terminals of four widths, as files to look at.

    python terminal_views.py        (from ``tests``) writes tests/recorded/views/*.txt anew

A test compares what is printed now. Songs are track sheets, so that nothing has to be heard.
"""

from __future__ import annotations

import io
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import chdir, redirect_stdout, suppress
from pathlib import Path
from unittest import mock

__all__ = ["FOLDER", "VIEWS", "WIDTHS", "prepared", "view"]

FOLDER = Path(__file__).parent / "recorded" / "views"
WIDTHS = (60, 80, 100, 140)
RULE = "=" * 20
SHEET = """title = "{title}"
length = "{length}"
tempo_bpm = {tempo}
first_count_1_s = 0.6
"""
STRETCH = '[[phrases]]\ncounts = {counts}\nkind = "{kind}"\nenergy = "{energy}"\n'
STRETCHES = (
    *((16, "intro", "low"), (32, "phrase", "medium"), (32, "phrase", "medium")),
    *((32, "phrase", "high"), (32, "phrase", "high"), (8, "bridge", "low")),
    *((32, "phrase", "medium"), (32, "phrase", "medium"), (32, "phrase", "high")),
    *((32, "phrase", "high"), (32, "phrase", "high"), (32, "phrase", "high")),
)
SONGS = (
    ("blue_rope", "Blue rope", 112.0, "3:10"),
    ("echo_hall", "Echo hall", 128.0, "2:50"),
    ("wet_tiles", "Wet tiles on the way to the deep end", 135.0, "2:40"),
    ("last_lane", "Last lane", 98.0, "3:40"),
)
PLANNED = "plan songs --all --out plan.toml"
VIEWS = {
    "judge": "judge 132",
    "judge-one": "judge 132 --move knee-lift --move ski",
    "vary": "vary knee-lift",
    "tempo": "tempo 132",
    "listen": "listen songs/wet_tiles.toml",
    "check": "check songs",
    "plan": 'shape plan.toml "lock 1"',
    "plan-verbose": 'shape plan.toml "lock 1" --verbose',
    "alternatives": "shape plan.toml --alternatives 2.3",
    "review": "review plan.toml",
    "cue": 'cue songs/wet_tiles.toml --move jack --move "knee lift:2-2-4"',
    "export": "export plan.toml --to {width} --only card,page",
}


def prepared(folder: Path) -> None:
    """Write the songs and the plan that the views are of.

    folder: an empty one.
    """
    (folder / "songs").mkdir()
    for name, title, tempo, length in SONGS:
        text = SHEET.format(title=title, tempo=tempo, length=length)
        text += "".join(
            STRETCH.format(counts=counts, kind=kind, energy=energy)
            for counts, kind, energy in STRETCHES
        )
        (folder / "songs" / f"{name}.toml").write_text(text, encoding="utf-8")
    kept = FOLDER.parent / "plan.toml"
    if kept.exists():
        (folder / "plan.toml").write_text(kept.read_text(encoding="utf-8"), encoding="utf-8")


def view(folder: Path, command: str, width: int) -> str:
    """Return what a command prints in a terminal of so many columns.

    folder: where it runs.
    """
    import shlex

    from aquatempo.cli import main

    shown = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True)
    with (
        chdir(folder),
        redirect_stdout(shown),
        mock.patch.dict(os.environ, {"COLUMNS": str(width)}),
        mock.patch("sys.stderr", io.StringIO()),
        suppress(SystemExit),
    ):
        main(shlex.split(command.format(width=width)))
    buffer = shown.buffer
    assert isinstance(buffer, io.BytesIO)
    text = buffer.getvalue().decode().replace(str(folder.resolve()), "FOLDER")
    return "\n".join(line.rstrip() for line in text.splitlines()) + "\n"


def recorded(folder: Path) -> Iterator[tuple[str, str]]:
    """Yield the name of each file of views and its text."""
    for name, command in VIEWS.items():
        parts = [
            f"{RULE} {width} columns: aquatempo {command.format(width=width)}\n"
            f"{view(folder, command, width)}"
            for width in WIDTHS
        ]
        yield name, "\n".join(parts)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        os.environ |= {"XDG_CACHE_HOME": f"{made}/cache", "XDG_DATA_HOME": f"{made}/data"}
        desk = Path(made) / "class"
        desk.mkdir()
        FOLDER.mkdir(parents=True, exist_ok=True)
        if "--plan" in sys.argv:
            (FOLDER.parent / "plan.toml").unlink(missing_ok=True)
        prepared(desk)
        if not (desk / "plan.toml").exists():
            view(desk, PLANNED, 100)
            text = (desk / "plan.toml").read_text(encoding="utf-8")
            (FOLDER.parent / "plan.toml").write_text(text, encoding="utf-8")
        for title, told in recorded(desk):
            (FOLDER / f"{title}.txt").write_text(told, encoding="utf-8")
