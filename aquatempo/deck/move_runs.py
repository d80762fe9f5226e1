"""A song's lines as runs: one move for as long as it stays, with the joints within it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from aquatempo.deck.set_rows import LinePart, joint_row
from aquatempo.exports.deck_details import NEW_MARK
from aquatempo.records.deck import DeckRow
from aquatempo.records.plan import Stint
from aquatempo.records.rhythm import PhraseKind

__all__ = ["BETWEEN", "MoveRun", "RoundAgain", "again_rows", "move_runs", "total"]

BETWEEN = (PhraseKind.BRIDGE, PhraseKind.BREAK, PhraseKind.OUTRO, PhraseKind.INTRO)


@dataclass(frozen=True)
class RoundAgain:
    """Sets that come again: numbered first to last, so many times, from a beat on.

    news: how they differ from the first time, in words. joints: what stands between them this
    time, each with the number of the set that it follows. turns: the sets of work and rest.
    """

    first: int
    last: int
    beat: int
    news: str = ""
    joints: tuple[tuple[int, LinePart], ...] = ()
    turns: tuple[Stint, ...] = ()
    times: int = 1


@dataclass(frozen=True)
class MoveRun:
    """Pieces of one move, in order, with the joints within and after them.

    again: earlier sets that come again after it, told in its last rows.
    """

    name: str
    pieces: tuple[LinePart, ...]
    again: tuple[RoundAgain, ...] = ()

    @property
    def stint(self) -> Stint | None:
        """The turn of work or rest that the run is; a turn starts a run of its own."""
        return self.pieces[0].line.stint

    @property
    def taught(self) -> tuple[LinePart, ...]:
        """All that is taught in it, told or not."""
        return tuple(piece for piece in self.pieces if not piece.joint)

    @property
    def own(self) -> tuple[LinePart, ...]:
        """What is told of it: not the sets that come again after it."""
        return tuple(piece for piece in self.pieces if piece.told)

    def followed_by(self, runs: Sequence[MoveRun], again: RoundAgain) -> MoveRun:
        """Return this run with others after it that a word tells.

        runs: the moves that come again; again: which those are.
        """
        rest = tuple(replace(piece, told=False) for run in runs for piece in run.pieces)
        before = self.again[-1] if self.again else None
        alike = before is not None and not before.joints
        if before is not None and alike and _same(before, again):
            more = replace(
                again,
                beat=before.beat,
                times=before.times + 1,
                turns=(*before.turns, *again.turns),
            )
            return MoveRun(self.name, (*self.pieces, *rest), (*self.again[:-1], more))
        return MoveRun(self.name, (*self.pieces, *rest), (*self.again, again))


def _same(one: RoundAgain, two: RoundAgain) -> bool:
    """Tell whether a round is the one before it once more, with a joint at its end at most."""
    within = any(number != two.last for number, _ in two.joints)
    return not within and (one.first, one.last, one.news) == (two.first, two.last, two.news)


def move_runs(pieces: Sequence[LinePart]) -> list[MoveRun]:
    """Return pieces of lines as runs.

    pieces: in order, the joints among them marked.
    """
    runs: list[MoveRun] = []
    for piece in pieces:
        goes_on = runs and (piece.joint or _goes_on(runs[-1], piece))
        if goes_on:
            runs[-1] = replace(runs[-1], pieces=(*runs[-1].pieces, piece))
        else:
            runs.append(MoveRun(piece.line.name, (piece,)))
    return runs


def _goes_on(run: MoveRun, piece: LinePart) -> bool:
    return piece.line.name == run.name and piece.line.stint == run.stint


def again_rows(
    again: RoundAgain, name: str, beats_s: Sequence[float], words: Mapping[str, str]
) -> list[DeckRow]:
    """Return the rows that tell sets that come again, and what stands between them this time.

    again: the sets; name: of the move of the last of them; beats_s: times of the beats [s];
    words: labels of the language.
    """
    told = words["again"].format(first=again.first, last=again.last)
    if again.times > 1:
        told = words["again_times"].format(times=again.times, again=told)
    if again.turns:
        numbers = [turn.number for turn in again.turns]
        span = f"{min(numbers)}" if len(set(numbers)) == 1 else f"{min(numbers)}-{max(numbers)}"
        told = words["again_turns"].format(numbers=span, of=again.turns[0].of, again=told)
    if again.news:
        told += f" {again.news}" if again.news.startswith(NEW_MARK) else f" · {again.news}"
    clock_s = beats_s[again.beat] if again.beat < len(beats_s) else None
    rows = [DeckRow(told, again=True, clock_s=clock_s)]
    for number, piece in again.joints:
        row = joint_row(piece, name, words)
        if number != again.last:
            row = replace(row, text=words["joint_after"].format(joint=row.text, number=number))
        rows.append(row)
    return rows


def total(pieces: Sequence[LinePart]) -> str:
    """Return the counts of a set, phrase by phrase: ``16 + 2 × 32``.

    pieces: what is taught in it.
    """
    phrases = [
        sum(piece.counts for piece in some)
        for _, some in groupby(pieces, key=lambda piece: piece.phrase)
    ]
    runs = [(counts, len(list(some))) for counts, some in groupby(phrases)]
    return " + ".join(f"{times} × {counts}" if times > 1 else f"{counts}" for counts, times in runs)
