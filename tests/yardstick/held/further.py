"""Sets further_a, further_b and further_c: music by others that nothing here had heard.

Truth follows from the files as in the second development set, whose makers build it. The rules
stand in ``further.toml`` and, where further_c adds to them, in ``further_more.toml``; they, the
choice of tracks and the halves a and b were committed unheard.
"""

from __future__ import annotations

import io
import tomllib
import zipfile
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import mido
import numpy as np
import pretty_midi
import soundfile as sf

from ..devset import keep, sounding_span
from ..second import groove, loop, midi, module
from ..second.rows import Row, one, rows_of, save_track
from .breaks import LENGTH_S, over_and_over


def _table(file: str) -> dict[str, Any]:
    """Return a table of this folder."""
    return tomllib.loads(Path(__file__).with_name(file).read_text(encoding="utf-8"))


TABLE = _table("further.toml")
MORE = _table("further_more.toml")
PACKAGES = {**TABLE["packages"], **MORE["packages"]}
MIDI_LIMIT_S = 95.0


def make(name: str) -> None:
    """Build one set."""
    for number, kind, row in chosen(name):
        MAKERS[kind](name, {**row, "tags": [*row["tags"], kind]}, number)


def chosen(name: str) -> Iterator[tuple[int, str, Row]]:
    """Return (number in its kind, kind, row) of a set: by name; a kind's in turn to a and b."""
    for kind, tracks in (MORE if name == "further_c" else TABLE)["tracks"].items():
        ordered = sorted(rows_of(tracks, PACKAGES), key=lambda row: (row["package"], row["name"]))
        for number, row in enumerate(ordered):
            if name in ("further_c", ("further_a", "further_b")[number % 2]):
                yield number, kind, row


def packages(name: str) -> list[str]:
    """Return the packages that a set reads from, sound banks too."""
    rows = [row for _, _, row in chosen(name)]
    banks = {TABLE["banks"][row["bank"]]["package"] for row in rows if "bank" in row}
    return sorted(banks | {row["package"] for row in rows})


def make_module(name: str, row: Row, number: int) -> None:
    """Build a tracker module."""
    module.make(row, name)


def make_loop(name: str, row: Row, number: int) -> None:
    """Build a mastered recording that loops over whole bars; it may lie in a ZIP archive."""
    if "archive" in row:
        with zipfile.ZipFile(one(row["folder"], row["archive"])) as archive:
            archive.extract(row["file"], row["folder"])
    loop.make({**row, "bars": "medium"}, name)


def make_groove(name: str, row: Row, number: int) -> None:
    """Build a style of the accompaniment generator over chords of ours."""
    told = {**row, "note": f"style {row['style']}; the tempo was chosen here"}
    song = groove.song_of(row, number)
    midi.save_song(name, told, song, groove.LIMIT_S, TABLE["banks"])


def make_midi(name: str, row: Row, number: int) -> None:
    """Build a song in MIDI; the file may be compressed."""
    data = one(row["folder"], row["file"]).read_bytes()
    if row["file"].endswith(".gz"):
        data = zlib.decompress(data, wbits=31)
    song = mido.MidiFile(file=io.BytesIO(data), clip=True)
    midi.save_song(name, row, song, MIDI_LIMIT_S, TABLE["banks"])


def make_recorded(name: str, row: Row, number: int) -> None:
    """Build a recording charted by its artist: the chart's quarters are the counts."""
    folder = row["folder"] / row["name"]
    song, rate = sf.read(folder / "song.ogg", always_2d=True)
    guitar, _ = sf.read(folder / "guitar.ogg", always_2d=True)
    mix = np.zeros((max(len(song), len(guitar)), 2))
    mix[: len(song)] += song
    mix[: len(guitar)] += guitar
    chart = pretty_midi.PrettyMIDI(str(folder / "notes.mid"))
    tempo = float(chart.get_tempo_changes()[1][0])
    span = sounding_span(mix, rate, 0.03)
    beats = keep(np.arange(0, len(mix) / rate, 60 / tempo), *span)
    save_track(name, row, mix, rate, (beats, beats[:0]), span)


def make_breaks(name: str, row: Row, number: int) -> None:
    """Build a recorded drum loop, played over and over."""
    sound, rate = sf.read(one(row["folder"], row["file"]), always_2d=True)
    samples, beats = over_and_over(sound, rate, row["speed"], row["counts"])
    save_track(name, row, samples, rate, (beats, beats[::4]), (0.0, LENGTH_S - 0.05))


MAKERS: dict[str, Callable[[str, Row, int], None]] = {
    "module": make_module,
    "loop": make_loop,
    "groove": make_groove,
    "midi": make_midi,
    "recorded": make_recorded,
    "breaks": make_breaks,
}
