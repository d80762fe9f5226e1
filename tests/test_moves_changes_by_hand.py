"""What each reason of a change between two moves costs, alone and together, on set-up forms.

Every cost is common practice and judgement, no source: the counts are those of
``moves/data/transitions.toml``, told here once more as promised to instructors.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from aquatempo.moves import catalogue, parse_pattern, resolve, transition
from aquatempo.records.limbs import Lever, Movement, Plane
from aquatempo.records.moves import Factor, ImpactLevel, MoveForm, MoveKind, Travel, Variation

JOG = resolve(catalogue().move("jog"))
TWO = parse_pattern("2")


def ends(place: str, plane: Plane = Plane.SAGITTAL, lever: Lever = Lever.SHORT) -> MoveForm:
    """Return a form of one movement to and from an end position, which it stops at."""
    move = replace(
        JOG.move, name=place, movements=(Movement("to", place, place),), plane=plane, lever=lever,
        sided=False, alternates=False,
    )  # fmt: skip
    return replace(JOG, move=move, movements=move.movements, variation=Variation(move.key))


def told(a: MoveForm, b: MoveForm, pattern: str = "2", after: str = "2") -> dict[str, int]:
    """Return the reasons of a change and their counts."""
    found = transition(a, parse_pattern(pattern), b, parse_pattern(after))
    assert found.counts == sum(counts for _, counts in found.reasons)
    assert found.works == (found.counts <= 2)
    return dict(found.reasons)


@pytest.mark.parametrize(
    ("first", "second", "counts"),
    [
        ("feet apart", "feet together", 2),
        ("feet apart", "feet apart in the air", 0),  # the same place by another name
        ("lead leg in front", "feet apart", 2),
        ("feet together", "lead leg in front", 0),  # from the centre anywhere
        ("lead knee up", "feet apart", 0),
        ("tucked", "feet together", 2),
        ("feet to the lead side", "feet together", 1),
        ("lead leg swung out", "tucked", 2),
        ("tucked", "lead leg swung out", 2),
        ("feet to the lead side", "turned to the other side", 0),
    ],
)
def test_coming_back_from_an_end_position(first: str, second: str, counts: int) -> None:
    """Where a move ends off the centre it closes first, unless the next starts there."""
    words = f"ends {first}, the next starts {second}"
    assert told(ends(first), ends(second)) == ({words: counts} if counts else {})


@pytest.mark.parametrize(
    ("levers", "words", "counts"),
    [
        (
            (Lever.LONG, Lever.LONG),
            "long lever to long lever across planes (sagittal to frontal) with no centre between",
            4,
        ),
        ((Lever.LONG, Lever.SHORT), "changes from sagittal to frontal off the centre", 1),
        ((Lever.SHORT, Lever.LONG), "changes from sagittal to frontal off the centre", 1),
    ],
)
def test_planes_change_through_the_centre(
    levers: tuple[Lever, Lever], words: str, counts: int
) -> None:
    """Off the centre a change of plane costs, most with two long levers; from it nothing."""
    first, second = (
        ends("tucked", Plane.SAGITTAL, levers[0]),
        ends("tucked", Plane.FRONTAL, levers[1]),
    )
    assert told(first, second) == {words: counts}
    assert told(first, replace(second, move=replace(second.move, plane=Plane.SAGITTAL))) == {}
    centred = ends("feet together", Plane.SAGITTAL, levers[0])
    assert told(centred, ends("feet apart", Plane.FRONTAL, levers[1])) == {}


def test_the_place_is_that_of_the_last_movement_of_a_round() -> None:
    """Three movements out of four a round: the third one's end counts."""
    names = ("feet apart", "feet together", "tucked", "feet together")
    movements = tuple(Movement("to", "feet together", name) for name in names)
    move = replace(JOG.move, movements=movements, sided=False, alternates=True)
    first = replace(JOG, move=move, movements=movements)
    wanted = "ends tucked, the next starts feet together"
    assert wanted in told(first, ends("feet together"), "2-2-4")
    assert told(first, ends("feet together"), "2") == {}


LEVEL_I, POWER = ImpactLevel.I, ImpactLevel.POWER
II, III, GROUNDED = ImpactLevel.II, ImpactLevel.III, ImpactLevel.GROUNDED


@pytest.mark.parametrize(
    ("before", "after", "lever", "words", "counts"),
    [
        (III, LEVEL_I, Lever.LONG, "straight legs come down from suspended to level I", 6),
        (III, GROUNDED, Lever.SHORT, "feet come down from suspended to grounded", 4),
        (III, POWER, Lever.BODY, "feet come down from suspended to power", 4),
        (LEVEL_I, III, Lever.LONG, "lifts off the floor into suspended", 2),
        (GROUNDED, II, Lever.LONG, "changes from grounded to level II", 1),
        (POWER, LEVEL_I, Lever.LONG, "changes from power to level I", 1),
        (III, III, Lever.LONG, "", 0),
        (II, II, Lever.LONG, "", 0),
    ],
)
def test_levels(
    before: ImpactLevel, after: ImpactLevel, lever: Lever, words: str, counts: int
) -> None:
    """Down from suspended costs most with straight legs; between levels on the floor one count."""
    first = ends("feet together", lever=lever)
    found = told(replace(first, level=before), replace(ends("feet together"), level=after))
    assert found == ({words: counts} if words else {})


def test_a_holding_move_has_no_level_of_its_own() -> None:
    """From standing still into any level on the floor is free, up into suspended is not."""
    held = ends("feet together")
    held = replace(held, move=replace(held.move, kind=MoveKind.HOLDING), level=GROUNDED)
    assert told(held, replace(ends("feet together"), level=II)) == {}
    assert told(replace(ends("feet together"), level=II), held) != {}
    assert sum(told(held, replace(ends("feet together"), level=III)).values()) == 2


def test_arms_in_and_out_of_the_water() -> None:
    """Either way two counts, none where they stay."""
    dry = replace(JOG, arms_in_water=False)
    words = {"arms change between in and out of the water": 2}
    assert told(JOG, dry) == words
    assert told(dry, JOG) == words
    assert told(dry, dry) == {}


@pytest.mark.parametrize(
    ("before", "after", "words", "counts"),
    [
        (Travel.IN_PLACE, Travel.BACK, "sets off back", 1),
        (Travel.SIDEWAYS, Travel.IN_PLACE, "stops travelling", 1),
        (Travel.FORWARD, Travel.BACK, "reverses travel from forward to back", 4),
        (Travel.BACK, Travel.FORWARD, "reverses travel from back to forward", 4),
        (Travel.FORWARD, Travel.SIDEWAYS, "turns travel from forward to sideways", 2),
        (Travel.SIDEWAYS, Travel.BACK, "turns travel from sideways to back", 2),
        (Travel.SIDEWAYS, Travel.SIDEWAYS, "", 0),
    ],
)
def test_travel(before: Travel, after: Travel, words: str, counts: int) -> None:
    """Setting off, stopping, turning and reversing."""
    found = told(
        replace(JOG, travel=before, travel_m=0.4), replace(JOG, travel=after, travel_m=0.4)
    )
    assert found == ({words: counts} if words else {})


@pytest.mark.parametrize(
    ("first_m", "second_m", "counts"),
    [(0.88, 0.88, 4), (0.9, 0.1, 8), (0.1, 0.9, 8), (0.1, 0.1, 4)],
)
def test_a_reversal_is_slow_from_45_cm_a_movement(
    first_m: float, second_m: float, counts: int
) -> None:
    """A jog has two movements: from 0.9 m a repetition on, by the faster of the two."""
    first = replace(JOG, travel=Travel.FORWARD, travel_m=first_m)
    second = replace(JOG, travel=Travel.BACK, travel_m=second_m)
    assert len(JOG.movements) == 2
    assert told(first, second) == {"reverses travel from forward to back": counts}


KNEE = resolve(catalogue().move("knee-lift"))


@pytest.mark.parametrize(
    ("pattern", "words"),
    [
        ("2-4", {"2-4 takes 6 counts and fills no whole eight": 4}),
        (
            "1-1-2-4",
            {"1-1-2-4 never swaps the lead: one side gets 3 counts, the other 5": 4},
        ),
        (
            "4-2-1-1",  # 4 and 1 on the lead side, 2 and 1 on the other
            {"4-2-1-1 never swaps the lead: one side gets 5 counts, the other 3": 4},
        ),
    ],
)
def test_patterns_that_leave_one_side_or_an_eight(pattern: str, words: dict[str, int]) -> None:
    """Each has its own cost; on the same pattern nothing else changes."""
    assert len(KNEE.movements) == 2
    found = told(KNEE, resolve(catalogue().move("knee-lift")), pattern, pattern)
    assert {key: found.get(key) for key in words} == words


def test_ending_half_way() -> None:
    """Three movements of a jack end apart; two thirds of it say so by name."""
    jack = resolve(catalogue().move("jack"))
    assert told(jack, jack, "2-2-4", "2-2-4")["2-2-4 ends half-way through Jack"] == 4


def test_a_lead_that_is_lost_for_more_than_a_phrase() -> None:
    """4-4-4 on eight movements comes round after 96 counts: the next sided move cannot tell."""
    long = replace(KNEE.move, movements=KNEE.move.movements * 4)
    first = replace(KNEE, move=long, movements=long.movements)
    words = "which leg leads is not known: 4-4-4 swaps it over more than a phrase"
    assert told(first, KNEE, "4-4-4", "4-4-4")[words] == 2
    both = replace(KNEE, move=replace(KNEE.move, sided=False))
    assert words not in told(first, both, "4-4-4", "4-4-4")
    assert words not in told(KNEE, KNEE, "4-4-4", "4-4-4")


def varied(*changes: tuple[Factor, str], key: str = "jog") -> MoveForm:
    """Return a jog that says to be varied (its shape stays that of the jog)."""
    move = replace(JOG.move, key=key)
    return replace(JOG, move=move, variation=Variation(key, changes))


ARMS, HANDS, SIDES = (Factor.ARMS, "punch"), (Factor.HANDS, "open"), (Factor.SIDES, "one")
TURN, WAY = (Factor.TURN, "half"), (Factor.ARM_SYMMETRY, "both")


@pytest.mark.parametrize(
    ("before", "after", "patterns", "words", "counts"),
    [
        ((), (ARMS,), "2 2", "", 0),
        ((), (ARMS, HANDS), "2 2", "at once arms, hands change", 2),
        ((ARMS, HANDS), (), "2 2", "at once arms, hands change", 2),
        ((ARMS,), (HANDS,), "2 2", "at once arms, hands change", 2),
        ((ARMS, HANDS), (ARMS, HANDS), "2 2", "", 0),
        ((), (ARMS, HANDS, SIDES), "2 2", "at once arms, hands, sides change", 4),
        ((), (ARMS,), "2 4", "at once arms, tempo change", 2),
        ((), (ARMS,), "4 2", "at once arms, tempo change", 2),
        ((), (ARMS, TURN), "2 4", "turn, arms and tempo change at once", 8),
        ((), (WAY, TURN), "4 2", "turn, arms and tempo change at once", 8),
        ((), (ARMS, TURN), "2 2", "at once arms, turn change", 2),
        ((), (TURN,), "2 4", "at once tempo, turn change", 2),
    ],
)
def test_factors_of_the_same_move(
    before: tuple[tuple[Factor, str], ...],
    after: tuple[tuple[Factor, str], ...],
    patterns: str,
    words: str,
    counts: int,
) -> None:
    """One thing more or less is free, each further one costs two; three of a kind cost eight."""
    found = told(varied(*before), varied(*after), *patterns.split())
    assert found == ({words: counts} if words else {})


@pytest.mark.parametrize(
    ("before", "after", "patterns", "words", "counts"),
    [
        ((ARMS, HANDS, TURN), (), "2 2", "", 0),  # what was done to a move ends with it
        ((), (ARMS,), "2 2", "", 0),
        ((), (ARMS, HANDS), "2 2", "a new move and arms, hands change", 2),
        ((), (ARMS, SIDES), "2 2", "", 0),  # which side begins is called with the move
        ((), (ARMS,), "4 2", "", 0),  # 2 is what a jog is usually done in
        ((), (ARMS,), "2 4", "a new move and arms, tempo change", 2),
        ((), (ARMS,), "2 1", "a new move and arms, tempo change", 2),
        ((ARMS,), (ARMS, HANDS, TURN), "2 2", "a new move and hands, turn change", 2),
    ],
)
def test_factors_that_come_with_a_new_move(
    before: tuple[tuple[Factor, str], ...],
    after: tuple[tuple[Factor, str], ...],
    patterns: str,
    words: str,
    counts: int,
) -> None:
    """Only what the new move brings has to be thought of, in its own tempo."""
    assert JOG.move.pattern == "2"
    found = told(varied(*before), varied(*after, key="other"), *patterns.split())
    assert found == ({words: counts} if words else {})


def test_a_change_of_three_counts_is_not_taught_as_it_is() -> None:
    """Two counts work, three do not; without a pattern the form's own is taken."""
    assert transition(ends("tucked"), TWO, ends("feet together"), TWO).works
    off = replace(ends("tucked"), level=II)
    assert transition(off, None, ends("feet together"), None).counts == 3
    assert not transition(off, None, ends("feet together"), None).works
    slow = replace(JOG, pattern=parse_pattern("2-4"))
    uneven = ("2-4 takes 6 counts and fills no whole eight", 4)
    assert transition(slow, None, slow, None).reasons[0] == uneven
    assert uneven not in transition(JOG, None, slow, None).reasons
    plain = replace(slow, pattern=None)
    assert transition(plain, None, plain, None).counts == 0
