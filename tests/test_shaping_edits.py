"""Places, locks, phrases and moves of a plan shaped: what changes, and what is left free.

What is planned anew is told by the request that an edit makes of planning; songs are made up.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from plan_shapes import Asked, asked_of, class_of, moves_of, phrase_of, song_of

from aquatempo.errors import InputError, UnknownNameError
from aquatempo.planning.shaping import move_edits
from aquatempo.planning.shaping.move_edits import (
    add_move,
    drop_move,
    put_block,
    swap_moves,
    swap_phrases,
)
from aquatempo.planning.shaping.places import (
    PlanPlace,
    block_at,
    phrase_at,
    place_of,
    track_at,
    with_lock,
)
from aquatempo.records.brief import Brief, PartBrief
from aquatempo.records.plan import Block, ClassPlan, PartName, Stint


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Return what edits ask of planning."""
    return asked_of(move_edits, monkeypatch)


HALVES = phrase_of(Block(16, "jog", lead="right"), Block(16, "jack"), start=32)
WARM = song_of("Warm", "warm-up", "jog", "jack")
LANE = song_of("Lane", "main", "jack", HALVES, "twist", "jack")
POOL = song_of("Pool", "main", "frog", "frog", "twist")
CALM = song_of("Calm", "cool-down", "row")
PLAN = class_of(WARM, LANE, POOL, CALM)


@pytest.mark.parametrize(("text", "place"), [
    ("3", PlanPlace(3)), ("3.5", PlanPlace(3, 5)), (" 3.5.2 ", PlanPlace(3, 5, 2)),
])  # fmt: skip
def test_a_place_is_said_as_it_is_read(text: str, place: PlanPlace) -> None:
    """Track, phrase and block with points between; said again it is the same."""
    assert place_of(text) == place
    assert str(place) == text.strip()


@pytest.mark.parametrize("text", ["", "0", "1.0", "1.2.3.4", "1.", "-1", "a", "1.b", "1.2.0"])
def test_what_is_no_place_is_refused(text: str) -> None:
    """The text as given and what is needed are named."""
    with pytest.raises(InputError) as caught:
        place_of(text)
    assert str(caught.value) == (f"{text!r}: needs a track, phrase or block, as 3, 3.5 or 3.5.2")


def test_a_place_leads_to_what_is_there() -> None:
    """Tracks, phrases and blocks are counted from 1; the first block where none is told."""
    assert track_at(PLAN, PlanPlace(1)) is WARM
    assert track_at(PLAN, PlanPlace(4)) is CALM
    assert phrase_at(PLAN, PlanPlace(2, 4)) is LANE.phrases[3]
    assert block_at(PLAN, PlanPlace(2, 2)).move == "jog"
    assert block_at(PLAN, PlanPlace(2, 2, 2)).move == "jack"


@pytest.mark.parametrize(("look", "place", "message"), [
    (track_at, PlanPlace(5), "track 5: the plan has 4"),
    (track_at, PlanPlace(0), "track 0: the plan has 4"),
    (phrase_at, PlanPlace(2, 5), "phrase 5 of track 2: 'Lane' has 4"),
    (phrase_at, PlanPlace(2), "phrase 0 of track 2: 'Lane' has 4"),
    (block_at, PlanPlace(2, 2, 3), "block 3 of phrase 2.2: it has 2"),
    (block_at, PlanPlace(2, 2, -1), "block -1 of phrase 2.2: it has 2"),
])  # fmt: skip
def test_a_place_that_is_not_there_is_told(
    look: Callable[[ClassPlan, PlanPlace], object], place: PlanPlace, message: str
) -> None:
    """With how many there are."""
    with pytest.raises(InputError) as caught:
        look(PLAN, place)
    assert str(caught.value) == message


def locks(plan: ClassPlan) -> list[str]:
    """Return the places that are locked."""
    found = []
    for t, track in enumerate(plan.tracks, 1):
        found += [f"{t}"] * track.locked
        for p, phrase in enumerate(track.phrases, 1):
            found += [f"{t}.{p}"] * phrase.locked
            found += [f"{t}.{p}.{b}" for b, one in enumerate(phrase.blocks, 1) if one.locked]
    return found


@pytest.mark.parametrize("text", ["1", "4", "2.1", "2.4", "3.2", "2.2.1", "2.2.2"])
def test_a_lock_stands_where_it_is_put_and_is_let_go(text: str) -> None:
    """At one track, phrase or block; nothing else changes."""
    locked = with_lock(PLAN, place_of(text))
    assert locks(locked) == [text]
    assert with_lock(locked, place_of(text), locked=False) == PLAN


def test_a_part_is_locked_in_the_brief() -> None:
    """A brief with parts keeps them; one without gets those that the plan has, in proportion.

    2, 4, 3 and 1 phrases are 0.5, 1, 0.75 and 0.25 min of 2.5; of 10 minutes 2, 4 + 3, and 1.
    """
    own = (PartBrief(PartName.WARM_UP, 5.0), PartBrief(PartName.MAIN, 20.0))
    brief = with_lock(class_of(LANE, brief=Brief(parts=own)), PartName.MAIN).brief
    assert brief.parts == (own[0], replace(own[1], locked=True))
    plan = class_of(CALM, WARM, LANE, POOL, brief=Brief(minutes=10.0))
    told = with_lock(plan, PartName.WARM_UP).brief.parts
    assert told == (
        PartBrief(PartName.WARM_UP, 2.0, locked=True), PartBrief(PartName.MAIN, 7.0),
        PartBrief(PartName.COOL_DOWN, 1.0),
    )  # fmt: skip
    with pytest.raises(InputError, match=r"^the plan has no stretch$"):
        with_lock(PLAN, PartName.STRETCH)
    slow = replace(plan, tracks=(CALM, replace(WARM, speed=0.5), LANE, POOL))
    part = with_lock(slow, PartName.WARM_UP).brief.parts[0]  # 1 of 3 minutes
    assert part.minutes == pytest.approx(3.33)


def test_phrases_swap_what_fills_them() -> None:
    """Blocks and section change places; place in the song, counts and loudness stay."""
    chorus = phrase_of("jack", section="chorus")
    verse = phrase_of("twist", start=32, section="verse 1")
    plan = class_of(song_of("Lane", "main", chorus, verse), POOL)
    found = swap_phrases(plan, PlanPlace(1, 1), PlanPlace(2, 3))
    assert moves_of(found, 0) == [["twist"], ["twist"]]
    assert moves_of(found, 1) == [["frog"], ["frog"], ["jack"]]
    assert [one.section for one in found.tracks[0].phrases] == ["", "verse 1"]
    assert found.tracks[1].phrases[2].section == "chorus"
    assert found.tracks[1].phrases[2].start_beat == 64
    again = swap_phrases(found, PlanPlace(2, 3), PlanPlace(1, 1))
    assert again == plan


def test_phrases_that_are_not_alike_or_locked_do_not_swap() -> None:
    """Their counts, or which of the two is locked, is told."""
    short = class_of(song_of("Lane", "main", "jack", phrase_of(Block(16, "jog"), start=32)))
    with pytest.raises(InputError) as caught:
        swap_phrases(short, PlanPlace(1, 1), PlanPlace(1, 2))
    assert str(caught.value) == "1.1 has 32 counts, 1.2 16: only like phrases swap"
    for text, told in (("2.1", "2.1"), ("3.1", "3.1"), ("3.1.1", "3.1")):
        with pytest.raises(InputError) as caught:
            swap_phrases(with_lock(PLAN, place_of(text)), PlanPlace(2, 1), PlanPlace(3, 1))
        assert str(caught.value) == f"{told} is locked: unlock it first"


def test_a_move_is_swapped_where_it_stands(asked: Asked) -> None:
    """Only its phrases are free, and only the new move may fill them; all tracks or some."""
    swap_moves(PLAN, "jack", "star")
    assert asked.free == {0: {1}, 1: {0, 1, 3}}
    star = frozenset({"star"})
    assert asked.only == {0: {1: star}, 1: {0: star, 1: star, 3: star}}
    assert asked.close
    swap_moves(PLAN, "jack", "star", tracks=(1, 3))
    assert asked.free == {0: {1}}
    locked = with_lock(with_lock(PLAN, place_of("1")), place_of("2.1"))
    swap_moves(locked, "jack", "star")
    assert asked.free == {1: {1, 3}}


def test_a_move_that_is_nowhere_free_is_not_swapped(asked: Asked) -> None:
    """Told with the tracks that were named; unknown moves and tracks are named too."""
    with pytest.raises(InputError, match=r"^no leap that is free to be swapped$"):
        swap_moves(PLAN, "leap", "star")
    with pytest.raises(InputError, match=r"^no jack in track 3, 4 that is free to be swapped$"):
        swap_moves(PLAN, "jack", "star", tracks=(4, 3))
    with pytest.raises(InputError, match=r"^track 9: the plan has 4$"):
        swap_moves(PLAN, "jack", "star", tracks=(9,))
    with pytest.raises(UnknownNameError):
        swap_moves(PLAN, "jakc", "star")
    assert asked.times == 0


def test_a_dropped_move_is_banned_and_its_phrases_are_free(asked: Asked) -> None:
    """It is wanted no more; locked tracks, phrases and blocks keep it; elsewhere all stays."""
    brief = Brief(banned_moves=("leap",), wanted_moves=("jack", "twist"))
    found = drop_move(replace(PLAN, brief=brief), "jack")
    assert found.brief.banned_moves == ("leap", "jack")
    assert found.brief.wanted_moves == ("twist",)
    assert asked.free == {0: {1}, 1: {0, 1, 3}}
    assert not asked.close
    assert drop_move(found, "jack").brief.banned_moves == ("leap", "jack")
    locked = PLAN
    for text in ("1", "2.1", "2.2.2"):
        locked = with_lock(locked, place_of(text))
    drop_move(locked, "jack")
    assert asked.free == {1: {3}}
    with pytest.raises(InputError, match=r"^no leap in the plan that is free to be dropped$"):
        drop_move(PLAN, "leap")


def test_an_added_move_takes_the_place_of_the_commonest(asked: Asked) -> None:
    """Of the main track with the fewest base moves; chorus and pyramid count half as much.

    Lane has five base blocks, Pool three: twice frog, once twist.
    """
    banned = replace(PLAN, brief=Brief(banned_moves=("star", "leap"), wanted_moves=("jog",)))
    found = add_move(banned, "star")
    assert found.brief.banned_moves == ("leap",)
    assert found.brief.wanted_moves == ("jog", "star")
    assert asked.free == {2: {0, 1}}
    add_move(PLAN, "star", track=1)
    assert asked.free == {0: {0}}  # jack and jog once each: the later in the alphabet
    frogs = [phrase_of("frog", section=name) for name in ("chorus", "pyramid")]
    for more, old in ((("twist",), {2}), ((), {0, 1})):
        song = song_of("Pool", "main", *frogs, *more)
        add_move(class_of(song), "star")
        assert asked.free == {0: old}, more
    add_move(class_of(POOL), "frog")
    assert asked.free == {0: {2}}  # not for itself


def test_a_move_is_not_added_where_nothing_may_go(asked: Asked) -> None:
    """No free main track, or no base move in the track that is named."""
    with pytest.raises(InputError) as caught:
        add_move(class_of(WARM, replace(LANE, locked=True)), "star")
    assert str(caught.value) == "the plan has no main track that is free: name a track"
    with pytest.raises(InputError, match=r"^track 4 has no base move that star could stand for$"):
        add_move(PLAN, "star", track=4)
    locked = class_of(with_lock(with_lock(class_of(POOL), place_of("1.1")), place_of("1.2.1"))
                      .tracks[0])  # fmt: skip
    add_move(locked, "star")
    assert asked.free == {0: {2}}


STINT = Stint(True, 1, 2, 15.0)


def test_a_block_is_put_in_one_place_or_wherever_the_track_does_the_same() -> None:
    """Counts, stint and lead stay what they were; another track and locked blocks stay too."""
    jog = [Block(32, "jog", lead=side, stint=stint) for side, stint in (
        ("right", None), ("left", STINT), ("right", None),
    )]  # fmt: skip
    more = phrase_of(Block(16, "jog", lead="left"), Block(16, "jog", lead="right", locked=True))
    plan = class_of(song_of("Lane", "main", *map(phrase_of, jog), more), WARM)
    kick = Block(8, "front-kick", lead="left")
    one = put_block(plan, PlanPlace(1, 2), kick)
    assert moves_of(one, 0) == [["jog"], ["front-kick"], ["jog"], ["jog", "jog"]]
    assert block_at(one, PlanPlace(1, 2)) == Block(32, "front-kick", lead="left", stint=STINT)
    all_of_them = put_block(plan, PlanPlace(1, 1), kick, everywhere=True)
    assert moves_of(all_of_them, 0) == [["front-kick"], ["jog"], ["front-kick"],
                                        ["front-kick", "jog"]]  # fmt: skip
    assert [p.blocks[0].lead for p in all_of_them.tracks[0].phrases] == [
        "right", "left", "right", "left",
    ]  # fmt: skip
    assert all_of_them.tracks[1] == WARM
    second = put_block(plan, PlanPlace(1, 4, 2), kick)
    assert second == plan  # it is locked
    locked = with_lock(plan, place_of("1.1"))
    assert put_block(locked, PlanPlace(1, 1), kick) == locked


def test_a_lead_comes_and_goes_with_the_block() -> None:
    """A jack has none: a kick in its place takes its own; a jack for a jog has none."""
    plan = class_of(song_of("Lane", "main", "jack", phrase_of(Block(32, "jog", lead="left"))))
    kick = Block(32, "front-kick", lead="right")
    assert block_at(put_block(plan, PlanPlace(1, 1), kick), PlanPlace(1, 1)).lead == "right"
    assert block_at(put_block(plan, PlanPlace(1, 2), kick), PlanPlace(1, 2)).lead == "left"
    jack = put_block(plan, PlanPlace(1, 2), Block(8, "jack"))
    assert block_at(jack, PlanPlace(1, 2)) == Block(32, "jack")
