"""A class that starts late: what is dropped from which part, worked by hand; songs are made up.

At 160 beats/min a phrase of 32 counts lasts 12 s, 0.2 min, two tenths of a minute.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest
from plan_shapes import class_of, phrase_of, song_of

from aquatempo.errors import InfeasibleError
from aquatempo.planning.late import KEPT_SHARES, trim_late
from aquatempo.records.brief import Intervals, IntervalUnit
from aquatempo.records.plan import Block, Brief, ClassPlan, PartName, PlannedTrack, Stint

KNOWN = ("jog", "jack", "twist", "front-kick", "leg-curl", "cross-country-ski", "knee-lift")
TURN = ("jog", "jack", "twist", "leg-curl", "cross-country-ski")


def lane(title: str, part: str, phrases: int) -> PlannedTrack:
    """Return a song of some phrases, a different move in each."""
    return song_of(title, part, *(TURN[n % len(TURN)] for n in range(phrases)), tempo_bpm=160.0)


CALM = song_of("Calm", "cool-down", *["row", "scull"] * 5, tempo_bpm=160.0)
CLASS = class_of(
    lane("Warm", "warm-up", 10), lane("Lane", "main", 10), lane("Pool", "main", 10), CALM,
    brief=Brief(minutes=8.0, known_moves=KNOWN),
)  # fmt: skip


@cache
def late(minutes: float) -> ClassPlan:
    """Return the class of 2 + 4 + 2 minutes, so many late."""
    return trim_late(CLASS, minutes)


def lengths(plan: ClassPlan) -> dict[str, int]:
    """Return the phrases of each song."""
    return {track.title: len(track.phrases) for track in plan.tracks}


def moves(track: PlannedTrack) -> list[list[str]]:
    """Return the moves of each phrase."""
    return [[block.move for block in phrase.blocks] for phrase in track.phrases]


@pytest.mark.parametrize("minutes", [0.2, 0.6, 1.0, 1.8, 2.6, 3.8])
def test_as_much_is_dropped_as_the_class_is_late(minutes: float) -> None:
    """In whole phrases, less than half a minute too much; warm-up and cool-down keep 60 %.

    A song that plays has at least half of its ten phrases, those of its start.
    """
    found = lengths(late(minutes))
    dropped = 0.2 * (40 - sum(found.values()))
    assert minutes - 0.01 <= dropped < minutes + 0.5
    assert found["Warm"] >= 6
    assert found["Calm"] >= 6
    assert all(n >= 5 for n in found.values())
    before = {track.title: track for track in CLASS.tracks}
    for track in late(minutes).tracks[:-1]:
        assert moves(track) == moves(before[track.title])[: len(track.phrases)]


def test_the_main_part_gives_twice_as_much_as_the_others() -> None:
    """Of 1.8 minutes late 0.3 + 1.2 + 0.3 would be fair: 4 min at 1, 2 and 2 at a half.

    Warm-up and cool-down may give nothing or two phrases then, never as much as the main part.
    """
    found = lengths(late(1.8))
    main = 20 - found.get("Lane", 0) - found.get("Pool", 0)
    others = 20 - found["Warm"] - found["Calm"]
    assert main > others


def test_the_class_ends_as_it_ended() -> None:
    """A last song that is cut has the blocks of its end where it now stops."""
    song = song_of("End", "stretch", *["row", "scull"] * 4, "row", "sway", tempo_bpm=160.0)
    plan = class_of(song, brief=Brief(minutes=2.0, known_moves=KNOWN))
    found = trim_late(plan, 0.6)
    kept = moves(found.tracks[0])
    assert kept[-1] == ["sway"]
    assert 5 <= len(kept) <= 7
    assert kept[:-1] == moves(song)[: len(kept) - 1]


@pytest.mark.parametrize("text", ["track", "phrase", "block"])
def test_what_is_locked_stays(text: str) -> None:
    """A song of which anything is locked is not cut: all that is dropped comes from the other."""
    one = CLASS.tracks[1]
    last = one.phrases[-1]
    block = replace(last.blocks[0], locked=text == "block")
    last = replace(last, blocks=(block,), locked=text == "phrase")
    locked = replace(one, phrases=(*one.phrases[:-1], last), locked=text == "track")
    plan = replace(CLASS, tracks=(CLASS.tracks[0], locked, *CLASS.tracks[2:]))
    for minutes in (0.8, 1.4):
        found = trim_late(plan, minutes)
        assert lengths(found)["Lane"] == 10
        assert sum(lengths(found).values()) <= 40 - 5 * minutes + 0.01


def test_a_late_class_says_what_went_and_what_still_holds() -> None:
    """How much, from which songs; old notes of time go, others stay, those of lost songs go."""
    notes = ("8.0 minutes in whole phrases; 8 were asked for", "Lane: not sure of it", "a belt",
             "Pool: not sure of it")  # fmt: skip
    plan = replace(CLASS, notes=notes)
    found = trim_late(plan, 2.6)
    left = lengths(found)
    dropped = 0.2 * (40 - sum(left.values()))
    assert (
        found.notes[0] == f"starts 2.6 minutes late: {dropped:.1f} minutes dropped in whole phrases"
    )
    minutes = 0.2 * sum(left.values())
    assert f"{minutes:.1f} minutes in whole phrases; 8 were asked for" in found.notes
    assert notes[0] not in found.notes
    assert "a belt" in found.notes
    for title in ("Warm", "Lane", "Pool", "Calm"):
        if title not in left:
            assert f"{title}: left out" in found.notes
        elif left[title] < 10:
            gone, seconds = 10 - left[title], 12 * left[title]
            told = f"{gone} phrase{'s' if gone > 1 else ''} earlier"
            clock = f"{seconds // 60}:{seconds % 60:02d}"
            assert f"{title}: fade out {told}, after {clock} from count 1" in found.notes
        else:
            assert not any(note.startswith(f"{title}: fade") for note in found.notes)
        if title in ("Lane", "Pool"):
            assert (f"{title}: not sure of it" in found.notes) is (title in left)
    assert found.brief.minutes == pytest.approx(minutes)
    assert found.brief.title == plan.brief.title


def test_a_class_cannot_start_later_than_its_parts_give() -> None:
    """0.8 + 3 + 0.8 minutes may go at most; how late it may be is found in half minutes."""
    with pytest.raises(InfeasibleError) as caught:
        trim_late(CLASS, 5.1)
    assert list(caught.value.clashes) == ["late by 5.1 minutes", "a class of 8 minutes"]
    words = caught.value.remedy.split("late by ")[1].split()
    most = float(words[0])
    assert 5.1 - most == pytest.approx(round(2 * (5.1 - most)) / 2)
    assert 0 < most <= 4.6
    assert trim_late(CLASS, most).tracks
    with pytest.raises(InfeasibleError):
        trim_late(CLASS, most + 0.5)
    assert caught.value.remedy.endswith(
        " minutes at most, so that warm-up and cool-down keep 60 % of their length;"
        " beyond that plan a shorter class."
    )
    shut = replace(CLASS, tracks=tuple(replace(track, locked=True) for track in CLASS.tracks))
    with pytest.raises(InfeasibleError, match=r"late by 0 minutes at most"):
        trim_late(shut, 1.0)


def test_every_part_keeps_its_share() -> None:
    """Judgement, no source: work may go all but a quarter, the quiet ends keep most."""
    assert KEPT_SHARES[PartName.WARM_UP] == KEPT_SHARES[PartName.COOL_DOWN] == 0.6
    assert KEPT_SHARES[PartName.MAIN] < KEPT_SHARES[PartName.STRETCH]
    assert set(KEPT_SHARES) == set(PartName)


def turns(sets: Sequence[int]) -> PlannedTrack:
    """Return a song of intervals: a phrase of work and half a one of rest for each set."""
    phrases, at = [], 0
    for number in sets:
        work = Block(32, "jack", stint=Stint(True, number, len(sets), 12.0))
        rest = Block(16, "easy-jog", stint=Stint(False, number, len(sets), 6.0))
        phrases += [phrase_of(work, start=at), phrase_of(rest, start=at + 32)]
        at += 48
    return song_of("Set", "intervals", *phrases, tempo_bpm=160.0)


def test_intervals_lose_whole_sets() -> None:
    """Six sets of 0.3 min: late by 0.6 two of them go, and the brief asks for the others.

    Nothing ends with work.
    """
    timed = Intervals(12, 6, 6, IntervalUnit.SECONDS)
    brief = Brief(minutes=5.8, known_moves=KNOWN, intervals=timed)
    warm, calm = (replace(track, locked=True) for track in (CLASS.tracks[0], CALM))
    plan = class_of(warm, turns(range(1, 7)), calm, brief=brief)
    found = trim_late(plan, 0.6)
    middle = found.tracks[1]
    sets = {b.stint.number for p in middle.phrases for b in p.blocks if b.stint is not None}
    assert sets == {1, 2, 3, 4}
    assert sum(phrase.counts for phrase in middle.phrases) == 4 * 48
    last = middle.phrases[-1].blocks[-1].stint
    assert last is not None
    assert not last.works
    assert found.brief.intervals == replace(timed, sets=4)


def test_nothing_is_done_varied_that_was_not_met() -> None:
    """Frog is met in the last phrase of Lane and varied in Pool: Lane is whole, or Pool is not.

    A move that the group knows asks for nothing.
    """
    frog = phrase_of("frog", start=288)
    small = phrase_of(Block(32, "frog", (("range", "small"),)))
    first = replace(CLASS.tracks[1], phrases=(*CLASS.tracks[1].phrases[:9], frog))
    second = replace(CLASS.tracks[2], phrases=(small, *CLASS.tracks[2].phrases[1:]))
    calm, warm = replace(CALM, locked=True), replace(CLASS.tracks[0], locked=True)
    plan = replace(CLASS, tracks=(warm, first, second, calm))
    for minutes in (0.2, 0.8, 1.6):
        found = lengths(trim_late(plan, minutes))
        assert found.get("Lane") == 10 or "Pool" not in found, minutes


def test_leads_are_shared_out_anew() -> None:
    """After the cut both sides work alike, to within a phrase; a locked song keeps its own."""
    songs = [
        song_of(title, "main", *[
            phrase_of(Block(32, key, lead=("right", "left")[n % 2]), start=32 * n)
            for n, key in enumerate(("jog", "front-kick", "leg-curl", "twist", "knee-lift") * 2)
        ], tempo_bpm=160.0)
        for title in ("Lane", "Pool")
    ]  # fmt: skip
    left = song_of("Last", "main", *[
        phrase_of(Block(32, key, lead="left"), start=32 * n)
        for n, key in enumerate(("jog", "twist"))
    ], tempo_bpm=160.0)  # fmt: skip
    brief = Brief(minutes=4.4, known_moves=KNOWN)
    plan = class_of(*songs, replace(left, locked=True), brief=brief)
    found = trim_late(plan, 1.0)
    blocks = [b for track in found.tracks for p in track.phrases for b in p.blocks]
    assert {b.lead for b in blocks} == {"right", "left"}
    assert [p.blocks[0].lead for p in found.tracks[-1].phrases] == ["left", "left"]
    ahead = sum({"right": 1, "left": -1}[b.lead] * b.counts for b in blocks[:-2])
    assert abs(ahead) <= 32
