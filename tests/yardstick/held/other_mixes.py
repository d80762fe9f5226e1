"""Sets othermix_a and othermix_b: music by others, joined as set classmix joins songs.

Songs are those of gm, groove, module and loop of the second development set whose beats and bars
are known, in four, steady and of clear level. Where their phrases start nobody marked: blocks of
32 counts from their first count 1 stand for them, which is a convention, so the joins are what
these sets are for. A song is played from one of its first three blocks. Four mixes of nine songs
each: set a of the songs at even places of the list, set b of those at odd ones. No song comes twice
in a set.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import soundfile as sf

from ..building import save
from ..layout import TRACKS, Truth, load_tracks
from .class_mixes import mix

MIXES = 4
FIRST_SEEDS = {"othermix_a": 9400, "othermix_b": 9500}
SOURCES = ("gm", "groove", "module", "loop")
BLOCK = 32  # counts
LEAST_BLOCKS = 3
STRAIGHT_S = 0.015  # by which beats may leave a straight line


def make(name: str) -> None:
    """Build one of the two sets."""
    left = songs_of(list(FIRST_SEEDS).index(name))
    for number in range(MIXES):
        samples, truth = mix(f"{name}_{number}", FIRST_SEEDS[name], number, left)
        save(TRACKS / name, f"{name}_{number}", samples, truth)
        played = truth["notes"].split(": ")[1].split(", ")
        left = [song for song in left if song["id"] not in played]


def songs_of(half: int) -> list[Truth]:
    """Return every second song that can be joined, with its blocks and its loudness."""
    return [loud(song) for song in [s for s in load_tracks(SOURCES) if fits(s)][half::2]]


def fits(song: Truth) -> bool:
    """Tell whether a song can be joined: known bars in four, a straight grid, three blocks."""
    if song["level_arguable"] or song["beats_per_bar"] != 4 or not song["downbeats_s"]:
        return False
    beats_s = np.array(song["beats_s"])
    at = np.arange(len(beats_s))
    off_s = beats_s - np.polyval(np.polyfit(at, beats_s, 1), at)
    return bool(np.abs(off_s).max() < STRAIGHT_S) and len(blocks_of(song)) >= LEAST_BLOCKS


def blocks_of(song: Truth) -> list[dict[str, Any]]:
    """Return blocks of 32 counts from the first count 1 of a song."""
    beats_s = np.array(song["beats_s"])
    first = int(np.abs(beats_s - song["downbeats_s"][0]).argmin())
    starts = range(first, len(beats_s) - BLOCK + 1, BLOCK)
    return [{"start_beat": start, "counts": BLOCK, "kind": "phrase"} for start in starts]


def loud(song: Truth) -> Truth:
    """Return a song with its blocks, its tempo from end to end and its loudness."""
    beats_s = song["beats_s"]
    samples, _ = sf.read(song["audio"])
    return song | {
        "phrases": blocks_of(song),
        "tempo_bpm": 60 * (len(beats_s) - 1) / (beats_s[-1] - beats_s[0]),
        "rms": float(np.sqrt(np.mean(samples**2))),
    }
