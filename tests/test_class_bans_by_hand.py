"""What a ban leaves out: angles just passed and just reached, flights, counts, levels, words.

The forms are invented; which words name which ban stands in ``class_shape/data/bans.toml``.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from planning_forms import form_of

from aquatempo.class_shape.bans import Ban, ban_named, steps_under
from aquatempo.errors import UnknownNameError
from aquatempo.moves import parse_pattern
from aquatempo.records.limbs import Leg, Lever, Movement, Posture
from aquatempo.records.moves import Factor, MoveForm, MoveKind, Travel

JACK = form_of("jack")


def bent(hip: float = 0.0, out: float = 0.0, lever: Lever = Lever.LONG) -> MoveForm:
    """Return a form in which a straight leg goes to angles and back."""
    end = Posture(lead_leg=Leg(hip, out))
    there = Movement("to", "a", "b", Posture(), end)
    back = Movement("back", "b", "a", end, Posture())
    return replace(JACK, movements=(there, back), move=replace(JACK.move, key="x", lever=lever))


HIP, OUT = "hip sagittal", "hip frontal"


@pytest.mark.parametrize(
    ("ban", "form", "left_out"),
    [
        (Ban("b", joint=HIP, over_deg=50), bent(51), True),
        (Ban("b", joint=HIP, over_deg=50), bent(50), False),
        (Ban("b", joint=HIP, over_deg=25), bent(-26), True),  # either way from the middle
        (Ban("b", joint=HIP, over_deg=25), bent(-25), False),
        (Ban("b", joint=HIP, over_deg=0), bent(1), True),
        (Ban("b", joint=HIP, over_deg=0), bent(-1), True),
        (Ban("b", joint=HIP, over_deg=0), bent(0, 10), False),
        (Ban("b", joint=OUT, under_deg=-1), bent(0, -2), True),
        (Ban("b", joint=OUT, under_deg=-1), bent(0, -1), False),
        (Ban("b", joint=OUT, under_deg=-1), bent(-20, 30), False),  # another axis
        (Ban("b", joint=HIP, over_deg=50, straight=True), bent(60), True),
        (Ban("b", joint=HIP, over_deg=50, straight=True), bent(60, lever=Lever.SHORT), False),
        (Ban("b", moves=("x",)), bent(), True),
        (Ban("b", moves=("y",)), bent(), False),
        (Ban("b", moves=("y",)), replace(bent(), partner="y"), True),
        (Ban("b", moves=("",)), bent(), False),
        (Ban("b", levels=("I",)), bent(), True),
        (Ban("b", levels=("II",)), bent(), False),
        (Ban("b", air=True), bent(), False),
        (Ban("b", air=True), replace(bent(), arms_in_water=False), True),
        (Ban("b", equipment=True), replace(bent(), equipment_area_m2=0.01), True),
        (Ban("b", equipment=True), replace(bent(), equipment_buoyancy_n=5.0), True),
        (Ban("b", equipment=True), bent(), False),
        (Ban("b"), replace(bent(), equipment_area_m2=0.01), False),
        (Ban("b", factors=("travel",)), replace(bent(), travel=Travel.BACK), True),
        (Ban("b", factors=("travel",)), bent(), False),
        (Ban("b", factors=("hands=open",)), form_of("jog", (Factor.HANDS, "open")), True),
        (Ban("b", factors=("hands=fist",)), form_of("jog", (Factor.HANDS, "open")), False),
        (Ban("b", factors=("hands",)), form_of("jog", (Factor.HANDS, "open")), True),
        (Ban("b", factors=("arms=open",)), form_of("jog", (Factor.HANDS, "open")), False),
    ],
)
def test_a_form_is_left_out_where_any_line_of_a_ban_holds(
    ban: Ban, form: MoveForm, left_out: bool
) -> None:
    """Angles just passed and just reached, levels, moves, air, things held, what varies."""
    assert ban.excludes(form) is left_out
    stretch = replace(form, move=replace(form.move, kind=MoveKind.STRETCH))
    assert ban.excludes(stretch) is (left_out and bool(ban.joint or ban.moves))


@pytest.mark.parametrize(("flight_m", "left_out"), [(0.08, False), (0.081, True)])
def test_a_ban_of_flights_goes_by_the_highest(flight_m: float, left_out: bool) -> None:
    """At the border it stays; without movements nothing flies."""
    ban = Ban("b", flight_m_over=0.08)
    movements = (Movement("a", "a", "a"), Movement("b", "a", "a", flight_m=flight_m))
    assert ban.excludes(replace(bent(), movements=movements)) is left_out
    assert not Ban("b", flight_m_over=0.0).excludes(replace(bent(), movements=()))
    assert not Ban("b", flight_m_over=0.0).excludes(bent())


@pytest.mark.parametrize(
    ("text", "counts", "under"), [("2-1", 2, True), ("2-2", 2, False), ("2-4", 4, True)]
)
def test_counts_under_a_ban(text: str, counts: int, under: bool) -> None:
    """One quick movement is enough, moving counts only; no pattern is no quick one."""
    form = replace(bent(), pattern=parse_pattern(text))
    assert steps_under(form, counts) is under
    assert Ban("b", counts_under=counts).excludes(form) is under
    assert not steps_under(replace(form, pattern=None), counts)
    assert steps_under(replace(form, pattern=parse_pattern("1+1h")), 2)


@pytest.mark.parametrize(
    ("text", "key"),
    [("Jumps", "jumps"), ("no high  impact", "jumps"), ("level ii", "level II"),
     ("LEVEL I", "rebound"), ("hands = open", "hands=open"), ("arm_symmetry", "arm symmetry")],
)  # fmt: skip
def test_bans_are_found_by_what_people_say(text: str, key: str) -> None:
    """By key or word in any case, with or without a "no"; a factor or option by name."""
    assert ban_named(text).key == key


def test_an_unknown_ban_says_so() -> None:
    """With the nearest that is known."""
    with pytest.raises(UnknownNameError, match="no ban named 'jumpes'"):
        ban_named("jumpes")
