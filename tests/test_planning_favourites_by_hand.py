"""Where a block of the instructor's own goes: into which choruses, in which parts, if at all."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, cast

import pytest
from favourite_moves import Moves
from planning_forms import SHALLOW

from aquatempo.planning.moves import favourites as module
from aquatempo.planning.moves.favourites import WithFavourite, unused_favourites, with_favourite
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.moves.slots import Fixed
from aquatempo.planning.moves.structure import Design, Slice
from aquatempo.planning.songs.sections import Role
from aquatempo.records.brief import BlockWish, Favourite
from aquatempo.records.moves import Factor, MoveForm
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Brief, PartName

JACK_THEN_JOG = Favourite("Friday", (BlockWish(32, "jack", ()), BlockWish(32, "jog", ())))
OPEN = Favourite("Open", (BlockWish(32, "jack", (("hands", "open"),)),))


@pytest.fixture(autouse=True)
def barred(monkeypatch: pytest.MonkeyPatch) -> set[tuple[str, str]]:
    """Return pairs of moves that may not follow one another, none at first."""
    pairs: set[tuple[str, str]] = set()

    @dataclass
    class Ways:
        def works(self, before: MoveForm, after: MoveForm) -> bool:
            return (before.move.key, after.move.key) not in pairs

    monkeypatch.setattr(module, "passages_for", lambda _: Ways())
    return pairs


def song(names: str, counts: dict[int, tuple[int, ...]] | None = None) -> Design:
    """Return a design of a phrase a letter: v a verse, c a chorus, d what sorts after it."""
    told = {"v": "verse", "c": "chorus", "a": "bridge", "d": "pyramid"}
    slices = tuple(
        tuple(Slice(n, 0, row) for n in (counts or {}).get(row, (32,))) for row in range(len(names))
    )
    return Design(slices, tuple(told[one] for one in names), (Role.VERSE,))


def put(
    design: Design,
    *favourites: Favourite,
    ledger: Ledger | None = None,
    part: PartName = PartName.MAIN,
    **palette: Any,
) -> WithFavourite:
    """Return a song of phrases 10, 11, 12 and so on with what fits into it."""
    palette["brief"] = Brief(favourites=favourites, depth=palette.pop("depth", SHALLOW))
    return with_favourite(
        part,
        range(10, 10 + len(design.names)),
        design,
        cast("Palette", Moves(**palette)),
        ledger or Ledger({"jack", "jog", "twist"}),
        128.0,
    )


def told(found: WithFavourite) -> dict[int, list[tuple[int, str]]]:
    """Return counts and move of what is kept in each phrase."""
    return {
        phrase: [(one.counts, one.form.move.key) for one in row if isinstance(one, Fixed)]
        for phrase, row in found.kept.items()
    }


JACK_ROW, JOG_ROW = [(32, "jack")], [(32, "jog")]


@pytest.mark.parametrize(("names", "kept"), [
    ("vcc", {11: JACK_ROW, 12: JOG_ROW}),
    ("ccv", {10: JACK_ROW, 11: JOG_ROW}),
    # A longer chorus begins it again; each chorus begins it anew.
    ("vccc", {11: JACK_ROW, 12: JOG_ROW, 13: JACK_ROW}),
    ("vccccc", {11: JACK_ROW, 12: JOG_ROW, 13: JACK_ROW, 14: JOG_ROW, 15: JACK_ROW}),
    ("ccvcc", {10: JACK_ROW, 11: JOG_ROW, 13: JACK_ROW, 14: JOG_ROW}),
    ("cccvcc", {10: JACK_ROW, 11: JOG_ROW, 12: JACK_ROW, 14: JACK_ROW, 15: JOG_ROW}),
    # A single chorus that is too short for it leaves it out of the song.
    ("vcvcc", {}), ("vc", {}), ("c", {}), ("vv", {}), ("vdd", {}), ("vaa", {}), ("", {}),
])  # fmt: skip
def test_a_favourite_fills_every_chorus(names: str, kept: dict[int, list[tuple[int, str]]]) -> None:
    """Two phrases go into choruses of two phrases or more, from their start; names say so."""
    found = put(song(names), JACK_THEN_JOG)
    assert told(found) == kept
    assert found.name == ("Friday" if kept else "")
    usual = song(names)
    named = ["Friday" if 10 + row in kept else name for row, name in enumerate(usual.names)]
    assert found.design == replace(usual, names=tuple(named))


@pytest.mark.parametrize(("counts", "kept"), [
    ((16, 16), True), ((8, 8, 16), True), ((16,), False), ((16, 8), False), ((32, 8), False),
])  # fmt: skip
def test_only_whole_phrases_take_it(counts: tuple[int, ...], kept: bool) -> None:
    """A chorus phrase of 32 counts, however it is parted; one with less or more is none."""
    found = put(song("vc", {1: counts}), OPEN)
    assert told(found) == ({11: JACK_ROW} if kept else {})
    # Such a phrase parts a chorus in two.
    parted = put(song("cccc", {2: counts}), OPEN)
    assert set(parted.kept) == {10, 11, 13, *([12] if kept else [])}


@pytest.mark.parametrize(("blocks", "rows"), [
    ([(16, "jack"), (16, "jog")], [[(16, "jack"), (16, "jog")]]),
    ([(64, "jack")], [JACK_ROW, JACK_ROW]),
    ([(16, "jack"), (32, "jog"), (16, "twist")],
     [[(16, "jack"), (16, "jog")], [(16, "jog"), (16, "twist")]]),
    ([(8, "jack"), (48, "jog"), (8, "jack")],
     [[(8, "jack"), (24, "jog")], [(24, "jog"), (8, "jack")]]),
])  # fmt: skip
def test_blocks_are_laid_into_phrases(
    blocks: list[tuple[int, str]], rows: list[list[tuple[int, str]]]
) -> None:
    """What is longer than the room that is left goes on in the next phrase."""
    wishes = tuple(BlockWish(counts, move, ()) for counts, move in blocks)
    found = told(put(song("cc"), Favourite("Mine", wishes)))
    assert found == {10: rows[0], 11: rows[-1]}


def test_a_favourite_keeps_its_options() -> None:
    """A jack with open hands stays one; 32 counts of it begin each chorus again."""
    found = put(song("vcc"), OPEN)
    for row in (found.kept[11], found.kept[12]):
        (one,) = row
        assert isinstance(one, Fixed)
        assert one.form.variation.changes == ((Factor.HANDS, "open"),)


@pytest.mark.parametrize(("palette", "why"), [
    ({"ledger": Ledger({"jack"})}, "the class does not know the jog"),
    ({"keys": ("jack", "twist")}, "the jog is not among its moves"),
    ({"barred": "jog"}, "the jog is left out here"),
    ({"hard": "jog"}, "the jog lands too hard"),
    ({"part": PartName.WARM_UP}, "it is for the main part"),
    ({"ledger": Ledger({"jack", "jog"}, favourites={"Friday"})}, "it was done"),
])  # fmt: skip
def test_what_keeps_a_favourite_out(palette: dict[str, Any], why: str) -> None:
    """Each of these alone; the next one that fits is taken instead."""
    found = put(song("vcc"), JACK_THEN_JOG, **palette)
    assert (found.name, told(found)) == ("", {}), why
    second = replace(OPEN, parts=(PartName.WARM_UP, PartName.MAIN))
    assert put(song("vcc"), JACK_THEN_JOG, second, **palette).name == "Open"
    assert put(song("vcc"), JACK_THEN_JOG, second).name == "Friday"


def test_its_moves_have_to_follow_one_another(barred: set[tuple[str, str]]) -> None:
    """From each to the next; the way back is not asked, nor that from the last to the first."""
    barred.add(("jog", "jack"))
    assert put(song("vcc"), JACK_THEN_JOG).name == "Friday"
    barred.add(("jack", "jog"))
    assert put(song("vcc"), JACK_THEN_JOG).name == ""


@pytest.mark.parametrize(("depth", "mine", "fits"), [
    (None, ClassDepth.SHALLOW, True), (None, ClassDepth.DEEP, True),
    (ClassDepth.DEEP, ClassDepth.DEEP, True), (ClassDepth.SHALLOW, ClassDepth.SHALLOW, True),
    (ClassDepth.DEEP, ClassDepth.SHALLOW, False), (ClassDepth.SHALLOW, ClassDepth.DEEP, False),
])  # fmt: skip
def test_a_favourite_may_be_for_one_depth(
    depth: ClassDepth | None, mine: ClassDepth, fits: bool
) -> None:
    """One for deep water waits for a deep class and is not told of as unused before."""
    favourite = replace(OPEN, depth=depth)
    assert put(song("vc"), favourite, depth=mine).name == ("Open" if fits else "")
    next_one = replace(OPEN, name="Next")
    assert put(song("vc"), favourite, next_one, depth=mine).name == ("Open" if fits else "Next")
    palette = cast("Palette", Moves(Brief(favourites=(favourite,), depth=mine)))
    assert bool(unused_favourites(palette, [], [])) is fits
