"""What the brief, its notes on people and a coordinator's rules leave out: bans and ceilings."""

from __future__ import annotations

from collections.abc import Iterator

from aquatempo.class_shape.notes import DEFER, vocabulary
from aquatempo.class_shape.standards import SPACE_M2
from aquatempo.moves.tags import sent_away
from aquatempo.records.review import PRACTICE, Fault, Finding, Severity
from aquatempo.review.figures import FormFigures
from aquatempo.review.spots import ReadPlan, Spot, finding

__all__ = ["permits", "space_known"]

_OWN = ("banned", "intensity easy")


def permits(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield what is left out by the brief, a note or a rule; the same cause once a track.

    reading: the plan; known: figures of its forms.
    """
    for number, track in enumerate(reading.plan.tracks, 1):
        limits = reading.limits_at(track)
        causes: dict[str, list[Spot]] = {}
        for spot in reading.spots:
            if spot.track != number:
                continue
            figures = known.get(spot.form_key)
            impact = figures.impact if figures is not None else None
            cause = limits.excludes(spot.form, impact)
            if cause:
                causes.setdefault(cause, []).append(spot)
        for cause, spots in causes.items():
            yield _told(reading, cause, spots)


def _told(reading: ReadPlan, cause: str, spots: list[Spot]) -> Finding:
    first = spots[0]
    more = f"; so it is in {len(spots) - 1} more here" if len(spots) > 1 else ""
    of, _, what = cause.partition(": ")
    note = vocabulary().get(of)
    rules = reading.brief.rules
    if rules is not None and of in (rules.title or "rules", "rules"):
        return finding(
            *(Fault.RULES, Severity.ERROR, first),
            f"{first.name}: {what}{more}",
            "take a form that the rules allow",
            f"the rules of {rules.title or 'the coordinator'}",
        )
    if not what:
        kind = "level" if cause.startswith("max_level") else "impact"
        own = first.form.level.value if kind == "level" else "more"
        return finding(
            *(Fault.CEILING, Severity.ERROR, first),
            f"{first.name} is above {cause} ({kind}: {own}){more}",
            "take a lower level or a smaller form: `aquatempo vary` lists them",
            _ceiling_from(reading, cause),
        )
    if note is not None:
        severity = Severity.ERROR if note.health else Severity.WARNING
        return finding(
            *(Fault.PEOPLE, severity, first),
            f"{first.name}: {what} ({of}: {note.does}){more}",
            f"take a form without it, or let it through in the brief (allow); {DEFER}",
            note.told_source,
        )
    severity = Severity.ERROR if of == "banned" else Severity.WARNING
    return finding(
        *(Fault.NOT_ALLOWED, severity, first),
        f"{first.name}: {what}, as the brief says ({of}){more}",
        "take a form without it",
        "the brief" if of in _OWN else PRACTICE,
    )


def _ceiling_from(reading: ReadPlan, cause: str) -> str:
    """Return which line or note set a ceiling."""
    name, _, value = cause.partition(" ")
    if str(getattr(reading.brief, name, "")) == value:
        return "the brief"
    told = [
        one.of
        for one in reading.limits.because
        if (note := _note_of(one.of)) is not None and str(getattr(note, name)) == value
    ]
    return f"notes: {', '.join(told)}" if told else "the brief, for the part or song"


def _note_of(of: str) -> object | None:
    return next((note for key, note in vocabulary().items() if key in of.lower()), None)


def space_known(reading: ReadPlan) -> Iterator[Finding]:
    """Yield the first block that is sent away from its place in a plan that names no room."""
    if reading.pool.space_m2 is not None:
        return
    going = [spot for spot in reading.spots if sent_away(spot.form)]
    if going:
        all_going = going[0].name
        all_going += f" and {len(going) - 1} more blocks travel" if len(going) > 1 else " travels"
        yield finding(
            *(Fault.SPACE_UNKNOWN, Severity.ADVICE, going[0]),
            f"{all_going}; the brief does not say how much room each person has",
            f"say with the pool how much, in square metres a person, such as space = {SPACE_M2:g}",
        )
