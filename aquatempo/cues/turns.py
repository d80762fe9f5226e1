"""The moments at which a planned track asks the class for something else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from aquatempo.errors import InputError
from aquatempo.records.plan import Block, PlannedTrack
from aquatempo.records.rhythm import PhraseKind
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["Turn", "find_turns", "level_changes"]

_MARKED = "combination"  # a variation of this factor may change off the eight
_OWN_LEVELS = {"I", "grounded"}  # some moves hop and some do not: that goes without saying
_OPPOSITES = {"forward": "back", "back": "forward"}


@dataclass(frozen=True)
class Turn:
    """A block that differs from the one before it, or stands at an edge of a bridge or breakdown.

    beat: where it starts; counts: until the next turn; kind and span: of the stretch
    it starts in and its counts; offset: counts from that stretch's count 1. reason: why
    it needs the stretched form, or empty.
    """

    beat: int
    counts: int
    kind: PhraseKind
    span: int
    offset: int
    phrase: int
    before: Block | None
    block: Block
    new_move: bool
    reason: str

    @property
    def goes_on(self) -> bool:
        """Tell whether the class carries on with what it does already."""
        return _same(self.before, self.block)

    @property
    def broken_habit(self) -> str:
        """Say where habit would have it start instead, or nothing where it is right.

        The last steps of a pyramid and marked combinations may start anywhere.
        """
        if self.offset == 0 or any(factor == _MARKED for factor, _ in self.block.variation):
            return ""
        where = f"phrase {self.phrase + 1}: {self.block.move} starts on count {self.offset + 1}"
        if self.new_move:
            return f"{where}; a move new to the class starts on count 1 of a phrase"
        if self.offset % COUNTS_PER_EIGHT == 0 or self.counts < COUNTS_PER_EIGHT:
            return ""
        return f"{where}; a change inside a phrase starts an eight"


def find_turns(
    track: PlannedTrack, beat_count: int, known_moves: Sequence[str]
) -> tuple[Turn, ...]:
    """Return the turns of a track in order.

    Raises InputError for blocks that do not add up to their phrase, phrases that overlap, and
    beats that the track does not have. beat_count: beats of the track; known_moves: keys of
    moves that nobody is taught.
    """
    turns: list[Turn] = []
    known, before, end, broken = set(known_moves), None, 0, False
    for index, phrase in enumerate(track.phrases):
        _check(track, index, end, beat_count)
        end = phrase.start_beat + phrase.counts
        resumes, broken = broken, phrase.kind in (PhraseKind.BRIDGE, PhraseKind.BREAK)
        offset = 0
        for block in phrase.blocks:
            at_edge = offset == 0 and (broken or resumes)
            if at_edge or not _same(before, block):
                beat = phrase.start_beat + offset
                if turns:
                    turns[-1] = replace(turns[-1], counts=beat - turns[-1].beat)
                new_move = block.move not in known
                turns.append(
                    Turn(
                        beat=beat,
                        counts=end - beat,
                        kind=phrase.kind,
                        span=phrase.counts,
                        offset=offset,
                        phrase=index,
                        before=before,
                        block=block,
                        new_move=new_move,
                        reason=_reason(before, block, new_move),
                    )
                )
            known.add(block.move)
            before = block
            offset += block.counts
    if turns:
        turns[-1] = replace(turns[-1], counts=end - turns[-1].beat)
    return tuple(turns)


def level_changes(before: Block, block: Block) -> bool:
    """Tell whether the class has to change its impact level, other than by the move itself.

    before: what is done so far; block: what comes.
    """
    asked = any(factor == "level" for factor, _ in (*before.variation, *block.variation))
    own = before.move != block.move and {before.level, block.level} <= _OWN_LEVELS
    return before.level != block.level and (asked or not own)


def _same(before: Block | None, block: Block) -> bool:
    """Tell whether a block carries on with what the class does already."""
    return before is not None and _told_of(before) == _told_of(block)


def _told_of(block: Block) -> Block:
    """Return what of a block a class would be told."""
    return replace(block, counts=0, words="", held_s=0.0, locked=False)


def _reason(before: Block | None, block: Block, new_move: bool) -> str:
    reasons = ["new base move"] if new_move else []
    if block.stint is not None and (before is None or before.stint != block.stint):
        reasons.append("work begins" if block.stint.works else "rest begins")
    if before is not None:
        if _OPPOSITES.get(before.travel) == block.travel:
            reasons.append("reversal of travel")
        if before.travel == block.travel == "sideways" and before.lead != block.lead:
            reasons.append("reversal of travel")
        if level_changes(before, block):
            reasons.append("change of impact level")
    return ", ".join(reasons)


def _check(track: PlannedTrack, index: int, end: int, beat_count: int) -> None:
    phrase, where = track.phrases[index], f"{track.title}, phrase {index + 1}"
    total = sum(block.counts for block in phrase.blocks)
    if phrase.blocks and (
        total != phrase.counts or min(block.counts for block in phrase.blocks) < 1
    ):
        raise InputError(
            f"{where}: blocks of {total} counts in a phrase of {phrase.counts}: they need to "
            "add up to it (was a block added or cut?)"
        )
    if phrase.start_beat < end:
        raise InputError(
            f"{where} starts on beat {phrase.start_beat + 1}, before the one ahead of it ends: "
            "phrases need to follow each other (is one in the plan twice?)"
        )
    if phrase.start_beat + phrase.counts > beat_count:
        raise InputError(
            f"{where} ends on beat {phrase.start_beat + phrase.counts}: the track has "
            f"{beat_count} (was the plan made for another version of the song?)"
        )
