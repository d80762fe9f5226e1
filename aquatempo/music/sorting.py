"""Rows of the music list that a query asks for, in its order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from aquatempo.records.music import MusicQuery, MusicRow, RowState, SortKey

__all__ = ["matching"]

_RANK = {"suits": 0, "suits with changes": 1, "does not suit": 2}
_UNKNOWN = 3  # what is not heard yet comes last, whatever the order


def matching(rows: Sequence[MusicRow], query: MusicQuery) -> list[MusicRow]:
    """Return the rows that a query fits, sorted as it asks; equal ones keep their order."""
    words = query.search.casefold().split()
    found = [row for row in rows if _fits(row, query, words)]
    if query.sort is SortKey.ADDED:
        return found[::-1] if query.descending else found
    value = _VALUES[query.sort]
    known = [row for row in found if value(row) is not None]
    unknown = [row for row in found if value(row) is None]
    known.sort(key=value, reverse=query.descending)
    return known + unknown


def _fits(row: MusicRow, query: MusicQuery, words: Sequence[str]) -> bool:
    if words:
        text = f"{row.title} {row.file}".casefold()
        if not all(word in text for word in words):
            return False
    if query.suits:
        most = 1 if query.with_changes else 0
        if _rank(row, query.suits) > most:
            return False
    if query.from_bpm is not None and (row.tempo_bpm or 0.0) < query.from_bpm:
        return False
    if query.to_bpm is not None and (row.tempo_bpm is None or row.tempo_bpm > query.to_bpm):
        return False
    return not query.only or _STATES[query.only](row) if query.only in _STATES else True


def _rank(row: MusicRow, depth: str) -> int:
    for one in row.fits:
        if one.fit.depth == depth:
            return _RANK[one.fit.fit]
    return _UNKNOWN


def _fit_value(depth: str) -> Callable[[MusicRow], tuple[int, float] | None]:
    def value(row: MusicRow) -> tuple[int, float] | None:
        return (_rank(row, depth), -(row.sure or 0.0)) if row.fits else None

    return value


_STATES: dict[str, Callable[[MusicRow], bool]] = {
    "unsure": lambda row: row.state is RowState.HEARD and not row.is_sure,
    "failed": lambda row: row.state is RowState.FAILED,
    "waiting": lambda row: row.state is RowState.WAITING,
    "corrected": lambda row: row.corrected,
}
_VALUES: dict[SortKey, Callable[[MusicRow], Any]] = {
    SortKey.TITLE: lambda row: row.title.casefold(),
    SortKey.LENGTH: lambda row: row.duration_s,
    SortKey.TEMPO: lambda row: row.tempo_bpm,
    SortKey.SURE: lambda row: row.sure,
    SortKey.SHALLOW: _fit_value("shallow"),
    SortKey.DEEP: _fit_value("deep"),
}
