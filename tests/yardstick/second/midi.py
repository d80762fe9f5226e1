"""Kind gm: game music in MIDI on four sound banks. Beats follow from the file's ticks."""

from __future__ import annotations

import io
import struct
from pathlib import Path
from typing import Any

import mido
import numpy as np

from ..devset_render import RATE_HZ, play_midi
from ..layout import CONTENT
from .rows import Row, one, save_track, table

LIMIT_S = 95.0
PICK_UP_QUARTERS = 0.3
"""Files whose first note lies this near a quarter have their whole grid moved to it."""


def make(row: Row) -> None:
    """Build one track. Keys: bank, quarters_per_count, from_first_note, limit_s."""
    save_song("gm", row, song_of(row), float(row.get("limit_s", LIMIT_S)))


def song_of(row: Row) -> Any:
    """Return the MIDI file of a row; in the shooting games it is a lump of an archive."""
    archive, _, lump = row["name"].partition("_")
    if row["package"] in ("freedoom", "freedm"):
        data = lump_of(row["folder"] / f"{archive}.wad", f"D_{lump.upper()}")
        return mido.MidiFile(file=io.BytesIO(data), clip=True)
    return mido.MidiFile(one(row["folder"], f"{row['name']}*.mid"), clip=True)


def lump_of(archive: Path, name: str) -> bytes:
    """Return the named lump of a WAD archive: a directory of (offset, length, name) at its end."""
    data = archive.read_bytes()
    _, count, directory = struct.unpack_from("<4sii", data)
    for number in range(count):
        offset, length, title = struct.unpack_from("<ii8s", data, directory + 16 * number)
        if title.rstrip(b"\0").decode("ascii", "replace") == name:
            return data[offset : offset + length]
    raise SystemExit(f"{archive}: no lump {name}")


def save_song(
    kind: str, row: Row, song: Any, limit_s: float, banks: dict[str, Any] | None = None
) -> None:
    """Render a song and save it with its grid: counts in quarters from the start of the file.

    banks: table of the banks, else that of the kind.
    """
    bank = (banks or table(kind)["banks"])[row["bank"]]
    font = CONTENT / bank["file"]
    samples, midi = play_midi(song, font, limit_s)
    notes = sorted(note.start for part in midi.instruments for note in part.notes)
    end = min(limit_s, max(time for time in notes if time < limit_s), len(samples) / RATE_HZ)
    first = midi.time_to_tick(notes[0]) / midi.resolution if row.get("from_first_note") else 0.0
    shift = first - round(first) if abs(first - round(first)) < PICK_UP_QUARTERS else 0.0
    quarters = midi.time_to_tick(end + 2) / midi.resolution
    grid = shift + np.arange(0, quarters - shift, row.get("quarters_per_count", 1))
    beats = np.array([midi.tick_to_time(round(quarter * midi.resolution)) for quarter in grid])
    tag = "bank of training" if bank["training"] else "other bank"
    told = {**row, "tags": [*row["tags"], tag]}
    save_track(kind, told, samples, RATE_HZ, (beats, beats[::4]), (notes[0], end), bank=font.name)
