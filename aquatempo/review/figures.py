"""What feasibility says of the forms of a plan, through the one door that planning uses too."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from aquatempo.class_shape.figures import Figures, rate
from aquatempo.feasibility.engine import TEMPO_RANGE_BPM
from aquatempo.moves import Catalogue, parse_pattern
from aquatempo.records.moves import MoveForm, Variation
from aquatempo.records.people import Group, Pool
from aquatempo.review.spots import ReadPlan, Spot

__all__ = ["FormFigures", "figures", "mean_rpe", "phrases_of"]

FormFigures = Mapping[tuple[Variation, str, float], Figures]


def figures(reading: ReadPlan) -> FormFigures:
    """Return the figures of each form of a plan, judged together; tempos out of reach are left."""
    low, high = TEMPO_RANGE_BPM
    known = _remembered(reading.pool, reading.brief.group, reading.source)
    asked: dict[str, tuple[dict[Variation, MoveForm], dict[float, None]]] = {}
    for spot in reading.spots:
        if low <= spot.tempo_bpm <= high and spot.form_key not in known:
            forms, tempos = asked.setdefault(spot.pattern.text, ({}, {}))
            forms[spot.form.variation] = spot.form
            tempos[spot.tempo_bpm] = None
    for text, (forms, tempos) in asked.items():
        table = rate(
            *(list(forms.values()), list(tempos), reading.pool, reading.brief.group),
            parse_pattern(text),
        )
        for variation, row in zip(forms, table, strict=True):
            for tempo, found in zip(tempos, row, strict=True):
                known[variation, text, tempo] = found
    return known


@lru_cache(maxsize=16)
def _remembered(
    pool: Pool, group: Group, source: Catalogue
) -> dict[tuple[Variation, str, float], Figures]:
    """Return what is known already of a pool, a group and a catalogue; plans are edited often."""
    return {}


def phrases_of(spots: Sequence[Spot]) -> Iterator[list[Spot]]:
    """Yield spots phrase by phrase."""
    mine: list[Spot] = []
    for spot in spots:
        if mine and (mine[-1].track, mine[-1].phrase) != (spot.track, spot.phrase):
            yield mine
            mine = []
        mine.append(spot)
    if mine:
        yield mine


def mean_rpe(spots: Sequence[Spot], known: FormFigures) -> float | None:
    """Return the mean effort of spots over time [Borg], None where none is known.

    known: figures of their forms.
    """
    pairs = [(known[s.form_key].rpe, s.minutes) for s in spots if s.form_key in known]
    total = sum(minutes for _, minutes in pairs)
    return sum(rpe * minutes for rpe, minutes in pairs) / total if total else None
