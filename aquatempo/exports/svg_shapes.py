"""The pictures that we draw as SVG, as plain outlines for paper: what ``svg`` writes, no more.

A general reader of SVG takes 0.2 s for a figure; this takes a hundredth of that.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

__all__ = ["DrawnLine", "outlines"]

Point = tuple[float, float]
_TOKEN = re.compile(r"[A-Za-z]|-?\d*\.?\d+")
_MOVED = re.compile(r"translate\((-?[\d.]+)[ ,](-?[\d.]+)\)")
_CURVE_STEPS, _ARC_STEPS = 4, 16
_TAKES = {"M": 2, "L": 2, "H": 1, "m": 2, "l": 2, "q": 4, "t": 2, "A": 7}


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """A line through points.

    fill, stroke: colours as ``#rrggbb`` or "" for none; width: of the stroke; dots: how far
    apart the dots are that it is made of, 0 where it is whole.
    """

    points: tuple[Point, ...]
    closed: bool
    fill: str
    stroke: str
    width: float
    dots: float = 0.0


def outlines(picture: str) -> tuple[tuple[float, float, float, float], tuple[DrawnLine, ...]]:
    """Return the frame of a picture (left, top, width, height) and its outlines, in order.

    picture: SVG as ``exports`` writes it; texts are left out.
    """
    root = ElementTree.fromstring(picture)
    left, top, width, height = (float(one) for one in root.attrib["viewBox"].split())
    return (left, top, width, height), tuple(_inside(root, {}, (0.0, 0.0)))


def _inside(
    parent: ElementTree.Element, above: dict[str, str], shift: Point
) -> Iterator[DrawnLine]:
    for element in parent:
        kind, known = element.tag.rpartition("}")[2], {**above, **element.attrib}
        if kind == "g":
            moved = _MOVED.search(element.get("transform", ""))
            x, y = (float(moved[1]), float(moved[2])) if moved else (0.0, 0.0)
            yield from _inside(element, known, (shift[0] + x, shift[1] + y))
            continue
        for points, closed in _lines(kind, element):
            placed = tuple((x + shift[0], y + shift[1]) for x, y in points)
            fill, stroke = (_colour(known.get(name, "none")) for name in ("fill", "stroke"))
            dots = float(known.get("stroke-dasharray", "0 0").split()[1])
            width = float(known.get("stroke-width", "1"))
            yield DrawnLine(placed, closed, fill, stroke, width, dots)


def _colour(told: str) -> str:
    return "" if told == "none" else told


def _lines(kind: str, element: ElementTree.Element) -> Iterator[tuple[list[Point], bool]]:
    def number(name: str) -> float:
        return float(element.get(name, "0"))

    if kind == "rect":
        x, y, wide, high = (number(name) for name in ("x", "y", "width", "height"))
        yield [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)], True
    elif kind == "line":
        yield [(number("x1"), number("y1")), (number("x2"), number("y2"))], False
    elif kind == "polyline":
        pairs = [pair.split(",") for pair in element.get("points", "").split()]
        yield [(float(x), float(y)) for x, y in pairs], False
    elif kind == "path":
        yield from _path(element.get("d", ""))


def _path(d: str) -> Iterator[tuple[list[Point], bool]]:
    """Read a path (W3C SVG 1.1, chapter 8), its curves as short lines."""
    tokens = _TOKEN.findall(d)
    points: list[Point] = []
    control: Point | None = None
    command, at = "", 0
    while at < len(tokens):
        if tokens[at].isalpha():
            command, at = tokens[at], at + 1
        if command == "Z":
            yield points, True
            points = []
            continue
        told = [float(one) for one in tokens[at : at + _TAKES[command]]]
        at += _TAKES[command]
        x, y = points[-1] if points else (0.0, 0.0)
        if command in "Mm":
            if points:
                yield points, False
            points = [(told[0], told[1]) if command == "M" else (x + told[0], y + told[1])]
            command = "L" if command == "M" else "l"
        elif command == "A":
            points += _arc((x, y), told[0], (told[5], told[6]))
        elif command in "qt":
            reflected = (2 * x - control[0], 2 * y - control[1]) if control else (x, y)
            control = (x + told[0], y + told[1]) if command == "q" else reflected
            points += _curve((x, y), control, (x + told[-2], y + told[-1]))
        else:
            points.append(
                {"L": (told[0], told[-1]), "H": (told[0], y), "l": (x + told[0], y + told[-1])}[
                    command
                ]
            )
    if points:
        yield points, False


def _curve(start: Point, control: Point, end: Point) -> list[Point]:
    shares = [step / _CURVE_STEPS for step in range(1, _CURVE_STEPS + 1)]
    return [
        (
            (1 - s) ** 2 * start[0] + 2 * s * (1 - s) * control[0] + s**2 * end[0],
            (1 - s) ** 2 * start[1] + 2 * s * (1 - s) * control[1] + s**2 * end[1],
        )
        for s in shares
    ]


def _arc(start: Point, radius: float, end: Point) -> list[Point]:
    """Return the longer way round, clockwise as it is seen: the only arc that we draw."""
    half = math.dist(start, end) / 2
    off = math.sqrt(max(radius**2 - half**2, 0.0))
    ux, uy = (end[0] - start[0]) / (2 * half), (end[1] - start[1]) / (2 * half)
    x, y = (start[0] + end[0]) / 2 + off * uy, (start[1] + end[1]) / 2 - off * ux
    first = math.atan2(start[1] - y, start[0] - x)
    way = (math.atan2(end[1] - y, end[0] - x) - first) % (2 * math.pi)
    return [
        (x + radius * math.cos(first + way * n / _ARC_STEPS),
         y + radius * math.sin(first + way * n / _ARC_STEPS))
        for n in range(1, _ARC_STEPS + 1)
    ]  # fmt: skip
