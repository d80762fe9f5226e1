"""A page of the library as a table."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from aquatempo.cli.views.marks import Grade, graded
from aquatempo.cli.views.table import show_table
from aquatempo.records.library import LibraryPage, LibraryTrack

__all__ = ["show_page"]

_FITS = {"suits": ("yes", Grade.GOOD), "suits with changes": ("changes", Grade.PARTLY)}

_SPARE = ("bridges", "32s", "sure", "length")  # what a narrow terminal does without


def show_page(console: Console, page: LibraryPage, rows: int) -> None:
    """Print a page: one line a track, and which page of how many it is.

    console: the terminal; rows: of a full page.
    """
    if page.tracks:
        pools = sorted({one.pool for track in page.tracks for one in track.verdicts})
        headings = ["title", "bpm", "sure", "32s", "bridges", "length", *pools, "marks"]
        lines = [_line(console, track, pools) for track in page.tracks]
        numbers = ("bpm", "sure", "32s", "bridges", "length")
        show_table(console, headings, lines, numbers=numbers, free_text="marks", spare=_SPARE)
    hint = f" ({page.hint})" if page.hint else ""
    pages = max(1, -(-page.total // max(1, rows)))
    console.print(f"{page.total} tracks, page {page.first // max(1, rows) + 1} of {pages}{hint}")


def _line(console: Console, track: LibraryTrack, pools: list[str]) -> list[str | Text]:
    fits = {
        one.pool: graded(console, *_FITS.get(one.fit, ("no", Grade.BAD))) for one in track.verdicts
    }
    minutes, seconds = divmod(round(track.duration_s), 60)
    return [
        track.title,
        "–" if track.tempo_bpm is None else f"{track.tempo_bpm:.1f}",
        f"{track.confidence:.0%}",
        str(track.phrases),
        str(track.bridges),
        f"{minutes}:{seconds:02d}",
        *(fits.get(pool, "") for pool in pools),
        ", ".join(mark.value for mark in track.marks),
    ]
