"""A favourite that a class does not do is told, with what is in its way."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, cast

import pytest
from favourite_moves import Moves
from plan_shapes import song_of

from aquatempo.planning.moves.favourites import unused_favourites
from aquatempo.planning.moves.palette import Palette
from aquatempo.records.brief import BlockWish, Favourite
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Brief, PartName

OPEN = Favourite("Friday", (BlockWish(32, "jack", (("hands", "open"),)),))


def notes(favourite: Favourite, section: str = "", **palette: Any) -> list[str]:
    """Return what is said of a favourite in a class of one song."""
    song = song_of("Lane", "main", "jog")
    song = replace(song, phrases=tuple(replace(one, section=section) for one in song.phrases))
    moves = Moves(Brief(favourites=(favourite,)), **{"keys": ("jack", "jump"), **palette})
    return unused_favourites(cast("Palette", moves), [song], [128.0])


@pytest.mark.parametrize(
    ("favourite", "palette", "why"),
    [
        (OPEN, {}, "no chorus of its length comes after its moves were taught"),
        (OPEN, {"keys": ("jump",)}, "jack is not among the moves of this class"),
        (OPEN, {"barred": "jack", "why": "max_impact low"}, "jack as it does it: max_impact low"),
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
