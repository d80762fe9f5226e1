"""A group in the water, to scale, as SVG: who stands how deep, at both ends of a slope."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from aquatempo.exports import svg
from aquatempo.exports.figure_picture import (
    FLOOR,
    GROUND,
    INK,
    SURFACE,
    WATER,
    body_parts,
    wrapped,
)
from aquatempo.records.figure import MoveFigure

__all__ = ["group_picture"]

EACH_CM, TOP_CM, FOOT_CM, SIDE_CM = 78.0, 24.0, 26.0, 42.0


def group_picture(
    figures: Sequence[MoveFigure], heights: Sequence[str], depths: Sequence[str], title: str
) -> str:
    """Return SVG text, one unit a centimetre: people side by side in one surface of water.

    figures: standing, the shallow end first; heights, depths: what is written under and
    beside them; title: read by screen readers.
    """
    width = SIDE_CM + EACH_CM * len(figures) + 8
    deepest = max(100 * figure.depth_m for figure in figures)
    crown = max(
        100 * (y - figure.surface_m)
        for figure in figures
        for part in figure.parts
        for _, y in part.frames[0]
    )
    top = max(crown, 0.0) + TOP_CM
    box = (0.0, -top, width, top + deepest + FOOT_CM)
    floor = _floor(figures, width)
    parts = [
        svg.rectangle(*box, fill=GROUND),
        svg.polygon([(0, 0), (width, 0), *reversed(floor)], fill=WATER),
        svg.polyline(floor, stroke=FLOOR, stroke_width=3),
    ]
    shown: list[str] = []
    for number, (figure, height, depth) in enumerate(zip(figures, heights, depths, strict=True)):
        x, down = SIDE_CM + EACH_CM * (number + 0.5), 100 * figure.surface_m
        parts += [f'<g transform="translate({x:.1f} {down:.1f})">', *body_parts(figure), "</g>"]
        label_y = deepest + FOOT_CM - 8
        parts.append(svg.text(x, label_y, height, 13, text_anchor="middle", fill=INK))
        if depth not in shown:
            parts += _measure(x - EACH_CM / 2 + 2, 100 * figure.depth_m, depth)
            shown.append(depth)
    parts.append(svg.line(0, 0, width, 0, stroke=SURFACE, stroke_width=2.5))
    frame = " ".join(f"{value:.1f}" for value in box)
    return wrapped(frame, box[2], box[3], parts, title)


def _floor(figures: Sequence[MoveFigure], width: float) -> list[tuple[float, float]]:
    """Return the line of the floor: level, or a slope between the two halves of the people."""
    depths = [100 * figure.depth_m for figure in figures]
    points = [(0.0, depths[0])]
    for number, (one, following) in enumerate(pairwise(depths)):
        if one != following:
            x = SIDE_CM + EACH_CM * (number + 1)
            points += [(x - 14.0, one), (x + 14.0, following)]
    return [*points, (width, depths[-1])]


def _measure(x: float, depth: float, words: str) -> list[str]:
    """Return an upright measure from surface to floor with its length beside it."""
    ends = [(x - 4, 7.0), (x, 1.5), (x + 4, 7.0)]
    return [
        svg.line(x, 2, x, depth - 2, stroke=SURFACE, stroke_width=1.6),
        svg.polyline(ends, stroke=SURFACE, stroke_width=1.6),
        svg.polyline([(a, depth - b) for a, b in ends], stroke=SURFACE, stroke_width=1.6),
        f'<g transform="translate({x - 5:.1f} {depth / 2:.1f}) rotate(-90)">'
        + svg.text(0, 0, words, 13, text_anchor="middle", fill=SURFACE)
        + "</g>",
    ]
