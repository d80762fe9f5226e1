"""The lines of a track folded for a card: a move once, and of its phrases only what is new.

Phrases that are alike share a row, sides that only change share one, a round of moves that comes
again is told as such. docs/design/deck.md has the rules in their order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from aquatempo.deck.move_runs import BETWEEN, MoveRun, again_rows, move_runs, total
from aquatempo.deck.rounds import fold_rounds
from aquatempo.deck.set_rows import LinePart, joint_row, phrase_rows
from aquatempo.exports.deck_details import NEW_MARK
from aquatempo.exports.labels import within
from aquatempo.exports.stints import stint_told
from aquatempo.records.cues import CuePhrase
from aquatempo.records.deck import DeckLine, DeckRow, DeckSet
from aquatempo.records.rhythm import PhraseKind
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["FoldedTrack", "fold"]

LEAST_SHARED = 4  # of so many lines and more, what all have is told once


@dataclass(frozen=True)
class FoldedTrack:
    """sets: in order; start, ending: what goes before the first and after the last, in words.

    strip_sets: for each phrase of the strip the number of the set that is done when it starts.
    """

    sets: tuple[DeckSet, ...]
    start: str
    ending: str
    strip_sets: tuple[int, ...] = ()


def fold(
    lines: Sequence[DeckLine],
    strip: Sequence[CuePhrase],
    beats_s: Sequence[float],
    words: Mapping[str, str],
) -> FoldedTrack:
    """Return the sets of a track's lines, whose phrases are those of its strip.

    beats_s: times of its beats, as played [s].
    words: labels of the language.
    """
    lines, shared = _without_shared(lines)
    pieces, ending = _without_stray(_cut(lines, strip), strip)
    pieces = _joined(pieces)
    start = _intro(pieces)
    pieces = pieces[len(start) :]
    runs = move_runs(pieces)
    folded, numbers = fold_rounds(runs, words)
    sets: list[DeckSet] = []
    before: LinePart | None = None
    spelled: set[str] = set()
    for number, run in enumerate(folded, 1):
        sets.append(_set(number, run, before, spelled, beats_s, words))
        before = run.taught[-1] if run.taught else before
        sets[-1] = _like(sets[-1], sets[:-1], words)
    return FoldedTrack(
        sets=tuple(sets),
        start=" · ".join(
            part for part in (_start(start, words), *_all_through(shared, words)) if part
        ),
        ending=words["ends_on"].format(count=ending) if ending else "",
        strip_sets=tuple(_number_at(phrase.start_beat, runs, numbers) for phrase in strip),
    )


def _number_at(beat: int, runs: Sequence[MoveRun], numbers: Sequence[int]) -> int:
    """Return the number of the set that is done at a beat, 0 for none."""
    for run, number in zip(runs, numbers, strict=True):
        if run.pieces[0].beat <= beat < run.pieces[-1].beat + run.pieces[-1].counts:
            return number
    return 0


def _intro(pieces: Sequence[LinePart]) -> list[LinePart]:
    """Return the pieces of an introduction in one move: the head of a side tells them."""
    start: list[LinePart] = []
    for piece in pieces:
        if not (piece.kind is PhraseKind.INTRO and piece.joint):
            break
        start.append(piece)
    return start if len({piece.line.name for piece in start}) == 1 else []


def _without_shared(lines: Sequence[DeckLine]) -> tuple[Sequence[DeckLine], tuple[str, ...]]:
    """Return lines without the styles that all of a song's moves have, and those styles."""
    taught = [line.style for line in lines if not line.holding]
    if len(taught) < LEAST_SHARED:
        return lines, ()
    shared = tuple(one for one in taught[0] if all(one in styles for styles in taught))
    rest = [
        replace(line, style=tuple(one for one in line.style if one not in shared)) for line in lines
    ]
    return rest, shared


def _all_through(shared: Sequence[str], words: Mapping[str, str]) -> list[str]:
    return [words["all_through"].format(what=", ".join(shared))] if shared else []


def _start(pieces: Sequence[LinePart], words: Mapping[str, str]) -> str:
    if not pieces:
        return ""
    counts = sum(piece.counts for piece in pieces)
    move = within(pieces[0].line.name, words)
    return words["starts_after"].format(counts=counts, move=move)


def _cut(lines: Sequence[DeckLine], strip: Sequence[CuePhrase]) -> list[LinePart]:
    """Return the lines cut where phrases start."""
    pieces = []
    for line in lines:
        end = line.beat + line.counts
        spans = [
            (index, max(line.beat, phrase.start_beat), min(end, phrase.start_beat + phrase.counts))
            for index, phrase in enumerate(strip)
        ]
        spans = [(index, first, last) for index, first, last in spans if first < last]
        for index, first, last in spans or [(line.phrase, line.beat, end)]:
            phrase = strip[index] if strip else None
            pieces.append(
                LinePart(
                    line=line,
                    phrase=index,
                    kind=phrase.kind if phrase else line.kind,
                    beat=first,
                    counts=last - first,
                )
            )
    return pieces


def _without_stray(
    pieces: list[LinePart], strip: Sequence[CuePhrase]
) -> tuple[list[LinePart], int]:
    """Return the pieces without the last counts that make no eight, and how many those are."""
    if not pieces or not strip or pieces[-1].kind is not PhraseKind.OUTRO:
        return pieces, 0
    stray = left = sum(p.counts for p in pieces if p.phrase == pieces[-1].phrase) % COUNTS_PER_EIGHT
    kept = list(pieces)
    while left:
        last = kept.pop()
        if last.counts > left:
            kept.append(replace(last, counts=last.counts - left))
        left -= min(left, last.counts)
    return kept, stray


def _joined(pieces: Sequence[LinePart]) -> list[LinePart]:
    """Mark the joints: stretches between phrases, and a few counts of a holding move."""
    names = [piece.line.name for piece in pieces]
    marked = []
    for index, piece in enumerate(pieces):
        near = names[max(index - 1, 0) : index] + names[index + 1 : index + 2]
        between = piece.kind in BETWEEN and (
            piece.line.holding or piece.counts < COUNTS_PER_EIGHT or piece.line.name in near
        )
        filled = piece.line.holding and piece.counts <= COUNTS_PER_EIGHT
        filled &= piece.line.name not in near and piece.line.stint is None
        marked.append(replace(piece, joint=between or filled))
    return marked


def _with_stint(rows: list[DeckRow], run: MoveRun, words: Mapping[str, str]) -> list[DeckRow]:
    """Return the rows of a run, the first of which says which turn of work or rest it is."""
    if run.stint is None:
        return rows
    told = stint_told(run.stint, words)
    if rows and rows[0].text and not rows[0].joint:
        return [replace(rows[0], text=f"{told} · {rows[0].text}"), *rows[1:]]
    spelled = rows[0].spelled if rows and not rows[0].joint else ""
    return [DeckRow(told, spelled=spelled), *(rows[1:] if spelled else rows)]


def _set(
    number: int,
    run: MoveRun,
    before: LinePart | None,
    spelled: set[str],
    beats_s: Sequence[float],
    words: Mapping[str, str],
) -> DeckSet:
    first, last = run.pieces[0], run.pieces[-1]
    told = list(run.own)
    rows: list[DeckRow] = []
    stretch: list[LinePart] = []
    for piece in told:
        if piece.joint:
            rows += phrase_rows(stretch, before, spelled, words)
            before = stretch[-1] if stretch else before
            stretch = []
            rows.append(joint_row(piece, run.name, words))
        else:
            stretch.append(piece)
    rows += phrase_rows(stretch, before, spelled, words)
    if not any(NEW_MARK in row.text for row in rows):  # then its counts say the rest
        said = (words["plain_first"], words["same"])
        rows = [replace(row, text="") if row.text in said else row for row in rows]
        rows = [row for row in rows if row.text or row.spelled]
    rows = _with_stint(rows, run, words)
    for one in run.again:
        rows += again_rows(one, run.name, beats_s, words)
    taught = [piece for piece in told if not piece.joint]
    line = first.line
    return DeckSet(
        number=number,
        name=run.name,
        short_name=line.short_name,
        total=total(taught or told)
        if run.stint is None
        else f"{sum(p.counts for p in taught or told)}",
        clock_s=beats_s[first.beat] if first.beat < len(beats_s) else line.clock_s,
        beat=first.beat,
        counts=last.beat + last.counts - first.beat,
        rows=tuple(rows),
        sign=line.sign,
        figure=(taught or told)[0].line.figure,
    )


def _like(one: DeckSet, earlier: Sequence[DeckSet], words: Mapping[str, str]) -> DeckSet:
    """Return a set that says which one before it it repeats, where that is shorter."""
    told = [row.text for row in one.rows if not row.joint]
    for other in earlier:
        if other.name != one.name or other.total != one.total or len(told) < 2:
            continue
        if [row.text for row in other.rows if not row.joint] == told:
            joints = [row for row in one.rows if row.joint]
            return replace(one, rows=(DeckRow(words["as"].format(number=other.number)), *joints))
    return one
