"""A simple automatic plan of one track: given moves, in turn, on whole phrases."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from aquatempo.errors import InputError
from aquatempo.records.plan import Block, PlannedPhrase, PlannedTrack
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis

__all__ = ["simple_choice"]


def simple_choice(
    analysis: RhythmAnalysis,
    moves: Sequence[str],
    *,
    title: str = "",
    file: str = "",
    holding: str = "easy-jog",
    patterns: Mapping[str, str] | None = None,
) -> PlannedTrack:
    """Return a track whose phrases carry the given moves in turn.

    moves: keys in the order to teach them; each holds two phrases in a row where the
    track has enough of them, otherwise one, and they come round again. Bridges,
    breakdowns, intro and outro carry the holding move. patterns: counts a movement by
    move key, ``2`` (water tempo) where not given. Raises InputError without moves.
    """
    if not moves:
        raise InputError("no moves given: at least one is needed to fill the phrases")
    whole = sum(phrase.kind is PhraseKind.PHRASE for phrase in analysis.phrases)
    hold = 2 if whole >= 2 * len(moves) else 1
    planned, used = [], 0
    for phrase in analysis.phrases:
        move = holding
        if phrase.kind is PhraseKind.PHRASE:
            move = moves[used // hold % len(moves)]
            used += 1
        block = Block(counts=phrase.counts, move=move, pattern=(patterns or {}).get(move, "2"))
        planned.append(
            PlannedPhrase(
                phrase.start_beat, phrase.counts, phrase.kind, phrase.energy_level, (block,)
            )
        )
    return PlannedTrack(
        title=title,
        file=file,
        part="main",
        tempo_bpm=analysis.tempo_bpm or 0.0,
        phrases=tuple(planned),
        analysis=analysis,
    )
