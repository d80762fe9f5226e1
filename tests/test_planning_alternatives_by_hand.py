"""What else a block might be, ranked by hand: effort, what is new, balance of planes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from alternative_moves import BRIEF, KEYS, ROW, Moves
from plan_shapes import class_of, phrase_of, song_of

from aquatempo.errors import InputError
from aquatempo.planning.shaping import alternatives as module
from aquatempo.planning.shaping.alternatives import alternatives
from aquatempo.planning.shaping.places import place_of
from aquatempo.records.plan import Block, ClassPlan
from aquatempo.records.rhythm import PhraseKind
from aquatempo.records.shaping import Alternative


@pytest.fixture(autouse=True)
def _few_moves(monkeypatch: pytest.MonkeyPatch) -> None:
    """Give every test the palette of a few moves."""
    monkeypatch.setattr(module, "Palette", Moves)


def told(found: Sequence[Alternative]) -> list[tuple[str, tuple[tuple[str, str], ...], float]]:
    """Return move, options and cost of alternatives."""
    return [(one.block.move, one.block.variation, one.cost) for one in found]


FIST = (("hands", "fist"),)


def test_alternatives_are_ranked_by_effort_what_is_new_and_planes() -> None:
    """3 a point of effort, 2 an option new to the class, 6 a new move, 8 a share over a half.

    64 of 96 counts are sagittal: 8 x (2/3 - 1/2) = 1.33 for what is sagittal. A jack with fists
    0 + 2; a jog 0 + 1.33 as it stands; a kick, which the class has not done today, 3 + 2 + 1.33;
    a leg curl 6 + 2 + 1.33; a knee lift, which is new, 1.5 + 6 + 1.33.
    """
    found = alternatives(ROW, place_of("1.2"), best=9)
    costs = {(move, options): cost for move, options, cost in told(found)}
    assert costs["jack", FIST] == 2.0
    assert costs["jog", ()] == 1.33
    assert costs["jog", FIST] == 3.33
    assert costs["front-kick", ()] == 6.33
    assert costs["front-kick", FIST] == 6.33
    assert costs["knee-lift", ()] == 8.83
    assert costs["leg-curl", ()] == 9.33
    assert ("jack", ()) not in costs  # it is there
    assert ("knee-lift", FIST) not in costs  # what is new comes as it starts
    assert [one.cost for one in found] == sorted(one.cost for one in found)


def test_three_are_told_each_of_another_move() -> None:
    """The best of each move comes before a second one of any."""
    found = told(alternatives(ROW, place_of("1.2")))
    assert [(move, cost) for move, _, cost in found] == [
        ("jog", 1.33), ("jack", 2.0), ("front-kick", 6.33),
    ]  # fmt: skip
    more = [move for move, _, _ in told(alternatives(ROW, place_of("1.2"), best=7))]
    assert sorted(set(more)) == sorted(KEYS)


def test_an_alternative_says_what_it_changes() -> None:
    """Effort and energy against what is there, planes before and then, what is to learn.

    A kick for a jack: sagittal from 64 to 96 of 96, frontal from 32 to none.
    """
    every = alternatives(ROW, place_of("1.2"), best=9)
    found = {(one.block.move, one.block.variation): one for one in every}
    kick, jack, new = found["front-kick", ()], found["jack", FIST], found["knee-lift", ()]
    assert (kick.rpe_change, kick.met_change, kick.impact, kick.impact_before) == (
        1.0, 1.0, "low", "low",
    )  # fmt: skip
    assert kick.planes == (("frontal", 0.333, 0.0), ("sagittal", 0.667, 1.0))
    assert (kick.block.counts, kick.block.lead, kick.learning) == (32, "right", "")
    assert kick.name == "Front kick"
    assert jack.planes == ()
    assert jack.learning == "a variation that the class has not done yet"
    assert (jack.block.lead, new.block.lead) == ("", "right")
    assert new.learning == "a base move new to the class"
    left = class_of(song_of("Lane", "main", "jack", phrase_of(Block(32, "jog", lead="left"))),
                    brief=BRIEF)  # fmt: skip
    other = alternatives(left, place_of("1.2"), best=5)
    assert {one.block.lead for one in other if one.block.move != "jack"} <= {"left", ""}


def test_what_is_new_needs_a_whole_phrase_from_count_one() -> None:
    """In half a phrase no knee lift; in an eight no variation that was not done before."""
    halves = phrase_of(Block(16, "jack"), Block(16, "jog"), start=32)
    plan = class_of(song_of("Lane", "main", "jog", halves, "jog"), brief=BRIEF)
    half = told(alternatives(plan, place_of("1.2.1"), best=9))
    assert "knee-lift" not in [move for move, _, _ in half]
    assert ("jack", FIST, 2.0 + 0.0) in half
    eighths = phrase_of(Block(8, "jack"), Block(24, "jog"), start=32)
    short = class_of(song_of("Lane", "main", "jog", eighths, "jog"), brief=BRIEF)
    assert told(alternatives(short, place_of("1.2.1"), best=9)) != []
    assert all(
        not options for _, options, _ in told(alternatives(short, place_of("1.2.1"), best=9))
    )


@pytest.mark.parametrize(("plan", "what"), [
    (class_of(song_of("Lane", "main", "jog", "easy-jog"), brief=BRIEF), "holding"),
    (class_of(song_of("Lane", "main", "jog", "calf-stretch"), brief=BRIEF), "stretch"),
    (class_of(song_of("Lane", "main", "jog", replace(phrase_of("jack", start=32),
              kind=PhraseKind.BRIDGE)), brief=BRIEF), "bridge"),
])  # fmt: skip
def test_what_is_no_work_has_no_alternatives(plan: ClassPlan, what: str) -> None:
    """A bridge, a hold or a stretch says what it is."""
    with pytest.raises(InputError) as caught:
        alternatives(plan, place_of("1.2"))
    assert str(caught.value) == f"1.2 is a {what}: alternatives are for blocks of work"


def test_progress_counts_the_moves() -> None:
    """Told before each of the five moves."""
    steps: list[tuple[int, int]] = []
    alternatives(ROW, place_of("1.2"), progress=lambda *step: steps.append(step))
    assert steps == [(n, 5) for n in range(5)]
