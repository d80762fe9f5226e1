"""Tracks in their parts, ends, silences and reasons: small classes worked by hand.

At 128 beats/min a phrase of 32 counts lasts 15 s, so four make a minute. The songs are made up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import cast

import pytest
from planning_music import made_track

from aquatempo.class_shape.parts import class_shape
from aquatempo.errors import InputError
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.pairs import twin_brief
from aquatempo.planning.solver.solving import Effort
from aquatempo.planning.songs import outline as outline_module
from aquatempo.planning.songs.choice import Offer, offers_for
from aquatempo.planning.songs.outline import Outline, outline_class, planned_song, task_for
from aquatempo.planning.songs.song import songs_of
from aquatempo.planning.turns import cut_for_intervals
from aquatempo.records.brief import SongBrief
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Brief, Intervals, IntervalUnit, PartBrief, PartName
from aquatempo.records.track import Track

WARM_UP, MAIN, INTERVALS = PartName.WARM_UP, PartName.MAIN, PartName.INTERVALS
COOL_DOWN, STRETCH = PartName.COOL_DOWN, PartName.STRETCH


@dataclass(frozen=True)
class Moves:
    """Stands for a palette of which nine moves keep their range at any tempo."""

    source: Catalogue
    tempos_bpm: tuple[float, ...] = (128.0,)

    def suiting(self, tempo_bpm: float) -> int:
        """Return how many base moves keep their range."""
        return 9 if tempo_bpm > 0 else 0


MOVES = cast("Palette", Moves(catalogue()))


def track(title: str, minutes: float, tempo_bpm: float | None = 128.0) -> Track:
    """Return a track of whole phrases that lasts so many minutes at 128 beats/min."""
    layout = [(32, "phrase")] * round(4 * minutes)
    return made_track(title, tempo_bpm, layout, duration_s=60.0 * minutes)


def asked(*parts: tuple[PartName, float], **others: object) -> Brief:
    """Return a brief of some parts; warm-up and main part play at 120 to 140."""
    made = tuple(
        PartBrief(name, minutes, None if name in (COOL_DOWN, STRETCH) else (120.0, 140.0))
        for name, minutes in parts
    )
    brief = Brief(minutes=sum(minutes for _, minutes in parts), parts=made)
    return replace(brief, **others)  # type: ignore[arg-type]


def outline(tracks: Sequence[Track], brief: Brief, all_once: bool = False) -> Outline:
    """Return the outline of a class that there has to be."""
    found = outline_class(tracks, brief, MOVES, Effort(), all_once)
    assert found is not None
    return found


def titles(one: Outline) -> list[tuple[str, str]]:
    """Return what plays where."""
    return [(track.title, track.part) for track in one.tracks]


def test_what_is_asked_of_the_track_stage_is_counted_in_seconds() -> None:
    """8, 30 and 5 minutes are 480, 1800 and 300 s; half of a part with a range is the least.

    At least nine tenths of the whole, at most 10 s more. The stretch needs no music.
    """
    brief = asked((WARM_UP, 8.0), (MAIN, 30.0), (STRETCH, 5.0))
    songs, _ = songs_of([track("Lane", 3.0), track("Pool", 2.0)])
    task = task_for(songs, class_shape(brief), brief, MOVES)
    assert task.wanted_s == (480.0, 1800.0, 300.0)
    assert task.least_parts_s == (240.0, 900.0, 0.0)
    assert task.least_s == pytest.approx(0.9 * 2580.0)
    assert task.most_s == pytest.approx(2590.0)
    assert task.lengths_s[1] == pytest.approx([120.0, 105.0, 90.0, 75.0, 60.0])
    assert task.silent_costs[:2] == (None, None) != task.silent_costs[2:]
    assert not task.all_once
    usual = replace(brief, parts=tuple(replace(part, tempo_bpm=None) for part in brief.parts))
    assert task_for(songs, class_shape(usual), usual, MOVES).least_parts_s == (0.0, 900.0, 0.0)


def test_where_all_songs_play_nothing_is_asked_of_their_length() -> None:
    """No least, no silence, and a most that no class reaches."""
    brief = asked((WARM_UP, 8.0), (MAIN, 30.0), (STRETCH, 5.0))
    songs, _ = songs_of([track("Lane", 3.0)], whole=True)
    task = task_for(songs, class_shape(brief), brief, MOVES, all_once=True)
    assert task.least_parts_s == (0.0, 0.0, 0.0)
    assert task.silent_costs == (None, None, None)
    assert (task.least_s, task.all_once) == (0.0, True)
    assert task.most_s > 180 * 60.0
    assert {offer.part for offer in task.offers} == {0, 1, 2}


def test_a_class_of_all_songs_lasts_as_long_as_they_do() -> None:
    """2 + 3 + 2.5 minutes are 7.5, whatever was asked; the parts are the usual ones of that."""
    tracks = [track("Lane", 2.0), track("Pool", 3.0), track("Quay", 2.5)]
    found = outline(tracks, asked((MAIN, 40.0)), all_once=True)
    assert (found.brief.minutes, found.brief.parts) == (7.5, ())
    assert found.parts == class_shape(Brief(minutes=7.5))
    assert sorted(title for title, _ in titles(found)) == ["Lane", "Pool", "Quay"]
    assert [len(one.phrases) for one in sorted(found.tracks, key=lambda one: one.title)] == [
        8, 12, 10,
    ]  # fmt: skip
    told = "each of the 3 tracks is played whole, once: the class lasts as long as they do"
    assert found.notes[0] == told
    assert found.left_out == ()


def test_songs_of_more_than_a_class_are_no_class() -> None:
    """Of 181 minutes the slip is named: songs of several classes."""
    with pytest.raises(InputError) as caught:
        outline_class([track("Lane", 181.0)], Brief(), MOVES, Effort(), True)
    assert "all tracks together" in str(caught.value)
    assert "are these those of one class?" in str(caught.value)


def test_no_song_at_all_is_no_outline() -> None:
    """Neither from nothing, nor from what cannot be planned, nor from too little music."""
    for tracks in ([], [track("Hum", 0.25, None)], [track("Lane", 2.0)]):
        assert outline_class(tracks, asked((MAIN, 10.0)), MOVES, Effort(), False) is None


def test_songs_play_in_the_order_of_parts_and_rise_to_the_tempo() -> None:
    """One minute of warm-up, two of main part: the slower of two songs first, no note."""
    brief = asked((WARM_UP, 1.0), (MAIN, 2.0))
    brief = replace(brief, songs=(SongBrief("Warm", WARM_UP),))
    tracks = [track("Late", 1.0, 129.0), track("Warm", 1.0), track("Early", 1.0, 127.0)]
    found = outline(tracks, brief)
    assert titles(found) == [("Warm", "warm-up"), ("Early", "main"), ("Late", "main")]
    assert found.notes == ()
    assert [one.speed for one in found.tracks] == [1.0] * 3
    assert found.solved.optimal


def test_a_song_that_ends_early_says_when() -> None:
    """Of 4 minutes 2 are needed at 128 beats/min: out after eight phrases, 2:00."""
    found = outline([track("Lane", 4.0)], asked((MAIN, 2.0)))
    assert [len(one.phrases) for one in found.tracks] == [8]
    assert found.notes == ("Lane: fade out after 2:00",)


def test_a_song_played_slower_fades_out_later() -> None:
    """At 145 for 120 to 140 it plays 140/145 as fast; each phrase lasts 32/140 min, 13.7 s.

    Nine of sixteen are 123.4 s, eight 109.7 s: of two minutes nine are nearer.
    """
    found = outline([track("Lane", 4.0, 145.0)], asked((MAIN, 2.0)))
    (one,) = found.tracks
    assert one.speed == pytest.approx(140.0 / 145.0)
    assert one.speed_reason == "145 is above 120-140 for the main"
    assert len(one.phrases) == 9
    assert found.notes == ("Lane: fade out after 2:03",)


def test_a_planned_song_is_its_track_to_one_end() -> None:
    """Title, file, tempo and hearing stay; stretches are bare; a song without a beat has 60."""
    (song, hum), _ = songs_of([track("Lane", 2.0), track("Hum", 2.0, None)])
    (part,) = class_shape(asked((MAIN, 2.0)))
    one = planned_song(song, part, Offer(0, 0, 5, 0.97, "why"), 3)
    assert (one.title, one.file, one.part, one.tempo_bpm) == ("Lane", "Lane.ogg", "main", 128.0)
    assert (one.speed, one.speed_reason) == (0.97, "why")
    assert [(p.start_beat, p.counts, p.blocks) for p in one.phrases] == [
        (0, 32, ()), (32, 32, ()), (64, 32, ()),
    ]  # fmt: skip
    assert one.analysis is song.track.analysis
    assert planned_song(hum, part, Offer(1, 0, 5), 1).tempo_bpm == 60.0


@pytest.mark.parametrize(("minutes", "phrases"), [(2.0, 3), (1.6, 3), (1.5, 2), (0.2, 1)])
def test_a_cool_down_without_music_goes_by_the_clock(minutes: float, phrases: int) -> None:
    """A count a second: 120 s hold three phrases of 32, 96 s three, 90 s two, and one at least."""
    found = outline([track("Lane", 4.0)], asked((MAIN, 4.0), (COOL_DOWN, minutes)))
    silent = found.tracks[-1]
    assert (silent.title, silent.file, silent.rights) == (
        "Cool-down without music", "", "no music",
    )  # fmt: skip
    assert (silent.part, silent.tempo_bpm) == ("cool-down", 60.0)
    assert [one.counts for one in silent.phrases] == [32] * phrases
    assert found.notes == ("cool-down: no song suits it, so it is counted by the clock",)


def test_a_part_without_music_is_told_but_for_the_stretch() -> None:
    """All music goes to the main part: the warm-up has none; a stretch goes by the clock."""
    brief = Brief(minutes=5.5, parts=(PartBrief(WARM_UP, 0.5), PartBrief(MAIN, 5.0, (120, 140))))
    found = outline([track("Lane", 5.0)], brief)
    assert titles(found) == [("Lane", "main")]
    assert found.notes == ("warm-up: no music is left for it",)
    quiet = outline([track("Lane", 5.0)], asked((MAIN, 5.0), (STRETCH, 0.5)))
    assert "warm-up" not in " ".join(quiet.notes)


def test_a_song_says_what_is_odd_about_it() -> None:
    """Its note (no beat: seconds are counted), and the doubt of its hearing, by its title."""
    sure = track("Lane", 4.0)
    unsure = replace(sure, analysis=replace(sure.analysis, confidence=0.5))
    brief = asked((MAIN, 4.0), (COOL_DOWN, 2.0))
    found = outline([unsure, track("Hum", 2.0, None)], brief)
    assert titles(found) == [("Lane", "main"), ("Hum", "cool-down")]
    assert found.notes[0].startswith("Lane: not sure of count 1 (50%)")
    assert found.notes[1] == "Hum: no beat: the class counts seconds"


def test_songs_that_are_not_played_say_why() -> None:
    """Refused, out of every range, of a part that is full, or simply not needed."""
    brief = asked((MAIN, 2.0), (COOL_DOWN, 1.0), songs=(SongBrief("Ban", leave_out=True),))
    brief = replace(brief, songs=(*brief.songs, SongBrief("Calm", COOL_DOWN)))
    spare = [track("Ban", 2.0), track("Rush", 3.0, 190.0), track("Slow", 3.0, 70.0)]
    also = [track("Hush", 9.0, None), track("More", 2.0, 121.0), track("Hum", 0.25, None)]
    played = [track("Lane", 2.0, 130.0), replace(track("Calm", 0.75, 90.0))]
    found = outline([*spare, *also, *played], brief)
    assert titles(found) == [("Lane", "main"), ("Calm", "cool-down")]
    assert {one.title: one.reason for one in found.left_out} == {
        "Hum": "no beat was heard and it is shorter than a phrase",
        "Ban": "the brief leaves it out",
        "Rush": "190 bpm suits no part of this class (main 120-140, cool-down 50-100)",
        "Slow": "70 bpm would suit cool-down only, which is full",
        "Hush": "no beat would suit cool-down only, which is full",
        "More": "not needed: the minutes are full (121 bpm)",
    }


TIMED = Intervals(30, 15, 2, IntervalUnit.SECONDS)  # at 128: 64 and 32 counts, 96 a set


def timed(*minutes: float, intervals: Intervals = TIMED) -> Outline:
    """Return a class of a minute of main part and a minute and a half of timed intervals."""
    brief = asked((MAIN, 1.0), (INTERVALS, 1.5), (COOL_DOWN, 0.6), intervals=intervals)
    wanted = [SongBrief("Lane", MAIN), SongBrief("Calm", COOL_DOWN)]
    wanted += [SongBrief(f"Set {n}", INTERVALS) for n in range(len(minutes))]
    brief = replace(brief, songs=tuple(wanted))
    sets = [track(f"Set {n}", length) for n, length in enumerate(minutes)]
    return outline([track("Lane", 1.0), *sets, track("Calm", 0.5, 96.0)], brief)


def counts(one: Outline, part: str) -> list[int]:
    """Return the counts of each song of a part."""
    return [sum(p.counts for p in song.phrases) for song in one.tracks if song.part == part]


def test_timed_intervals_end_with_a_whole_set() -> None:
    """Two sets of 96 counts are 192 of the 256 that a song of two minutes has; no note."""
    found = timed(2.0)
    assert counts(found, "intervals") == [192]
    assert [one.part for one in found.tracks] == ["main", "intervals", "cool-down"]
    assert not any("missing" in note for note in found.notes)


def test_songs_are_added_until_all_sets_are_in() -> None:
    """A song of a minute (128 counts) holds one set; a second brings the other, a third is not.

    Of three sets the third song brings the last; of five, two are missing.
    """
    assert counts(timed(1.0, 1.0, 1.0), "intervals") == [96, 96]
    three, five = replace(TIMED, sets=3), replace(TIMED, sets=5)
    assert counts(timed(1.0, 1.0, 1.0, intervals=three), "intervals") == [96, 96, 96]
    found = timed(1.0, 1.0, 1.0, intervals=five)
    assert counts(found, "intervals") == [96, 96, 96]
    assert "intervals: 2 of 5 sets are missing, for want of music" in found.notes
    assert [one.part for one in found.tracks] == ["main", *["intervals"] * 3, "cool-down"]


BOTH = asked((MAIN, 2.0), twin=True)


@pytest.mark.parametrize("tempo", [122.0, 130.0, 138.0])
def test_a_song_for_both_depths_costs_what_it_costs_at_both(tempo: float) -> None:
    """The cost proven is ten times the sum of both offers, of a song that fills its part."""
    lane = track("Lane", 2.0, tempo)
    songs, _ = songs_of([lane])
    lane = replace(lane, content_key="x")
    its = twin_brief(BOTH)
    one = offers_for(songs, class_shape(BOTH), BOTH, lambda _: 9)[0].cost
    other = offers_for(songs, class_shape(replace(its, parts=BOTH.parts)), its, lambda _: 9)[0].cost
    assert its.depth is ClassDepth.DEEP
    assert outline([lane], BOTH).solved.cost == 10 * (one + other)


def test_all_songs_together_are_told_first_and_to_a_tenth_of_a_minute() -> None:
    """2.25 minutes are told as 2.2; what is doubtful about a song comes after."""
    sure = track("Lane", 2.25)
    unsure = replace(sure, analysis=replace(sure.analysis, confidence=0.5))
    found = outline([unsure], Brief(), all_once=True)
    assert found.brief.minutes == 2.2
    assert found.notes[0].startswith("each of the 1 tracks is played whole")
    assert any(note.startswith("Lane: not sure") for note in found.notes[1:])


def test_timed_turns_are_cut_at_the_tempo_played() -> None:
    """A song of 145 is played at 140: its sets are cut as at 140, from all of its counts."""
    brief = asked((MAIN, 1.0), (INTERVALS, 1.5), intervals=TIMED)
    brief = replace(brief, songs=(SongBrief("Lane", MAIN), SongBrief("Fast", INTERVALS)))
    fast = made_track("Fast", 145.0, [(32, "phrase")] * 9)
    found = outline([track("Lane", 1.0), fast], brief)
    expected, _ = cut_for_intervals(288, 140.0, TIMED, 0)
    assert counts(found, "intervals") == [expected]
    assert expected != cut_for_intervals(288, 150.0, TIMED, 0)[0]


def test_songs_out_of_their_range_are_asked_for_where_all_play() -> None:
    """As played: 150 at 0.9 is 135 and suits 120 to 140; 150 and 119 do not, the ends do."""
    parts = class_shape(asked((MAIN, 2.0)))
    (song,), _ = songs_of([track("Lane", 1.0, 150.0)], whole=True)
    found = [
        planned_song(song, parts[0], Offer(0, 0, 0, speed), 4)
        for speed in (0.9, 1.0, 0.8, 140.0 / 150.0, 119.0 / 150.0)
    ]
    told = [outline_module._asked_for([one], parts) for one in found]
    wanted = [SongBrief("Lane", MAIN)]
    assert told == [[], wanted, [], [], wanted]


@pytest.mark.parametrize(("twin", "all_once"), [*product((False, True), repeat=2)])
def test_songs_are_searched_for_twice_as_long(
    monkeypatch: pytest.MonkeyPatch, twin: bool, all_once: bool
) -> None:
    """Twice the work of another stage, with the same seed; both depths only where songs may go."""
    told: list[Effort] = []
    both: list[object] = []

    def picked(_: object, effort: Effort) -> None:
        told.append(effort)

    def for_both(task: object, *_: object) -> object:
        both.append(task)
        return task

    monkeypatch.setattr(outline_module, "pick_tracks", picked)
    monkeypatch.setattr(outline_module, "_for_both", for_both)
    brief = asked((MAIN, 6.0), twin=twin)
    assert outline_class([track("Lane", 6.0)], brief, MOVES, Effort(3, 0.5), all_once) is None
    assert told == [Effort(3, 1.0)]
    assert len(both) == (twin and not all_once)


def test_four_sets_take_four_songs_of_one_set() -> None:
    """A minute holds one set: four songs, and a fifth is not needed."""
    found = timed(*[1.0] * 5, intervals=replace(TIMED, sets=4))
    assert counts(found, "intervals") == [96] * 4
