"""How the joins of mixes are heard as phrase starts.

cd tests && python -m yardstick.joins --fonts FluidR3_GM.sf2 --first 99500000 --mixes 16 --songs 9
cd tests && python -m yardstick.joins --set classmix,othermix_a

With ``--fonts`` mixes are written by the training generator (`aquatempo.training.mix`): tempo
matched, two songs at once for 0 to 32 counts, one song in four cut after 8, 16 or 24 counts of a
phrase. Use seeds and a sound bank that no training and no fit had. With ``--set`` they are the
files of sets that the yardstick built.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from aquatempo.audio import mono_blocks
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.rhythm.analysis import analyse, analyse_blocks
from aquatempo.rhythm.features import SAMPLE_RATE_HZ

from .layout import Truth, load_tracks

if TYPE_CHECKING:
    from aquatempo.training.mix import Mix

NEAR_COUNTS = 2
EDGE_S = 0.05
FIRST_S = 5.0  # left out, as in the tables
WHOLE = 32  # counts

Times = np.ndarray[tuple[int], np.dtype[np.float64]]


@dataclass(frozen=True)
class Joined:
    """What is true of a mix: phrase starts [s]; joins [s] and whether the song before was cut.

    count_s: from beat to beat. Joins are those at which the new song begins with a phrase.
    """

    name: str
    count_s: float
    starts_s: Times
    joins: list[tuple[float, bool]]


@dataclass(frozen=True)
class Found:
    """What was heard of a mix: the joins missed [s], and F of phrase starts."""

    truth: Joined
    as_mix: bool
    missed_s: list[float]
    phrase_f: float


def joins_of(mix: Mix) -> list[tuple[float, bool]]:
    """Return the joins at which the new song begins with a phrase [s], and whether one was cut."""
    pairs = {later[0]: (before, later) for before, later in pairwise(mix.sections)}
    found = (pairs[beat] for beat in mix.joins)
    return [(float(mix.beats_s[later[0]]), not before[2]) for before, later in found if later[2]]


def of_mix(name: str, mix: Mix) -> Joined:
    """Return what is true of a mix of the training generator."""
    starts_s = np.array([mix.beats_s[first] for first, _, whole in mix.sections if whole])
    return Joined(name, float(np.median(np.diff(mix.beats_s))), starts_s, joins_of(mix))


def of_track(track: Truth) -> Joined:
    """Return what is true of a mix that lies in a file."""
    parts = track["phrases"]
    whole = [part["kind"] in ("phrase", "break") and part["counts"] == WHOLE for part in parts]
    starts_s = np.array(
        [part["start_s"] for part, is_whole in zip(parts, whole, strict=True) if is_whole]
    )
    joins = []
    for join_s in track["splices_s"]:
        at = int(np.abs(np.array([part["start_s"] for part in parts]) - join_s).argmin())
        if whole[at]:
            joins.append((float(join_s), not whole[at - 1]))
    return Joined(track["id"], float(np.median(np.diff(track["beats_s"]))), starts_s, joins)


def found_in(truth: Joined, heard: RhythmAnalysis) -> Found:
    """Return which joins are phrase starts as heard, within two counts."""
    starts_s = np.array([one.start_s for one in heard.phrases if one.counts == WHOLE])
    near_s = NEAR_COUNTS * truth.count_s + EDGE_S
    missed_s = [
        join_s for join_s, _ in truth.joins if not (np.abs(starts_s - join_s) <= near_s).any()
    ]
    late = starts_s[starts_s > FIRST_S], truth.starts_s[truth.starts_s > FIRST_S]
    as_mix = heard.evidence is not None and heard.evidence.mix
    return Found(truth, as_mix, missed_s, phrase_f(*late, truth.count_s / 2))


def phrase_f(heard_s: Times, true_s: Times, near_s: float) -> float:
    """Return F of phrase starts within some seconds."""
    if not len(heard_s) or not len(true_s):
        return 0.0
    far = np.abs(heard_s[:, None] - true_s)
    hits = (far.min(axis=1) < near_s).sum(), (far.min(axis=0) < near_s).sum()
    precision, recall = hits[0] / len(heard_s), hits[1] / len(true_s)
    return float(2 * precision * recall / max(precision + recall, 1e-9))


def made(options: argparse.Namespace) -> Iterator[Found]:
    """Make mixes and hear them, one after the other."""
    from aquatempo.training.mix import play_songs  # needs the soundfont player of a training
    from aquatempo.training.render import Fonts

    fonts = Fonts.load(options.fonts)
    for seed in range(options.first, options.first + options.mixes):
        mix = play_songs(seed, fonts, options.songs)
        yield found_in(of_mix(str(seed), mix), analyse(mix.samples, SAMPLE_RATE_HZ))


def stored(sets: tuple[str, ...]) -> Iterator[Found]:
    """Hear the mixes of sets, one after the other."""
    for track in load_tracks(sets):
        blocks = mono_blocks(track["audio"], SAMPLE_RATE_HZ)
        yield found_in(of_track(track), analyse_blocks(blocks, SAMPLE_RATE_HZ))


def told(found: list[Found]) -> str:
    """Return one line about all mixes."""
    cut = [was_cut for one in found for _, was_cut in one.truth.joins]
    missed = [
        was_cut for one in found for join_s, was_cut in one.truth.joins if join_s in one.missed_s
    ]
    after_whole, after_cut = len(cut) - sum(cut), sum(cut)
    f = 100 * np.mean([one.phrase_f for one in found])
    return (
        f"joins {len(cut) - len(missed)} of {len(cut)}; "
        f"after a whole phrase {after_whole - missed.count(False)} of {after_whole}, "
        f"after a cut {after_cut - missed.count(True)} of {after_cut}; "
        f"phrase F {f:.1f} over {len(found)} mixes"
    )


def main() -> None:
    """Make or load mixes, hear them and print what was found."""
    parser = argparse.ArgumentParser(description="Hear the joins of mixes.")
    parser.add_argument("--fonts", type=Path, nargs="+", help="make mixes on these sound banks")
    parser.add_argument("--first", type=int, help="first seed")
    parser.add_argument("--mixes", type=int, default=16)
    parser.add_argument("--songs", type=int, default=9)
    parser.add_argument("--set", help="hear the mixes of these sets instead")
    options = parser.parse_args()
    if not options.set and (options.fonts is None or options.first is None):
        parser.error("name --set, or --fonts and --first")
    found = []
    for one in stored(tuple(options.set.split(","))) if options.set else made(options):
        found.append(one)
        missed = " ".join(f"{time_s:.1f}" for time_s in one.missed_s)
        print(
            f"{one.truth.name}: heard as a {'mix' if one.as_mix else 'song'}, phrase F "
            f"{100 * one.phrase_f:.1f}{', missed at ' + missed + ' s' if missed else ''}",
            flush=True,
        )
    print(told(found))


if __name__ == "__main__":
    main()
