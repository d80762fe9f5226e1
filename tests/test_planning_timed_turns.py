"""Turns of work and rest by the clock: their counts, moves and rounds, worked by hand.

At 120 beats/min 16 s are 32 counts. Two moves share a round of four sets (common practice).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import cast

import pytest
from planning_forms import form_of

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
