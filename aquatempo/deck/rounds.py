"""Sets of a song that come again, with sides swapped or a style added, told in one row.

As in written music: what has been told once is told again by its numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from aquatempo.deck.move_runs import BETWEEN, MoveRun, RoundAgain, total
from aquatempo.deck.set_rows import LinePart
from aquatempo.exports.deck_details import NEW_MARK
from aquatempo.records.plan import Stint

__all__ = ["fold_rounds"]

MOST_SETS = 8  # of a round


@dataclass(frozen=True)
class _RoundChange:
    """How a set differs from the one that it repeats.

    side: empty for a move without sides, ``same`` as before, or the one that it is swapped to:
    ``right``, ``left``, ``both`` in turn. come, gone: styles; total: its counts, where they differ.
    """

    side: str
    come: tuple[str, ...]
    gone: bool
    total: str


def fold_rounds(
    runs: Sequence[MoveRun], words: Mapping[str, str]
) -> tuple[list[MoveRun], list[int]]:
    """Return the sets of a song, each told once, and for every run the number of its set.

    Two runs or more that come again as they were told, but for sides, a style or the counts,
    are put behind the set before them. runs: in order; words: labels of the language.
    """
    told: list[MoveRun] = []
    numbers: list[int] = []
    index = 0
    while index < len(runs):
        again = _earlier(told, runs[index : index + MOST_SETS], words)
        if again is None:
            told.append(runs[index])
            numbers.append(len(told))
            index += 1
            continue
        length = again.last - again.first + 1
        told[-1] = told[-1].followed_by(runs[index : index + length], again)
        numbers += range(again.first, again.last + 1)
        index += length
    return told, numbers


def _earlier(
    told: Sequence[MoveRun], coming: Sequence[MoveRun], words: Mapping[str, str]
) -> RoundAgain | None:
    """Return the longest round among the sets that the coming runs repeat, the nearest first."""
    for length in range(min(len(coming), len(told)), 1, -1):
        for first in range(len(told) - length, -1, -1):
            once, again = told[first : first + length], coming[:length]
            if any(one.again for one in once[:-1]):
                continue
            news = _news(once, again, words)
            if news is not None:
                return RoundAgain(
                    first=first + 1,
                    last=first + length,
                    beat=again[0].pieces[0].beat,
                    news=news,
                    joints=tuple(
                        (first + 1 + place, piece)
                        for place, run in enumerate(again)
                        for piece in _between(run)
                    ),
                    turns=_turns(again),
                )
    return None


def _turns(runs: Sequence[MoveRun]) -> tuple[Stint, ...]:
    return tuple(run.stint for run in runs if run.stint is not None)


def _between(run: MoveRun) -> list[LinePart]:
    return [piece for piece in run.own if piece.joint and piece.kind in BETWEEN]


def _within(run: MoveRun) -> list[LinePart]:
    return [piece for piece in run.own if not (piece.joint and piece.kind in BETWEEN)]


def _news(
    once: Sequence[MoveRun], again: Sequence[MoveRun], words: Mapping[str, str]
) -> str | None:
    """Return how a round differs from its first time, in words; None for another round.

    What holds for all of it is told of all; of half its moves at most it is told by name.
    """
    changes: list[_RoundChange] = []
    for one, two in zip(once, again, strict=True):
        change = _change(one, two)
        if change is None:
            return None
        changes.append(change)
    named: list[list[str]] = [[] for _ in changes]
    told = [] if _bridged_alike(once, again) else [words["no_bridge"]]
    sides = [change.side for change in changes if change.side]
    if sides and "same" not in sides:
        told.append(words["sides_swapped"])
    else:
        for parts, change in zip(named, changes, strict=True):
            parts += [words[f"side_{change.side}"]] if change.side not in ("", "same") else []
    totals = {change.total for change in changes}
    if len(totals) == 1 and " " not in changes[0].total:
        told += [words["each"].format(counts=total) for total in totals if total]
    else:
        for parts, change in zip(named, changes, strict=True):
            parts += [change.total] if change.total else []
    styles = [_style_words(change, words) for change in changes]
    if len(set(styles)) == 1:
        marks = [f"{NEW_MARK} {styles[0]}"] if styles[0] else []
    else:
        marks = []
        for parts, style in zip(named, styles, strict=True):
            parts += [f"{NEW_MARK} {style}"] if style else []
    if sum(1 for parts in named if parts) > len(once) // 2:
        return None
    told += [
        f"{run.name} {' '.join(parts)}"
        for run, parts in zip(again, named, strict=True)
        if parts
    ]  # fmt: skip
    return " ".join([*([" · ".join(told)] if told else []), *marks])


def _style_words(change: _RoundChange, words: Mapping[str, str]) -> str:
    return ", ".join(change.come) or (words["plain"] if change.gone else "")


def _bridged_alike(once: Sequence[MoveRun], again: Sequence[MoveRun]) -> bool:
    """Tell whether a reader expects the right bridges: those told again, or none before."""
    return any(_between(run) for run in again) or not any(_between(run) for run in once[:-1])


def _change(one: MoveRun, two: MoveRun) -> _RoundChange | None:
    """Return how a run differs from an earlier one of its move; None for too much to tell."""
    old, new = _within(one), _within(two)
    if one.name != two.name or _turn(one) != _turn(two) or not (old and new):
        return None
    counted = ""
    if [(p.counts, p.line.name) for p in old] != [(p.counts, p.line.name) for p in new]:
        if not (_steady(old) and _steady(new)):
            return None
        old, new, counted = old[:1], new[:1], total(new)
    changes = set()
    for was, now in zip(old, new, strict=True):
        if bool(was.line.lead) != bool(now.line.lead):
            return None
        come = tuple(style for style in now.line.style if style not in was.line.style)
        if was.line.tempo != now.line.tempo:
            come = (now.line.tempo, *come)
        gone = any(style not in now.line.style for style in was.line.style)
        side = "same" if was.line.lead == now.line.lead else "swapped"
        if not was.joint:
            changes.add((come, gone, side if now.line.lead else ""))
    if len(changes) != 1:
        return None
    ((come, gone, side),) = changes
    leads = {piece.line.lead for piece in new if not piece.joint}
    if side == "swapped":
        side = leads.pop() if len(leads) == 1 else "both"
    return _RoundChange(side, come, gone, counted)


def _steady(pieces: Sequence[LinePart]) -> bool:
    """Tell whether a run goes on without any change, so that its counts tell it."""
    return len({(p.line.lead, p.line.style, p.line.tempo, p.joint) for p in pieces}) == 1


def _turn(run: MoveRun) -> tuple[bool, float] | None:
    """Return what makes turns of work and rest alike: which it is, and its seconds."""
    return None if run.stint is None else (run.stint.works, round(run.stint.seconds))
