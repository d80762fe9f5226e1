"""The figures of a class: what each of its lines looks like, in its own water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from aquatempo.figures import figure_of
from aquatempo.figures.drawing import view_of
from aquatempo.moves import Catalogue, parse_pattern, resolve, variation_of
from aquatempo.records.cues import Change, CueTimeline
from aquatempo.records.deck import DeckBook
from aquatempo.records.figure import MoveFigure, View
from aquatempo.records.moves import MoveForm
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import ClassPlan

__all__ = ["figure_key", "plain_key", "with_figures"]

_LEFT = "left"


def figure_key(change: Change, form: MoveForm) -> str:
    """Return the name of the figure of a change, the same for all that look the same.

    change: of a timeline; form: its move, resolved. The lead side counts where it is seen: from
    the front.
    """
    told = [change.move, *(f"{factor}={option}" for factor, option in change.variation)]
    side = _LEFT if change.lead == _LEFT and view_of(form) is not View.SIDE else ""
    return " ".join([*told, change.pattern, side]).rstrip()


def plain_key(move: str) -> str:
    """Return the name of the figure of a move without any variation.

    move: its key in the catalogue.
    """
    return f"{move} plain"


def with_figures(
    book: DeckBook, plan: ClassPlan, timelines: Sequence[CueTimeline], source: Catalogue
) -> DeckBook:
    """Return a book with a figure of each of its lines and moves.

    Drawn as a class sees an instructor who faces it: a lead to the right is on the right.
    plan: the class, which gives water and people; timelines: one a track; source: the catalogue
    in force.
    """
    depth: ClassDepth = plan.brief.depth
    source = source.at(depth)
    figures: dict[str, MoveFigure] = {}
    for change in (one for timeline in timelines for one in timeline.changes):
        move = source.move(change.move)
        if plain_key(move.key) not in figures:
            figures[plain_key(move.key)] = _drawn(resolve(move, None, depth, source), plan)
        form = resolve(move, variation_of(move, change.variation, source), depth, source)
        key = figure_key(change, form)
        if key not in figures:
            form = replace(form, pattern=parse_pattern(change.pattern))
            figures[key] = _drawn(form, plan, mirrored=not key.endswith(f" {_LEFT}"))
    return replace(book, figures=tuple(figures.items()))


def _drawn(form: MoveForm, plan: ClassPlan, mirrored: bool = True) -> MoveFigure:
    stature_m = sum(plan.brief.group.height_m) / 2
    return figure_of(form, plan.brief.pool, stature_m=stature_m, mirrored=mirrored)
