"""Rows of the library as a table for spreadsheets and data frames."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from aquatempo.errors import MissingExtraError
from aquatempo.exports.csv_cells import csv_text
from aquatempo.records.library import LibraryTrack

if TYPE_CHECKING:
    from io import BytesIO

__all__ = ["library_csv", "library_parquet"]

_COLUMNS = (
    *("file", "title", "artist", "content_key", "duration_s", "tempo_bpm", "confidence"),
    *("beats_per_bar", "steady", "phrases", "bridges", "breaks", "energy", "corrected"),
)


def library_csv(tracks: Sequence[LibraryTrack]) -> str:
    """Return CSV text, a row a track: facts, tags, rights, approvals, a verdict for each pool."""
    columns, rows = _table(tracks)
    return csv_text(columns, rows)


def library_parquet(tracks: Sequence[LibraryTrack]) -> bytes:
    """Return the same table as Apache Parquet. Raises MissingExtraError without pyarrow."""
    try:
        import pyarrow  # type: ignore[import-not-found, import-untyped, unused-ignore]
        from pyarrow import parquet
    except ImportError as exc:
        raise MissingExtraError("a Parquet file", "parquet") from exc
    from io import BytesIO

    columns, rows = _table(tracks)
    values = {name: [row[index] for row in rows] for index, name in enumerate(columns)}
    values["file"] = [  # a name that is no UTF-8
        str(name).encode("utf-8", "backslashreplace").decode() for name in values["file"]
    ]
    out: BytesIO = BytesIO()
    parquet.write_table(pyarrow.table(values), out)
    return out.getvalue()


def _table(tracks: Sequence[LibraryTrack]) -> tuple[list[str], list[list[object]]]:
    pools = sorted({one.pool for track in tracks for one in track.verdicts})
    columns = [*_COLUMNS, "tags", "rights", "approvals", *(f"fit_{pool}" for pool in pools)]
    rows: list[list[object]] = []
    for track in tracks:
        file = track.files[0] if track.files else ""
        facts = [getattr(track, name) for name in _COLUMNS[1:]]
        fits = {one.pool: one.fit for one in track.verdicts}
        marks = [_marks(track, kind) for kind in ("tag", "rights", "approval")]
        rows.append([file, *facts, *marks, *(fits.get(pool, "") for pool in pools)])
    return columns, rows


def _marks(track: LibraryTrack, kind: str) -> str:
    return "; ".join(
        f"{mark.value} (until {mark.until})" if mark.until else mark.value
        for mark in track.marks
        if mark.kind == kind
    )
