"""Lines of a track from few words, folded for a card; pieces of lines for what folding uses."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, pairwise

from aquatempo.deck.folding import FoldedTrack, fold
from aquatempo.deck.move_runs import MoveRun
from aquatempo.deck.set_rows import LinePart
from aquatempo.exports.labels import labels
from aquatempo.records.cues import CuePhrase
from aquatempo.records.deck import DeckLine, DeckSet
from aquatempo.records.plan import Stint
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

__all__ = ["WORDS", "Block", "block", "folded", "part", "rows", "run"]

WORDS = labels("en")
Block = tuple[int, str, str, tuple[str, ...], str]  # counts, name, lead, style, tempo


def block(counts: int, name: str, lead: str = "", *style: str, tempo: str = "water (2)") -> Block:
    """Return some counts of a move, as a plan has them."""
    return counts, name, lead, style, tempo


def folded(*phrases: tuple[str, list[Block]]) -> FoldedTrack:
    """Return a track folded, given the kind and the blocks of each of its phrases.

    Blocks that go on as the one before are one line, as cues make them.
    """
    counts = [sum(one[0] for one in blocks) for _, blocks in phrases]
    starts = [0, *accumulate(counts)]
    strip = [
        CuePhrase(start / 2, end / 2, start, end - start, PhraseKind(kind), EnergyLevel.MEDIUM)
        for (kind, _), (start, end) in zip(phrases, pairwise(starts), strict=True)
    ]
    lines: list[DeckLine] = []
    beat = 0
    for index, (kind, blocks) in enumerate(phrases):
        for length, name, lead, style, tempo in blocks:
            same = lines and (name, lead, style, tempo) == (
                lines[-1].name, lines[-1].lead, lines[-1].style, lines[-1].tempo,
            )  # fmt: skip
            odd = ("bridge", "break")
            if same and kind not in odd and lines[-1].kind not in odd:
                lines[-1] = replace(lines[-1], counts=lines[-1].counts + length)
            else:
                lines.append(
                    DeckLine(
                        clock_s=beat / 2, counts=length, phrase=index, kind=PhraseKind(kind),
                        name=name, short_name="", tempo=tempo, sign="", lead=lead, style=style,
                        spelled="1-2 up, 3-4 down", repetition_counts=4,
                        holding=name == "Easy jog", beat=beat,
                    )
                )  # fmt: skip
            beat += length
    return fold(lines, strip, [number / 2 for number in range(beat)], WORDS)


def rows(one: DeckSet) -> list[str]:
    """Return the texts of a set's rows."""
    return [row.text for row in one.rows if row.text]


def part(
    phrase: int,
    counts: int,
    lead: str = "",
    *style: str,
    name: str = "Jog",
    tempo: str = "water (2)",
    kind: str = "phrase",
    joint: bool = False,
    stint: Stint | None = None,
    beat: int = 0,
) -> LinePart:
    """Return a piece of a line of its own, which takes four counts a repetition."""
    line = DeckLine(
        clock_s=beat / 2, counts=counts, phrase=phrase, kind=PhraseKind(kind), name=name,
        short_name="", tempo=tempo, sign="", lead=lead, style=style, spelled="1-2 up, 3-4 down",
        repetition_counts=4, beat=beat, stint=stint,
    )  # fmt: skip
    return LinePart(line, phrase, PhraseKind(kind), beat, counts, joint)


def run(*pieces: LinePart) -> MoveRun:
    """Return pieces of one move as a run."""
    return MoveRun(pieces[0].line.name, tuple(pieces))
