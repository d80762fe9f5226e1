"""A few dozen candidates of a library for a class: what the planner looks at in place of all.

The planner weighs songs by how near their tempo lies to the middle of a part's range, how
sure they are and how much of them is bridge (``planning/songs/choice.py``). The same three
things order the library here, part by part; the lengths of those that are taken are spread,
so that parts can be filled to the second.
"""

from __future__ import annotations

from aquatempo.class_shape.parts import ClassPart, class_shape
from aquatempo.records.plan import Brief
from aquatempo.records.track import Failure, Track
from aquatempo.store.library import tracks, verdicts
from aquatempo.store.library.query import condition_of
from aquatempo.store.library.tables import Books
from aquatempo.workflow.library.finding import whole_track
from aquatempo.workflow.library.opening import open_books

__all__ = ["A_MINUTE", "LEAST", "candidates"]

# Fewer make the planner's search better, not worse: what is weighed cannot all be tried.
LEAST = 8  # candidates for a part, however short
A_MINUTE = 0.7  # candidates for each minute of a part: three times what it plays
LENGTHS = 4  # classes of length among which the candidates of a part are spread
# What a song costs in a part, as the planner weighs it: doubt, bridges, tempo.
_COST = (
    "100 * (1 - confidence) + 200.0 * bridges / max(1, 4 * phrases + bridges) "
    "+ 2 * abs(tempo_bpm - ?) + 2500 * (tempo_bpm < ? OR tempo_bpm > ?) "
    "* min(1.0, max(? - tempo_bpm, tempo_bpm - ?) / 40.0)"
)


def candidates(
    query: str, brief: Brief, *, library: str | None = None
) -> tuple[tuple[Track | Failure, ...], int]:
    """Return tracks of a library that suit the parts of a class best, and of how many.

    query: what they must be beside that. brief: of the class. library: its file, None for
    the user's own. A track whose file is gone or whose analysis is damaged is a Failure.
    Raises InputError for a term that is not understood.
    """
    with open_books(library) as books:
        condition, values = condition_of(query, tuple(verdicts.pools(books)))
        condition = f"({condition}) AND EXISTS (SELECT 1 FROM places WHERE track = number)"
        total = tracks.find(books, condition, values, "newest", 0, 0).total
        numbers: dict[int, None] = {}
        for part in class_shape(brief):
            numbers |= dict.fromkeys(_for_part(books, part, condition, values))
        chosen = tracks.rows_of(books, list(numbers))
        return tuple(whole_track(books, row) for row in chosen), total


def _for_part(
    books: Books, part: ClassPart, condition: str, values: tuple[object, ...]
) -> list[int]:
    """Return the numbers of the cheapest tracks for a part, of short and long ones alike."""
    low, high = part.tempo_bpm
    wanted = max(LEAST, round(A_MINUTE * part.minutes))
    rows = tracks.cheapest(
        books,
        f"tempo_bpm IS NOT NULL AND phrases > 0 AND ({condition})",
        values,
        _COST,
        (part.working_bpm, low, high, low, high),
        most=4 * wanted,
    )
    best = [number for number, _ in rows[: wanted // 2]]
    rest = sorted(rows[wanted // 2 :], key=lambda row: row[1])
    size = max(1, -(-len(rest) // LENGTHS))
    order = {number: place for place, (number, _) in enumerate(rows)}
    for first in range(0, len(rest), size):
        group = sorted((number for number, _ in rest[first : first + size]), key=order.__getitem__)
        best += group[: -(-wanted // (2 * LENGTHS))]
    return best
