"""A simple automatic plan of one track: given moves, in turn, on whole phrases."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from aquatempo.errors import InputError
from aquatempo.records.plan import Block, PlannedPhrase, PlannedTrack
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["simple_choice"]


def simple_choice(
    analysis: RhythmAnalysis,
    moves: Sequence[str],
    *,
    title: str = "",
    file: str = "",
    holding: str = "easy-jog",
    patterns: Mapping[str, str] | None = None,
    sided: Collection[str] = (),
) -> PlannedTrack:
    """Return a track whose phrases carry the given moves in turn.

    moves: keys in the order to teach them; each holds two phrases in a row where the
    track has enough of them, otherwise one, and they come round again. Bridges,
    breakdowns, intro and outro carry the holding move; an intro shorter than an eight is
    left empty, and in an outro as short the class goes on. patterns: counts a movement
    by move key, ``2`` (water tempo) where not given. sided: moves led by one side, which
    start on the right and change sides phrase by phrase. Raises InputError without moves.
    """
    if not moves:
        raise InputError("no moves given: at least one is needed to fill the phrases")
    whole = sum(phrase.kind is PhraseKind.PHRASE for phrase in analysis.phrases)
    hold = 2 if whole >= 2 * len(moves) else 1
    planned: list[PlannedPhrase] = []
    visits: Counter[str] = Counter()
    used = 0
    blocks: tuple[Block, ...] = ()
    for phrase in analysis.phrases:
        move, scrap = holding, phrase.counts < COUNTS_PER_EIGHT
        if phrase.kind is PhraseKind.PHRASE:
            move = moves[used // hold % len(moves)]
            used += 1
        if scrap and phrase.kind is PhraseKind.OUTRO:
            blocks = tuple(replace(block, counts=phrase.counts) for block in blocks)
        elif scrap and phrase.kind is PhraseKind.INTRO:
            blocks = ()
        else:
            lead = ("right", "left")[visits[move] % 2] if move in sided else ""
            pattern = (patterns or {}).get(move, "2")
            blocks = (Block(phrase.counts, move, pattern=pattern, lead=lead),)
            visits[move] += 1
        planned.append(
            PlannedPhrase(
                phrase.start_beat, phrase.counts, phrase.kind, phrase.energy_level, blocks
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
