"""Where two tempi meet: borders of joins on the beat that both grids share."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest

from aquatempo.rhythm.features import FRAME_RATE_HZ
from aquatempo.rhythm.grid import Stretch
from aquatempo.rhythm.meeting import where_lines_meet

JOIN_S = 60.0
OLD_S = 0.5  # 120 bpm

Doubles = npt.NDArray[np.float64]


def strokes_at(*heard: tuple[Doubles, float]) -> npt.NDArray[np.float32]:
    """Return how fast the sound rises, with strokes of some strength at some times [s]."""
    curve = np.zeros(int(130 * FRAME_RATE_HZ), np.float32)
    for times_s, strength in heard:
        curve[np.round(times_s * FRAME_RATE_HZ).astype(int)] += strength
    return curve


def joined(late: int, new_s: float, fade: bool) -> tuple[list[Stretch], npt.NDArray[np.float32]]:
    """Return two songs that meet at ``JOIN_S``, with the border heard so many old beats late.

    new_s: period of the second song. fade: whether it sounds from the join on, while the first
    fades; otherwise from the border on alone.
    """
    old = OLD_S * np.arange(120 + late, dtype=np.float64)
    new = JOIN_S + new_s * np.arange(100, dtype=np.float64)
    after = new[new > old[-1] + 0.2]
    after = after[after < 110]
    weaker = np.where(old < JOIN_S, 1.0, 0.6 if fade else 1.0)
    sounding = new[new < 110] if fade else after
    heard = [(old[old < JOIN_S], 1.0), (old[old >= JOIN_S], float(weaker[-1])), (sounding, 1.0)]
    return [
        Stretch(old, 60 / OLD_S, 0.001, "steady"),
        Stretch(after, 60 / new_s, 0.001, "steady"),
    ], strokes_at(*heard)


@pytest.mark.parametrize("late", [6, 16, 28])
@pytest.mark.parametrize("change", [0.978, 1.015, 1.024])
def test_border_goes_back_to_the_shared_beat(late: int, change: float) -> None:
    """A border that was heard late in a fade lies on the join again, to a beat."""
    found, strokes = joined(late, OLD_S * change, fade=True)
    before, after = where_lines_meet(found, strokes)
    assert after.times_s[0] == pytest.approx(JOIN_S, abs=1.1 * OLD_S)
    assert 0.4 * OLD_S < after.times_s[0] - before.times_s[-1] < 1.6 * OLD_S
    steps = np.diff(np.append(before.times_s, after.times_s))
    assert steps == pytest.approx(np.full(len(steps), OLD_S), rel=0.11)  # no beat lost or doubled


def test_songs_that_only_follow_each_other_keep_their_border() -> None:
    """Where nothing of the next song sounds before the border, it stays, shared beat or not."""
    found, strokes = joined(20, OLD_S * 1.02, fade=False)
    before, after = where_lines_meet(found, strokes)
    assert after is found[1]
    assert before is found[0]


@pytest.mark.parametrize("change", [1.001, 1.08])
def test_one_tempo_and_unmatched_tempi_stay(change: float) -> None:
    """Tempi that are one, or too far apart to have been matched, keep their border."""
    found, strokes = joined(10, OLD_S * change, fade=True)
    assert where_lines_meet(found, strokes)[1] is found[1]
