"""Work and rest by the clock: on which count of a song each turn begins; arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from aquatempo.class_shape.standards import INTERVAL_TOLERANCE_S
from aquatempo.records.plan import Intervals, PlannedPhrase

__all__ = ["IntervalTurn", "cut_for_intervals", "first_counts", "turns_of"]


@dataclass(frozen=True)
class IntervalTurn:
    """Some counts of work or rest. number: its set, 1 the first."""

    works: bool
    number: int
    counts: int


def turns_of(counts: int, tempo_bpm: float, intervals: Intervals, done: int) -> list[IntervalTurn]:
    """Return the turns that counts hold, in order, after some that are done.

    Each begins on the count nearest to its time, told from where the one before it really
    ended, in steps of 4 counts where these are short enough, else of 2 or 1. What is left after
    the last whole turn is rest that belongs to no set (number 0). tempo_bpm: as played
    [beats/min]; intervals: as asked.

    >>> from aquatempo.records.plan import IntervalUnit
    >>> asked = Intervals(20, 10, 8, IntervalUnit.SECONDS)
    >>> [(t.works, t.counts) for t in turns_of(132, 130.0, asked, 0)]
    [(True, 44), (False, 20), (True, 44), (False, 20), (False, 4)]
    """
    beat_s = 60.0 / tempo_bpm
    step = next((size for size in (4, 2) if size * beat_s / 2.0 <= INTERVAL_TOLERANCE_S / 2.0), 1)
    found: list[IntervalTurn] = []
    at, owed = 0, 0.0
    while True:
        number, resting = divmod(done + len(found), 2)
        if number >= intervals.sets:
            break
        seconds = intervals.rest if resting else intervals.work
        wanted = seconds / beat_s
        size = max(step, step * round((wanted + owed) / step))
        if abs(size - wanted) * beat_s > INTERVAL_TOLERANCE_S:
            size = max(1, round(wanted))
        if at + size > counts:
            break
        owed += wanted - size
        at += size
        found.append(IntervalTurn(not resting, number + 1, size))
    if at < counts:
        found.append(IntervalTurn(False, 0, counts - at))
    return found


def cut_for_intervals(
    counts: int, tempo_bpm: float, intervals: Intervals, done: int
) -> tuple[int, int]:
    """Return the counts of a song after which its last whole set of turns ends, and the turns.

    counts: that the song has. It ends with rest, so that the next one begins with work.
    tempo_bpm: as played [beats/min]; intervals: as asked; done: turns before this song.
    """
    turns = [turn for turn in turns_of(counts, tempo_bpm, intervals, done) if turn.number]
    while turns and turns[-1].works:
        turns.pop()
    return sum(turn.counts for turn in turns), len(turns)


def first_counts(phrases: Sequence[PlannedPhrase], counts: int) -> tuple[PlannedPhrase, ...]:
    """Return the phrases that lie in the first counts of a song, the last one cut short."""
    found = []
    for phrase in phrases:
        if counts <= 0:
            break
        if phrase.counts > counts:
            blocks, room = [], counts
            for block in phrase.blocks:
                if room > 0:
                    blocks.append(replace(block, counts=min(block.counts, room)))
                    room -= block.counts
            found.append(replace(phrase, counts=counts, blocks=tuple(blocks)))
        else:
            found.append(phrase)
        counts -= phrase.counts
    return tuple(found)
