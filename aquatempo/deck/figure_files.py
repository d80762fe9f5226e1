"""The sheet of figures of a class: each form that it does, once, drawn in its own water."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

from aquatempo.cues.language import load_language
from aquatempo.deck.call_words import move_words
from aquatempo.deck.export_options import ExportOptions, Job
from aquatempo.exports.figure_picture import end_positions
from aquatempo.exports.figure_sheet import FigureCell, figure_sheet
from aquatempo.exports.labels import labels, movement_name
from aquatempo.figures import figure_of
from aquatempo.moves import Catalogue, resolve, variation_of
from aquatempo.records.cues import CallWords
from aquatempo.records.moves import Factor
from aquatempo.records.plan import Block, ClassPlan
from aquatempo.store.results import write_result

__all__ = ["FIGURES_FILE", "figure_cells", "figure_jobs"]

FIGURES_FILE = "move_figures.html"


def figure_jobs(
    plan: ClassPlan, folder: Path, source: Catalogue, options: ExportOptions
) -> Iterator[Job]:
    """Yield the sheet of figures where it is asked for.

    plan: the class; folder: where files go; source: the catalogue in force; options: what is
    made and how.
    """
    if "figures" in options.only:
        yield folder / FIGURES_FILE, partial(_write, plan=plan, source=source, options=options)


def figure_cells(plan: ClassPlan, source: Catalogue, language: str) -> tuple[FigureCell, ...]:
    """Return each form of a class once, in the order in which it comes.

    Captions name the sides by the lead of the block; the figure is mirrored for the deck, as
    a class sees an instructor who faces it. plan: the class; source: the catalogue in force;
    language: of words.
    """
    cells, seen = [], set()
    height_m = sum(plan.brief.group.height_m) / 2
    for number, track in enumerate(plan.tracks, 1):
        for block in (one for phrase in track.phrases for one in phrase.blocks):
            form_key = (block.move, block.variation)
            move = source.moves.get(block.move)
            if form_key in seen or move is None:
                continue
            seen.add(form_key)
            form = resolve(
                move, variation_of(move, block.variation, source), plan.brief.depth, source
            )
            figure = figure_of(form, plan.brief.pool, stature_m=height_m, mirrored=True)
            names = [movement_name(one.name, block.lead, language) for one in figure.stages]
            name, call = _words(block, source, language)
            picture = end_positions(figure, f"{name}: {', '.join(names)}", names)
            cells.append(FigureCell(name, call, f"{number}. {track.title}", picture))
    return tuple(cells)


def _words(block: Block, source: Catalogue, language: str) -> tuple[str, str]:
    pack = load_language(language)
    words = [pack.localise(move_words(source.move(block.move)))]
    for factor, key in block.variation:
        option = source.option(Factor(factor), key)
        words.append(pack.localise(CallWords(key, option.name, option.spoken, option.sign, factor)))
    return ", ".join(one.name for one in words), ", ".join(one.spoken for one in words)


def _write(path: Path, plan: ClassPlan, source: Catalogue, options: ExportOptions) -> None:
    language = options.language or plan.brief.language
    cells = figure_cells(plan, source, language)
    page = figure_sheet(plan.brief.title, cells, language, labels(language)["caution"])
    write_result(path, page, options.force)
