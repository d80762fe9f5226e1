"""Turns of work and rest by the clock: their counts, moves and rounds, worked by hand.

At 120 beats/min 16 s are 32 counts. Two moves share a round of four sets (common practice).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import cast

import pytest
from planning_forms import form_of, rated

from aquatempo.class_shape.effort import part_ends
from aquatempo.class_shape.figures import Figures
from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.class_shape.parts import ClassPart
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.blocks import intervals
from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.blocks.intervals import Clock, fill_intervals
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.solver.choosing import Puzzle
from aquatempo.planning.solver.solving import Effort, Solved
from aquatempo.planning.songs.sections import Role
from aquatempo.records.moves import Factor, Move, MoveForm, MoveKind
from aquatempo.records.plan import (
    Brief,
    BuildWay,
    Intervals,
    IntervalUnit,
    PartName,
    PlannedPhrase,
    Stint,
)
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.records.verdict import ImpactBand

RPE = {"jack": 16.0, "jog": 15.0, "front-kick": 15.5, "leg-curl": 12.0, "twist": 15.0,
       "easy-jog": 8.0, "march": 9.0, "scull": 7.0, "jump": 16.0, "side-step": 16.0}  # fmt: skip


@dataclass
class Moves:
    """Stands for a palette of a few moves whose efforts are given."""

    source: Catalogue = field(default_factory=catalogue)
    limits: Limits = field(default_factory=lambda: limits_of(Brief()))
    holding: tuple[str, ...] = ("scull", "march", "easy-jog")

    @property
    def holds(self) -> list[MoveForm]:
        """What may carry a bridge."""
        return [form_of(key) for key in self.holding]

    def of(self, *kinds: MoveKind) -> list[Move]:
        """Return the holding moves."""
        assert kinds == (MoveKind.HOLDING,)
        return [self.source.moves[key] for key in self.holding]

    def form(self, move: Move) -> MoveForm:
        """Return a move as it stands."""
        return form_of(move.key)

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return forms with their efforts, the same at any tempo."""
        assert tempo_bpm > 0
        return [Rated(one, Figures(1.0, 5.0, RPE[one.move.key], ImpactBand.LOW)) for one in forms]

    def start(self, move: Move, tempo_bpm: float) -> Rated:
        """Return how a move starts: as it stands."""
        return self.rate([form_of(move.key)], tempo_bpm)[0]

    def forms_of(
        self, move: Move, tempo_bpm: float, start: MoveForm, let: Callable[..., bool]
    ) -> list[Rated]:
        """Return the plain form of a move, and one that is held: no steady work."""
        assert start.move is move
        held = form_of(move.key, (Factor.TEMPO, "hold"))
        assert not let((Factor.TEMPO, "hold"))
        assert let((Factor.HANDS, "fist"))
        return self.rate([start, held], tempo_bpm)


KEYS = ("jack", "jog", "front-kick", "leg-curl", "twist")


def filled(
    spans: Sequence[int],
    sets: int,
    clock: Clock | None = None,
    keys: Sequence[str] = KEYS,
    ledger: Ledger | None = None,
) -> Filled:
    """Return 16 s of work and 8 s of rest over stretches of some counts at 120 beats/min."""
    phrases = [PlannedPhrase(0, n, PhraseKind.PHRASE, EnergyLevel.HIGH, ()) for n in spans]
    part = ClassPart(PartName.INTERVALS, 5.0, (100.0, 140.0), BuildWay.LINEAR)
    music = Music(phrases, [0.5] * len(phrases), 120.0, part)
    asked = Intervals(16, 8, sets, IntervalUnit.SECONDS)
    known = ledger or Ledger(set(keys))
    found = fill_intervals(
        music, asked, clock or Clock(), cast("Palette", Moves()), known, Effort(), keys
    )
    assert found is not None
    return found


def told(found: Filled) -> list[list[tuple[int, bool, int]]]:
    """Return counts, work or rest, and set of each piece."""
    return [
        [(p.counts, p.stint.works, p.stint.number) if p.stint else (p.counts, False, 0)
         for p in row]
        for row in found.rows
    ]  # fmt: skip


def works(found: Filled) -> list[str]:
    """Return the move of each turn of work."""
    turns: Mapping[int, str] = {
        piece.stint.number: piece.form.move.key
        for row in found.rows
        for piece in row
        if piece.stint is not None and piece.stint.works
    }
    return [turns[number] for number in sorted(turns)]


def test_turns_go_through_phrases_by_the_clock() -> None:
    """32 of work and 16 of rest, twice, over phrases of 40, 40 and 24 counts; 8 are left over.

    Each phrase is called what is done in it.
    """
    found = filled([40, 40, 24], 2)
    assert told(found) == [
        [(32, True, 1), (8, False, 1)], [(8, False, 1), (32, True, 2)],
        [(16, False, 2), (8, False, 0)],
    ]  # fmt: skip
    assert found.names == ("work and rest", "rest and work", "rest")
    first = found.rows[0]
    assert first[0].stint == Stint(True, 1, 2, 16.0)
    assert first[1].stint == Stint(False, 1, 2, 8.0)
    assert filled([48, 8], 1).names[1] == "rest"


def test_the_class_rests_with_what_keeps_it_warm() -> None:
    """The easy jog before a march, and either before a scull, which moves nobody."""
    resting = {p.form.move.key for row in filled([48], 1).rows for p in row if not p.stint
               or not p.stint.works}  # fmt: skip
    assert resting == {"easy-jog"}


def test_two_moves_take_turns_in_a_round_of_four_sets_and_others_come_next() -> None:
    """A B A B, then C D C D; what is wanted is hard, so the easy leg curl comes in neither."""
    moves = works(filled([48] * 8, 8))
    assert moves[0] == moves[2] != moves[1] == moves[3]
    assert moves[4] == moves[6] != moves[5] == moves[7]
    assert len(set(moves)) == 4
    assert "leg-curl" not in moves


def test_a_round_goes_on_with_its_moves_in_the_next_song() -> None:
    """Two sets in one song and two in the next are one round; the clock counts four turns each."""
    clock = Clock()
    first = works(filled([96], 4, clock))
    assert clock.turns == 4
    assert sorted(clock.chosen) == [(0, 0), (0, 1)]
    second = filled([96], 4, clock)
    assert clock.turns == 8
    assert works(second) == first
    assert told(second)[0][0] == (32, True, 3)


def test_what_jumps_or_works_one_side_is_no_work_by_the_clock() -> None:
    """Big jumps and side steps are left out; a ledger notes each move of a song once."""
    ledger = Ledger({"jump", "side-step", "jog", "jack"})
    moves = works(filled([48] * 4, 4, keys=("jump", "side-step", "jog", "jack"), ledger=ledger))
    assert set(moves) == {"jog", "jack"}
    assert ledger.phrases == {"jog": 1, "jack": 1}


def test_a_round_pays_for_effort_missed_and_for_what_is_alike(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Six a point off the effort; 28 for the same move within two places, 16 for it later.

    The same move has the same plane (3) and muscle (5): 20 + 3 + 5 = 28.
    """
    given: list[Puzzle] = []

    def choose(puzzle: Puzzle, _: Effort) -> tuple[list[int], Solved]:
        given.append(puzzle)
        return [0] * len(puzzle.options), Solved(0.0, 0.0, True)

    monkeypatch.setattr(intervals, "choose", choose)
    filled([32 * 12], 8, keys=("jack", "jog"))  # 8 sets: two moves of each of two rounds
    wanted = part_ends(PartName.INTERVALS, limits_of(Brief()))[0][1]
    prices = {round(6 * abs(RPE[key] - wanted)) for key in ("jack", "jog")}
    assert all(prices <= set(row) for row in given[0].options)
    for link in given[0].links:
        near = link.second - link.first <= 2
        assert link.costs[0, 0] == (28 if near else 16)


@pytest.mark.parametrize(
    ("holding", "efforts", "rests"),
    [
        (("scull", "march", "easy-jog"), {}, "easy-jog"),
        (("scull", "march", "jog"), {"jog": 8.5}, "jog"),  # the easiest that moves
        (("scull", "march", "jog"), {"jog": 9.5}, "march"),
        (("scull", "march", "easy-jog"), {"easy-jog": 10.0}, "easy-jog"),  # as much as a rest may
        (("scull", "march", "easy-jog"), {"easy-jog": 10.1}, "march"),
        (("scull", "march"), {"march": 11.0}, "scull"),  # nothing that moves is a rest
        (("march", "easy-jog"), {"march": 11.0, "easy-jog": 12.0}, "easy-jog"),
        (("march", "jog"), {"march": 11.0, "jog": 12.0}, "march"),
    ],
)
def test_a_rest_is_the_easy_jog_or_the_easiest_that_keeps_warm(
    monkeypatch: pytest.MonkeyPatch, holding: tuple[str, ...], efforts: dict[str, float], rests: str
) -> None:
    """What moves at RPE 10 or less comes first; of that the easy jog, else the easiest."""
    for key, rpe in efforts.items():
        monkeypatch.setitem(RPE, key, rpe)
    palette = cast("Palette", Moves(holding=holding))
    assert intervals._rest_form(palette, 120.0).move.key == rests


def asked_of(
    monkeypatch: pytest.MonkeyPatch, moves: Moves, spans: Sequence[int], sets: int, **others: Clock
) -> tuple[Puzzle, Filled | None]:
    """Return what is asked where the last option is always taken, and what comes of it."""
    given: list[Puzzle] = []

    def choose(puzzle: Puzzle, _: Effort) -> tuple[list[int], Solved]:
        given.append(puzzle)
        return [len(row) - 1 for row in puzzle.options], Solved(3.0, 2.0, True)

    monkeypatch.setattr(intervals, "choose", choose)
    phrases = [PlannedPhrase(0, n, PhraseKind.PHRASE, EnergyLevel.HIGH, ()) for n in spans]
    part = ClassPart(PartName.INTERVALS, 5.0, (100.0, 140.0), BuildWay.LINEAR)
    music = Music(phrases, [0.5] * len(phrases), 120.0, part)
    asked = Intervals(16, 8, sets, IntervalUnit.SECONDS)
    clock = others.get("clock") or Clock()
    found = fill_intervals(
        music, asked, clock, cast("Palette", moves), Ledger(set(KEYS)), Effort(), KEYS
    )
    return given[0], found


@pytest.mark.parametrize(("sets", "rows", "links"), [
    (1, 1, 0), (2, 2, 1), (4, 2, 1), (16, 8, 28),  # each of eight with each: 8 * 7 / 2
    (20, 10, 17),  # of ten only with the next two: 9 + 8
])  # fmt: skip
def test_rows_of_a_round_are_weighed_against_each_other(
    monkeypatch: pytest.MonkeyPatch, sets: int, rows: int, links: int
) -> None:
    """A row a move of a round; up to eight rows all pairs are weighed, else those that are near."""
    puzzle, _ = asked_of(monkeypatch, Moves(), [48] * sets, sets)
    assert len(puzzle.options) == rows
    assert len(puzzle.links) == links
    pairs = {(link.first, link.second) for link in puzzle.links}
    assert pairs == {(a, b) for a in range(rows) for b in range(a + 1, rows)
                     if rows <= 8 or b - a <= 2}  # fmt: skip
    # Options: jack, jog, front kick, leg curl, twist. Jog and kick: one plane (3), hip flexors
    # (5); jog and curl: one plane; jack and twist: neither.
    for link in puzzle.links:
        near = link.second - link.first <= 2
        told = [link.costs[pair] for pair in ((0, 0), (1, 2), (2, 1), (1, 3), (0, 4))]
        assert told == [16 + 12 * near, 8 * near, 8 * near, 3 * near, 0]
        assert len(link.costs) == 25


@dataclass
class Varied(Moves):
    """A palette in which a move has many forms, and some moves cannot start."""

    without: tuple[str, ...] = ()

    def start(self, move: Move, tempo_bpm: float) -> Rated | None:  # type: ignore[override]
        """Return how a move starts, None for those without a start."""
        return None if move.key in self.without else super().start(move, tempo_bpm)

    def forms_of(
        self, move: Move, tempo_bpm: float, start: MoveForm, let: Callable[..., bool]
    ) -> list[Rated]:
        """Return five forms at RPE 12 to 16, one of them held, one a big jump at 15.5."""
        hands = ["", "fist", "slice", "open"]
        forms = [form_of(move.key, *([(Factor.HANDS, one)] if one else [])) for one in hands]
        told = [replace(rated("jack", 12.0 + n), form=one) for n, one in enumerate(forms)]
        held = replace(rated("jack", 16.0), form=form_of(move.key, (Factor.TEMPO, "hold")))
        leap = replace(rated("jack", 15.5, impact=ImpactBand.HIGH), form=start)
        return [*told, held, leap]


def test_the_three_forms_nearest_to_the_effort_are_choices(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of forms at 12, 13, 14 and 15 for 15.5 the last three; none held, none that jumps."""
    moves = Varied(without=("jack", "front-kick", "leg-curl", "twist"))
    puzzle, found = asked_of(monkeypatch, moves, [48], 1)
    assert puzzle.options == [[4, 10, 16]]  # 6 * 0.5, 1.5, 2.5, and a change each
    assert found is not None
    assert found.solved == (Solved(3.0, 2.0, True),)
    assert found.rows[0][0].form == form_of("jog", (Factor.HANDS, "fist"))  # the last: at 13


def test_where_no_move_works_what_holds_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """No move of the class can start: the class goes on with holding moves."""
    moves = Varied(without=KEYS)
    starts = {key: rated(key, 9.0) for key in ("scull", "march")}
    monkeypatch.setattr(moves, "starts", lambda *_: starts, raising=False)
    _, found = asked_of(monkeypatch, moves, [48], 1)
    assert found is not None
    assert found.rows[0][0].form.move.key == "march"


def test_a_form_of_the_round_before_stays_a_choice(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the song before did is one more option, unless it is one already."""
    other = form_of("jack", (Factor.HANDS, "fist"))
    for form, options in ((other, 6), (form_of("jack"), 5)):
        clock = Clock(2, {(0, 0): form})
        puzzle, found = asked_of(monkeypatch, Moves(), [96], 4, clock=clock)
        assert [len(row) for row in puzzle.options] == [options] * 2
        assert found is not None
        assert clock.turns == 6
    assert clock.chosen == {(0, 0): form_of("twist"), (0, 1): form_of("twist")}


def test_a_song_after_the_last_set_is_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is chosen where no turn works; a round for which nothing fits is no song."""
    found = filled([40, 24], 2, Clock(4))
    assert told(found) == [[(40, False, 0)], [(24, False, 0)]]
    assert found.solved == (Solved(0.0, 0.0, True),)
    assert found.names == ("rest", "rest")
    monkeypatch.setattr(intervals, "choose", lambda *_: None)
    part = ClassPart(PartName.INTERVALS, 5.0, (100.0, 140.0), BuildWay.LINEAR)
    phrases = [PlannedPhrase(0, 48, PhraseKind.PHRASE, EnergyLevel.HIGH, ())]
    music, asked = Music(phrases, [0.5], 120.0, part), Intervals(16, 8, 1, IntervalUnit.SECONDS)
    palette = cast("Palette", Moves())
    assert fill_intervals(music, asked, Clock(), palette, Ledger(set(KEYS)), Effort(), KEYS) is None


@pytest.mark.parametrize(
    ("asked", "known", "roles"),
    [
        (Intervals(0.5, 0.5, 2), KEYS, "CMCM"),  # at least a phrase each
        (Intervals(2, 1, 1), KEYS, "CMM"),
        (Intervals(16, 8, 1, IntervalUnit.SECONDS), (), "C"),  # nothing is known to work with
    ],
)
def test_phrases_take_turns_where_the_clock_cannot(
    monkeypatch: pytest.MonkeyPatch, asked: Intervals, known: Sequence[str], roles: str
) -> None:
    """Work is the chorus, rest what lies between; each phrase is a slice of its own."""
    given: list[Music] = []

    def fill(music: Music, *_: object) -> None:
        given.append(music)

    monkeypatch.setattr(intervals, "fill", fill)
    part = ClassPart(PartName.INTERVALS, 5.0, (100.0, 140.0), BuildWay.LINEAR)
    phrases = [PlannedPhrase(0, n, PhraseKind.PHRASE, EnergyLevel.HIGH, ()) for n in (32, 24, 32)]
    phrases.append(replace(phrases[0], kind=PhraseKind.BRIDGE))
    phrases.append(phrases[0])
    music = Music(phrases, [0.5] * 5, 120.0, part)
    palette, ledger = cast("Palette", Moves()), Ledger(set(known))
    assert fill_intervals(music, asked, Clock(), palette, ledger, Effort(), KEYS) is None
    design = given[0].design
    assert design is not None
    names = {Role.CHORUS: "C", Role.MIDDLE: "M"}
    assert "".join(names[role] for role in design.roles) == roles
    assert [row[0].counts for row in design.slices] == [32, 24, 32, 32]
    assert [row[0].tie for row in design.slices] == [0, 1, 2, 3]
