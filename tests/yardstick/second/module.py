"""Kind module: tracker modules of games. Beats are rows, exact to 1.5 ms."""

from __future__ import annotations

from ..devset import sounding_span
from ..devset_render import RATE_HZ, render_module
from .rows import Row, one, save_track

LIMIT_S = 95.0


def make(row: Row) -> None:
    """Build one track. Keys: file, rows_per_count; a bar is four counts from a pattern's start."""
    samples, times, numbers = render_module(one(row["folder"], row["file"]), LIMIT_S)
    count = row["rows_per_count"]
    grid = (times[numbers % count == 0], times[numbers % (4 * count) == 0])
    save_track("module", row, samples, RATE_HZ, grid, sounding_span(samples, RATE_HZ, 0.02))
