"""The instructor's own blocks and choruses, used where they fit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby, pairwise

from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette, Rated, jumps
from aquatempo.planning.moves.passages import passages_for
from aquatempo.planning.moves.slots import Fixed, Kept
from aquatempo.planning.moves.structure import Design
from aquatempo.records.brief import Favourite
from aquatempo.records.moves import Factor
from aquatempo.records.plan import PartName, PlannedTrack
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["WithFavourite", "unused_favourites", "with_favourite"]

_CHORUS = "chorus"


@dataclass(frozen=True)
class WithFavourite:
    """A design with a favourite in its chorus. name: its name, "" where none fits.

    kept: of the phrases that it fills, its forms.
    """

    design: Design
    name: str = ""
    kept: Mapping[int, Sequence[Kept | Fixed | int]] = field(default_factory=dict)


def with_favourite(
    part: PartName,
    phrases: Sequence[int],
    design: Design,
    palette: Palette,
    ledger: Ledger,
    tempo_bpm: float,
) -> WithFavourite:
    """Return a design with the first favourite that fits its chorus and was not used yet.

    It fits where the part and the depth are right, the class knows its moves, all of them keep
    their range at the tempo [beats/min], and the chorus has as many phrases. palette: what the
    class may do here; ledger: what the class has done so far; tempo_bpm: as played [beats/min].
    """
    runs = _choruses(design)
    for favourite in palette.brief.favourites:
        if favourite.name in ledger.favourites or part not in favourite.parts or not runs:
            continue
        if favourite.depth not in (None, palette.brief.depth):
            continue
        rows = _rows(favourite, palette, tempo_bpm, ledger)
        if not rows or any(len(run) < len(rows) for run in runs):
            continue
        names = list(design.names)
        kept: dict[int, Sequence[Kept | Fixed | int]] = {}
        for run in runs:
            for place, row in enumerate(run):
                kept[phrases[row]] = rows[place % len(rows)]
                names[row] = favourite.name
        return WithFavourite(replace(design, names=tuple(names)), favourite.name, kept)
    return WithFavourite(design)


def unused_favourites(
    palette: Palette, tracks: Sequence[PlannedTrack], tempos_bpm: Sequence[float]
) -> list[str]:
    """Return a note for each favourite that the class does not do, with what is in its way.

    palette: what the class may do here; tracks: the songs, filled; tempos_bpm: as played
    [beats/min], one a song.
    """
    done = {phrase.section for track in tracks for phrase in track.phrases}
    notes = []
    for favourite in palette.brief.favourites:
        if favourite.name in done or favourite.depth not in (None, palette.brief.depth):
            continue
        tempos = [
            tempo
            for track, tempo in zip(tracks, tempos_bpm, strict=True)
            if PartName(track.part) in favourite.parts
        ]
        why = _in_the_way(favourite, palette, tempos)
        notes.append(f"the favourite {favourite.name!r} is not used: {why}")
    return notes


def _in_the_way(favourite: Favourite, palette: Palette, tempos_bpm: Sequence[float]) -> str:
    """Return why no song of some tempos [beats/min] takes a favourite."""
    for wish in favourite.blocks:
        move = palette.source.move(wish.move)
        if move not in palette.moves:
            return f"{move.name.lower()} is not among the moves of this class"
        changes = tuple((Factor(factor), key) for factor, key in wish.variation)
        found = [palette.rate([palette.form(move, changes)], tempo)[0] for tempo in tempos_bpm]
        if found and all(not one.allowed for one in found):
            return f"{move.name.lower()} as it does it: {found[0].left_out}"
        if found and all(jumps(one) for one in found):
            return f"{move.name.lower()} jumps"
    return "no chorus of its length comes after its moves were taught"


def _choruses(design: Design) -> list[list[int]]:
    """Return the rows of each chorus of a song, whole phrases only."""
    marked = [
        (row, name == _CHORUS and sum(one.counts for one in slices) == COUNTS_PER_PHRASE)
        for row, (name, slices) in enumerate(zip(design.names, design.slices, strict=True))
    ]
    return [
        [row for row, _ in run]
        for is_chorus, run in groupby(marked, lambda one: one[1])
        if is_chorus
    ]


def _rows(
    favourite: Favourite, palette: Palette, tempo_bpm: float, ledger: Ledger
) -> list[list[Fixed]]:
    """Return the forms of a favourite phrase by phrase, none where it does not fit here."""
    forms: list[tuple[int, Rated]] = []
    for wish in favourite.blocks:
        move = palette.source.move(wish.move)
        if wish.move not in ledger.known or move not in palette.moves:
            return []
        changes = tuple((Factor(factor), key) for factor, key in wish.variation)
        (rated,) = palette.rate([palette.form(move, changes)], tempo_bpm)
        if not rated.allowed or jumps(rated):
            return []
        forms.append((wish.counts, rated))
    passages = passages_for(palette)
    if any(not passages.works(a.form, b.form) for (_, a), (_, b) in pairwise(forms)):
        return []
    rows: list[list[Fixed]] = [[]]
    for counts, rated in forms:
        left = counts
        while left:
            room = COUNTS_PER_PHRASE - sum(one.counts for one in rows[-1])
            if not room:
                rows.append([])
                room = COUNTS_PER_PHRASE
            take = min(room, left)
            rows[-1].append(Fixed(take, rated.form))
            left -= take
    return rows
