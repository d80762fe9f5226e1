"""Plans six classes and counts the sides that their cards take; pictures of each, where asked.

    python -m proofs.sides [--to FOLDER] [--random N] [CLASS ...]

The table is the one of docs/design/deck.md. Before: the same plan with a set for each line of
it, then with moves folded and no rounds. With ``--to`` the cards are written, to be looked at;
``--random N`` lays out N classes of any names instead and holds every text against its box.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from unittest import mock

from deck_classes import CLASSES, planned_class
from test_exports_card import check_class

from aquatempo.deck import folding
from aquatempo.deck.book import deck_book
from aquatempo.deck.move_runs import MoveRun
from aquatempo.deck.set_rows import LinePart
from aquatempo.exports.card import card_sides, draw_sides
from aquatempo.exports.sheets import Sheets
from aquatempo.moves import catalogue
from aquatempo.records.cues import CueOptions
from aquatempo.workflow.exporting import timelines_of

FORMS = (("song", False), ("large", False), ("song", True), ("compact", False))


@contextmanager
def unfolded(lines_too: bool) -> Iterator[None]:
    """Tell sets in full where they come again; with lines_too each line is a set of its own."""

    def apart(runs: list[MoveRun], words: object) -> tuple[list[MoveRun], list[int]]:
        return list(runs), [*range(1, len(runs) + 1)]

    def single(pieces: list[LinePart]) -> list[MoveRun]:
        return [MoveRun(piece.line.name, (piece,)) for piece in pieces]

    with mock.patch.object(folding, "fold_rounds", apart):
        if not lines_too:
            yield
            return
        with mock.patch.object(folding, "move_runs", single):
            yield


def main() -> None:
    """Print a row a class: songs, changes, and sides of A5 before and in each form."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("classes", nargs="*", default=list(CLASSES))
    parser.add_argument("--to", type=Path)
    parser.add_argument("--random", type=int, default=0)
    asked = parser.parse_args()
    for seed in range(asked.random):
        for form, silent in FORMS:
            check_class(seed, ("a5", "half-letter")[seed % 2], form, silent)
    if asked.random:
        print(f"{asked.random} classes: every text keeps to its box")
        return
    print("| class | songs | changes | a line | folded | song | large | without sound | compact |")
    for name in asked.classes:
        plan = planned_class(name)
        options = CueOptions(language=plan.brief.language)
        timelines = timelines_of(plan, catalogue(), options)
        book = deck_book(plan, timelines, catalogue(), options)
        cells = [name, len(book.tracks), sum(len(track.lines) for track in book.tracks)]
        for lines_too in (True, False):
            with unfolded(lines_too):
                before = deck_book(plan, timelines, catalogue(), options)
            cells.append(len(card_sides(Sheets(before, "a5"), before, False, "song")))
        for form, silent in FORMS:
            sheets = Sheets(book, "a5")
            sides = card_sides(sheets, book, silent, form)
            cells.append(len(sides))
            if asked.to:
                asked.to.mkdir(parents=True, exist_ok=True)
                kind = "without-sound" if silent else form
                (asked.to / f"{name}-{kind}.pdf").write_bytes(draw_sides(sheets, sides))
        print("|", " | ".join(str(cell) for cell in cells), "|", flush=True)


if __name__ == "__main__":
    main()
