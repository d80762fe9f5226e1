"""Moves that one can see: figures for judge, vary, documents and pages."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from aquatempo.documents.move_requests import open_catalogue, parse_moves
from aquatempo.exports.figure_picture import end_positions, moving_figure, still_figure
from aquatempo.exports.labels import movement_name
from aquatempo.moves import ladder, resolve
from aquatempo.records.figure import View
from aquatempo.records.moves import MoveForm
from aquatempo.records.people import Group, Pool
from aquatempo.store.results import refuse_existing, write_result

__all__ = ["figure_svg", "middle_stature", "write_figures"]


def figure_svg(
    form: MoveForm,
    pool: Pool,
    *,
    tempo_bpm: float | None = None,
    stature_m: float | None = None,
    view: View | None = None,
    mirrored: bool = False,
    range_kept: float = 1.0,
    lead: str = "",
    language: str = "en",
    captions: bool = True,
    depth_words: str | None = None,
    only_first: bool = False,
) -> str:
    """Return a form of a move as SVG text, from the angles that it is judged by.

    tempo_bpm: it moves at this music tempo [beats/min]; None: its end positions side by side.
    pool: gives water and floor. stature_m: of the person [m], None: 1.70. view: None for what
    shows it best. mirrored: as seen by somebody who faces an instructor. range_kept: share
    of the full range [1]. lead: ``right`` or ``left`` for captions that name sides, language
    theirs. captions: write them under end positions. depth_words: what stands at the
    surface, None for the depth in metres. only_first: one end position, without words.
    """
    from aquatempo.figures import figure_of
    from aquatempo.figures.drawing import STATURE_M

    figure = figure_of(
        form,
        pool,
        stature_m=stature_m or STATURE_M,
        view=view,
        mirrored=mirrored,
        range_kept=range_kept,
    )
    names = [movement_name(stage.name, lead, language) for stage in figure.stages]
    title = f"{form.name}: {', '.join(names)}"
    depth = f"{pool.depth_m:g} m" if depth_words is None else depth_words
    if tempo_bpm is not None:
        return moving_figure(figure, tempo_bpm, title, depth)
    if only_first:
        return still_figure(figure, figure.stages[0], title)
    return end_positions(figure, title, names if captions else (), depth)


def middle_stature(group: Group) -> float:
    """Return the height in the middle of a group [m]."""
    return round(sum(group.height_m) / 2, 3)


def write_figures(
    folder: str,
    pool: Pool,
    group: Group,
    *,
    moves: Iterable[str] = (),
    variations_of: str = "",
    tempo_bpm: float,
    own_moves: str | None = None,
    force: bool = False,
) -> tuple[str, ...]:
    """Write two SVG pictures a move into a folder: moving at a tempo, and its end positions.

    moves: as ``judge`` takes them; variations_of: or all variations of one move. pool, group:
    the water and the person in the middle of the group, to scale. tempo_bpm: of the music
    [beats/min]; own_moves: the user's catalogue file, or None; force: replace files. Returns
    the names of the files. Raises InputError, OutputError; then nothing was written.
    """
    source = open_catalogue(own_moves)
    if variations_of:
        rungs = ladder(source.move(variations_of), pool.kind, source)
        forms = [rung.form for rung in rungs]
    else:
        forms = [
            resolve(one.move, one.variation, pool.kind, source)
            for one in parse_moves(list(moves), source)
        ]
    pictures: dict[str, str] = {}
    for form in forms:
        name = _file_name(form)
        stature = middle_stature(group)
        moving = figure_svg(form, pool, tempo_bpm=tempo_bpm, stature_m=stature)
        pictures[f"{name}.svg"] = moving
        pictures[f"{name}-ends.svg"] = figure_svg(form, pool, stature_m=stature)
    for name in pictures:
        refuse_existing(Path(folder) / name, force)
    for name, picture in pictures.items():
        write_result(Path(folder) / name, picture, force)
    return tuple(pictures)


def _file_name(form: MoveForm) -> str:
    words = [form.move.key, *(f"{factor}-{option}" for factor, option in form.variation.changes)]
    return re.sub(r"[^a-z0-9-]+", "-", "-".join(words).lower())
