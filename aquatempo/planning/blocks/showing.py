"""How the instructor shows what jumps: in full up to a limit, the rest kinder to them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from aquatempo.moves import Catalogue, resolve, variation_of
from aquatempo.moves.tags import BIG_HOP_M
from aquatempo.records.moves import ImpactLevel, MoveForm
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Block, PlannedTrack

__all__ = ["ARMS_ONLY", "FULL", "LOW_IMPACT", "jumps_high", "shown", "with_showing"]

FULL, LOW_IMPACT, ARMS_ONLY = "full", "low impact", "arms only"
_TOLERANCE_M = 1e-6


def jumps_high(form: MoveForm) -> bool:
    """Return whether a form throws the body up so far that it is a jump on deck."""
    flights = (movement.flight_m for movement in form.movements)
    return max(flights, default=0.0) >= BIG_HOP_M - _TOLERANCE_M


def with_showing(
    tracks: Sequence[PlannedTrack], limit_minutes: float, depth: ClassDepth, source: Catalogue
) -> tuple[PlannedTrack, ...]:
    """Return tracks whose jumps say how they are shown.

    In full is shown first what the class sees for the first time, then what comes first, as
    long as limit_minutes last; the rest in low impact where the move has a grounded or neutral
    form, otherwise with the arms only. On a wet deck this is what keeps the instructor
    standing. depth: shallow or deep class; source: the catalogue in force.
    """
    places = []
    seen: set[tuple[str, tuple[tuple[str, str], ...]]] = set()
    if depth is ClassDepth.SHALLOW:
        for t, track in enumerate(tracks):
            for p, phrase in enumerate(track.phrases):
                for b, block in enumerate(phrase.blocks):
                    if jumps_high(_form(block, depth, source)):
                        new = (block.move, block.variation) not in seen
                        seen.add((block.move, block.variation))
                        minutes = block.counts / (track.tempo_bpm * track.speed)
                        places.append((not new, (t, p, b), minutes))
    in_full: set[tuple[int, int, int]] = set()
    for _, place, minutes in sorted(places):
        if minutes <= limit_minutes:
            in_full.add(place)
            limit_minutes -= minutes
    jumps = {place for _, place, _ in places}
    return tuple(
        replace(
            track,
            phrases=tuple(
                replace(
                    phrase,
                    blocks=tuple(
                        replace(
                            block,
                            show=_how(block, (t, p, b), jumps, in_full, source),
                        )
                        for b, block in enumerate(phrase.blocks)
                    ),
                )
                for p, phrase in enumerate(track.phrases)
            ),
        )
        for t, track in enumerate(tracks)
    )


def shown(tracks: Iterable[PlannedTrack], depth: ClassDepth, source: Catalogue) -> float:
    """Return how long jumps are shown in full [min].

    tracks: of the plan; depth: shallow or deep class; source: the catalogue in force.
    """
    return sum(
        block.counts / (track.tempo_bpm * track.speed)
        for track in tracks
        for phrase in track.phrases
        for block in phrase.blocks
        if block.show == FULL and jumps_high(_form(block, depth, source))
    )


def _how(
    block: Block,
    place: tuple[int, int, int],
    jumps: set[tuple[int, int, int]],
    in_full: set[tuple[int, int, int]],
    source: Catalogue,
) -> str:
    if place not in jumps:
        return ""
    if place in in_full:
        return FULL
    levels = source.move(block.move).levels
    kind = ImpactLevel.GROUNDED in levels or ImpactLevel.II in levels
    return LOW_IMPACT if kind else ARMS_ONLY


def _form(block: Block, depth: ClassDepth, source: Catalogue) -> MoveForm:
    move = source.move(block.move)
    return resolve(move, variation_of(move, block.variation, source), depth, source)
