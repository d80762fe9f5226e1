"""The few SVG elements that our pictures are made of (W3C SVG 1.1)."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from xml.sax import saxutils

__all__ = ["circle", "document", "group", "line", "polygon", "polyline", "rectangle", "text"]

# What no XML document may hold (XML 1.0, section 2.2): a title can have any of it.
_ILLEGAL = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
FONT = "system-ui, 'DejaVu Sans', 'Liberation Sans', Arial, sans-serif"


def document(width: float, height: float, title: str, parts: Iterable[str], style: str = "") -> str:
    """Return a whole SVG document on a white ground; title is read by screen readers.

    width: of the picture; height: of it [px]; parts: elements as text. style: rules for the
    classes of its elements (CSS), of which ``ground`` is the ground itself.
    """
    rules = f"<style>{style}</style>\n" if style else ""
    body = "\n".join(parts)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'width="{width:g}" height="{height:g}" role="img" font-family={_quoted(FONT)}>\n'
        f"<title>{_escaped(title)}</title>\n{rules}{_HATCH}\n"
        f'<rect width="{width:g}" height="{height:g}" class="ground" fill="#fff"/>\n'
        f"{body}\n</svg>\n"
    )


def group(parts: Iterable[str], **style: str | float) -> str:
    """Return parts wrapped in one group."""
    return f"<g{_attributes(style)}>" + "\n".join(parts) + "</g>"


def circle(x: float, y: float, radius: float, **style: str | float) -> str:
    """Return a circle around a point; all in px.

    x: of its middle; y: of its middle; radius: [px].
    """
    return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:g}"{_attributes(style)}/>'


def line(x1: float, y1: float, x2: float, y2: float, **style: str | float) -> str:
    """Return a line; style names use _ for -, e.g. ``stroke_width=2``, ``class_="ink"``.

    x1: start; y1: start; x2: end; y2: end [px].
    """
    ends = f'x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}"'
    return f"<line {ends}{_attributes(style)}/>"


def rectangle(x: float, y: float, width: float, height: float, **style: str | float) -> str:
    """Return a rectangle.

    x: left edge; y: top; width: of it; height: of it [px].
    """
    box = f'x="{x:.2f}" y="{y:.2f}" width="{max(width, 0.0):.2f}" height="{max(height, 0.0):.2f}"'
    return f"<rect {box}{_attributes(style)}/>"


def polygon(points: Sequence[tuple[float, float]], **style: str | float) -> str:
    """Return a closed shape."""
    return f'<polygon points="{_points(points)}"{_attributes(style)}/>'


def polyline(points: Sequence[tuple[float, float]], **style: str | float) -> str:
    """Return an open line through points."""
    return f'<polyline points="{_points(points)}" fill="none"{_attributes(style)}/>'


def text(x: float, y: float, words: str, size: float, **style: str | float) -> str:
    """Return a line of text at its baseline.

    x: place; y: baseline; words: what is written; size: of letters [px].
    """
    place = f'x="{x:.2f}" y="{y:.2f}" font-size="{size:g}"'
    return f"<text {place}{_attributes(style)}>{_escaped(words)}</text>"


_HATCH = (
    '<defs><pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><rect width="7" height="7" fill="#fff" class="ground"/>'
    '<line x1="0" y1="0" x2="0" y2="7" stroke="#000" stroke-width="2.4" class="hatch-line"/>'
    "</pattern></defs>"
)


def _escaped(words: str) -> str:
    return saxutils.escape(_ILLEGAL.sub("\ufffd", words))


def _quoted(words: str) -> str:
    return saxutils.quoteattr(_ILLEGAL.sub("\ufffd", words))


def _attributes(style: dict[str, str | float]) -> str:
    pairs = ((name.rstrip("_").replace("_", "-"), value) for name, value in style.items())
    return "".join(
        f" {name}={_quoted(value if isinstance(value, str) else f'{value:g}')}"
        for name, value in pairs
    )


def _points(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
