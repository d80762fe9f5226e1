"""How the joins of made mixes are heard as phrase starts.

cd tests && python -m yardstick.joins --fonts FluidR3_GM.sf2 --first 99500000 --mixes 16 --songs 9

Mixes are written by the training generator (`aquatempo.training.mix`): tempo matched, two songs at
once for 0 to 32 counts, one song in four cut after 8, 16 or 24 counts of a phrase. Use seeds and a
sound bank that no training and no fit had.
"""

from __future__ import annotations

import argparse
from itertools import pairwise
from pathlib import Path

import numpy as np

from aquatempo.rhythm.analysis import analyse
from aquatempo.rhythm.features import SAMPLE_RATE_HZ
from aquatempo.training.mix import Mix, play_songs
from aquatempo.training.render import Fonts

NEAR_COUNTS = 2
EDGE_S = 0.05
FIRST_S = 5.0  # left out, as in the tables

Times = np.ndarray[tuple[int], np.dtype[np.float64]]


def joins_of(mix: Mix) -> list[tuple[float, bool]]:
    """Return the joins at which the new song begins with a phrase [s], and whether one was cut."""
    pairs = {later[0]: (before, later) for before, later in pairwise(mix.sections)}
    found = (pairs[beat] for beat in mix.joins)
    return [(float(mix.beats_s[later[0]]), not before[2]) for before, later in found if later[2]]


def phrase_f(heard_s: Times, true_s: Times, near_s: float) -> float:
    """Return F of phrase starts within some seconds."""
    far = np.abs(heard_s[:, None] - true_s)
    hits = (far.min(axis=1) < near_s).sum(), (far.min(axis=0) < near_s).sum()
    precision, recall = hits[0] / len(heard_s), hits[1] / len(true_s)
    return float(2 * precision * recall / max(precision + recall, 1e-9))


def main() -> None:
    """Make mixes, hear them and print what was found."""
    parser = argparse.ArgumentParser(description="Hear the joins of made mixes.")
    parser.add_argument("--fonts", type=Path, nargs="+", required=True)
    parser.add_argument("--first", type=int, required=True, help="first seed")
    parser.add_argument("--mixes", type=int, default=16)
    parser.add_argument("--songs", type=int, default=9)
    options = parser.parse_args()
    fonts = Fonts.load(options.fonts)
    found: dict[bool, list[bool]] = {True: [], False: []}
    scores = []
    for seed in range(options.first, options.first + options.mixes):
        mix = play_songs(seed, fonts, options.songs)
        heard = analyse(mix.samples, SAMPLE_RATE_HZ)
        count_s = float(np.median(np.diff(mix.beats_s)))
        starts_s = np.array([one.start_s for one in heard.phrases if one.counts == 32])
        true_s = np.array([mix.beats_s[first] for first, _, whole in mix.sections if whole])
        for join_s, cut in joins_of(mix):
            off_s = np.abs(starts_s - join_s).min()
            found[cut].append(bool(off_s <= NEAR_COUNTS * count_s + EDGE_S))
        late = starts_s[starts_s > FIRST_S], true_s[true_s > FIRST_S]
        scores.append(phrase_f(*late, count_s / 2))
    after_whole, after_cut = found[False], found[True]
    print(
        f"joins {sum(after_whole) + sum(after_cut)} of {len(after_whole) + len(after_cut)}; "
        f"after a whole phrase {sum(after_whole)} of {len(after_whole)}, "
        f"after a cut {sum(after_cut)} of {len(after_cut)}; "
        f"phrase F {100 * np.mean(scores):.1f} over {len(scores)} mixes"
    )


if __name__ == "__main__":
    main()
