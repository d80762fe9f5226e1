"""A library made ready: the usual pools stated, corrections since made taken into account."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from aquatempo.records.people import Group
from aquatempo.records.plain import to_plain
from aquatempo.store.correction_files import corrections_by_key
from aquatempo.store.database import transaction
from aquatempo.store.library import tracks, verdicts
from aquatempo.store.library.tables import Books, library_path, open_library
from aquatempo.workflow.checking import USUAL_POOLS
from aquatempo.workflow.library.judging import corrected, facts_of, pools_of, verdicts_of

__all__ = ["open_books"]


@contextmanager
def open_books(library: str | None = None) -> Iterator[Books]:
    """Give the library in a file (None: the user's own), up to date with pools and corrections.

    Raises InputError for a file that is damaged or another's, OutputError.
    """
    with open_library(library_path(library)) as books:
        stated = verdicts.pools(books)
        for pool in USUAL_POOLS:
            if pool.kind.value not in stated:
                plain = {"pool": to_plain(pool), "group": to_plain(Group())}
                verdicts.put_pool(books, pool.kind.value, plain)
        _renew(books)
        yield books


def _renew(books: Books) -> None:
    """Renew the facts of tracks whose file of corrections is new, was changed or is gone."""
    known = dict(books.execute("SELECT start, stamp FROM stamps").fetchall())
    now = corrections_by_key()
    changed = {start for start in known.keys() | now.keys() if known.get(start) != now.get(start)}
    if not changed:
        return
    stated = pools_of(verdicts.pools(books))
    for start in sorted(changed):
        rows = tracks.find(
            books, "content_key >= ? AND content_key < ?", (start, f"{start}g")
        ).tracks
        for row in rows:
            kept = tracks.analysis_of(books, row.content_key)
            if kept is None:
                continue
            analysis, is_corrected = corrected(row.content_key, kept[0])
            facts = facts_of(row.title, row.artist, analysis, is_corrected, kept[1])
            judged = verdicts_of(
                facts.tempo_bpm, facts.beats_per_bar, facts.steady, facts.phrases, stated
            )
            tracks.put_facts(books, row.content_key, facts, judged)
        with transaction(books):
            books.execute("DELETE FROM stamps WHERE start = ?", (start,))
            if start in now:
                books.execute("INSERT INTO stamps VALUES (?, ?)", (start, now[start]))
