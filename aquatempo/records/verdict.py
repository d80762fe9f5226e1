"""What feasibility says of one form of a move at one tempo, for one pool and group."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from aquatempo.records.origin import Origin

__all__ = ["Advice", "Band", "RangeCurve", "Rating", "Verdict"]


class Rating(StrEnum):
    """A verdict in plain words."""

    FULL = "full range"
    A_LITTLE_SHORT = "a little short"
    SHORT = "short"
    NOT_FEASIBLE = "not feasible"
    NOT_RATED = "not rated"  # demand known, capacity not published


@dataclass(frozen=True, slots=True)
class Band:
    """The median of a group and its weak and strong ends; unit in the field that holds it."""

    low: float
    median: float
    high: float


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to change, in the order tempo option, variation, song speed."""

    kind: str  # "tempo option" | "variation" | "song speed"
    words: str
    origin: Origin = Origin.ESTIMATED


@dataclass(frozen=True, slots=True)
class Verdict:
    """Judgement of (form, pattern, music tempo, pool, group).

    range_kept is a share 0 to 1 of the full excursion; for a pattern it is that of
    the movement that keeps least. Torques [N m] are of the limiting joint.
    max_full_range_tempo_bpm is the highest music tempo at which the group's median
    keeps full range with this pattern; None where nothing limits it in 40-240 b/min.
    foot_load_bw: share of land weight on the feet; impact_bw: peak floor force after
    a flight, 0 without flight [body weights].
    """

    move: str
    name: str
    variation: tuple[tuple[str, str], ...]
    pattern: str
    tempo_bpm: float
    movements_per_minute: tuple[float, ...]  # one a step of the pattern
    range_kept: Band
    range_kept_by_movement: tuple[float, ...]
    rating: Rating
    limited_by: str
    torque_peak_nm: float
    torque_mean_nm: float
    capacity_nm: float
    met: Band
    rpe: Band
    foot_load_bw: float
    impact_bw: float
    max_full_range_tempo_bpm: float | None
    advice: tuple[Advice, ...] = ()
    cautions: tuple[str, ...] = ()
    origins: tuple[tuple[str, Origin], ...] = ()


@dataclass(frozen=True, slots=True)
class RangeCurve:
    """Range kept against music tempo for one form of a move and one pattern.

    tempos_bpm [beats/min]; low, median, high: range kept, 0 to 1, of the group's weak
    end, median and strong end, one a tempo.
    """

    name: str
    pattern: str
    tempos_bpm: tuple[float, ...]
    low: tuple[float, ...]
    median: tuple[float, ...]
    high: tuple[float, ...]
