"""Rounds of timed work: which set is in which, and what a form costs there; worked by hand."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from planning_forms import rated

from aquatempo.planning.blocks import intervals
from aquatempo.planning.moves.palette import Rated
from aquatempo.planning.turns import IntervalTurn
from aquatempo.records.moves import Factor

JACK, JOG, FIST = rated("jack", 15.0), rated("jog", 15.0), rated("jack", 15.0, changes=[
    (Factor.HANDS, "fist")])  # fmt: skip


@pytest.mark.parametrize(
    ("row", "one", "done", "price"),
    [
        ((0, 0), JACK, {}, 6),  # a point below 16
        ((0, 0), rated("jack", 18.5), {}, 15),  # two and a half above
        ((0, 0), FIST, {}, 7),  # and one change
        ((0, 0), JACK, {(0, 0): JACK}, 6),  # the round goes on as it began
        ((0, 0), FIST, {(0, 0): JACK}, 7 + 60),
        ((0, 0), JOG, {(0, 0): JACK}, 6 + 60),
        ((0, 1), JACK, {(0, 0): FIST}, 6 + 20),  # the other move of the round
        ((1, 1), JACK, {(0, 0): JACK}, 6 + 20),  # the round before
        ((2, 0), JACK, {(0, 0): JACK}, 6 + 16),  # further back
        ((1, 0), JOG, {(0, 0): JACK}, 6),
        ((1, 0), JACK, {(0, 0): JOG}, 6),
        ((2, 0), JACK, {(0, 0): JACK, (1, 1): FIST, (2, 1): JOG}, 6 + 16 + 20),
    ],
)
def test_the_price_of_a_form_in_a_round(
    row: tuple[int, int], one: Rated, done: Mapping[tuple[int, int], Rated], price: int
) -> None:
    """6 a point off 16, 1 a change, 60 for another than the round began with, 20 or 16 again.

    The weights are judgement, no source; held whole so that none changes by a slip.
    """
    assert intervals._price(row, one, done, 16.0) == price


def test_four_sets_are_a_round_of_two_moves() -> None:
    """Sets 1 to 4 are round 0: first, second, first, second move; set 5 begins round 1."""
    rows = [intervals._row_of(IntervalTurn(True, number, 32)) for number in (1, 2, 3, 4, 5, 8, 9)]
    assert rows == [(0, 0), (0, 1), (0, 0), (0, 1), (1, 0), (1, 1), (2, 0)]
