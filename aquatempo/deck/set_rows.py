"""The rows of a set: what each phrase adds to the one before it, in few words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from aquatempo.exports.deck_details import NEW_MARK, times
from aquatempo.exports.labels import within
from aquatempo.records.deck import DeckLine, DeckRow
from aquatempo.records.rhythm import PhraseKind

__all__ = ["LinePart", "joint_row", "phrase_rows"]

JOINT = " · "


@dataclass(frozen=True)
class LinePart:
    """A line, or the part of it that lies in one phrase.

    joint: it stands between what is taught. told: it takes a
    row; not where it repeats a round.
    """

    line: DeckLine
    phrase: int
    kind: PhraseKind
    beat: int
    counts: int
    joint: bool = False
    told: bool = True


@dataclass
class _RowDraft:
    """A row in the making.

    counts: who does how much, empty where the phrase is not divided. usual: said where
    nothing else is.
    """

    marks: str
    counts: str
    sides: list[str]
    usual: str
    spelled: str
    times: int = 1


def joint_row(piece: LinePart, name: str, words: Mapping[str, str]) -> DeckRow:
    """Return the row of a bridge, a break or a filled eight within or after a set.

    piece: the counts to tell; name: of the set's move; words: labels of the language.
    """
    between = piece.kind is not PhraseKind.PHRASE
    told = f"{words[piece.kind]} {piece.counts}" if between else f"{piece.counts}"
    if piece.line.name == name:
        return DeckRow(told, joint=True)
    joint = ": " if between else " "
    return DeckRow(f"{told}{joint}{within(piece.line.name, words)}", joint=True)


def phrase_rows(
    pieces: Sequence[LinePart], before: LinePart | None, spelled: set[str], words: Mapping[str, str]
) -> list[DeckRow]:
    """Return the rows of pieces of one move; before: what the class did until then.

    spelled: ways to count that the song has written out already; this adds to them.
    words: labels of the language.
    """
    drafts: list[_RowDraft] = []
    for _, some in groupby(pieces, key=lambda piece: piece.phrase):
        phrase = list(some)
        drafted = _draft(phrase, before, spelled, words)
        before = phrase[-1]
        if not (drafts and _joins(drafts[-1], drafted)):
            drafts.append(drafted)
    for last, drafted in reversed([*pairwise(drafts)]):
        if drafted.counts and drafted.counts == last.counts and NEW_MARK in drafted.marks:
            drafted.marks, drafted.counts = f"{words['same']} {drafted.marks}", ""
    alone = len(drafts) == 1
    return [DeckRow(_text(draft, alone), spelled=draft.spelled) for draft in drafts]


def _draft(
    phrase: Sequence[LinePart], before: LinePart | None, spelled: set[str], words: Mapping[str, str]
) -> _RowDraft:
    first = phrase[0].line
    marks = _marks(first, before.line if before else None, words)
    goes_on = before is not None and before.line.name == first.name
    sides: list[str] = []
    counts = ""
    if len(phrase) == 1:
        if first.lead and not (goes_on and before and before.line.lead == first.lead):
            sides = [words[f"side_{first.lead}"]]
    else:
        counts = _counts(phrase, words)
    way = f"{first.name} {first.steps}"
    known = way in spelled
    spelled.add(way)
    usual = words["same"] if goes_on else words["plain_first"]
    return _RowDraft(marks, counts, sides, usual, "" if known else _spelled(phrase[0], words))


def _joins(last: _RowDraft, drafted: _RowDraft) -> bool:
    """Fold a row into the one before it where it adds nothing, or another side only."""
    if drafted.marks or drafted.spelled:
        return False
    if not drafted.counts and not drafted.sides and not last.counts and len(last.sides) < 2:
        last.times += 1
        return True
    if drafted.sides and last.sides and last.times == 1:
        last.sides += drafted.sides
        return True
    if drafted.counts and drafted.counts == last.counts:
        last.times += 1
        return True
    return False


def _text(draft: _RowDraft, alone: bool) -> str:
    parts = [draft.marks, draft.counts, " / ".join(_run_lengths(draft.sides, " / "))]
    told = JOINT.join(part for part in parts if part) or draft.usual
    if draft.times == 1 or (alone and not draft.counts):
        return told
    counted = f"({told})" if " / " in told or JOINT in told else told
    return f"{draft.times} × {counted}"


def _marks(line: DeckLine, before: DeckLine | None, words: Mapping[str, str]) -> str:
    """Return what differs from what the class did until then."""
    stays = before is not None and before.name == line.name
    tempo = before.tempo if before is not None else words["tempo_2"]
    new = [line.tempo] if line.tempo != tempo else []
    old = before.style if stays and before is not None else ()
    new += [style for style in line.style if style not in old]
    ended = any(style not in line.style for style in old)
    if ended:
        new += [words["plain"]] if not line.style and not new else []
        new += [style for style in line.style if style in old]
    if not new:
        return ""
    told = JOINT.join(new)
    return f"{NEW_MARK} {told}" if stays else told


def _counts(phrase: Sequence[LinePart], words: Mapping[str, str]) -> str:
    """Return who does how many counts in a divided phrase: ``8 R / 8 L, 2 × (4 R / 4 L)``."""
    told: list[str] = []
    before: LinePart | None = None
    for piece in phrase:
        text = f"{piece.counts}"
        if piece.line.lead:
            text += f" {words[f'side_{piece.line.lead}']}"
        marks = _marks(piece.line, before.line, words) if before else ""
        told.append(f"{text} {marks}" if marks else text)
        before = piece
    folded = _run_lengths(told, " / ")
    return (" / " if len(folded) == len(told) == 2 else ", ").join(folded)


def _run_lengths(told: Sequence[str], joint: str) -> list[str]:
    """Fold pairs that come again: R, L, R, L becomes ``2 × (R / L)``; what differs stays apart."""
    parts: list[str] = []
    index = 0
    while index < len(told):
        pair = list(told[index : index + 2])
        times = 1
        while len(pair) == 2 and list(told[index + 2 * times : index + 2 * times + 2]) == pair:
            times += 1
        if times > 1:
            parts.append(f"{times} × ({joint.join(pair)})")
            index += 2 * times
        elif len(pair) == 2 and _alike(*pair):
            parts.append(joint.join(pair))
            index += 2
        else:
            parts.append(pair[0])
            index += 1
    return parts


def _alike(one: str, two: str) -> bool:
    """Tell a pair of sides: the same counts, right and left."""
    return one.split()[:-1] == two.split()[:-1] and one != two


def _spelled(piece: LinePart, words: Mapping[str, str]) -> str:
    # A turn of work or rest begins anywhere in a phrase: it is told whole.
    counts = piece.counts if piece.line.stint is None else piece.line.counts
    return f"{piece.line.spelled}: {times(piece.line, counts, words)}"
