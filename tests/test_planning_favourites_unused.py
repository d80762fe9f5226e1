"""A favourite that a class does not do is told, with what is in its way."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, cast

import pytest
from plan_shapes import song_of
from planning_forms import form_of, rated

from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.moves.favourites import unused_favourites
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.records.brief import BlockWish, Favourite
from aquatempo.records.moves import Factor, Move, MoveForm
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Brief, PartName

OPEN = Favourite("Friday", (BlockWish(32, "jack", (("hands", "open"),)),))


@dataclass
class Moves:
    """Stands for a palette of two moves that lets through what is not named."""

    brief: Brief
    keys: tuple[str, ...] = ("jack", "jump")
    barred: str = ""

    @property
    def source(self) -> Catalogue:
        """The whole catalogue."""
        return catalogue()

    @property
    def moves(self) -> list[Move]:
        """The moves of the class."""
        return [catalogue().moves[key] for key in self.keys]

    def form(self, move: Move, changes: tuple[tuple[Factor, str], ...]) -> MoveForm:
        """Return a form of a move."""
        return form_of(move.key, *changes)

    def rate(self, forms: list[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return forms by hand; tempo_bpm is that of a song."""
        assert tempo_bpm == 128.0
        told = [rated(one.move.key, changes=one.variation.changes) for one in forms]
        return [replace(one, left_out=self.barred) for one in told]


def notes(favourite: Favourite, section: str = "", **palette: Any) -> list[str]:
    """Return what is said of a favourite in a class of one song."""
    song = song_of("Lane", "main", "jog")
    song = replace(song, phrases=tuple(replace(one, section=section) for one in song.phrases))
    moves = Moves(Brief(favourites=(favourite,)), **palette)
    return unused_favourites(cast("Palette", moves), [song], [128.0])


@pytest.mark.parametrize(
    ("favourite", "palette", "why"),
    [
        (OPEN, {}, "no chorus of its length comes after its moves were taught"),
        (OPEN, {"keys": ("jump",)}, "jack is not among the moves of this class"),
        (OPEN, {"barred": "max_impact low"}, "jack as it does it: max_impact low"),
        (Favourite("Friday", (BlockWish(32, "jump", ()),)), {}, "jump jumps"),
    ],
)
def test_what_is_in_its_way_is_said(
    favourite: Favourite, palette: dict[str, Any], why: str
) -> None:
    """A move that is not there, a form that is left out, a jump, or no chorus for it."""
    assert notes(favourite, **palette) == [f"the favourite 'Friday' is not used: {why}"]


def test_what_is_done_or_for_another_depth_is_not_told() -> None:
    """A phrase has its name; one for deep water waits for a deep class; no part, no reason."""
    assert notes(OPEN, section="Friday") == []
    assert notes(replace(OPEN, depth=ClassDepth.DEEP)) == []
    elsewhere = replace(OPEN, parts=(PartName.WARM_UP,))
    assert notes(elsewhere, barred="x")[0].endswith(
        "no chorus of its length comes after its moves were taught"
    )
