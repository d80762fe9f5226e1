"""The count of what a trainer would change, on small plans by hand: each fault once, in its place.

What is a fault is common practice and judgement, no source (docs/planning.md).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from plan_shapes import class_of, phrase_of, song_of
from trainer_edits import built, edits

from aquatempo.records.brief import Brief
from aquatempo.records.plan import Block, BuildWay, PlannedPhrase, PlannedTrack, Stint

OPEN, LARGE, RAISE = ("hands", "open"), ("range", "large"), ("arms", "raise")
Change = tuple[str, str]


def phrase(move: str, section: str, *changes: Change) -> PlannedPhrase:
    """Return a phrase of one form."""
    return phrase_of(Block(32, move, changes), section=section)


def verse(move: str, *ways: tuple[Change, ...], turn: int = 1) -> list[PlannedPhrase]:
    """Return a verse of a move, a phrase for each way."""
    return [phrase(move, f"verse {turn}", *changes) for changes in ways]


def chorus(move: str, *changes: Change) -> PlannedPhrase:
    """Return a chorus of one phrase."""
    return phrase(move, "chorus", *changes)


def told(*songs: PlannedTrack, brief: Brief | None = None) -> list[str]:
    """Return the edits of a class of songs, without the number of the track."""
    return [line.split(": ", 1)[-1] for line in edits(class_of(*songs, brief=brief))]


def main(*phrases: PlannedPhrase) -> list[str]:
    """Return the edits of a song of the main part, but for what comes in one phrase only."""
    found = told(song_of("A", "main", *phrases))
    return [line for line in found if not line.endswith("for one phrase")]


@pytest.mark.parametrize(("ways", "found"), [
    (((), (OPEN,), (OPEN,)), []),  # it comes, and stays
    (((OPEN,), (OPEN, LARGE)), []),
    (((OPEN, LARGE), (OPEN,)),
     ["given up inside verse 1: jack hands=open+range=large -> hands=open"]),
    (((OPEN,), (("hands", "fist"),)),
     ["exchanged inside verse 1: jack hands=open -> hands=fist"]),
    (((), (("level", "grounded"),)), ["given up inside verse 1: jack plain -> level=grounded"]),
    (((("level", "grounded"),), ()), []),
])  # fmt: skip
def test_inside_a_section_things_only_come(
    ways: tuple[tuple[Change, ...], ...], found: list[str]
) -> None:
    """What is given up, exchanged or made easier within a verse is told, once a song."""
    assert main(*verse("jack", *ways)) == found


def test_a_move_does_not_come_back_plainer() -> None:
    """From a verse to its return; a chorus that is the same each time is as it should be."""
    between = chorus("jog", OPEN)
    back = [*verse("jack", (OPEN,)), between, *verse("jack", (), turn=2)]
    assert main(*back) == ["comes back plainer: jack hands=open -> plain (verse 2)"]
    assert main(*verse("jack", ()), between, *verse("jack", (OPEN,), turn=2)) == []
    same = [chorus("jog"), chorus("jog", OPEN)]
    assert main(*same, *verse("jack", ()), *same) == []


def test_a_move_goes_the_way_of_its_plane() -> None:
    """A side kick forward and a jog sideways are told, a jog forward is not."""
    ahead, aside = ("travel", "forward"), ("travel", "sideways")
    assert main(chorus("side-kick", ahead)) == ["side-kick sent forward, against its plane"]
    assert main(chorus("jog", aside)) == ["jog sent sideways, against its plane"]
    assert main(chorus("jog", ahead), chorus("side-kick", aside)) == []


def test_what_comes_once_is_taught_for_nothing() -> None:
    """Open hands in one phrase of the class are told, in two not."""
    one = song_of("A", "main", chorus("jog", OPEN), *verse("jack", ()))
    assert told(one) == ["jog hands=open for one phrase"]
    assert told(song_of("A", "main", *verse("jog", (OPEN,), (OPEN,)), chorus("jack"))) == []


def test_neighbouring_songs_differ() -> None:
    """They begin with other moves, and have other choruses; in a warm-up none is shared."""
    first = song_of("A", "warm-up", *verse("jack", ()), chorus("jog"), chorus("twist"))
    other = song_of("B", "warm-up", *verse("jack", ()), chorus("jog"), chorus("tuck"))
    assert told(first, other) == ["the same chorus: jog", "both open with jack"]
    mains = [replace(one, part="main") for one in (first, other)]
    assert [line for line in told(*mains) if "chorus" in line] == []  # only one of two is shared


def test_a_warm_up_brings_one_thing_at_a_time() -> None:
    """Two things more than the move had before are told, one is not."""
    both = song_of("A", "warm-up", *verse("jack", (), (OPEN, RAISE), (OPEN, RAISE)))
    assert "2 things at once in a warm-up: jack arms=raise+hands=open" in told(both)
    steps = song_of("A", "warm-up", *verse("jack", (OPEN,), (OPEN, RAISE), (OPEN, RAISE)))
    assert told(steps) == []


def test_moves_do_not_come_in_every_song() -> None:
    """Of six songs with six moves and more, a chorus is in three at most, a move in four."""
    keys = ("jog", "twist", "front-kick", "leg-curl", "knee-lift", "side-kick")
    songs = [song_of(key, "main", *verse(key, (OPEN,), (OPEN,)), chorus("jack")) for key in keys]
    found = told(*songs)
    assert "jack in 6 choruses of 6 songs" in found
    assert "jack in 6 of 6 songs" in found


def test_sets_by_the_clock_change_and_a_cool_down_begins_low() -> None:
    """One move has a third of the sets at most; raised arms do not begin a cool-down."""
    moves = ("jog", "jog", "jog", "jack", "twist", "leg-curl")
    sets = [
        phrase_of(Block(32, move, stint=Stint(True, number, 6, 15.0)))
        for number, move in enumerate(moves, 1)
    ]
    assert told(song_of("A", "intervals", *sets)) == ["jog in 3 of 6 turns of work"]
    cool = song_of("A", "cool-down", *verse("jack", (RAISE,)))
    assert told(cool) == ["a cool-down song begins with raised arms"]


def test_how_much_a_class_builds() -> None:
    """A song with a plain jack, then with open hands, and a plain jog: three sets, one step."""
    song = song_of("A", "main", *verse("jack", (), (OPEN,)), chorus("jog"), chorus("jog"))
    told_of = built(class_of(song, brief=Brief(build=BuildWay.LINEAR)))
    assert (told_of.sets, told_of.varied, told_of.steps, told_of.plain_songs) == (3.0, 0.25, 1.0, 0)
