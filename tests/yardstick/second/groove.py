"""Kind groove: an accompaniment generator's styles over chords of ours. Beats are exact."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

import mido

from ..layout import CONTENT
from .midi import save_song
from .rows import Row, rows

LIMIT_S = 90.0
LIBRARY = CONTENT / "usr/share/mma"
PROGRAM = CONTENT / "usr/bin/mma"
CHORDS = (
    ("C", "Am", "F", "G7"),
    ("Dm", "G7", "C", "Am"),
    ("F", "G", "Em", "Am"),
    ("C", "C", "F", "G"),
    ("Am", "F", "C", "G"),
    ("Em", "C", "G", "D"),
    ("Bb", "F", "Gm", "Eb"),
    ("D", "A", "Bm", "G"),
)


def make(row: Row) -> None:
    """Build one track. Keys: bank, style, turns (styles of later strains), fill, tempo_bpm."""
    number = [other["name"] for other in rows("groove")].index(row["name"])
    told = {**row, "note": f"style {row['style']}; the tempo was chosen here"}
    save_song("groove", told, song_of(row, number), LIMIT_S)


def song_of(row: Row, number: int) -> mido.MidiFile:
    """Return the song that the generator writes; its number chooses the chords."""
    index_styles()
    with tempfile.TemporaryDirectory() as folder:
        sheet, song = Path(folder, "song.mma"), Path(folder, "song.mid")
        sheet.write_text(chord_sheet(row, number), encoding="utf-8")
        generate("-f", str(song), str(sheet))
        return mido.MidiFile(song, clip=True)


def chord_sheet(row: Row, number: int) -> str:
    """Return the song as the generator reads it: strains of eight bars, a fill ends each."""
    first, second = CHORDS[number % 8], CHORDS[(number + 3) % 8]
    style, turns, fill = row["style"], row.get("turns", []), row.get("fill")
    last = turns[-1] if turns else style
    lines = ["RndSeed 1", "SeqRnd Off", f"Tempo {row['tempo_bpm']}"]
    bar = 1
    for strain, sound in enumerate([style, *turns, style, last, style, *turns, style, style]):
        chords = first if strain % 3 else second
        for turn in range(8):
            if turn == 0:
                lines.append(f"Groove {sound}")
            elif turn == 7 and fill:
                lines.append(f"Groove {fill}")
            lines.append(f"{bar} {chords[turn % 4]}")
            bar += 1
    return "\n".join(lines) + "\n"


@cache
def index_styles() -> None:
    """Let the generator index its library, which it does when installed."""
    generate("-G")


def generate(*arguments: str) -> None:
    """Run the generator."""
    command = [sys.executable, str(PROGRAM), *arguments]
    environment = {**os.environ, "MMA_HOME": str(LIBRARY)}
    done = subprocess.run(command, env=environment, capture_output=True, text=True)
    if done.returncode:
        raise SystemExit(f"the accompaniment generator failed: {done.stdout[-300:]}")
