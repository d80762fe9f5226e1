"""Why no class fits: heat, intervals, music, depth and moves; whole messages, worked by hand.

No aerobic work above 34 C is common practice, no source. Songs are made up: at 128 beats/min a
phrase lasts 15 s.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import cast

import pytest
from plan_shapes import song_of
from planning_music import made_track

from aquatempo.errors import InfeasibleError
from aquatempo.planning.infeasible import (
    check_moves,
    check_shape,
    least_clash,
    no_choice,
    no_outline,
)
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.solver.solving import Effort
from aquatempo.records.brief import HouseRules
from aquatempo.records.people import Pool
from aquatempo.records.plan import Brief, Intervals, IntervalUnit, PartBrief, PartName
from aquatempo.records.track import Track

MAIN, WARM_UP, STRETCH = PartName.MAIN, PartName.WARM_UP, PartName.STRETCH
HOT = Brief(pool=Pool(temperature_c=35.0))


@pytest.mark.parametrize("asks", ["ab", "ac", "abd", "d"])
def test_the_least_clash_is_found_whatever_it_is(asks: str) -> None:
    """Of four asks, those that fail together and no other, in their order; none where none does."""
    assert least_clash("abcd", lambda on: set(asks) <= on) == list(asks)
    assert least_clash("abcd", lambda on: True) == []


def shut(brief: Brief, lines: dict[str, int] | None = None) -> InfeasibleError:
    """Return the error of a shape that does not fit."""
    with pytest.raises(InfeasibleError) as caught:
        check_shape(brief, lines or {}, all_once=False)
    return caught.value


def test_no_work_in_water_over_34_degrees() -> None:
    """34 C is let through, 34.1 is not; a class without work may be as warm as it likes."""
    check_shape(replace(HOT, pool=Pool(temperature_c=34.0)), {}, all_once=False)
    error = shut(HOT, {"pool.temperature": 3})
    assert list(error.clashes) == [
        "line 3: temperature = 35", "main: no aerobic work above 34 C",
    ]  # fmt: skip
    assert error.remedy == "Least change: temperature = 34, or parts without main and intervals."
    assert shut(replace(HOT, pool=Pool(temperature_c=34.1))).clashes[0] == "temperature = 34.1"
    calm = replace(HOT, parts=(PartBrief(STRETCH, 10.0), PartBrief(MAIN, 0.0)))
    check_shape(calm, {}, all_once=False)
    turns = replace(HOT, parts=(PartBrief(PartName.INTERVALS, 5.0),))
    assert shut(turns).clashes[1] == "intervals: no aerobic work above 34 C"


def test_intervals_need_room() -> None:
    """20 sets of 90 and 30 s are 40 minutes of 30: so many too many as the rest takes."""
    brief = Brief(minutes=30.0, intervals=Intervals(90, 30, 20, IntervalUnit.SECONDS))
    error = shut(brief, {"minutes": 1, "intervals": 2})
    assert list(error.clashes) == [
        "line 1: minutes = 30", "line 2: 20 sets of intervals take 40.0 minutes",
    ]  # fmt: skip
    check_shape(brief, {}, all_once=True)
    rest = sum(p.minutes for p in brief.parts)
    assert rest == 0
    sets = int(error.remedy.removeprefix("Least change: sets = ").partition(",")[0])
    fewer = Intervals(90, 30, sets, IntervalUnit.SECONDS)
    check_shape(replace(brief, intervals=fewer), {}, all_once=False)
    more = Intervals(90, 30, sets + 1, IntervalUnit.SECONDS)
    assert shut(replace(brief, intervals=more)).remedy.startswith(f"Least change: sets = {sets}, ")
    longest = int(error.remedy.rpartition("minutes = ")[2].rstrip("."))
    check_shape(replace(brief, minutes=float(longest)), {}, all_once=False)
    assert longest == 63  # 40 + 10 + 7.6 + 5 are 62.6; 12 % of 63 for the cool-down
    less = replace(brief, minutes=float(longest - 1))
    assert shut(less).remedy.endswith(f"minutes = {longest}.")
    huge = Brief(minutes=30.0, intervals=Intervals(3600, 30, 1, IntervalUnit.SECONDS))
    assert shut(huge).remedy.startswith("Least change: no intervals, or minutes = ")


@dataclass(frozen=True)
class Moves:
    """Stands for a palette of which nine moves keep their range at any tempo."""

    brief: Brief

    def suiting(self, tempo_bpm: float) -> int:
        """Return how many base moves keep their range."""
        return 9 if tempo_bpm > 0 else 0


def track(title: str, minutes: float, tempo_bpm: float | None = 128.0) -> Track:
    """Return a track of whole phrases that lasts so many minutes at 128 beats/min."""
    return made_track(title, tempo_bpm, [(32, "phrase")] * round(4 * minutes),
                      duration_s=60 * minutes)  # fmt: skip


def silent(brief: Brief, *tracks: Track, lines: dict[str, int] | None = None) -> InfeasibleError:
    """Return the error for music that does not fill a brief."""
    return no_outline(tracks, brief, cast("Palette", Moves(brief)), Effort(), lines or {})


def own(minutes: float, low: float, high: float) -> Brief:
    """Return a brief of a main part with a range of its own."""
    return Brief(minutes=minutes, parts=(PartBrief(MAIN, minutes, (low, high)),))


def test_no_music_says_so() -> None:
    """None given, or what each lacks, once."""
    assert list(silent(own(5.0, 120, 140)).clashes) == ["music: no tracks were given"]
    short = [track("Hum", 0.25, None), track("Hiss", 0.25, None)]
    error = silent(own(5.0, 120, 140), *short)
    assert list(error.clashes) == ["music: no beat was heard and it is shorter than a phrase"]
    assert error.remedy == "Give tracks with a beat, or track sheets."


def test_too_little_music_says_how_much_there_is_and_how_much_is_missing() -> None:
    """2 + 1 minutes for 10: 9 are the least, 6 are missing; of 3 minutes 3.33 are nine tenths."""
    error = silent(
        own(10.0, 120, 140), track("Lane", 2.0), track("Pool", 1.0), lines={"minutes": 4}
    )
    assert list(error.clashes) == [
        "line 4: minutes = 10",
        "2 usable tracks of 3.0 minutes together",
    ]
    assert error.remedy == "Least change: minutes = 3, or add 6 minutes of music that suits."


def test_a_range_that_no_song_reaches_is_widened_to_the_nearest() -> None:
    """145 to 155 with songs at 120 and 128: to 128 it would do; the minutes are no clash."""
    brief = own(2.0, 145.0, 155.0)
    error = silent(brief, track("Lane", 2.0, 120.0), track("Pool", 2.0), lines={"main.tempo": 7})
    assert list(error.clashes) == [
        "line 7: tempo 145-155 of the main", "2 usable tracks of 4.1 minutes together",
    ] or "tempo 145-155 of the main" in " ".join(error.clashes)  # fmt: skip
    assert error.remedy == (
        'Least change: tempo = "128-155" for the main, or add music at 145 to 155 bpm.'
    )


def test_no_choice_names_the_lists_of_moves() -> None:
    """Those that the brief has, with their lines, and the song where nothing follows."""
    song = song_of("Lane", "main", "jack")
    brief = Brief(allowed_moves=("jack", "frog"), banned_moves=("jog",))
    error = no_choice(cast("Palette", Moves(brief)), song, {"banned_moves": 5})
    assert list(error.clashes) == [
        "allowed_moves = jack, frog", "line 5: banned_moves = jog",
        "Lane: no move that is left may follow another",
    ]  # fmt: skip
    assert error.remedy == "Least change: allow jog, which any move can go to and from."
    assert len(no_choice(cast("Palette", Moves(Brief())), song, {}).clashes) == 1


def unmoved(brief: Brief, part: str = "main", tempo_bpm: float = 128.0) -> InfeasibleError:
    """Return the error for a song that has too few moves."""
    with pytest.raises(InfeasibleError) as caught:
        check_moves(Palette(brief, [tempo_bpm]), [song_of("Lane", part, tempo_bpm=tempo_bpm)],
                    {"depth": 2, "allowed_moves": 6})  # fmt: skip
    return caught.value


def test_a_song_needs_two_moves() -> None:
    """One allowed move is told with its line and song; with two there is nothing to tell.

    Stretches need none.
    """
    one = Brief(allowed_moves=("jack",))
    error = unmoved(one)
    assert list(error.clashes) == [
        "line 6: allowed_moves = jack", "Lane at 128 bpm in 1.2 m of water, shallow",
    ]  # fmt: skip
    assert error.remedy.startswith("Least change: allow ")
    two = Brief(allowed_moves=("jack", "jog"))
    check_moves(Palette(two, [128.0]), [song_of("Lane", "main")], {})
    check_moves(Palette(one, [128.0]), [song_of("Lane", "stretch")], {})


def test_bridges_need_a_move_that_holds() -> None:
    """Where all of them are banned, the ban is the clash."""
    holds = ("easy-jog", "march", "sway", "scull", "stand-and-breathe", "shake-out")
    error = unmoved(Brief(banned_moves=holds))
    assert list(error.clashes) == [
        f"banned_moves = {', '.join(holds)}", "bridges are carried by a holding move",
    ]  # fmt: skip
    assert error.remedy == "Least change: take easy-jog out of banned_moves."


def test_water_of_the_wrong_depth_names_the_nearest_that_fits() -> None:
    """In steps of 5 cm: at 1.4 m there are moves, at 1.45 m not.

    For the usual group of 1.50 to 1.90 m.
    """
    error = unmoved(Brief(pool=Pool(depth_m=1.45)))
    assert list(error.clashes) == [
        "line 2: depth = shallow", "pool depth = 1.45 m",
        "too deep for most of a group of 1.50 to 1.90 m",
    ]  # fmt: skip
    assert error.remedy == 'Least change: depth = "deep", or [pool] depth = 1.4.'
    check_moves(Palette(Brief(pool=Pool(depth_m=1.4)), [128.0]), [], {})


def test_songs_that_are_refused_are_not_counted_and_named() -> None:
    """Of three songs a coordinator approves one: that is usable, two are left aside, and why."""
    rules = HouseRules(songs=("Lane",))
    tracks = (track("Lane", 2.0), track("Pool", 2.0), track("Tide", 2.0))
    error = silent(replace(own(6.0, 120, 140), rules=rules), *tracks)
    assert list(error.clashes) == [
        "minutes = 6",
        "1 usable tracks of 2.0 minutes together",
        "2 tracks left aside: not among the approved songs",
    ]
    error = silent(replace(own(6.0, 120, 140), rules=rules), tracks[1])
    assert list(error.clashes) == ["1 track left aside: not among the approved songs"]
    assert error.remedy == "Give other tracks, or let these through."
