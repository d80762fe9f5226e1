"""The moves of a class as one printable HTML page of figures: end positions, name and call."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

__all__ = ["FigureCell", "figure_sheet"]

_STYLE = """\
body { margin: 0; color: #000; background: #fff; }
body { font: 15px/1.3 system-ui, "DejaVu Sans", Arial, sans-serif; }
main { display: grid; gap: .6rem; padding: .8rem; }
main { grid-template-columns: repeat(auto-fill, minmax(min(19rem, 100%), 1fr)); }
h1 { font-size: 1.4rem; margin: .8rem .8rem 0; }
figure { margin: 0; border: 1.5px solid #000; border-radius: .4rem; padding: .5rem; }
figure { break-inside: avoid; }
figure svg { width: 100%; height: 13rem; }
figcaption b { display: block; font-size: 1.25rem; }
p { font-size: .8rem; margin: .8rem; }
@media print { main { grid-template-columns: 1fr 1fr; } figure svg { height: 5.6cm; } }
"""


@dataclass(frozen=True, slots=True)
class FigureCell:
    """A move of a class: its name, what is called, where it comes, its picture as SVG text."""

    name: str
    call: str
    where: str
    picture: str


def figure_sheet(title: str, cells: Sequence[FigureCell], language: str, caution: str) -> str:
    """Return the HTML text.

    title: of the class; cells: its moves in order; language: of the words; caution: the foot.
    """
    figures = "\n".join(
        f"<figure>{one.picture}<figcaption><b>{escape(one.name)}</b>{escape(one.call)}"
        f" <small>{escape(one.where)}</small></figcaption></figure>"
        for one in cells
    )
    return (
        f'<!doctype html>\n<html lang="{escape(language)}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>\n{_STYLE}</style>\n</head>\n<body>\n"
        f"<h1>{escape(title)}</h1>\n<main>\n{figures}\n</main>\n<p>{escape(caution)}</p>\n"
        "</body>\n</html>\n"
    )
