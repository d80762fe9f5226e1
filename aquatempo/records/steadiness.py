"""How far a tempo moves, from the times of its beats."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median, quantiles

from aquatempo.records.rhythm import TempoSection
from aquatempo.units import clock

__all__ = ["STEADY_PERCENT", "drift_percent", "tempi_in_turn"]

MOST_TEMPI = 4  # that are told one by one
STEADY_PERCENT = 0.3  # drift above which a tempo moves
SPAN_BEATS = 8  # a tempo is taken over so many


def drift_percent(beats_s: Sequence[float], breaks: Sequence[int] = ()) -> float:
    """Return the range of the tempo over eight beats, over its median [%]; 0 for under three beats.

    The range is that between the 2nd and the 98th of a hundred. beats_s: ascending [s]; breaks:
    beats before which the count stops for a while; no tempo is taken across them.

    >>> round(drift_percent([0.5 * beat for beat in range(20)]), 6)
    0.0
    """
    if len(beats_s) < 3:
        return 0.0
    span = min(SPAN_BEATS, len(beats_s) - 1)
    tempi = [span / (beats_s[at + span] - beats_s[at]) for at in range(len(beats_s) - span)]
    across = {at for beat in breaks for at in range(max(0, beat - span), beat)}
    whole = [tempo for at, tempo in enumerate(tempi) if at not in across] or tempi
    if len(whole) < 2:
        return 0.0
    hundred = quantiles(whole, n=50, method="inclusive")
    return 100 * (hundred[-1] - hundred[0]) / median(whole)


def tempi_in_turn(sections: Sequence[TempoSection]) -> str:
    """Return several tempi in words, each with the time from which it holds; "" for one or many.

    sections: in order.
    """
    if not 1 < len(sections) <= MOST_TEMPI:
        return ""
    return ", ".join(
        f"{one.tempo_bpm:.1f} from {clock(one.start_s, tenths=True)}" for one in sections
    )
