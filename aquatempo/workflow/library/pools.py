"""Pools that are stated under a name, for whose classes all tracks are judged."""

from __future__ import annotations

from aquatempo.errors import InputError
from aquatempo.records.people import Group, Pool
from aquatempo.records.plain import to_plain
from aquatempo.store.library import verdicts
from aquatempo.workflow.library.judging import Stated, pools_of, verdicts_of
from aquatempo.workflow.library.opening import open_books

__all__ = ["state_pool", "stated_pools"]

LONGEST_NAME = 60


def state_pool(
    name: str, pool: Pool, group: Group | None = None, *, library: str | None = None
) -> int:
    """State a pool and its group under a name, and judge all tracks for it; return how many.

    group None: the usual one. library: its file, None for the user's own. Raises InputError
    for a name that a query could not hold, OutputError.
    """
    if not name.isprintable() or not 0 < len(name) <= LONGEST_NAME or "," in name:
        seen = repr(name[:LONGEST_NAME])
        raise InputError(f"pool name {seen}: needs 1 to {LONGEST_NAME} characters, no comma")
    with open_books(library) as books:
        whose = group or Group()
        verdicts.put_pool(books, name, {"pool": to_plain(pool), "group": to_plain(whose)})
        judged = [
            (number, verdict)
            for number, tempo_bpm, per_bar, steady, phrases in verdicts.unjudged(books, name)
            for verdict in verdicts_of(tempo_bpm, per_bar, steady, phrases, {name: (pool, whose)})
        ]
        verdicts.put_verdicts(books, judged)
        return len(judged)


def stated_pools(library: str | None = None) -> Stated:
    """Return the stated pools of a library (None: the user's own) with their groups by name."""
    with open_books(library) as books:
        return pools_of(verdicts.pools(books))
