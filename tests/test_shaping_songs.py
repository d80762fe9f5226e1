"""Songs of a plan swapped, moved, dropped, added, replaced: what is left free to plan anew.

What is planned anew is told by the request that an edit makes of planning; songs are made up.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from plan_shapes import Asked, asked_of, class_of, phrase_of, song_of
from planning_music import made_track

from aquatempo.errors import InputError
from aquatempo.planning.shaping import track_edits
from aquatempo.planning.shaping.track_edits import (
    add_track,
    drop_track,
    move_track,
    replace_track,
    swap_tracks,
)
from aquatempo.planning.telling import minutes_of, whole_once
from aquatempo.records.brief import Brief, PartBrief
from aquatempo.records.plan import Block, ClassPlan, PartName, PlannedTrack


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Return what edits ask of planning."""
    return asked_of(track_edits, monkeypatch)


WARM = song_of("Warm", "warm-up", "jog", "jack")
LANE = song_of("Lane", "main", "jack", "jog", "twist", "jack")
POOL = song_of("Pool", "main", "frog", "frog", "twist")
CALM = song_of("Calm", "cool-down", "row")
PLAN = class_of(WARM, LANE, POOL, CALM)


def order(plan: ClassPlan) -> list[tuple[str, str]]:
    """Return titles and parts."""
    return [(track.title, track.part) for track in plan.tracks]


NOTHING: dict[int, object] = {-1: frozenset()}


def test_songs_swap_places_and_take_the_part_there(asked: Asked) -> None:
    """Within a part nothing is filled anew; across parts both are."""
    assert order(swap_tracks(PLAN, 2, 3)) == [
        ("Warm", "warm-up"), ("Pool", "main"), ("Lane", "main"), ("Calm", "cool-down"),
    ]  # fmt: skip
    assert asked.free == NOTHING
    assert order(swap_tracks(PLAN, 1, 3)) == [
        ("Pool", "warm-up"), ("Lane", "main"), ("Warm", "main"), ("Calm", "cool-down"),
    ]  # fmt: skip
    assert asked.free == {0: None, 2: None}
    assert not asked.close


def test_a_song_moves_to_another_place(asked: Asked) -> None:
    """The others close up; in another part it is filled anew."""
    assert order(move_track(PLAN, 2, 3))[1:3] == [("Pool", "main"), ("Lane", "main")]
    assert asked.free == NOTHING
    assert order(move_track(PLAN, 3, 1)) == [
        ("Pool", "warm-up"), ("Warm", "warm-up"), ("Lane", "main"), ("Calm", "cool-down"),
    ]  # fmt: skip
    assert asked.free == {0: None}
    assert order(move_track(PLAN, 1, 4))[-1] == ("Warm", "cool-down")
    assert asked.free == {3: None}


def test_a_song_is_dropped_and_what_only_it_taught_is_planned_anew(asked: Asked) -> None:
    """Its notes go too. Without Pool nobody has met the frog that Last varies, or the short jog.

    What is known, taught before, or holds, is not planned anew.
    """
    last = song_of(
        "Last", "main",
        phrase_of(Block(32, "frog", (("range", "small"),))),
        phrase_of(Block(32, "jack", (("range", "small"),)), start=32),
        phrase_of(Block(16, "leap"), Block(16, "easy-jog"), start=64),
        phrase_of("leap", start=96), phrase_of(Block(16, "leap"), Block(16, "leap"), start=128),
    )  # fmt: skip
    plan = replace(class_of(WARM, POOL, last), notes=("Pool: fade out", "Pools: else", "Warm: x"))
    found = drop_track(plan, 2)
    assert order(found) == [("Warm", "warm-up"), ("Last", "main")]
    assert found.notes == ("Pools: else", "Warm: x")
    assert asked.free == {1: {0, 2}}
    assert not asked.close
    known = replace(plan, brief=Brief(known_moves=("frog", "leap")))
    drop_track(known, 2)
    assert asked.free == NOTHING
    with pytest.raises(InputError) as caught:
        drop_track(class_of(WARM), 1)
    assert str(caught.value) == "the plan has one track only: a class needs at least one"


def test_a_class_of_all_songs_lasts_as_long_as_those_that_it_has(asked: Asked) -> None:
    """A song less: minutes and note follow where the plan says so, and stay where it does not."""
    whole = replace(PLAN, notes=(whole_once(4), "Lane: x"), brief=Brief(minutes=9.0))
    found = drop_track(whole, 3)
    assert found.notes == (whole_once(3), "Lane: x")
    assert found.brief.minutes == round(minutes_of((WARM, LANE, CALM)), 1)
    assert whole_once(3).startswith("each of the 3 tracks is played whole, once")
    assert drop_track(replace(whole, notes=()), 3).brief.minutes == 9.0


def test_locked_songs_stay(asked: Asked) -> None:
    """Which one is locked is told, by number and title."""
    plan = class_of(WARM, replace(LANE, locked=True), POOL)
    music = made_track("New", 130.0, [(32, "phrase")] * 4)
    edits: list[Callable[[], ClassPlan]] = [
        lambda: swap_tracks(plan, 2, 3), lambda: swap_tracks(plan, 1, 2),
        lambda: move_track(plan, 2, 1), lambda: drop_track(plan, 2),
        lambda: replace_track(plan, 2, music),
    ]  # fmt: skip
    for edit in edits:
        with pytest.raises(InputError) as caught:
            edit()
        assert str(caught.value) == "track 2 (Lane) is locked: unlock it first"
    assert asked.times == 0


NEW = made_track("New", 130.0, [(32, "phrase")] * 4)


def told(track: PlannedTrack) -> tuple[str, str, int, bool]:
    """Return title, part, phrases, and whether it is bare."""
    bare = not any(phrase.blocks for phrase in track.phrases)
    return track.title, track.part, len(track.phrases), bare


def test_a_song_is_added_after_another(asked: Asked) -> None:
    """It takes the part of the song before it, of the first at the start, or the one named."""
    for after, part in ((0, "warm-up"), (1, "warm-up"), (2, "main"), (4, "cool-down")):
        found = add_track(PLAN, NEW, after)
        assert told(found.tracks[after]) == ("New", part, 4, True)
        assert len(found.tracks) == 5
        assert asked.free == {after: None}
    assert not asked.close
    named = add_track(PLAN, NEW, 1, part=PartName.MAIN)
    assert named.tracks[1].part == "main"
    for after in (-1, 5):
        with pytest.raises(InputError) as caught:
            add_track(PLAN, NEW, after)
        assert str(caught.value) == f"after track {after}: the plan has 4"


def test_a_song_takes_the_place_of_another(asked: Asked) -> None:
    """Part and place stay, notes of the old one go; what cannot be planned says why."""
    plan = replace(PLAN, notes=("Lane: fade out", "Pool: x"))
    found = replace_track(plan, 2, NEW)
    assert told(found.tracks[1]) == ("New", "main", 4, True)
    assert [track.title for track in found.tracks] == ["Warm", "New", "Pool", "Calm"]
    assert found.notes == ("Pool: x",)
    assert asked.free == {1: None}
    hum = made_track("Hum", None, [], duration_s=20.0)
    with pytest.raises(InputError, match=r"^Hum: no beat was heard and it is shorter than"):
        replace_track(PLAN, 2, hum)


def test_a_song_without_a_beat_or_in_a_part_of_its_own_is_planned_too(asked: Asked) -> None:
    """Seconds are counted; a part that the brief does not have takes its first part's shape."""
    hum = made_track("Hum", None, [], duration_s=70.0)
    found = add_track(PLAN, hum, 4)
    assert found.tracks[4].tempo_bpm == 60.0
    only = class_of(LANE, brief=Brief(parts=(PartBrief(PartName.MAIN, 1.0, (100.0, 140.0)),)))
    new = add_track(only, NEW, 1, part=PartName.COOL_DOWN)
    assert new.tracks[1].part == "cool-down"
