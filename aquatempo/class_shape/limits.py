"""What a class may and may not do, settled: the brief's lines over notes, ages and rules.

Of two ceilings the lower holds, of two bans both. A line of the brief overrules what a
note asks by default; a coordinator's rules are overruled by nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from aquatempo.class_shape.bans import Ban, ban_named
from aquatempo.class_shape.notes import DEFER, Note, notes_named, vocabulary
from aquatempo.records.brief import Brief, Experience, PartName
from aquatempo.records.moves import ImpactLevel, MoveForm, MoveKind
from aquatempo.records.people import ClassDepth, Intensity
from aquatempo.records.plan import Because
from aquatempo.records.verdict import ImpactBand

__all__ = ["BANDS", "LEVELS", "OLDER_FROM_YEARS", "Limits", "limits_of", "lower"]

OLDER_FROM_YEARS = 60.0  # a group that starts here is taken as older (common practice)
_OLD_YEARS = 70.0
BANDS = tuple(ImpactBand)
# From the least to the most that the feet get (common practice, no source).
LEVELS = (
    ImpactLevel.III,
    ImpactLevel.GROUNDED,
    ImpactLevel.II,
    ImpactLevel.I,
    ImpactLevel.POWER,
)
# Effort of the main part [Borg 6 to 20]: light, moderate, vigorous (garber-2011).
RPE = {Intensity.EASY: (9.5, 11.5), Intensity.STEADY: (12.0, 14.0), Intensity.HARD: (14.0, 17.0)}
_MOST_RPE = {Intensity.EASY: 12.5, Intensity.STEADY: 15.5, Intensity.HARD: 19.0}
_NO_CEILING = ImpactBand.HIGH
_EASY = (
    *("land tempo", "power", "jumps", "suspended", "open hands"),
)  # what an easy class has none of (common practice, no source)
_MOST_IMPACT = {Intensity.EASY: ImpactBand.LOW, Intensity.STEADY: ImpactBand.MEDIUM}


@dataclass(frozen=True)
class Limits:
    """What holds for a class, or for a part or song of it.

    rpe: effort wanted in the main part, max_rpe: the most that any block may ask [Borg].
    bans: each with what asks for it. calm: few changes of direction. older:
    an older group. warm_up, cool_down:
    least minutes. because: each ask with what it does. unknown: notes without effect.
    cautions: to be printed, the deference among them.
    """

    experience: Experience
    rpe: tuple[float, float]
    max_rpe: float
    max_impact: ImpactBand = _NO_CEILING
    max_level: ImpactLevel = ImpactLevel.POWER
    bans: tuple[tuple[str, Ban], ...] = ()
    allowed_levels: tuple[ImpactLevel, ...] = ()
    calm: bool = False
    older: bool = False
    warm_up: float = 0.0
    cool_down: float = 0.0
    because: tuple[Because, ...] = ()
    unknown: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def excludes(self, form: MoveForm, impact: ImpactBand | None = None) -> str:
        """Return what leaves a form out ("" for nothing); impact: its band, where known."""
        for of, ban in self.bans:
            if ban.excludes(form):
                return f"{of}: no {ban.key}"
        if form.move.kind is MoveKind.STRETCH:
            return ""
        if self.allowed_levels and form.level not in self.allowed_levels:
            return f"rules: level {form.level} is not among the allowed"
        if LEVELS.index(form.level) > LEVELS.index(self.max_level):
            return f"max_level {self.max_level}"
        if impact is not None and BANDS.index(impact) > BANDS.index(self.max_impact):
            return f"max_impact {self.max_impact}"
        return ""

    def under(
        self, max_impact: ImpactBand | None = None, max_level: ImpactLevel | None = None
    ) -> Limits:
        """Return the limits with lower ceilings where these are lower.

        max_impact: highest band, None for no ceiling; max_level: highest level, None for no
        ceiling.
        """
        level = self.max_level
        if max_level is not None and LEVELS.index(max_level) < LEVELS.index(level):
            level = max_level
        return replace(self, max_impact=lower(self.max_impact, max_impact), max_level=level)

    def of_part(self, brief: Brief, name: PartName) -> Limits:
        """Return the limits of a part of the brief.

        name: of the part.
        """
        part = next((one for one in brief.parts if one.name is name), None)
        return self if part is None else self.under(part.max_impact, part.max_level)

    def of_song(self, brief: Brief, title: str, file: str) -> Limits:
        """Return the limits with what the brief says of one song.

        title: of the song; file: where it lies.
        """
        for song in brief.songs:
            if song.title in (title, file, file.rpartition("/")[2]):
                return self.under(song.max_impact, song.max_level)
        return self


def lower(first: ImpactBand, second: ImpactBand | None) -> ImpactBand:
    """Return the lower of two bands; None is no ceiling.

    first: one of the two; second: the other.
    """
    return first if second is None else min(first, second, key=BANDS.index)


@lru_cache(maxsize=64)
def limits_of(brief: Brief) -> Limits:
    """Return what holds for the class of a brief, with the reasons.

    >>> limits_of(Brief(group_notes=("pregnancy",))).max_impact
    <ImpactBand.LOW: 'low'>
    """
    named, unknown = notes_named(brief.group_notes)
    notes = [(text, note) for text, note in named]
    if brief.group.age_years[0] >= OLDER_FROM_YEARS and not any(n.key == "older" for _, n in notes):
        low, high = brief.group.age_years
        notes.append((f"ages {low:.0f}-{high:.0f}", vocabulary()["older"]))
    intensity = brief.group.intensity
    limits = Limits(
        experience=brief.experience or _experience(notes, intensity),
        rpe=brief.rpe or RPE[intensity],
        max_rpe=_MOST_RPE[intensity] if brief.rpe is None else brief.rpe[1] + 1.5,
        max_impact=brief.max_impact or _MOST_IMPACT.get(intensity, _NO_CEILING),
        max_level=brief.max_level or ImpactLevel.POWER,
        unknown=unknown,
    )
    if intensity is Intensity.EASY and brief.rpe is None:
        bans = _bans_of("intensity easy", _EASY, brief)
        limits = replace(limits, bans=bans)
    limits = replace(limits, bans=(*limits.bans, *_own_bans(brief)))
    for text, note in notes:
        limits = _with_note(limits, text, note, brief)
    limits = _with_course(limits, brief)
    limits = _with_rules(limits, brief)
    limits = replace(limits, because=(*limits.because, *_unknown(unknown)))
    return _with_health(limits, [note for _, note in notes], brief)


def _experience(notes: Iterable[tuple[str, Note]], intensity: Intensity) -> Experience:
    """Return what a group has done before: as its notes say; hard work is for the trained."""
    told = [note.experience for _, note in notes if note.experience is not None]
    usual = Experience.TRAINED if intensity is Intensity.HARD else Experience.REGULAR
    return min(told, key=list(Experience).index) if told else usual


def _own_bans(brief: Brief) -> tuple[tuple[str, Ban], ...]:
    return tuple(("banned", ban_named(text)) for text in brief.banned)


def _bans_of(of: str, words: Iterable[str], brief: Brief) -> tuple[tuple[str, Ban], ...]:
    """Return bans by name; what the brief allows is let through, and hanging in deep water."""
    let = {ban_named(text).key for text in brief.allow}
    if brief.depth is ClassDepth.DEEP:
        let.add("suspended")
    return tuple((of, ban) for ban in map(ban_named, words) if ban.key not in let)


def _with_note(limits: Limits, text: str, note: Note, brief: Brief) -> Limits:
    of = text if note.key in text.lower() else f"{text} ({note.key})"
    let = [word for word in brief.allow if ban_named(word).key in note.banned]
    overruled = [f"allow = {word}" for word in let]
    rpe, max_rpe = limits.rpe, limits.max_rpe
    if note.rpe is not None or note.max_rpe is not None:
        if brief.rpe is not None:
            overruled.append(f"rpe = {brief.rpe[0]:g}-{brief.rpe[1]:g}")
        else:
            most = note.max_rpe or (note.rpe or rpe)[1]
            low, high = note.rpe or rpe
            rpe = (min(rpe[0], low, most - 1.0), min(rpe[1], high, most))
            max_rpe = min(max_rpe, most + (0.0 if note.max_rpe else 0.5))
    found = limits
    if note.max_impact is not None:
        if brief.max_impact is not None and brief.max_impact != note.max_impact:
            overruled.append(f"max_impact = {brief.max_impact}")
        else:
            found = found.under(max_impact=note.max_impact)
    if note.max_level is not None and brief.depth is ClassDepth.SHALLOW:
        if brief.max_level is not None and brief.max_level != note.max_level:
            overruled.append(f"max_level = {brief.max_level}")
        else:
            found = found.under(max_level=note.max_level)
    if note.experience is not None and brief.experience not in (None, note.experience):
        overruled.append(f"experience = {brief.experience}")
    return replace(
        found,
        rpe=rpe,
        max_rpe=max_rpe,
        bans=(*found.bans, *_bans_of(note.key, note.banned, brief)),
        calm=found.calm or note.calm,
        older=found.older or note.key == "older",
        warm_up=max(found.warm_up, note.warm_up),
        cool_down=max(found.cool_down, note.cool_down),
        because=(*found.because, Because(of, note.does, note.told_source, "; ".join(overruled))),
        cautions=(*found.cautions, *(f"{of}: {caution}" for caution in note.cautions)),
    )


def _with_course(limits: Limits, brief: Brief) -> Limits:
    """Return limits with the effort that a course has come to; notes keep their caps."""
    course = brief.course
    if course is None or course.week <= 1 or not course.rpe_step:
        return limits
    step = min(course.rpe_most, course.rpe_step * (course.week - 1))
    low, high = limits.rpe
    most = limits.max_rpe
    raised = (min(low + step, most - 1.0), min(high + step, most))
    does = f"effort {raised[1] - high:+.2g} in week {course.week}"
    because = Because("course", does, f"{course.rpe_step:g} a week, {course.rpe_most:g} at most")
    return replace(limits, rpe=raised, because=(*limits.because, because))


def _with_rules(limits: Limits, brief: Brief) -> Limits:
    rules = brief.rules
    if rules is None:
        return limits
    of = rules.title or "rules"
    bans = tuple((of, ban_named(word)) for word in rules.banned)
    found = limits.under(max_impact=rules.max_impact)
    return replace(
        found,
        max_rpe=min(found.max_rpe, rules.max_rpe or found.max_rpe),
        rpe=(
            min(found.rpe[0], (rules.max_rpe or 20.0) - 1.0),
            min(found.rpe[1], rules.max_rpe or 20.0),
        ),
        bans=(*found.bans, *bans),
        allowed_levels=rules.levels,
        warm_up=max(found.warm_up, rules.warm_up_minutes),
        cool_down=max(found.cool_down, rules.cool_down_minutes),
    )


def _unknown(texts: Iterable[str]) -> list[Because]:
    return [
        Because(text, "no effect: it is not among the notes that a plan acts on") for text in texts
    ]


def _with_health(limits: Limits, notes: list[Note], brief: Brief) -> Limits:
    """Return limits with the caution and the deference that health notes and age bring."""
    cautions = list(limits.cautions)
    because = list(limits.because)
    hard = brief.group.intensity is Intensity.HARD or (brief.rpe or limits.rpe)[1] > 15.0
    capped = [note for note in notes if note.rpe is not None or note.max_rpe is not None]
    health = [note for note in notes if note.health]
    if hard and capped and brief.group.intensity is Intensity.HARD:
        names = " and ".join(note.key for note in capped)
        does = f"effort stays at RPE {limits.rpe[1]:g}, though intensity = hard was asked"
        over = "rpe" if brief.rpe is not None else ""
        because.append(Because(names, does if not over else "hard work was asked all the same"))
    oldest = brief.group.age_years[1]
    if hard and oldest >= _OLD_YEARS:
        cautions.append(f"hard work with people of up to {oldest:.0f} years: {DEFER}")
    cautions += [f"{note.key}: {DEFER}" for note in health]
    water = brief.pool.temperature_c
    for note in notes:
        if note.water_c is not None and not note.water_c[0] <= water <= note.water_c[1]:
            low, high = note.water_c
            cautions.append(f"{note.key}: water of {low:g} to {high:g} C is usual, here {water:g}")
    return replace(limits, cautions=tuple(dict.fromkeys(cautions)), because=tuple(because))
