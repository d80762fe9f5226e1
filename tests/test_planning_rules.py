"""Plans of random briefs and tracks keep every hard rule, by a checker that shares no code."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from plan_checker import check
from planning_music import folder, made_track
from proofs.rules import broken
from random_briefs import Case, cases

from aquatempo.errors import InfeasibleError
from aquatempo.moves import catalogue
from aquatempo.planning.blocks.showing import shown, with_showing
from aquatempo.planning.class_plan import plan_class
from aquatempo.planning.late import KEPT_SHARES, trim_late
from aquatempo.planning.pairs import twin_move
from aquatempo.planning.twin import twin_plan
from aquatempo.records.moves import MoveKind
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import (
    Brief,
    BuildWay,
    ClassPlan,
    Intervals,
    PartBrief,
    PartName,
    PlannedTrack,
)


def minutes(plan: ClassPlan, part: str = "") -> float:
    """Return how long a plan, or one part of it, lasts [min]."""
    return sum(
        phrase.counts / (track.tempo_bpm * track.speed)
        for track in plan.tracks
        for phrase in track.phrases
        if part in ("", track.part)
    )


FEW = ("jog", "jack", "front-kick", "cross-country-ski", "leg-curl", "side-step", "jump")
QUICK = settings(max_examples=6, deadline=None, derandomize=True, phases=[Phase.generate])


@QUICK
@given(cases(ClassDepth.SHALLOW, FEW))
def test_every_plan_keeps_every_hard_rule(case: Case) -> None:
    """Range, factors, holding, transitions, bridges, sides, jumps, time; 300 by proofs.rules."""
    assert broken(case, case.plan()) == []


@pytest.mark.long
@QUICK
@given(cases(ClassDepth.SHALLOW, FEW), st.floats(0.05, 0.2))
def test_a_trimmed_plan_keeps_them_too(case: Case, share: float) -> None:
    """What is dropped is at least the minutes late, in whole phrases, and the rules stay."""
    plan = case.plan()
    late = round(share * minutes(plan), 1) + 0.1
    try:
        trimmed = trim_late(plan, late)
    except InfeasibleError:
        return
    assert check(trimmed) == []
    assert minutes(plan) - minutes(trimmed) >= late - 0.06  # weighed in tenths of a minute
    for part, kept in KEPT_SHARES.items():
        assert minutes(trimmed, part) >= kept * minutes(plan, part) - 0.1


@cache
def shallow_plan() -> ClassPlan:
    """Return one shallow class for the tests that need no more."""
    return plan_class(folder([118, 126, 132, 140, 92], 6, 7), Brief(minutes=6.0, seed=2))


def test_the_same_seed_gives_the_same_plan() -> None:
    """Same tracks, same brief, same seed: the same plan, to the last block."""
    again = plan_class(folder([118, 126, 132, 140, 92], 6, 7), Brief(minutes=6.0, seed=2))
    assert again == shallow_plan()


@pytest.mark.long
def test_an_hour_is_planned_within_its_time_and_rules() -> None:
    """12 tracks, 50 minutes: under 20 s of processor time, every rule kept, all minutes filled."""
    tempos = [118, 122, 126, 128, 130, 132, 134, 136, 138, 140, 96, 88]
    tracks = folder(tempos, 15, 21)
    started = time.process_time()
    told: list[tuple[int, int]] = []
    plan = plan_class(tracks, Brief(minutes=50), progress=lambda *step: told.append(step))
    assert time.process_time() - started < 20.0
    assert told[-1] == (len(plan.tracks), len(plan.tracks))
    assert check(plan) == []
    assert minutes(plan) == pytest.approx(50, abs=0.5)


def test_the_search_says_how_sure_it_is() -> None:
    """A small class is proven best stage by stage; with hardly any work it says the gap."""
    assert shallow_plan().status == "optimal"
    assert shallow_plan().gap == 0.0
    tracks = folder([126, 132], 16, 3)
    hurried = plan_class(tracks, Brief(minutes=7.0, build=BuildWay.ADD_ON), work=0.02)
    assert 0.0 <= hurried.gap <= 1.0
    assert (hurried.status == "optimal") == (hurried.gap == 0.0)
    assert check(hurried) == []


@pytest.mark.long
def test_a_twin_has_the_same_songs_and_its_own_moves() -> None:
    """The deep twin plays the same phrases and does nothing that needs the floor."""
    plan, known = shallow_plan(), catalogue()
    twin = twin_plan(plan)
    assert check(twin) == []
    assert twin.brief.depth is ClassDepth.DEEP
    for ours, theirs in zip(plan.tracks, twin.tracks, strict=True):
        assert (ours.title, ours.speed, ours.part) == (theirs.title, theirs.speed, theirs.part)
        assert [p.start_beat for p in ours.phrases] == [p.start_beat for p in theirs.phrases]
    used = {block.move for t in twin.tracks for p in t.phrases for block in p.blocks}
    assert not any(known.move(key).needs_floor for key in used)


@pytest.mark.long
def test_a_class_for_both_depths_shares_three_quarters_of_its_blocks() -> None:
    """Where the brief asks for both depths, three of four phrases have the same moves in both."""
    plan = plan_class(folder([118, 122, 124, 126], 8, 5), Brief(minutes=9.0, twin=True))
    twin = twin_plan(plan)
    pairs = [
        ({block.move for block in ours.blocks}, {block.move for block in theirs.blocks})
        for track, other in zip(plan.tracks, twin.tracks, strict=True)
        if track.part != "stretch"
        for ours, theirs in zip(track.phrases, other.phrases, strict=True)
    ]
    assert len(pairs) > 20
    assert sum(ours == theirs for ours, theirs in pairs) >= 0.75 * len(pairs)


def test_each_floor_move_has_a_counterpart() -> None:
    """Rocking horse becomes bicycle, side step a side kick (catalogue), and back again."""
    known = catalogue()
    assert twin_move("rocking-horse", ClassDepth.DEEP, known) == "bicycle"
    assert twin_move("side-step", ClassDepth.DEEP, known) == "side-kick"
    assert twin_move("jack", ClassDepth.DEEP, known) == "jack"
    assert twin_move("bicycle", ClassDepth.SHALLOW, known) in ("walk", "rocking-horse")


def test_jumps_come_and_stay_within_the_minutes_given() -> None:
    """Where jumping is wanted some is planned and shown in full, not for more than asked."""
    allowed = ("jump", "tuck", "frog", "jog", "jack", "leg-curl", "side-step")
    brief = Brief(minutes=9.0, allowed_moves=allowed, jump_minutes=1.5)
    plan = plan_class(folder([118, 124, 126, 130], 8, 5), brief)
    assert 0.0 < shown(plan.tracks, plan.brief.depth, catalogue()) <= 1.5
    told = ways(plan.tracks)
    assert "full" in told
    assert told <= {"full", "low impact", "arms only"}


def test_jumps_beyond_the_minutes_are_shown_kindly() -> None:
    """With no jumping on deck every jump says how else it is shown."""
    allowed = ("jump", "tuck", "frog", "jog", "jack", "leg-curl", "side-step")
    brief = Brief(minutes=9.0, allowed_moves=allowed, jump_minutes=1.5)
    plan = plan_class(folder([118, 124, 126, 130], 8, 5), brief)
    told = ways(with_showing(plan.tracks, 0.0, plan.brief.depth, catalogue()))
    assert told
    assert told <= {"low impact", "arms only"}


def ways(tracks: Sequence[PlannedTrack]) -> set[str]:
    """Return how the jumps of some tracks are shown."""
    blocks = [block for t in tracks for p in t.phrases for block in p.blocks]
    return {block.show for block in blocks if block.show}


def test_songs_are_chosen_by_part_and_the_rest_listed() -> None:
    """The slow song cools down, another warms up, no song is lost."""
    tracks = [*folder([118, 126, 132, 140, 92], 6, 7), made_track("Speech", None, (), (), 20.0)]
    plan = plan_class(tracks, Brief(minutes=6.0, seed=2))
    parts = {track.title: track.part for track in plan.tracks}
    assert parts["Lindenbad 5"] == "cool-down"
    assert "warm-up" in parts.values()
    titles = {track.title for track in tracks}
    told = set(parts) | {one.title for one in plan.left_out}
    assert titles <= told
    assert all(one.reason for one in plan.left_out)


def test_all_once_plays_every_song_whole() -> None:
    """With all_once the class lasts as long as the songs do, each used once and uncut."""
    tracks = folder([120, 128, 136, 94], 4, 2)
    plan = plan_class(tracks, Brief(minutes=45), all_once=True)
    assert sorted(track.title for track in plan.tracks) == sorted(t.title for t in tracks)
    whole = sum(t.analysis.phrases[-1].end_s for t in tracks) / 60.0
    assert minutes(plan) == pytest.approx(whole, abs=0.01)


def test_speed_changes_only_for_a_range_of_the_briefs_own() -> None:
    """132 stays in the usual range; an own range of 134-140 plays it 1.5 % faster, and says so."""
    parts = (
        PartBrief(PartName.WARM_UP, 1.0),
        PartBrief(PartName.MAIN, 2.0, (134.0, 140.0)),
    )
    tracks = folder([122, 132], 6, 4)
    plan = plan_class(tracks, Brief(minutes=3.0, parts=parts))
    main = next(track for track in plan.tracks if track.part == "main")
    assert main.tempo_bpm * main.speed == pytest.approx(134.0)
    assert "132 is below 134-140" in main.speed_reason
    usual = plan_class(
        tracks, Brief(minutes=3.0, parts=(parts[0], replace(parts[1], tempo_bpm=None)))
    )
    assert all(track.speed == 1.0 for track in usual.tracks)


def test_phrase_intervals_work_and_rest_in_turn() -> None:
    """Two phrases of work and one of holding, twice (2 + 1 phrases, 2 sets)."""
    brief = Brief(
        minutes=5.0,
        intervals=Intervals(2, 1, 2),
        parts=(
            PartBrief(PartName.WARM_UP, 1.0),
            PartBrief(PartName.MAIN, 2.0),
            PartBrief(PartName.INTERVALS, 1.6),
        ),
    )
    plan = plan_class(folder([122, 130, 134], 6, 11), replace(brief, minutes=4.6))
    known = catalogue()
    kinds = [
        known.move(phrase.blocks[0].move).kind is MoveKind.HOLDING
        for track in plan.tracks
        if track.part == "intervals"
        for phrase in track.phrases
        if phrase.kind.value == "phrase"
    ]
    expected = [False, False, True, False, False, True]
    assert kinds[:6] == expected[: len(kinds)]
