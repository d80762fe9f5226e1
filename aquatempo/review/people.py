"""Cautions for the people in the water: prompts for the instructor, never a clearance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from aquatempo.class_shape.notes import DEFER
from aquatempo.feasibility import thresholds
from aquatempo.records.plan import PartName
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.figures import FormFigures
from aquatempo.review.ranges import standing_here
from aquatempo.review.spots import ReadPlan, Spot, finding

__all__ = ["heat", "prompts"]

AEROBIC_MET = 3.0  # where moderate work starts (Ainsworth 2011, Compendium)
_MAIN = (PartName.MAIN, PartName.INTERVALS)


@dataclass(frozen=True, slots=True)
class _Concern:
    """What a note may say, which words in the cautions of a move it meets, and what helps."""

    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    instead: str


_IMPACT = ("impact", "landing", "bounces")
_CONCERNS = (
    _Concern(("knee",), ("knee", *_IMPACT), "a smaller or grounded form"),
    _Concern(("back", "spine", "disc"), ("back", "spine", "trunk"), "a small, slow form"),
    _Concern(("shoulder",), ("shoulder", "above the head"), "arms lower, hands sliced"),
    _Concern(("hip", "joint", "arthritis", "osteopor"), ("hip", *_IMPACT), "a grounded form"),
    _Concern(("pelvic", "pregnan"), _IMPACT, "a grounded form"),
    _Concern(("balance", "non-swim", "cannot swim"), ("regain", "balance"), "one foot down"),
    _Concern(
        ("heart", "blood pressure", "cardiac"), ("pulse", "power"), "arms below the shoulders"
    ),
)


def heat(reading: ReadPlan, known: FormFigures) -> Iterator[Finding]:
    """Yield the first aerobic work in water that is too warm for any.

    All work of the main part counts as aerobic; elsewhere the estimated effort decides.
    reading: the plan; known: figures of its forms.
    """
    limit, water = thresholds().no_aerobic_above_c, reading.pool.temperature_c
    if water <= limit:
        return
    main = (spot for spot in reading.spots if spot.works and spot.planned.part in _MAIN)
    hard = (
        spot
        for spot in reading.spots
        if spot.form_key in known and known[spot.form_key].met >= AEROBIC_MET
    )
    spot = next(main, None) or next(hard, None)
    if spot is not None:
        yield finding(
            *(Fault.HEAT, Severity.ERROR, spot),
            f"{spot.name} as {spot.planned.part} in water of {water:g} C: no aerobic work above"
            f" {limit:g} C",
            f"keep to gentle moves and stretches in this water; {DEFER}",
        )


def _meets(spot: Spot, concern: _Concern) -> bool:
    text = " ".join(spot.move.cautions).lower()
    return any(word in text for word in concern.cautions)


def prompts(reading: ReadPlan) -> tuple[str, ...]:
    """Return what to mind in this class: of people, then the cautions of water and moves."""
    found: dict[str, None] = dict.fromkeys(reading.limits.cautions)
    for note in reading.limits.unknown:
        found[f"{note}: no effect, it is not among the notes that a plan acts on"] = None
    for note in reading.brief.group_notes:
        concerns = [c for c in _CONCERNS if any(word in note.lower() for word in c.notes)]
        for spot in reading.spots:
            for concern in concerns:
                if _meets(spot, concern):
                    words = f"{note}: {spot.move.name.lower()} ({'; '.join(spot.move.cautions)})"
                    found[f"{words}: offer {concern.instead}"] = None
    moves: dict[str, dict[str, None]] = {}
    standings = standing_here(reading)
    for spot in reading.spots:
        for caution in standings[spot.form.variation].cautions:
            moves.setdefault(caution, {})[spot.move.name.lower()] = None
    return (*found, *(f"{caution} ({', '.join(names)})" for caution, names in moves.items()))
