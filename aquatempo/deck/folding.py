"""The lines of a track folded for a card: a move once, and of its phrases only what is new.

Phrases that are alike share a row, sides that only change share one, a round of moves that comes
again is told as such. docs/design/deck.md has the rules in their order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from aquatempo.deck.set_rows import LinePart, joint_row, phrase_rows
from aquatempo.exports.deck_details import NEW_MARK
from aquatempo.exports.labels import within
from aquatempo.exports.stints import stint_told
from aquatempo.records.cues import CuePhrase
from aquatempo.records.deck import DeckLine, DeckRow, DeckSet
from aquatempo.records.plan import Stint
from aquatempo.records.rhythm import PhraseKind
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = ["FoldedTrack", "fold"]

LONGEST_ROUND = 2 * COUNTS_PER_PHRASE  # a longer one is not learned by heart: it is told again
LEAST_SHARED = 4  # of so many lines and more, what all have is told once
LONGEST_SET = 8 * COUNTS_PER_PHRASE  # work and rest that come again, told by their seconds
BETWEEN = (PhraseKind.BRIDGE, PhraseKind.BREAK, PhraseKind.OUTRO, PhraseKind.INTRO)


@dataclass(frozen=True)
class FoldedTrack:
    """sets: in order; start, ending: what goes before the first and after the last, in words."""

    sets: tuple[DeckSet, ...]
    start: str
    ending: str


@dataclass(frozen=True)
class _RoundAgain:
    """A round that comes again so often; news: what is new in it, plain: only taken away."""

    start: int
    times: int
    news: tuple[str, ...]
    plain: bool


@dataclass(frozen=True)
class _Run:
    """Pieces of one move, in order, with the joints within and after them.

    again: told after it, where the run ends a round that comes again.
    """

    name: str
    pieces: tuple[LinePart, ...]
    again: tuple[_RoundAgain, ...] = ()

    @property
    def stint(self) -> Stint | None:
        """The turn of work or rest that the run is; a turn starts a run of its own."""
        return self.pieces[0].line.stint

    @property
    def taught(self) -> tuple[LinePart, ...]:
        return tuple(piece for piece in self.pieces if not piece.joint)


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
    start: list[LinePart] = []
    while pieces and pieces[0].kind is PhraseKind.INTRO and pieces[0].line.holding:
        start.append(pieces.pop(0))
    runs = _rounds(_runs(_joined(pieces)))
    sets: list[DeckSet] = []
    before: LinePart | None = None
    spelled: set[str] = set()
    for number, run in enumerate(runs, 1):
        sets.append(_set(number, run, before, spelled, beats_s, words))
        before = run.taught[-1] if run.taught else before
        sets[-1] = _like(sets[-1], sets[:-1], words)
    return FoldedTrack(
        sets=tuple(sets),
        start=" · ".join(
            part for part in (_start(start, words), *_all_through(shared, words)) if part
        ),
        ending=words["ends_on"].format(count=ending) if ending else "",
    )


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


def _runs(pieces: Sequence[LinePart]) -> list[_Run]:
    runs: list[_Run] = []
    for piece in pieces:
        goes_on = runs and (piece.joint or _goes_on(runs[-1], piece))
        if goes_on:
            runs[-1] = replace(runs[-1], pieces=(*runs[-1].pieces, piece))
        else:
            runs.append(_Run(piece.line.name, (piece,)))
    return runs


def _goes_on(run: _Run, piece: LinePart) -> bool:
    return piece.line.name == run.name and piece.line.stint == run.stint


def _rounds(runs: Sequence[_Run]) -> list[_Run]:
    """Fold a round of several moves that comes again at once into a word after it."""
    folded: list[_Run] = []
    index = 0
    while index < len(runs):
        length, times = _round_at(runs, index)
        if not times:
            folded.append(runs[index])
            index += 1
            continue
        start = len(folded) + 1
        folded += _once(runs[index : index + length * (times + 1)], length, start)
        index += length * (times + 1)
    return folded


def _once(runs: Sequence[_Run], length: int, start: int) -> list[_Run]:
    """Return the first of some equal rounds; what is new in the others is told after it."""
    rounds = [runs[at : at + length] for at in range(0, len(runs), length)]
    news = [_news(one, two) or ((), False) for one, two in pairwise(rounds)]
    again = tuple(
        _RoundAgain(start, len(list(some)), come, plain) for (come, plain), some in groupby(news)
    )
    rest = tuple(replace(p, told=False) for run in runs[length:] for p in run.pieces)
    *firsts, last = rounds[0]
    return [*firsts, _Run(last.name, (*last.pieces, *rest), again)]


def _round_at(runs: Sequence[_Run], index: int) -> tuple[int, int]:
    """Return how many runs make a round that starts here, and how often it comes again."""
    for length in range(2, 9):
        first = runs[index : index + length]
        longest = LONGEST_SET if all(run.stint for run in first) else LONGEST_ROUND
        if len(first) < length or sum(p.counts for r in first for p in r.pieces) > longest:
            return 0, 0
        times, before = 0, first
        while True:
            start = index + (times + 1) * length
            after = runs[start : start + length]
            if len(after) < length or _news(before, after) is None:
                break
            times, before = times + 1, after
        if times:
            return length, times
    return 0, 0


def _news(before: Sequence[_Run], after: Sequence[_Run]) -> tuple[tuple[str, ...], bool] | None:
    """Return what is new in a round and whether something only ends; None for another round."""
    changes: set[tuple[tuple[str, ...], bool]] = set()
    for one, two in zip(before, after, strict=True):
        if one.name != two.name or len(one.pieces) != len(two.pieces):
            return None
        for old, new in zip(one.pieces, two.pieces, strict=True):
            same = (old.counts, old.kind, old.line.lead, old.line.tempo)
            if _turn(old) != _turn(new) or same != (
                new.counts,
                new.kind,
                new.line.lead,
                new.line.tempo,
            ):
                return None
            ended = set(old.line.style) - set(new.line.style)
            come = tuple(style for style in new.line.style if style not in old.line.style)
            changes.add((come, bool(ended)))
    if len(changes) > 1:
        return None
    ((come, gone),) = changes
    return come, gone and not come


def _turn(piece: LinePart) -> tuple[bool, float] | None:
    """Return what makes turns of work and rest alike: which it is, and its seconds."""
    stint = piece.line.stint
    return None if stint is None else (stint.works, round(stint.seconds))


def _with_stint(rows: list[DeckRow], run: _Run, words: Mapping[str, str]) -> list[DeckRow]:
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
    run: _Run,
    before: LinePart | None,
    spelled: set[str],
    beats_s: Sequence[float],
    words: Mapping[str, str],
) -> DeckSet:
    first, last = run.pieces[0], run.pieces[-1]
    told = [piece for piece in run.pieces if piece.told]
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
    rows += [_again(one, words) for one in run.again]
    taught = [piece for piece in told if not piece.joint]
    line = first.line
    return DeckSet(
        number=number,
        name=run.name,
        short_name=line.short_name,
        total=_total(taught or told),
        clock_s=beats_s[first.beat] if first.beat < len(beats_s) else line.clock_s,
        beat=first.beat,
        counts=last.beat + last.counts - first.beat,
        rows=tuple(rows),
        sign=line.sign,
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


def _again(round_: _RoundAgain, words: Mapping[str, str]) -> DeckRow:
    told = words["again"].format(number=round_.start)
    if round_.times > 1:
        told = words["again_times"].format(number=round_.start, times=round_.times)
    marks = words["plain"] if round_.plain else ", ".join(round_.news)
    return DeckRow(f"{told} {NEW_MARK} {marks}" if marks else told)


def _total(pieces: Sequence[LinePart]) -> str:
    """Return the counts of a set, phrase by phrase: ``16 + 2 × 32``."""
    phrases = [
        sum(piece.counts for piece in some)
        for _, some in groupby(pieces, key=lambda piece: piece.phrase)
    ]
    runs = [(counts, len(list(some))) for counts, some in groupby(phrases)]
    return " + ".join(f"{times} × {counts}" if times > 1 else f"{counts}" for counts, times in runs)
