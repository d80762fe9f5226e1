"""What feasibility says of one form of a move at one tempo, for one pool and group."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from aquatempo.records.origin import Origin

__all__ = [
    "Advice",
    "Band",
    "DepthFit",
    "ImpactBand",
    "JointLoad",
    "RangeCurve",
    "Rating",
    "TempoLimit",
    "Verdict",
]


class Rating(StrEnum):
    """A verdict in plain words."""

    FULL = "full range"
    FULL_HARD = "full range, very hard"
    A_LITTLE_SHORT = "a little short"
    SHORT = "short"
    LOST = "range or beat lost"  # less than half is left: a shuffle, or off the beat
    NOT_FEASIBLE = "not feasible"  # the kind of depth, the level or the space forbid it
    NOT_RATED = "not rated"  # demand known, capacity not published

    @property
    def is_full(self) -> bool:
        """Whether the full range is kept, however hard it is."""
        return self in (Rating.FULL, Rating.FULL_HARD)


class ImpactBand(StrEnum):
    """How hard a landing is. The order is that of the force."""

    NONE = "none"
    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"

    @property
    def height(self) -> int:
        """0 for none to 3 for high."""
        return list(ImpactBand).index(self)


@dataclass(frozen=True, slots=True)
class Band:
    """The median of a group and its weak and strong ends; unit in the field that holds it."""

    low: float
    median: float
    high: float


_SLOWEST_BPM = 40.0  # slower music is not judged


@dataclass(frozen=True, slots=True)
class TempoLimit:
    """The highest music tempo at which full range is kept [beats/min].

    likely_bpm: of the median person, None where nothing limits it up to 240 b/min. low_bpm,
    high_bpm: the middle half of what it may be for somebody of the group, from the spread of
    the people and of the model together. people_bpm, model_bpm: from the tenth to the
    ninetieth percentile by each of them alone.
    """

    likely_bpm: float | None
    low_bpm: float
    high_bpm: float
    people_bpm: tuple[float, float]
    model_bpm: tuple[float, float]

    @property
    def words(self) -> str:
        """How it is told: ``150-165, most likely 158``.

        >>> TempoLimit(158.2, 149.6, 165.1, (140.0, 180.0), (151.0, 163.0)).words
        '150-165, most likely 158'
        >>> TempoLimit(None, 210.0, 250.0, (190.0, 280.0), (220.0, 260.0)).words
        'any tempo'
        """
        if self.likely_bpm is None:
            return "any tempo"
        if self.likely_bpm < _SLOWEST_BPM:
            return "no tempo"
        return f"{self.low_bpm:.0f}-{self.high_bpm:.0f}, most likely {self.likely_bpm:.0f}"


@dataclass(frozen=True, slots=True)
class DepthFit:
    """For which share of a group the water is too shallow, right and too deep; sum 1.

    advice: where they should stand, or which level they should take; "" where it suits all.
    """

    too_shallow: float
    right: float
    too_deep: float
    advice: str


@dataclass(frozen=True, slots=True)
class JointLoad:
    """What a group of muscles bears in a form, for the median person.

    muscle: joint and action, such as ``hip flexion``. mean_use, peak_use: torque over what
    the muscle can give at that angle and speed, on average over the cycle and at the most
    [1]. torque_nm, capacity_nm: the most needed, and what it can give at rest [N m].
    """

    muscle: str
    mean_use: float
    peak_use: float
    torque_nm: float
    capacity_nm: float


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to change, in the order tempo option, variation, song speed."""

    kind: str  # "tempo option" | "variation" | "song speed"
    words: str
    origin: Origin = Origin.ESTIMATED


@dataclass(frozen=True, slots=True)
class Verdict:
    """Judgement of (form, pattern, music tempo, pool, group).

    Shares are 0 to 1, of the full excursion; for a pattern they are those of the movement
    that keeps least, for a group those of its median person, and a Band has its weak and
    strong tenth. range_kept: of what decides the move (its legs, else its arms, else the
    hop of a jump); legs_kept, arms_kept, hop_kept, travel_kept apart (None: has none).
    given_up: what is given up, first first. full_share: share of the group that keeps
    full range, full_of: how many of its size that is. odds: chance that somebody of the group
    does, by people and model. lost_share: share of the group that loses the beat.

    met [MET], rpe (6 to 20): most able first; met_model, rpe_model: the median by the
    model's inputs, tenth to ninetieth percentile. capacity_share: of the maximal uptake, of
    the median person and of the less fit. heart_rate_bpm: rough. held_s, full_held_s: how
    long it can be held as it is done, and at full range [s], less fit and median; 3600: a
    class. foot_load_bw: share of land weight on the feet; impact_bw, impact_most_bw: highest
    floor force of a cycle [body weights], of the median and of the one in ten who land
    hardest, 0 without flight; impact and impact_of_most: the bands of the two. hand_force_n,
    foot_force_n: largest force of the water [N]. Torques [N m] are of the limiting muscle;
    loads: of all muscles, the most used first. limit, max_full_range_tempo_bpm: see TempoLimit.
    """

    move: str
    name: str
    variation: tuple[tuple[str, str], ...]
    pattern: str
    tempo_bpm: float
    movements_per_minute: tuple[float, ...]  # one a step of the pattern
    range_kept: Band
    range_kept_by_movement: tuple[float, ...]
    legs_kept: float | None
    arms_kept: float | None
    hop_kept: float | None
    travel_kept: float | None
    given_up: tuple[str, ...]
    rating: Rating
    limited_by: str
    full_share: float
    full_of: tuple[int, int]
    odds: float
    lost_share: float
    torque_peak_nm: float
    torque_mean_nm: float
    capacity_nm: float
    loads: tuple[JointLoad, ...]
    met: Band
    met_model: tuple[float, float]
    rpe: Band
    rpe_model: tuple[float, float]
    capacity_share: tuple[float, float]
    heart_rate_bpm: float
    held_s: tuple[float, float]
    full_held_s: tuple[float, float]
    foot_load_bw: float
    impact_bw: float
    impact_most_bw: float
    impact: ImpactBand
    impact_of_most: ImpactBand
    hand_force_n: float
    foot_force_n: float
    max_full_range_tempo_bpm: float | None
    limit: TempoLimit
    depth: DepthFit
    advice: tuple[Advice, ...] = ()
    cautions: tuple[str, ...] = ()
    origins: tuple[tuple[str, Origin], ...] = ()

    @property
    def beat_lost(self) -> bool:
        """Whether the median keeps less than half of the range: a shuffle, or off the beat."""
        return self.rating is Rating.LOST


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
