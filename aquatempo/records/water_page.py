"""What the page shows of the water: a pool and a group as typed, moves as judged there."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.people import ClassDepth
from aquatempo.records.verdict import RangeCurve, Verdict

__all__ = [
    "ClassForm",
    "MoveRow",
    "MoveShown",
    "PersonInWater",
    "VariationRow",
    "WaterShown",
]


@dataclass(frozen=True, slots=True)
class ClassForm:
    """Pool and group as a person types them; "" for what is usual.

    depth: ``1.2``, ``4ft``, ``1.0-1.4``; temperature: ``29``, ``84F``; space [m2 a person];
    salinity [g/kg]; ranges as ``1.50-1.90``. notes: for the person who teaches.
    """

    kind: ClassDepth = ClassDepth.SHALLOW
    depth: str = ""
    temperature: str = ""
    space: str = ""
    salinity: str = ""
    size: str = ""
    women: str = ""
    heights: str = ""
    ages: str = ""
    masses: str = ""
    intensity: str = ""
    notes: str = ""


@dataclass(frozen=True, slots=True)
class PersonInWater:
    """Where the water stands on one person. height_m, depth_m [m]; foot_load_bw [1]."""

    height_m: float
    depth_m: float
    landmark: str
    kind: str
    foot_load_bw: float


@dataclass(frozen=True, slots=True)
class WaterShown:
    """A form, what it was read as, and where the water stands on short, middle and tall.

    depth_m, far_depth_m [m]; temperature_c [degrees Celsius]; tempo_bpm: music tempo that
    suits the class [beats/min].
    """

    form: ClassForm
    depth_m: float
    far_depth_m: float | None
    temperature_c: float
    space_m2: float | None
    size: int
    women: int
    height_m: tuple[float, float]
    age_years: tuple[float, float]
    mass_kg: tuple[float, float]
    intensity: str
    people: tuple[PersonInWater, ...]
    tempo_bpm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class MoveRow:
    """A move of the list, judged at a tempo in one pattern.

    range_kept: weak end, median, strong end [1]; odds [1] and full_of as in Verdict; rpe
    (6 to 20); limit: the highest tempo for full range in words.
    """

    key: str
    name: str
    kind: str
    pattern: str
    rating: str
    range_kept: tuple[float, float, float]
    odds: float
    full_of: tuple[int, int]
    rpe: float
    met: float
    impact: str
    limit: str


@dataclass(frozen=True, slots=True)
class VariationRow:
    """A variation of a move, from easier to harder; ask: how a figure of it is asked for."""

    ask: str
    name: str
    factor: str
    why: str
    step_met: float
    rating: str
    range_kept: float
    rpe: float
    impact: str


@dataclass(frozen=True, slots=True)
class MoveShown:
    """A move at length: verdicts in each tempo option, curves, and its variations.

    ways: how it can be seen. travels: whether it goes anywhere.
    """

    key: str
    name: str
    description: str
    call: str
    sign: str
    muscles: tuple[str, ...]
    cautions: tuple[str, ...]
    view: str
    verdicts: tuple[Verdict, ...]
    curves: tuple[RangeCurve, ...]
    variations: tuple[VariationRow, ...]
