"""Small plans by hand for tests of shaping: made-up songs at 128 beats/min."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from types import ModuleType

import pytest

from aquatempo.records.brief import Brief
from aquatempo.records.plan import Block, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

__all__ = ["Asked", "asked_of", "class_of", "moves_of", "phrase_of", "song_of"]


def phrase_of(*blocks: Block | str, start: int = 0, section: str = "") -> PlannedPhrase:
    """Return a phrase; a name is a block of that move over all of its 32 counts."""
    told = tuple(Block(32, one) if isinstance(one, str) else one for one in blocks)
    counts = sum(block.counts for block in told)
    return PlannedPhrase(start, counts, PhraseKind.PHRASE, EnergyLevel.MEDIUM, told, section)


def song_of(
    title: str, part: str, *phrases: PlannedPhrase | str, tempo_bpm: float = 128.0
) -> PlannedTrack:
    """Return a song; a name is a phrase filled with that move."""
    told, at = [], 0
    for one in phrases:
        phrase = phrase_of(one, start=at) if isinstance(one, str) else one
        told.append(phrase)
        at += phrase.counts
    return PlannedTrack(title, f"{title.lower()}.ogg", part, tempo_bpm, tuple(told))


def class_of(*tracks: PlannedTrack, brief: Brief | None = None) -> ClassPlan:
    """Return a class of songs."""
    return ClassPlan(brief or Brief(), tracks)


def moves_of(plan: ClassPlan, track: int) -> Sequence[Sequence[str]]:
    """Return the moves of each phrase of a track (0-based)."""
    return [[block.move for block in phrase.blocks] for phrase in plan.tracks[track].phrases]


@dataclass
class Asked:
    """What an edit asks planning to do anew."""

    free: dict[int, object] = field(default_factory=dict)
    only: object = None
    close: bool = True
    times: int = 0


def asked_of(module: ModuleType, monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Return what edits of a module ask of planning, which then gives the plan back as it is."""
    told = Asked()

    def refilled(
        plan: ClassPlan, free: dict[int, frozenset[int] | None], *_: object, **others: object
    ) -> ClassPlan:
        told.free = dict(free)
        told.only = others.get("only")
        told.close = bool(others.get("close", True))
        told.times += 1
        return plan

    monkeypatch.setattr(module, "refilled", refilled)
    return told
