"""A simple automatic plan of one track: given moves, in turn, on whole phrases."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace

from aquatempo.errors import InputError
from aquatempo.records.plan import Block, PlannedPhrase, PlannedTrack
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["simple_choice"]


def simple_choice(
    analysis: RhythmAnalysis,
    forms: Sequence[Block],
    holding: Block,
    *,
    title: str = "",
    file: str = "",
    sided: Collection[str] = (),
) -> PlannedTrack:
    """Return a track whose phrases carry the given forms of moves in turn.

    forms: in the order to teach them, as often as they are given; what they say of counts and
    lead is set here. Each holds two phrases in a row where the track has enough of them,
    otherwise one, and they come round again. holding: for bridges, breakdowns, intro and outro;
    an intro shorter than an eight is left empty, and in an outro as short the class goes on.
    sided: keys of moves led by one side; each of their forms starts on the right and changes
    sides phrase by phrase. Raises InputError without forms. analysis: what was heard in the
    track; title: of the track; file: of its audio.
    """
    if not forms:
        raise InputError("no moves given: at least one is needed to fill the phrases")
    whole = sum(phrase.kind is PhraseKind.PHRASE for phrase in analysis.phrases)
    hold = 2 if whole >= 2 * len(forms) else 1
    planned: list[PlannedPhrase] = []
    visits: Counter[Block] = Counter()
    used = 0
    blocks: tuple[Block, ...] = ()
    for phrase in analysis.phrases:
        form, scrap = holding, phrase.counts < COUNTS_PER_EIGHT
        if phrase.kind is PhraseKind.PHRASE:
            form = forms[used // hold % len(forms)]
            used += 1
        if scrap and phrase.kind is PhraseKind.OUTRO:
            blocks = tuple(replace(block, counts=phrase.counts) for block in blocks)
        elif scrap and phrase.kind is PhraseKind.INTRO:
            blocks = ()
        else:
            lead = ("right", "left")[visits[form] % 2] if form.move in sided else ""
            blocks = (replace(form, counts=phrase.counts, lead=lead),)
            visits[form] += 1
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
