"""What is carried from song to song while a class is filled; each song is filled by hand here.

Songs play at 128 beats/min, so a phrase of 32 counts lasts a quarter of a minute.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import pytest
from plan_shapes import class_of, moves_of, phrase_of, song_of
from planning_forms import form_of, rated

from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.class_shape.parts import ClassPart
from aquatempo.moves import catalogue
from aquatempo.planning import class_plan
from aquatempo.planning.blocks import intervals
from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.blocks.intervals import Clock, fill_intervals
from aquatempo.planning.blocks.pieces import Piece
from aquatempo.planning.class_plan import Wishes, fill_class, shares_of
from aquatempo.planning.course import brief_after, lately
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.moves.repertoire import Repertoire
from aquatempo.planning.moves.slots import Kept
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.outline import Outline
from aquatempo.records.brief import Course
from aquatempo.records.moves import MoveForm
from aquatempo.records.people import Intensity
from aquatempo.records.plan import (
    Block,
    Brief,
    BuildWay,
    ClassPlan,
    Intervals,
    PartName,
    PlannedTrack,
    Stint,
)


class Forms:
    """Stands for a palette: figures of any form, rated at 12."""

    def __init__(self) -> None:
        self.brief = Brief()
        self.limits, self.source = limits_of(self.brief), catalogue()

    def under(self, limits: Limits) -> Forms:
        """Return the same moves under the limits of a song."""
        assert limits.max_rpe <= self.limits.max_rpe
        return self

    def rate(self, forms: Iterable[MoveForm], _: float) -> list[Rated]:
        """Return forms with their figures: 12, a jog 9."""
        return [
            replace(rated("jack", 9.0 if one.move.key == "jog" else 12.0), form=one)
            for one in forms
        ]


@dataclass
class Done:
    """What each song was given (move: what fills it) and what the class had done before it."""

    moves: dict[int, str] = field(default_factory=dict)
    cost: tuple[float, float] = (0.0, 0.0)
    music: list[Music] = field(default_factory=list)
    seeds: list[int] = field(default_factory=list)
    before: list[tuple[float, bool, float | None, int]] = field(default_factory=list)
    tails: list[float] = field(default_factory=list)

    def fill(self, music: Music, _: Forms, ledger: Ledger, effort: Effort, *__: object) -> Filled:
        """Fill a song with one move."""
        number = len(self.music)
        self.music.append(music)
        self.seeds.append(effort.seed)
        self.before.append((ledger.jumped, ledger.jumped_before, ledger.cooled, ledger.songs))
        self.tails.append(sum(seconds for _, seconds in ledger.tail))
        ledger.songs += music.part.name is PartName.MAIN
        form = form_of(self.moves.get(number, "jack"))
        rows = [[Piece(phrase.counts, form)] for phrase in music.phrases]
        return Filled(rows, (Solved(*self.cost, True),), ("verse",) * len(rows))


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> Done:
    """Return what songs are filled with; a class may jump for 6 minutes."""
    told = Done()
    stands: dict[str, Any] = {
        "Palette": lambda *_: Forms(),
        "check_moves": lambda *_: None,
        "Ahead": lambda *_: None,
        "choose_repertoire": lambda *_: Repertoire(("jack",), Solved(10.0, 8.0, True)),
        "with_showing": lambda tracks, *_: tuple(tracks),
        "closing_notes": lambda *_: ("closing",),
        "jump_minutes": lambda *_: 6.0,
        "fill": told.fill,
    }
    for name, what in stands.items():
        monkeypatch.setattr(class_plan, name, what)
    return told


def planned(
    *tracks: PlannedTrack, brief: Brief | None = None, wishes: Wishes | None = None
) -> ClassPlan:
    """Return a class of some songs, filled."""
    parts = [ClassPart(name, 10.0, (110.0, 140.0), BuildWay.LINEAR) for name in PartName]
    solved = Solved(10.0, 10.0, True)
    outline = Outline(brief or Brief(seed=7), tuple(parts), tracks, (), ("first",), solved)
    return fill_class(outline, wishes=wishes)


def main(title: str, phrases: int = 2) -> PlannedTrack:
    """Return a song of the main part."""
    return song_of(title, "main", *["jog"] * phrases)


def test_the_middle_of_each_phrase_lies_in_its_part() -> None:
    """Of 4 phrases in two songs the middles lie at 1, 3, 5 and 7 eighths; other parts aside."""
    tracks = [song_of("Warm", "warm-up", "jog"), main("A"), main("B")]
    shares = [shares_of(tracks, number) for number in range(3)]
    assert shares == [[0.5], [0.125, 0.375], [0.625, 0.875]]
    slow = replace(tracks[1], speed=0.5)  # twice as long: 4 and 2 quarter minutes
    assert shares_of([slow, tracks[2]], 0) == pytest.approx([1 / 6, 1 / 2])
    assert shares_of([slow, tracks[2]], 1) == pytest.approx([3 / 4, 11 / 12])


@pytest.mark.parametrize(
    ("intensity", "cost"), [(Intensity.EASY, 20), (Intensity.STEADY, 8), (Intensity.HARD, 0)]
)
def test_jumps_never_come_first_and_never_twice_in_a_row(
    done: Done, intensity: Intensity, cost: int
) -> None:
    """Jumps have no place in the first song nor after one that jumped, else 24 off their price."""
    brief = Brief(seed=7)
    brief = replace(brief, group=replace(brief.group, intensity=intensity))
    done.moves = {1: "jump"}
    planned(main("A"), main("B", 9), main("C"), main("D"), brief=brief)
    told = [(one.hop_cost, one.hop_room) for one in done.music]
    # 6 minutes are 24 phrases. B jumps for 9; the 15 left are 3.75 min, a third of it 1.25 < 2.25
    assert told == [(None, 0.0), (cost - 24, 24.0), (None, 0.0), (cost, 15.0)]
    jumped = [(minutes, before) for minutes, before, *_ in done.before]
    assert jumped == [(0.0, False), (0.0, False), (2.25, True), (2.25, False)]


def test_no_room_for_a_phrase_is_no_jump(done: Done) -> None:
    """Where less than a phrase of jumping is left, none may come; a whole phrase still may."""
    done.moves = {1: "jump", 3: "jump"}
    planned(main("A"), main("B", 23), main("C"), main("D", 1), main("E"), main("F"))
    assert [one.hop_room for one in done.music] == [0.0, 24.0, 0.0, 1.0, 0.0, 0.0]
    assert done.music[-1].hop_cost is None


def test_other_parts_do_not_jump(done: Done) -> None:
    """Only songs of the main part jump."""
    planned(main("A"), song_of("End", "cool-down", "jog"), song_of("W", "warm-up", "jog"))
    assert [one.hop_cost for one in done.music] == [None, None, None]


def test_each_song_has_a_seed_and_the_effort_it_cooled_down_to(done: Done) -> None:
    """Seeds count on from the brief's; only songs of the cool-down tell how far it cooled."""
    done.moves = {1: "jog"}
    tracks = [main("A"), song_of("C", "cool-down", "jog"), song_of("S", "cool-down", "jog")]
    planned(*tracks, main("B"))
    assert done.seeds == [7, 8, 9, 10]
    assert [cooled for _, _, cooled, _ in done.before] == [None, None, 9.0, 12.0]


def test_the_next_song_looks_back_just_over_the_longest_limit(done: Done) -> None:
    """Of 20 phrases of 15 s the last 17 are kept: 255 s, the first sum over 250 s."""
    planned(main("A", 20), main("B", 1), main("C", 1))
    assert done.tails == [0.0, 255.0, 255.0]


def test_a_short_song_is_looked_back_on_whole(done: Done) -> None:
    """At 100 beats/min a phrase lasts 19.2 s: one, then three of them."""
    planned(*(song_of("A", "main", *["jog"] * n, tempo_bpm=100.0) for n in (1, 2, 1)))
    assert done.tails == pytest.approx([0.0, 19.2, 57.6])


@pytest.mark.parametrize(
    ("cost", "gap"),
    [((0.0, 0.0), 0.1), ((20.0, 18.0), 0.1), ((20.0, 25.0), 0.05), ((60.0, 30.0), 0.4)],
)
def test_the_gap_is_what_could_be_saved_of_the_whole_cost(
    done: Done, cost: tuple[float, float], gap: float
) -> None:
    """Songs and base moves cost 10 each, of which 2 might be saved; a bound over it saves none."""
    done.cost = cost
    plan = planned(main("A"))
    assert (plan.gap, plan.status) == (gap, "optimal")
    assert (plan.notes, plan.ending) == (("first", "closing"), "jack")


def test_a_song_that_stays_is_noted_and_left(done: Done) -> None:
    """A track that stays keeps its moves, and counts as a song of the main part."""
    stays = song_of("B", "main", "jump", "jog")
    plan = planned(main("A"), main("B"), main("C"), wishes=Wishes(whole={1: stays}))
    assert moves_of(plan, 0) == [["jack"], ["jack"]]
    assert plan.tracks[1] == stays
    assert [phrase.section for phrase in plan.tracks[2].phrases] == ["verse", "verse"]
    assert done.before == [(0.0, False, None, 0), (0.25, True, None, 2)]
    assert done.seeds == [7, 9]


def test_songs_are_filled_at_the_tempo_played(done: Done) -> None:
    """128 beats/min at half the speed are 64: a phrase of jumps lasts half a minute."""
    done.moves = {1: "jump"}
    slow = replace(main("B", 1), speed=0.5)
    plan = planned(main("A"), slow, main("C"))
    assert [one.tempo_bpm for one in done.music] == [128.0, 64.0, 128.0]
    assert done.before[-1][:2] == (0.5, True)
    assert plan.ending == "jack"


@pytest.mark.parametrize(("phrases", "cost"), [(7, -16), (8, 8), (9, 8)])
def test_jumps_are_wanted_until_a_quarter_of_them_has_come(
    done: Done, monkeypatch: pytest.MonkeyPatch, phrases: int, cost: int
) -> None:
    """Of eight minutes two, eight phrases; what is left is told in parts of a phrase too."""
    monkeypatch.setattr(class_plan, "jump_minutes", lambda *_: 8.0)
    done.moves = {1: "jump"}
    slow = song_of("D", "main", "jog", tempo_bpm=100.0)
    planned(main("A"), main("B", phrases), main("C"), slow)
    told = done.music[-1]
    left = 8.0 - phrases / 4.0
    assert (told.hop_cost, told.hop_room) == (cost, left * 100.0 / 32.0)


def test_just_as_much_as_the_longest_limit_is_not_enough_to_look_back_on(done: Done) -> None:
    """At 76.8 beats/min a phrase lasts 25 s: ten of them are 250 s, so eleven are kept."""
    planned(song_of("A", "main", *["jog"] * 12, tempo_bpm=76.8), main("B"))
    assert done.tails == [0.0, 275.0]


def test_only_songs_of_intervals_work_and_rest_in_turn(done: Done) -> None:
    """A main song is filled as ever where the brief has intervals; what clashes has its lines."""
    planned(main("A"), brief=Brief(intervals=Intervals(2, 1, 4)))
    assert len(done.music) == 1
    planned(song_of("B", "intervals", "jog"))  # nor where the brief says nothing of turns
    assert len(done.music) == 2


def test_a_class_ends_with_its_last_move(done: Done) -> None:
    """Three songs of another move each: the last one's."""
    done.moves = {1: "twist", 2: "jog"}
    assert planned(main("A"), main("B"), main("C", 1)).ending == "jog"


def test_base_moves_that_are_settled_cost_nothing(done: Done) -> None:
    """Songs cost 10 and are proven, the fill 20 of which 2 might be saved: 2 of 30."""
    done.cost = (20.0, 18.0)
    plan = planned(main("A"), wishes=Wishes(bases=("jog",)))
    assert (plan.gap, plan.status) == (0.0667, "optimal")
    assert planned(main("A")).gap == pytest.approx(0.1)  # moves to choose: 4 of 40


@pytest.mark.parametrize(("leads", "next_lead"), [
    (("right", "right"), "left"), (("left", "left"), "right"), (("right", "left", "right"), "left"),
    (("left", "right", "left"), "right"),
])  # fmt: skip
def test_a_song_that_stays_counts_for_both_sides(
    done: Done, leads: Sequence[str], next_lead: str
) -> None:
    """After a side step to the right a phrase longer, the left leads next."""
    steps = [phrase_of(Block(32, "side-step", lead=lead)) for lead in leads]
    jogs = [phrase_of(Block(32, "jog", lead="right"))] * 4  # both sides work there: none is ahead
    stays = song_of("A", "main", *jogs, *steps)
    done.moves = {0: "jog"}
    plan = planned(main("A"), main("B", 1), wishes=Wishes(whole={0: stays}))
    assert [b.lead for p in plan.tracks[1].phrases for b in p.blocks] == [next_lead]


def test_a_song_that_stays_counts_its_turns(done: Done, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two sets over six blocks are four turns; the intervals go on from there."""
    told: list[int] = []

    def turned(music: Music, _: object, clock: Clock, *__: object) -> Filled:
        told.append(clock.turns)
        return Filled([[Piece(one.counts, form_of("jack"))] for one in music.phrases], ())

    monkeypatch.setattr(class_plan, "fill_intervals", turned)
    turns = (True, True, False)
    rows = [
        phrase_of(*(Block(16, "jog", stint=Stint(works, n, 2, 9.0)) for works in turns))
        for n in (1, 2)
    ]
    stays = song_of("A", "intervals", *rows, "jog")
    again = song_of("B", "intervals", "jog", "jog")
    brief = Brief(intervals=Intervals(2, 1, 4))
    plan = planned(stays, again, brief=brief, wishes=Wishes(whole={0: stays}))
    assert told == [4]
    assert [one.section for one in plan.tracks[1].phrases] == ["", ""]
    assert done.music == []


def test_phrases_that_are_kept_whole_are_to_the_letter_what_they_were(done: Done) -> None:
    """All of a phrase kept: its own blocks; where some counts are free it is what was planned."""
    block = Block(32, "jog", words="mine", lead="left")
    half = replace(block, counts=16)
    kept: dict[int, tuple[Kept | int, ...]] = {
        0: (Kept(block, form_of("jog")),), 1: (16, Kept(half, form_of("jog"))), 2: (),
    }  # fmt: skip
    plan = planned(main("A", 3), wishes=Wishes(kept={0: kept}))
    assert plan.tracks[0].phrases[0].blocks == (block,)
    assert [[b.move for b in p.blocks] for p in plan.tracks[0].phrases[1:]] == [["jack"]] * 2
    assert done.music[0].kept == kept


@pytest.mark.parametrize(
    ("begun", "asked", "works"),
    [
        (0, Intervals(2, 1, 4), [(True, 1), (True, 1), (False, 1), (True, 2), (True, 2)]),
        (2, Intervals(2, 1, 4), [(False, 1), (True, 2), (True, 2), (False, 2), (True, 3)]),
        (0, Intervals(1, 1, 2), [(True, 1), (False, 1), (True, 2), (False, 2), None]),
        (1, Intervals(1, 2, 1), [(False, 1), (False, 1), None, None, None]),
    ],
)
def test_phrases_of_work_and_rest_take_turns(
    monkeypatch: pytest.MonkeyPatch,
    begun: int,
    asked: Intervals,
    works: Sequence[tuple[bool, int] | None],
) -> None:
    """Turns go on where the song before ended; after the last set the class rests."""
    given: list[Music] = []

    def fill(music: Music, *_: object) -> Filled:
        given.append(music)
        return Filled([[Piece(one.counts, form_of("jack"))] for one in music.phrases], ())

    monkeypatch.setattr(intervals, "fill", fill)
    part = ClassPart(PartName.INTERVALS, 5.0, (100.0, 140.0), BuildWay.LINEAR)
    music = Music([phrase_of("jog")] * 5, [0.5] * 5, 120.0, part)
    clock = Clock(begun)
    told: Any = Forms()
    found = fill_intervals(music, asked, clock, told, Ledger(set()), Effort(), ["jack"])
    assert found is not None
    lasts = {True: 16.0 * asked.work, False: 16.0 * asked.rest}
    stints = [one and Stint(*one, asked.sets, lasts[one[0]]) for one in works]
    assert [row[0].stint for row in found.rows] == stints
    assert clock.turns == begun + 5
    design = given[0].design
    assert design is not None
    assert design.names == tuple("work" if one and one[0] else "rest" for one in works)
    places = [row[0].place for row in design.slices]
    turns = [one or (False, asked.sets + 1) for one in works]
    order = sorted(set(turns), key=lambda one: (one[1], not one[0]))
    assert places == [order.index(one) for one in turns]
    assert given[0].resting == {order.index(one) for one in turns if not one[0]}


@pytest.mark.parametrize(("week", "after"), [(None, 3), (1, 3), (5, 5)])
def test_the_class_after_two_others_is_the_third(week: int | None, after: int) -> None:
    """Weeks are counted on unless the brief says which it is; songs tell when they came last."""
    plans = [
        replace(class_of(main("A"), main("B")), ending="sway"),
        replace(class_of(main("B")), ending="march"),
    ]
    brief = Brief(known_moves=("twist",), course=None if week is None else Course(week=week))
    told = brief_after(brief, plans)
    assert told.course is not None
    assert told.course.week == after
    assert told.songs_used == (("B", 1), ("A", 2))
    assert told.endings_used == (("march", 1), ("sway", 2))
    assert told.known_moves == ("twist", "jog")
    assert brief_after(brief, []) == brief


@pytest.mark.parametrize(
    ("name", "file", "weeks", "used"),
    [("Quay", "", 4, True), ("Quay", "", 3, False), ("", "Quay", 5, True), ("Pier", "", 9, False)],
)
def test_a_song_is_told_by_title_or_file(name: str, file: str, weeks: int, used: bool) -> None:
    """A song of 4 weeks ago was used within 4 weeks, not within 3."""
    assert lately([("Quay", 4)], name, file, weeks) is used
