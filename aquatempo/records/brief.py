"""A class as it is asked for: parts, people, effort, ceilings, what is wanted and what is not."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from aquatempo.records.moves import ImpactLevel
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.verdict import ImpactBand

__all__ = [
    "CLASS_MINUTES",
    "BlockWish",
    "Brief",
    "BuildWay",
    "Course",
    "Experience",
    "Favourite",
    "IntervalUnit",
    "Intervals",
    "PartBrief",
    "PartName",
    "HouseRules",
    "SongBrief",
]

CLASS_MINUTES = (1.0, 180.0)  # least and most of a class


class PartName(StrEnum):
    """The parts of a class, in their order."""

    WARM_UP = "warm-up"
    MAIN = "main"
    INTERVALS = "intervals"
    COOL_DOWN = "cool-down"
    STRETCH = "stretch"


class BuildWay(StrEnum):
    """How moves are put together; common practice."""

    LINEAR = "linear"
    PYRAMID = "pyramid"
    ADD_ON = "add-on"
    LAYER = "layer"
    BLOCK = "block"


class IntervalUnit(StrEnum):
    """What work and rest are counted in."""

    PHRASES = "phrases"
    SECONDS = "seconds"


class Experience(StrEnum):
    """How much of this a group has done: it sets how many base moves and variations it gets."""

    FIRST_WEEK = "first week"
    BEGINNERS = "beginners"
    REGULAR = "regular"
    TRAINED = "trained"


@dataclass(frozen=True, slots=True)
class Intervals:
    """Work and rest in turn, some sets of them, in phrases or in seconds."""

    work: float = 2
    rest: float = 1
    sets: int = 4
    unit: IntervalUnit = IntervalUnit.PHRASES


@dataclass(frozen=True, slots=True)
class PartBrief:
    """One part of a class.

    minutes: its length [min]; tempo_bpm: music tempo range [beats/min], None for the usual
    one; build: how its moves are put together, None for the brief's own. rpe: effort wanted
    (Borg 6 to 20), max_impact, max_level: ceilings; None for what the class has. locked: it
    stays as it is when the class is planned again.
    """

    name: PartName
    minutes: float
    tempo_bpm: tuple[float, float] | None = None
    build: BuildWay | None = None
    rpe: tuple[float, float] | None = None
    max_impact: ImpactBand | None = None
    max_level: ImpactLevel | None = None
    locked: bool = False


@dataclass(frozen=True, slots=True)
class SongBrief:
    """What is wanted of one song, told by its title or file name.

    part None: any that suits. leave_out: it is not played.
    """

    title: str
    part: PartName | None = None
    max_impact: ImpactBand | None = None
    max_level: ImpactLevel | None = None
    leave_out: bool = False


@dataclass(frozen=True, slots=True)
class BlockWish:
    """Some counts of one form, as a person wants it: counts, move, what varies in it."""

    counts: int
    move: str
    variation: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Favourite:
    """A block or chorus of the instructor's own; its counts make whole phrases of 32."""

    name: str
    blocks: tuple[BlockWish, ...]
    parts: tuple[PartName, ...] = (PartName.MAIN,)
    depth: ClassDepth | None = None  # None: wherever its moves are done


@dataclass(frozen=True, slots=True)
class Course:
    """How a class follows earlier ones.

    week: which class of the course it is, 1 the first. rpe_step: effort added a week
    [points of the 6 to 20 scale], up to rpe_most in all. songs_after, endings_after: a song
    or an ending comes back after so many weeks at the earliest. new_moves: base moves new
    in a week. base_after: of a week's base moves some are left out until then.
    """

    week: int = 1
    rpe_step: float = 0.25
    rpe_most: float = 1.5
    songs_after: int = 2
    endings_after: int = 2
    new_moves: int = 2


@dataclass(frozen=True, slots=True)
class HouseRules:
    """What a coordinator asks of every plan, whoever makes it; empty: no rule.

    songs: titles or file names that are approved. songs_after: a song comes back after so
    many weeks at the earliest, where earlier plans are given.
    """

    title: str = ""
    allowed_moves: tuple[str, ...] = ()
    banned_moves: tuple[str, ...] = ()
    banned: tuple[str, ...] = ()
    levels: tuple[ImpactLevel, ...] = ()
    max_impact: ImpactBand | None = None
    max_rpe: float | None = None
    songs: tuple[str, ...] = ()
    songs_after: int = 0
    warm_up_minutes: float = 0.0
    cool_down_minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class Brief:
    """What the class is to be; an empty brief works.

    minutes: the whole class [min]. parts: empty for the usual ones. allowed_moves: empty
    for all. range_floor: share of full range that the group's median must keep.
    jump_minutes: most that the instructor shows in jumps on deck. known_moves: moves that
    the class did in earlier weeks; known_forms: variations of them, (move, factor, option).
    free_speed, most_speed: shares by which a song may be played faster or slower, without
    and with a warning.

    rpe: effort wanted in the main part (Borg 6 to 20); None: as the group's intensity says.
    max_impact, max_level: ceilings of the whole class. banned: levels, factors and joint
    actions by the words of ``aquatempo.class_shape.bans``. allow: what a note would forbid
    and this brief lets through. wanted_moves: base moves that have to come. themes: where
    the weight lies. endings_used, songs_used: (name, weeks ago) of earlier classes.
    """

    title: str = "Water class"
    minutes: float = 45.0
    depth: ClassDepth = ClassDepth.SHALLOW
    twin: bool = False  # the same songs for the other depth too
    pool: Pool = field(default_factory=Pool)
    group: Group = field(default_factory=Group)
    group_notes: tuple[str, ...] = ()
    parts: tuple[PartBrief, ...] = ()
    intervals: Intervals | None = None
    build: BuildWay = BuildWay.LINEAR
    allowed_moves: tuple[str, ...] = ()
    banned_moves: tuple[str, ...] = ()
    known_moves: tuple[str, ...] = ()
    equipment: tuple[str, ...] = ()
    move_names: tuple[tuple[str, str], ...] = ()  # the instructor's own: (move key, name)
    move_signs: tuple[tuple[str, str], ...] = ()
    range_floor: float = 0.85
    jump_minutes: float = 6.0
    free_speed: float = 0.04
    most_speed: float = 0.08
    language: str = "en"
    seed: int = 1
    rpe: tuple[float, float] | None = None
    max_impact: ImpactBand | None = None
    max_level: ImpactLevel | None = None
    banned: tuple[str, ...] = ()
    allow: tuple[str, ...] = ()
    experience: Experience | None = None
    wanted_moves: tuple[str, ...] = ()
    themes: tuple[str, ...] = ()
    songs: tuple[SongBrief, ...] = ()
    favourites: tuple[Favourite, ...] = ()
    course: Course | None = None
    known_forms: tuple[tuple[str, str, str], ...] = ()
    songs_used: tuple[tuple[str, int], ...] = ()
    endings_used: tuple[tuple[str, int], ...] = ()
    rules: HouseRules | None = None
