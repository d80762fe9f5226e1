"""Draw the icons of an installed deck page: a 1 above the water line, of plain shapes.

Run ``python docs/figures/make_icons.py`` to renew ``aquatempo/exports/page_parts/icon-*.png``.
"""

from __future__ import annotations

import math
from pathlib import Path

from PIL import Image, ImageDraw

from aquatempo.exports.page_app import ICON_SIZES

PARTS = Path(__file__).parents[2] / "aquatempo/exports/page_parts"
OVER = 4  # drawn larger and made smaller, for smooth edges
INK, PAPER = 0, 255


def icon(size: int) -> Image.Image:
    """Return the icon; what matters lies in the inner 80 %, which every mask leaves (W3C)."""
    side = size * OVER
    image = Image.new("L", (side, side), INK)
    pen = ImageDraw.Draw(image)
    stem, left, top, foot = 0.13 * side, 0.45 * side, 0.19 * side, 0.56 * side
    pen.rectangle((left, top, left + stem, foot), fill=PAPER)
    pen.polygon(
        [(left, top), (left - 0.13 * side, top + 0.12 * side), (left, top + 0.17 * side)],
        fill=PAPER,
    )
    for row in (0.68, 0.80):
        wave = [
            (x, side * (row + 0.028 * math.sin(4 * math.pi * x / side)))
            for x in range(round(0.16 * side), round(0.84 * side))
        ]
        pen.line(wave, fill=PAPER, width=round(0.055 * side), joint="curve")
    return image.resize((size, size), Image.Resampling.LANCZOS)


if __name__ == "__main__":
    for pixels in ICON_SIZES:
        icon(pixels).save(PARTS / f"icon-{pixels}.png", optimize=True)
