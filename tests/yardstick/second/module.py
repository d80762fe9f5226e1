"""Kind module: tracker modules of games. Beats are rows, exact to 1.5 ms."""

from __future__ import annotations

from ..devset import sounding_span
from ..devset_render import RATE_HZ, render_module
from .rows import Row, one, save_track

LIMIT_S = 95.0


def make(row: Row, kind: str = "module") -> None:
    """Build one track. Keys: file, rows_per_count; a bar is four counts from a pattern's start.

    from_s: what comes before is cut off; limit_s: where the track ends.
    """
    path = one(row["folder"], row["file"])
    samples, times, numbers = render_module(path, row.get("limit_s", LIMIT_S))
    start_s = row.get("from_s", 0.0)
    samples, times = samples[int(start_s * RATE_HZ) :], times - start_s
    count = row["rows_per_count"]
    grid = (times[numbers % count == 0], times[numbers % (4 * count) == 0])
    save_track(kind, row, samples, RATE_HZ, grid, sounding_span(samples, RATE_HZ, 0.02))
