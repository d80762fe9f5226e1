"""Sets othermix_a to othermix_d and stylemix: music by others, joined as set classmix joins songs.

Songs are those whose beats and bars are known, in four, steady and of clear level: in othermix_a
and othermix_b of gm, groove, module and loop of the second development set, at even places of the
list in a and at odd ones in b; in othermix_c and othermix_d of further_a and further_b, all of
them in both, in another order and cut elsewhere. Where their phrases start nobody marked: blocks
of 32 counts from their first count 1 stand for them, which is a convention, so the joins are what
these sets are for. Only in stylemix the blocks are what the songs were written in: its songs are
the styles of an accompaniment generator in further_a, further_b and further_c, which play strains
of 32 counts. A song is played from one of its first three blocks. A mix has nine songs or less;
no song comes twice in a mix, nor, but in stylemix, in a set.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import soundfile as sf

from ..building import save
from ..layout import TRACKS, Truth, load_tracks
from .class_mixes import mix

SECOND = ("gm", "groove", "module", "loop")
FURTHER = ("further_a", "further_b")


class Recipe(NamedTuple):
    """How a set is made: from which sets and which of their songs, in how many mixes."""

    first_seed: int
    sources: tuple[str, ...]
    songs: slice
    mixes: int
    kind: str = ""  # of the songs, where only one is taken: too few to come once


RECIPES = {
    "othermix_a": Recipe(9400, SECOND, slice(0, None, 2), 4),
    "othermix_b": Recipe(9500, SECOND, slice(1, None, 2), 4),
    "othermix_c": Recipe(9700, FURTHER, slice(None), 7),
    "othermix_d": Recipe(9800, FURTHER, slice(None), 7),
    "stylemix": Recipe(9900, (*FURTHER, "further_c"), slice(None), 8, "groove"),
}
BLOCK = 32  # counts
LEAST_BLOCKS = 3
STRAIGHT_S = 0.015  # by which beats may leave a straight line


def make(name: str) -> None:
    """Build one of the sets."""
    recipe = RECIPES[name]
    left = songs_of(recipe)
    for number in range(recipe.mixes):
        samples, truth = mix(f"{name}_{number}", recipe.first_seed, number, left)
        save(TRACKS / name, f"{name}_{number}", samples, truth)
        if not recipe.kind:
            played = truth["notes"].split(": ")[1].split(", ")
            left = [song for song in left if song["id"] not in played]


def songs_of(recipe: Recipe) -> list[Truth]:
    """Return the songs that can be joined, with their blocks and their loudness."""
    songs = [
        song
        for song in load_tracks(recipe.sources)
        if fits(song) and (not recipe.kind or recipe.kind in song["tags"])
    ]
    return [loud(song) for song in songs[recipe.songs]]


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
