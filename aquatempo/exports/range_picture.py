"""A picture of range kept against music tempo: a panel a move, a line a tempo option.

Lines differ by their dashes and are labelled where they end, so that the picture
reads in grey. The shaded band runs from the weak to the strong end of the group.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from aquatempo.exports import svg
from aquatempo.records.tempo_option import TempoOption
from aquatempo.records.verdict import RangeCurve

__all__ = ["range_picture"]

PANEL_WIDTH, PANEL_HEIGHT = 560.0, 300.0
LEFT, TOP, RIGHT, BOTTOM = 58.0, 46.0, 86.0, 52.0
HEAD, FOOT = 64.0, 34.0
DASHES = ("", "9 5", "2 4", "12 4 2 4", "5 2")


def range_picture(title: str, curves: Sequence[RangeCurve], tempo_bpm: float | None = None) -> str:
    """Return SVG text; tempo_bpm, where given, is marked in each panel.

    title: above the picture; curves: range kept over tempo, one a move and pattern.
    """
    panels = [(name, list(some)) for name, some in groupby(curves, lambda curve: curve.name)]
    columns = 1 if len(panels) == 1 else 2
    rows = -(-len(panels) // columns)
    width, height = columns * PANEL_WIDTH, HEAD + rows * PANEL_HEIGHT + FOOT
    parts = [svg.text(20, 38, title, 22, font_weight="bold", fill="#000")]
    for number, (name, some) in enumerate(panels):
        left = (number % columns) * PANEL_WIDTH + LEFT
        top = HEAD + (number // columns) * PANEL_HEIGHT + TOP
        parts += _panel(name, some, left, top, tempo_bpm)
    note = "line: median of the group · band: weak to strong end · an estimate for planning"
    parts.append(svg.text(20, height - 12, note, 13, fill="#333"))
    return svg.document(width, height, title, parts)


def _panel(
    name: str, curves: Sequence[RangeCurve], left: float, top: float, tempo_bpm: float | None
) -> list[str]:
    width, height = PANEL_WIDTH - LEFT - RIGHT, PANEL_HEIGHT - TOP - BOTTOM
    lowest, highest = curves[0].tempos_bpm[0], curves[0].tempos_bpm[-1]

    def x(tempo: float) -> float:
        return left + (tempo - lowest) / (highest - lowest) * width

    def y(share: float) -> float:
        return top + (1.0 - share) * height

    parts = [svg.text(left, top - 14, name, 17, font_weight="bold", fill="#000")]
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        parts.append(svg.line(left, y(share), left + width, y(share), stroke="#ddd"))
        label = f"{share:.0%}"
        parts.append(svg.text(left - 8, y(share) + 4, label, 12, text_anchor="end", fill="#222"))
    first = int(-(-lowest // 20) * 20)
    for tempo in range(first, int(highest) + 1, 20):
        parts.append(svg.line(x(tempo), top + height, x(tempo), top + height + 5, stroke="#000"))
        parts.append(
            svg.text(x(tempo), top + height + 19, f"{tempo}", 12, text_anchor="middle", fill="#222")
        )
    axis = "music tempo [beats a minute]"
    parts.append(svg.text(left, top + height + 37, axis, 12, fill="#222"))
    if tempo_bpm is not None and lowest <= tempo_bpm <= highest:
        parts.append(
            svg.line(x(tempo_bpm), top, x(tempo_bpm), top + height, stroke="#000", stroke_width=0.8)
        )
    for curve in curves:
        upper = [(x(t), y(v)) for t, v in zip(curve.tempos_bpm, curve.high, strict=True)]
        lower = [(x(t), y(v)) for t, v in zip(curve.tempos_bpm, curve.low, strict=True)]
        parts.append(svg.polygon([*upper, *reversed(lower)], fill="#000", fill_opacity=0.08))
    taken: list[float] = []
    for number, curve in enumerate(curves):
        points = [(x(t), y(v)) for t, v in zip(curve.tempos_bpm, curve.median, strict=True)]
        dash = DASHES[number % len(DASHES)]
        parts.append(
            svg.polyline(points, stroke="#000", stroke_width=2.2, stroke_dasharray=dash or "none")
        )
        label_y = _free(points[-1][1] + 4, taken)
        usual = {option.value: option.words for option in TempoOption}
        label = usual.get(curve.pattern, curve.pattern)
        parts.append(svg.text(left + width + 6, label_y, label, 12, fill="#000"))
    return parts


def _free(wanted: float, taken: list[float]) -> float:
    """Return the place nearest below wanted where a label meets no other, and take it."""
    place = wanted
    while any(abs(place - other) < 14 for other in taken):
        place += 14
    taken.append(place)
    return place
