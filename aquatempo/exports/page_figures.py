"""Figures of moves as numbers that the deck page draws at the beat: whole centimetres."""

from __future__ import annotations

from typing import Any

from aquatempo.exports.figure_picture import figure_box
from aquatempo.records.figure import FigurePart, MoveFigure

__all__ = ["figure_numbers"]


def figure_numbers(figure: MoveFigure) -> dict[str, Any]:
    """Return what the page needs to draw a figure, y downwards from the floor [cm].

    box: left, top, width, height; surface: of the water; floor: whether it is seen; counts: when
    each frame is, from the start of the loop; still: the frame to show where nothing may move;
    parts: the farthest first, each with its breadth, a side (lead or other), whether it is
    filled, and the points of its frames, one frame where it stands still.
    """
    box = figure_box(figure)
    return {
        "box": [round(one) for one in (box.left, -box.top, box.width, box.height)],
        "surface": round(-100 * figure.surface_m),
        "floor": box.floor,
        "counts": [round(one, 3) for one in figure.counts],
        "still": figure.stages[0].frame if figure.stages else 0,
        "parts": [_part(part) for part in figure.parts],
    }


def _part(part: FigurePart) -> dict[str, Any]:
    frames = [[round(c * s) for x, y in frame for c, s in ((x, 100), (y, -100))]
              for frame in part.frames]  # fmt: skip
    if all(frame == frames[0] for frame in frames):
        frames = frames[:1]
    return {
        "wide": round(100 * part.width_m, 1),
        "other": part.name.startswith("other"),
        "filled": part.name == "trunk" or part.name.endswith("foot"),
        "frames": frames,
    }
