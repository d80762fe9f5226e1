"""A picture of the effort of a class along its clock: a step a phrase, parts marked.

Parts differ by their shade and are named where they start, faults are marks with a
letter, so that the picture reads in grey.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from aquatempo.exports import svg
from aquatempo.records.review import Review, Severity

__all__ = ["effort_picture"]

WIDTH, HEIGHT = 900.0, 390.0
LEFT, TOP, RIGHT, BOTTOM = 64.0, 104.0, 24.0, 96.0
SHADES = ("#f4f4f4", "#e2e2e2")
MARKS = {Severity.ERROR: "E", Severity.WARNING: "W", Severity.ADVICE: "a"}
MARK_WIDTH = 17.0
_Scale = Callable[[float], float]
NAME_ROWS = (18.0, 4.0)  # part names take turns, so that short parts do not meet


def effort_picture(title: str, review: Review) -> str:
    """Return SVG text.

    title: of the class; review: with the effort a phrase [MET].
    """
    end = max(review.minutes, 0.1)
    highest = max((met for _, met in review.effort), default=1.0)
    top_met = float(int(highest) + 1)
    width, height = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM

    def x(minute: float) -> float:
        return LEFT + minute / end * width

    def y(met: float) -> float:
        return TOP + (1.0 - met / top_met) * height

    parts = [svg.text(20, 34, f"{title}: effort along the class", 22, font_weight="bold")]
    for number, (name, start, stop) in enumerate(review.parts):
        parts.append(
            svg.rectangle(x(start), TOP, x(stop) - x(start), height, fill=SHADES[number % 2])
        )
        parts.append(svg.line(x(start), TOP - 16, x(start), TOP + height, stroke="#555"))
        row = TOP - NAME_ROWS[number % 2]
        parts.append(svg.text(x(start) + 4, row, name, 14, font_weight="bold"))
    parts += _scales(end, top_met, x, y)
    parts += _curve(review, end, x, y)
    parts += _marks(review, x)
    note = "a step a phrase, median of the group · an estimate for planning, not a clearance"
    if any(one.track for one in review.findings):
        note = "E error, W warning, a advice: see the list · " + note
    parts.append(svg.text(20, HEIGHT - 10, note, 13, fill="#333"))
    return svg.document(WIDTH, HEIGHT, f"{title}: effort along the class", parts)


def _scales(end: float, top_met: float, x: _Scale, y: _Scale) -> list[str]:
    parts = []
    for met in range(int(top_met) + 1):
        parts.append(svg.line(x(0), y(met), x(end), y(met), stroke="#bbb", stroke_width=0.6))
        parts.append(svg.text(LEFT - 8, y(met) + 5, f"{met}", 13, text_anchor="end"))
    parts.append(svg.text(20, TOP - 16, "MET", 13))
    step = next(size for size in (1, 2, 5, 10, 20) if end / size <= 14 or size == 20)
    for minute in range(0, int(end) + 1, step):
        parts.append(svg.line(x(minute), y(0), x(minute), y(0) + 5, stroke="#000"))
        parts.append(svg.text(x(minute), y(0) + 20, f"{minute}", 13, text_anchor="middle"))
    parts.append(svg.text(20, y(0) + 20, "min", 13))
    return parts


def _curve(review: Review, end: float, x: _Scale, y: _Scale) -> list[str]:
    if not review.effort:
        return [svg.text(x(end / 2), y(0) - 20, "no effort is known", 16, text_anchor="middle")]
    points = []
    for (minute, met), (following, _) in pairwise([*review.effort, (end, 0.0)]):
        points += [(x(minute), y(met)), (x(following), y(met))]
    return [svg.polyline(points, stroke="#000", stroke_width=2.4, stroke_linejoin="round")]


def _marks(review: Review, x: _Scale) -> list[str]:
    """Mark findings under the axis, errors first; marks that would meet are drawn once."""
    row = HEIGHT - BOTTOM + 36
    placed = [one for one in review.findings if one.track]
    taken: list[float] = []
    parts = []
    for one in placed:
        place = x(one.minute)
        if any(abs(place - other) < MARK_WIDTH for other in taken):
            continue
        taken.append(place)
        parts.append(_mark(place, row, MARKS[one.severity]))
    return parts


def _mark(place: float, row: float, letter: str) -> str:
    dark = letter == "E"
    box = svg.rectangle(
        *(place - 7, row - 2, 14, 16),
        fill="#000" if dark else "#fff",
        stroke="#000",
    )
    words = svg.text(
        *(place, row + 11, letter, 12),
        text_anchor="middle",
        font_weight="bold",
        fill="#fff" if dark else "#000",
    )
    return svg.group([box, words])
