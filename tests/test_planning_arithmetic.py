"""Counts, minutes, runs, leads and intervals of a class: worked examples and invariants."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aquatempo.class_shape.limits import limits_of
from aquatempo.class_shape.parts import class_shape
from aquatempo.moves import catalogue, resolve, transition, variation_of
from aquatempo.planning.blocks.leads import MOST_IN_A_ROW, balanced_leads
from aquatempo.planning.moves.repertoire import involved
from aquatempo.planning.moves.structure import Design, design_song, pyramid_counts
from aquatempo.planning.songs.order import in_order
from aquatempo.planning.songs.sections import sections_of
from aquatempo.planning.songs.song import counted_by_clock
from aquatempo.planning.turns import turns_of
from aquatempo.records.brief import Experience
from aquatempo.records.moves import MoveKind
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.records.plan import (
    Brief,
    BuildWay,
    Intervals,
    IntervalUnit,
    PartBrief,
    PartName,
)
from aquatempo.records.rhythm import EnergyLevel
from aquatempo.units import counts_duration_s

LEVELS = st.sampled_from(list(EnergyLevel))


def test_a_phrase_at_130_lasts_14_77_seconds() -> None:
    """A 32-count phrase at 130 bpm lasts 32 x 60 / 130 = 14.77 s (arithmetic)."""
    assert counts_duration_s(32, 130.0) == pytest.approx(14.77, abs=0.005)


@pytest.mark.parametrize(
    ("repetition", "expected"),
    [
        (2, (16, 16, 8, 8, 4, 4, 2, 2, 2, 2)),  # land tempo: 8 4 2 1 a side, singles go on
        (4, (16, 16, 8, 8, 4, 4, 4, 4)),  # water tempo: two phrases have room from 4 a side
        (8, (16, 16, 8, 8, 8, 8)),
        (16, (16, 16, 16, 16)),
    ],
)
def test_a_pyramid_counts_down_side_by_side(repetition: int, expected: tuple[int, ...]) -> None:
    """8, 4, 2, 1 repetitions a side fill two phrases, from what fits (common practice)."""
    assert pyramid_counts(repetition) == expected
    assert sum(expected) == 64


def test_a_pyramid_of_four_phrases_begins_with_eight_a_side() -> None:
    """8 right, 8 left, 4, 4, 2, 2, 1, 1: 30 repetitions of 4 counts, then singles to 128."""
    assert pyramid_counts(4, 128)[:8] == (32, 32, 16, 16, 8, 8, 4, 4)


def places(way: BuildWay, energies: list[EnergyLevel]) -> tuple[tuple[int, ...], ...]:
    """Return the places of each phrase of a song of whole phrases, for a regular group."""
    return tuple(tuple(one.place for one in row) for row in drawn(way, energies).slices)


def drawn(way: BuildWay, energies: list[EnergyLevel]) -> Design:
    """Return the design of a song of whole phrases, for a regular group."""
    counts = [32] * len(energies)
    return design_song(way, sections_of(energies), counts, Experience.REGULAR)


def test_a_block_repeats_its_set_and_an_add_on_grows() -> None:
    """Block: the same moves again and again; add-on: A, B, AB, C, ABC (practice)."""
    block = [row[0] for row in places(BuildWay.BLOCK, [EnergyLevel.LOW] * 16)]
    size = len(set(block))
    assert size > 1
    assert block[: 2 * size] == [k for k in range(size) for _ in range(2)]
    assert block[2 * size :] == block[: 16 - 2 * size]
    grown = places(BuildWay.ADD_ON, [EnergyLevel.LOW] * 8)
    assert grown[:5] == ((0,), (1,), (0, 1), (2,), (0, 1, 2))


@given(st.sampled_from(list(BuildWay)), st.lists(LEVELS, min_size=1, max_size=24))
def test_every_phrase_has_its_counts(way: BuildWay, energies: list[EnergyLevel]) -> None:
    """The slices of a phrase add up to its counts, and no place is left out."""
    design = drawn(way, energies)
    assert [sum(one.counts for one in row) for row in design.slices] == [32] * len(energies)
    used = {one.place for row in design.slices for one in row}
    assert used == set(range(design.places))


def test_a_chorus_comes_back_as_it_was() -> None:
    """What is done in the first chorus is done in the second: same moves, same forms."""
    low, high = EnergyLevel.LOW, EnergyLevel.HIGH
    design = drawn(BuildWay.LINEAR, [low] * 2 + [high] * 2 + [low] * 2 + [high] * 2)
    first, second = design.slices[2:4], design.slices[6:8]
    assert [[one.tie for one in row] for row in first] == [
        [one.tie for one in row] for row in second
    ]
    assert {one.place for one in design.slices[0]}.isdisjoint(one.place for one in first[0])


@given(
    st.lists(
        st.tuples(st.sampled_from([8, 16, 24, 32, 64, 96]), st.booleans()), min_size=1, max_size=16
    ),
    st.integers(-4, 4),
)
def test_sides_end_within_a_phrase(pieces: list[tuple[int, bool]], start: int) -> None:
    """Right and left differ by no more than the longest piece, and nobody leads for ever."""
    leads, apart = balanced_leads(pieces, 8 * start)
    signs = {"right": 1, "left": -1}
    total = sum(signs[lead] * counts for lead, (counts, _) in zip(leads, pieces, strict=True))
    assert apart == 8 * start + total
    assert abs(apart) <= max(32, max(counts for counts, _ in pieces))
    row, last = 0, ""
    for lead, (counts, _) in zip(leads, pieces, strict=True):
        row = row + counts if lead == last else counts
        last = lead
        assert row <= MOST_IN_A_ROW


def test_a_50_minute_class_has_its_usual_parts() -> None:
    """Warm-up 5-10, cool-down 5-10, stretch 5, main the rest (common practice, no source)."""
    parts = {part.name: part for part in class_shape(Brief(minutes=50))}
    assert 5 <= parts[PartName.WARM_UP].minutes <= 10
    assert 5 <= parts[PartName.COOL_DOWN].minutes <= 10
    assert parts[PartName.STRETCH].minutes == 5
    assert sum(part.minutes for part in parts.values()) == pytest.approx(50)


def main_bpm(depth_m: float, ages: tuple[float, float], kind: ClassDepth) -> tuple[float, float]:
    """Return the usual tempo range of the main part [beats/min]."""
    pool = Pool(depth_m=depth_m, kind=kind)
    shape = class_shape(Brief(depth=kind, pool=pool, group=Group(age_years=ages)))
    return next(part.tempo_bpm for part in shape if part.name is PartName.MAIN)


def test_tempo_ranges_are_the_published_ones_at_their_ends() -> None:
    """Shallow 125-150 and deep 100-135 (instructors' manual, second-hand), cool-down to 100.

    They are of adults up to 45 in water below the nipple, and under a belt. 100-125 for
    older groups (common practice, no source) is reached at 70.
    """
    assert main_bpm(1.0, (20, 40), ClassDepth.SHALLOW) == (125, 150)
    assert main_bpm(3.0, (20, 40), ClassDepth.DEEP) == (100, 135)
    assert main_bpm(1.0, (70, 85), ClassDepth.SHALLOW) == (100, 125)
    shallow = {part.name: part.tempo_bpm for part in class_shape(Brief())}
    assert shallow[PartName.COOL_DOWN][1] == 100


def test_tempo_ranges_run_smoothly_between_their_ends() -> None:
    """A year of age or 1 cm of depth moves no end of the main range by more than 2 b/min.

    Older and deeper never goes faster.
    """
    shallow = ClassDepth.SHALLOW
    by_age = [main_bpm(1.2, (age, age + 15.0), shallow) for age in range(20, 75)]
    by_depth = [main_bpm(1.0 + 0.01 * i, (30, 50), shallow) for i in range(60)]
    for found in (by_age, by_depth):
        for before, after in pairwise(found):
            assert all(-2.0 <= b - a <= 0.1 for a, b in zip(before, after, strict=True))


def test_cool_water_asks_for_a_longer_warm_up() -> None:
    """Below 28 C the warm-up is longer (common practice, no source)."""
    warm, cool = class_shape(Brief()), class_shape(Brief(pool=Pool(temperature_c=26)))
    assert cool[0].minutes > warm[0].minutes


def test_intervals_take_their_time_from_the_main_part() -> None:
    """Eight sets of 40 s and 20 s are 8 minutes, and the class stays as long."""
    asked = Brief(minutes=45, intervals=Intervals(40, 20, 8, IntervalUnit.SECONDS))
    parts = {part.name: part.minutes for part in class_shape(asked)}
    assert parts[PartName.INTERVALS] == 8
    assert sum(parts.values()) == pytest.approx(45)


def test_own_parts_are_kept() -> None:
    """A brief's own parts, minutes and ranges are taken as they are."""
    own = (PartBrief(PartName.WARM_UP, 7, (110, 120)), PartBrief(PartName.MAIN, 30))
    parts = class_shape(Brief(minutes=37, parts=own))
    assert [(part.minutes, part.own_range) for part in parts] == [(7, True), (30, False)]
    assert parts[0].tempo_bpm == (110, 120)


@given(st.integers(64, 700), st.floats(100, 150), st.integers(15, 60), st.integers(10, 40))
def test_intervals_by_the_clock_hold_to_two_seconds(
    counts: int, tempo_bpm: float, work: int, rest: int
) -> None:
    """Each turn lasts its seconds to within two, in order, and no count is lost."""
    asked = Intervals(work, rest, 4, IntervalUnit.SECONDS)
    turns = turns_of(counts, tempo_bpm, asked, 0)
    assert sum(turn.counts for turn in turns) == counts
    whole = [turn for turn in turns if turn.number]
    for place, turn in enumerate(whole):
        assert (turn.works, turn.number) == (place % 2 == 0, place // 2 + 1)
        seconds = counts_duration_s(turn.counts, tempo_bpm)
        assert seconds == pytest.approx(work if turn.works else rest, abs=2.0)


@given(st.lists(st.floats(60, 160), max_size=12))
def test_songs_rise_to_the_working_tempo_and_fall(tempos: list[float]) -> None:
    """The main part rises to one peak and falls; warm-up rises, cool-down falls."""
    main = in_order(PartName.MAIN, tempos, float)
    assert sorted(main) == sorted(tempos)
    if main:
        top = main.index(max(main))
        assert main[: top + 1] == sorted(main[: top + 1])
        assert main[top:] == sorted(main[top:], reverse=True)
    assert in_order(PartName.WARM_UP, tempos, float) == sorted(tempos)
    assert in_order(PartName.COOL_DOWN, tempos, float) == sorted(tempos, reverse=True)


def test_without_a_beat_the_clock_counts() -> None:
    """100 s hold three phrases of 32 counts, one a second (arithmetic)."""
    clock = counted_by_clock(100.0)
    assert [phrase.start_s for phrase in clock.phrases] == [0.0, 32.0, 64.0]
    assert clock.beats_s[40] == 40.0


def test_a_move_is_as_involved_as_what_lies_under_it() -> None:
    """Jog lies on easy jog and that on standing; a star jump on four easier moves."""
    moves = catalogue().moves
    assert involved(moves["stand-and-breathe"], moves) == 0
    assert involved(moves["jog"], moves) == 2
    assert involved(moves["star"], moves) > involved(moves["jack"], moves)


def test_pyramids_take_two_moves_in_turn() -> None:
    """No leg works on through a song: pyramid 2 is another move's, pyramid 3 is the first's."""
    low, high = EnergyLevel.LOW, EnergyLevel.HIGH
    rows = drawn(BuildWay.PYRAMID, ([low] * 3 + [high] * 2) * 3).slices
    first, second, third = (rows[index][0] for index in (3, 8, 13))
    assert first.place == third.place != second.place
    assert len({first.tie, second.tie, third.tie}) == 3


def test_a_pyramid_over_one_loud_phrase_begins_in_the_quiet_before_it() -> None:
    """Two phrases hold 4, 2, 1, 1 a side of a move of 4 counts; one holds but 2, 1, 1."""
    low, high = EnergyLevel.LOW, EnergyLevel.HIGH
    design = drawn(BuildWay.PYRAMID, [low, high] * 3)
    assert [row[0].pyramid for row in design.slices] == [False, False, True, True, True, True]
    assert design.names[2:] == ("pyramid",) * 4


def test_a_row_of_moves_comes_back_harder_once() -> None:
    """An add-on: the row that stands is done twice, then harder, and stays so to the end."""
    rows = drawn(BuildWay.ADD_ON, [EnergyLevel.LOW] * 16).slices
    turns = [row[0].turn for row in rows]
    assert turns == sorted(turns)
    assert set(turns) == {0, 1}
    assert turns[-1] == 1


def test_a_class_goes_from_a_hold_straight_into_what_it_knows() -> None:
    """Easy jog has no level to leave, and a side is called with its move: two things more cost."""
    source = catalogue().at(ClassDepth.SHALLOW)
    changes = (("sides", "one"), ("range", "large"), ("arms", "swing"), ("hands", "open"))
    jog, lift = source.move("easy-jog"), source.move("knee-lift")
    after = resolve(lift, variation_of(lift, changes), ClassDepth.SHALLOW, source)
    assert transition(resolve(jog), None, after, None).counts == 4  # 2 for each beyond the first


@pytest.mark.parametrize(
    ("note", "out"),
    [
        ("a new knee", {"quad-stretch", "seat-stretch", "walking-knee-hug", "slow-turn"}),
        ("knee pain", {"quad-stretch", "seat-stretch"}),
        ("hip replacement", {"seat-stretch", "walking-knee-hug", "slow-turn"}),
        ("unsteady on their feet", {"quad-stretch", "seat-stretch", "walking-knee-hug"}),
        ("osteoporosis", {"side-stretch", "upper-back-stretch", "slow-turn"}),
        ("sore shoulder", {"shoulder-stretch", "side-stretch"}),
        ("back pain", {"upper-back-stretch", "slow-turn"}),
        ("pregnancy", {"slow-turn"}),
    ],
)
def test_stretches_that_a_note_rules_out_are_left_out(note: str, out: set[str]) -> None:
    """What pulls on what is to be spared; some are left for legs and chest (common practice)."""
    limits = limits_of(Brief(group_notes=(note,)))
    source = catalogue().at(ClassDepth.SHALLOW)
    stretches = [m for m in source.moves.values() if m.kind is MoveKind.STRETCH]
    fitting = [m for m in stretches if ClassDepth.SHALLOW in m.depths]
    left_out = {move.key for move in fitting if limits.excludes(resolve(move))}
    assert out <= left_out
    assert {"calf-stretch", "inner-thigh-stretch", "chest-stretch"}.isdisjoint(left_out)
