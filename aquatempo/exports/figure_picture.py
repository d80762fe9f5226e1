"""A figure of a move as SVG: moving, for pages, or its end positions, for print.

One unit of the picture is a centimetre. Everything is told by attributes, so that it shows
under a content policy without styles; what moves is SMIL, which a page can stop and set.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from aquatempo.exports import svg
from aquatempo.records.figure import FigurePart, FigureStage, MoveFigure

__all__ = [
    "FLOOR",
    "GROUND",
    "INK",
    "SURFACE",
    "WATER",
    "FigureBox",
    "body_parts",
    "end_positions",
    "figure_box",
    "moving_figure",
    "still_figure",
    "wrapped",
]

INK, OTHER, HALO = "#0f2c35", "#5b7a84", "#ffffff"
GROUND, WATER, SURFACE, FLOOR = "#ffffff", "#d3e9ee", "#14667a", "#38525a"
GHOST, TRACE = "#a3bcc4", "#b3261e"
MARGIN, LEAST_WIDTH, CAPTION = 22.0, 150.0, 34.0
TIGHT = 10.0  # around a tight picture [cm]
HALO_CM = 1.6
TILE_CM = 30.0
SEEN_WAY_CM = 14.0  # a hand or foot that goes further has its way drawn
LONGEST_LINE = 24

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class FigureBox:
    """What of the plane of a figure is in the picture [cm], y upwards; floor: it is seen."""

    left: float
    right: float
    top: float
    bottom: float
    floor: bool

    @property
    def width(self) -> float:
        """Width of the picture [cm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height of the picture [cm]."""
        return self.top - self.bottom


def moving_figure(figure: MoveFigure, tempo_bpm: float, title: str, depth: str = "") -> str:
    """Return SVG text of a figure that moves for ever.

    tempo_bpm: of the music [beats/min]. title: read by screen readers. depth: what is written at
    the surface, such as ``1.2 m``.
    """
    box = figure_box(figure)
    seconds = figure.counts[-1] * 60.0 / tempo_bpm
    parts = _scene(figure, box, depth, seconds)
    for part in figure.parts:
        parts += _part(part, 0, _animation(part, figure.counts, seconds))
    return _document(box, [*parts, *_front(figure, box)], title)


def still_figure(
    figure: MoveFigure, stage: FigureStage, title: str, depth: str = "", tight: bool = False
) -> str:
    """Return SVG text of one end position with the ways of hands and feet to it.

    figure: of the move; stage: which position; title, depth: as for ``moving_figure``. tight:
    with no more water around it than it needs, for where there is little room.
    """
    box = figure_box(figure, tight)
    return _document(box, _stage(figure, stage, box, depth), title)


def end_positions(
    figure: MoveFigure, title: str, captions: Sequence[str] = (), depth: str = ""
) -> str:
    """Return SVG text of all end positions side by side.

    captions: one a stage, or none; figure, title, depth: as for ``moving_figure``.
    """
    box = figure_box(figure)
    width, height = box.width, box.height
    parts = []
    for number, stage in enumerate(figure.stages):
        inner = _stage(figure, stage, box, depth if number == 0 else "")
        if captions:
            inner += _caption(captions[number], (box.left + box.right) / 2, -box.bottom)
        parts.append(f'<g transform="translate({number * width:.1f} 0)">' + "".join(inner) + "</g>")
    foot = CAPTION if captions else 0.0
    frame = f"{box.left:.1f} {-box.top:.1f} {len(figure.stages) * width:.1f} {height + foot:.1f}"
    return wrapped(frame, len(figure.stages) * width, height + foot, parts, title)


def _document(box: FigureBox, parts: Iterable[str], title: str) -> str:
    width, height = box.width, box.height
    frame = f"{box.left:.1f} {-box.top:.1f} {width:.1f} {height:.1f}"
    return wrapped(frame, width, height, parts, title)


def body_parts(figure: MoveFigure, frame: int = 0) -> list[str]:
    """Return the body of a figure in a frame, its floor at 0, no side marked, as elements."""
    return [element for part in figure.parts for element in _part(part, frame, "", INK)]


def wrapped(frame: str, width: float, height: float, parts: Iterable[str], title: str) -> str:
    """Return parts, elements as text, as an SVG document with a title.

    frame: the viewBox; width, height: its size [cm].
    """
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{frame}" width="{width:.0f}" '
        f'height="{height:.0f}" role="img" font-family={quoteattr(svg.FONT)} '
        f'stroke-linecap="round" stroke-linejoin="round"><title>{escape(title)}</title>'
        + "".join(parts)
        + "</svg>\n"
    )


def figure_box(figure: MoveFigure, tight: bool = False) -> FigureBox:
    """Return what a picture of a figure shows: all that it does, water and floor.

    figure: of a move; tight: with a hand's breadth around it, tiles or not.
    """
    points = [point for part in figure.parts for frame in part.frames for point in frame]
    xs, ys = [100 * x for x, _ in points], [100 * y for _, y in points]
    middle = (min(xs) + max(xs)) / 2
    wide = max(max(xs) - min(xs) + 2 * MARGIN, LEAST_WIDTH)
    half = math.ceil(wide / TILE_CM) * TILE_CM / 2  # tiles go on from picture to picture
    floor = min(ys) - 100 * figure.floor_m < 45.0
    bottom = 100 * figure.floor_m - 14.0 if floor else min(ys) - 24.0
    top = max(max(ys) + 20.0, 100 * figure.surface_m + 26.0)
    if tight:
        half = (max(xs) - min(xs)) / 2 + TIGHT
        bottom, top = max(bottom, min(ys) - TIGHT), max(ys) + TIGHT
    return FigureBox(middle - half, middle + half, top, bottom, floor)


def _scene(figure: MoveFigure, box: FigureBox, depth: str, seconds: float | None) -> list[str]:
    """Return ground, water, floor and marks."""
    surface, width = -100 * figure.surface_m, box.right - box.left
    parts = [
        svg.rectangle(box.left, -box.top, width, box.top - box.bottom, fill=GROUND),
        svg.rectangle(box.left, surface, width, -box.bottom - surface, fill=WATER),
    ]
    if depth:
        parts.append(svg.text(box.left + 4, surface - 5, depth, 11, fill=SURFACE))
    if box.floor:
        floor = -100 * figure.floor_m
        parts.append(svg.line(box.left, floor, box.right, floor, stroke=FLOOR, stroke_width=2.5))
        parts.append(_tiles(figure, box, floor, seconds))
    return [*parts, *_marks(figure, box)]


def _tiles(figure: MoveFigure, box: FigureBox, floor: float, seconds: float | None) -> str:
    """Return tiles of the floor: they go by as the body travels along the picture."""
    way = 100 * figure.travel_m if figure.along else 0.0
    step = abs(way) / max(1, round(abs(way) / TILE_CM)) if way else TILE_CM
    first = box.left + step / 2 - step * math.ceil(abs(way) / step)
    count = int((box.right - box.left + 2 * abs(way)) / step) + 1
    lines = [
        svg.line(first + n * step, floor + 2, first + n * step, floor + 12) for n in range(count)
    ]
    moved = ""
    if way and seconds:
        moved = (
            '<animateTransform attributeName="transform" type="translate" '
            f'values="0 0;{-way:.1f} 0" dur="{seconds:.3f}s" repeatCount="indefinite"/>'
        )
    return f'<g stroke="{FLOOR}" stroke-width="1.5">{"".join(lines)}{moved}</g>'


def _marks(figure: MoveFigure, box: FigureBox) -> list[str]:
    """Return arrows of travel and turn, in the corner at the top."""
    parts = []
    x, y = box.right - 20.0, -box.top + 14.0
    if figure.travel_m:
        sign = 1.0 if figure.travel_m > 0 else -1.0
        for number in range(2):
            shift = 7.0 * (number - 0.5)
            if figure.along:
                ends = [(x + shift - 4 * sign, y - 7), (x + shift + 4 * sign, y),
                        (x + shift - 4 * sign, y + 7)]  # fmt: skip
            else:
                ends = [(x - 7, y + shift - 4 * sign), (x, y + shift + 4 * sign),
                        (x + 7, y + shift - 4 * sign)]  # fmt: skip
            parts.append(svg.polyline(ends, stroke=TRACE, stroke_width=3))
    if figure.turn_deg:
        x -= 26.0 if figure.travel_m else 0.0
        parts.append(
            f'<path d="M{x - 8:.1f} {y + 3:.1f}A8 8 0 1 1 {x + 7:.1f} {y + 5:.1f}m1 -7l-1 7l-7 -1" '
            f'fill="none" stroke="{TRACE}" stroke-width="3"/>'
        )
    return parts


def _front(figure: MoveFigure, box: FigureBox) -> list[str]:
    """Return the surface of the water, in front of the body: where it stands on the person."""
    y, x, step = -100 * figure.surface_m, box.left, (box.right - box.left) / 12
    d = f"M{x:.1f} {y:.1f}" + f"q{step / 2:.2f} -3 {step:.2f} 0t{step:.2f} 0" * 6
    return [f'<path d="{d}" fill="none" stroke="{SURFACE}" stroke-width="2.2"/>']


def _stage(figure: MoveFigure, stage: FigureStage, box: FigureBox, depth: str) -> list[str]:
    parts = _scene(figure, box, depth, None)
    limbs = [part for part in figure.parts if part.name.startswith(("lead", "other"))]
    ghosts = [part for part in limbs if _moved(part, stage)]
    for part in ghosts:
        before = _d(part, stage.from_frame)
        parts.append(_path(before, fill="none", stroke=GHOST, stroke_width=100 * part.width_m))
    for part in figure.parts:
        parts += _part(part, stage.frame, "")
    for part in ghosts:
        if part.name.endswith(("foot", "hand")):
            parts += _way(part, stage)
    return [*parts, *_front(figure, box)]


def _moved(part: FigurePart, stage: FigureStage) -> bool:
    """Return whether the far end of a part goes a way that is worth showing."""
    (x1, y1), (x2, y2) = part.frames[stage.from_frame][1], part.frames[stage.frame][1]
    return 100 * math.hypot(x1 - x2, y1 - y2) > SEEN_WAY_CM


def _way(part: FigurePart, stage: FigureStage) -> list[str]:
    """Return the way of a hand or foot to its end position, with an arrow head."""
    frames = part.frames[stage.from_frame : stage.frame + 1]
    points = [(100 * x, -100 * y) for x, y in (frame[1] for frame in frames)]
    (x1, y1), (x2, y2) = points[-3], points[-1]
    length = max(math.hypot(x2 - x1, y2 - y1), 1e-6)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    back = [(x2 - 8 * ux + s * 5 * uy, y2 - 8 * uy - s * 5 * ux) for s in (1, -1)]
    return [
        svg.polyline(points, stroke=HALO, stroke_width=4.5),
        svg.polyline(points, stroke=TRACE, stroke_width=2.2, stroke_dasharray="0.1 5"),
        svg.polyline([back[0], (x2, y2), back[1]], stroke=HALO, stroke_width=5),
        svg.polyline([back[0], (x2, y2), back[1]], stroke=TRACE, stroke_width=2.6),
    ]


def _part(part: FigurePart, frame: int, animation: str, other: str = OTHER) -> list[str]:
    """Return a part of the body with its halo, which sets it off from what is behind it."""
    colour = other if part.name.startswith("other") else INK
    filled = part.name == "trunk" or part.name.endswith("foot")
    width, d = 100 * part.width_m, _d(part, frame)
    if part.name == "nose":
        return [_path(d, animation, fill="none", stroke=colour, stroke_width=width)]
    return [
        _path(d, animation, fill="none", stroke=HALO, stroke_width=width + 2 * HALO_CM),
        _path(d, animation, fill=colour if filled else "none", stroke=colour, stroke_width=width),
    ]


def _path(d: str, inner: str = "", **style: str | float) -> str:
    told = "".join(
        f' {name.replace("_", "-")}="{value if isinstance(value, str) else f"{value:.1f}"}"'
        for name, value in style.items()
    )
    return f'<path d="{d}"{told}>{inner}</path>' if inner else f'<path d="{d}"{told}/>'


def _animation(part: FigurePart, counts: Sequence[float], seconds: float) -> str:
    if all(frame == part.frames[0] for frame in part.frames):
        return ""
    values = ";".join(_d(part, number) for number in range(len(counts)))
    times = ";".join(f"{count / counts[-1]:.4f}".rstrip("0").rstrip(".") for count in counts)
    return (
        f'<animate attributeName="d" dur="{seconds:.3f}s" repeatCount="indefinite" '
        f'keyTimes="{times}" values="{values}"/>'
    )


def _d(part: FigurePart, frame: int) -> str:
    closed = "Z" if len(part.frames[0]) > 2 else ""
    return "M" + "L".join(f"{100 * x:.1f} {-100 * y:.1f}" for x, y in part.frames[frame]) + closed


def _caption(words: str, x: float, y: float) -> list[str]:
    lines = [""]
    for word in words.split():
        if lines[-1] and len(lines[-1]) + len(word) >= LONGEST_LINE:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return [
        svg.text(x, y + 14 + 14 * n, line, 12, text_anchor="middle", fill=INK)
        for n, line in enumerate(lines[:2])
    ]
