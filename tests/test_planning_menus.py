"""Which forms of a move there are to choose from, from offers made by hand.

What suits which part, and what a variation asks, is common practice and judgement, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, cast

import pytest
from planning_forms import form_of, rated

from aquatempo.class_shape.figures import Figures
from aquatempo.moves import catalogue
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.menus import (
    Taste,
    alone,
    changed_factors,
    goes_across,
    menu,
    taste_of,
)
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.records.brief import Experience
from aquatempo.records.moves import Factor, Move, MoveForm, Variation
from aquatempo.records.plan import BuildWay, PartName
from aquatempo.records.verdict import ImpactBand

Change = tuple[Factor, str]
MAIN, WARM_UP, COOL_DOWN = PartName.MAIN, PartName.WARM_UP, PartName.COOL_DOWN
MOGUL = rated("mogul")
LARGE, SMALL = (Factor.RANGE, "large"), (Factor.RANGE, "small")
OPEN, FIST = (Factor.HANDS, "open"), (Factor.HANDS, "fist")
FORWARD, BACK, ASIDE = (
    (Factor.TRAVEL, "forward"),
    (Factor.TRAVEL, "back"),
    (Factor.TRAVEL, "sideways"),
)
LAND, HOLD, BOUNCE = (Factor.TEMPO, "land"), (Factor.TEMPO, "hold"), (Factor.TEMPO, "bounce")
POWER, QUARTER, HALF = (Factor.LEVEL, "power"), (Factor.TURN, "quarter"), (Factor.TURN, "half")
RAISE = (Factor.ARMS, "raise")


def tasting(**asked: Any) -> Taste:
    """Return the taste of a linear main part that comes regularly, unless told."""
    return Taste(
        **({"part": MAIN, "way": BuildWay.LINEAR, "experience": Experience.REGULAR} | asked)
    )


class Offers:
    """A palette by hand: what it offers, at which effort, and what it was asked."""

    source = catalogue()

    def __init__(
        self,
        singles: Sequence[Rated] = (),
        layered: Sequence[Rated] = (),
        strong: Sequence[Rated] = (),
        barred: str = "",
    ) -> None:
        self.given, self.pairs, self.far, self.barred = list(singles), list(layered), strong, barred
        self.single: list[Rated] = []
        self.driven: bool | None = None
        self.fits: Callable[[Change], bool] = lambda change: False

    def forms_of(
        self, move: Move, tempo_bpm: float, start: MoveForm, fits: Callable[[Change], bool]
    ) -> list[Rated]:
        """Return the single changes by hand."""
        self.fits = fits
        return self.given

    def form(self, move: Move, changes: Sequence[Change]) -> MoveForm:
        """Return a form as the catalogue makes it."""
        return form_of(move.key, *changes)

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> list[Rated]:
        """Return forms at RPE 12, allowed unless all are barred."""
        return [Rated(one, Figures(1.0, 6.0, 12.0, ImpactBand.LOW), self.barred) for one in forms]

    def layered(self, start: MoveForm, singles: Sequence[Rated], tempo_bpm: float) -> list[Rated]:
        """Return the pairs by hand."""
        self.single = list(singles)
        return self.pairs

    def strong(self, start: MoveForm, tempo_bpm: float, driven: bool) -> Sequence[Rated]:
        """Return what makes a move much harder, by hand."""
        self.driven = driven
        return self.far


def offered(
    offers: Offers,
    start: Rated = MOGUL,
    ledger: Ledger | None = None,
    wanted: float = 12.0,
    tempo_bpm: float = 120.0,
    **asked: Any,
) -> list[str]:
    """Return the menu of a move, each form as its options."""
    taste = tasting(**asked)
    known = ledger or Ledger({"mogul"})
    found = menu(cast("Palette", offers), start, tempo_bpm, known, taste, wanted)
    assert found[0] == start
    return [" ".join(key for _, key in one.form.variation.changes) for one in found[1:]]


def varied(*changes: Change, rpe: float = 12.0) -> Rated:
    """Return a mogul with changes."""
    return rated("mogul", rpe, changes=changes)


def learned(*ways: Sequence[Change], old: int = 0) -> Ledger:
    """Return a ledger of a class that learned ways of varying a mogul, the first in old classes."""
    told = [tuple((factor.value, key) for factor, key in way) for way in ways]
    return Ledger(
        {"mogul"}, forms={"mogul": Counter(told)}, old={("mogul", way) for way in told[:old]}
    )


def test_new_forms_come_in_the_order_of_what_they_ask() -> None:
    """Four a point off the effort, and what each asks: open 0, a step aside 1, large at 13 4."""
    singles = [varied(SMALL), varied(LARGE, rpe=13.0), varied(ASIDE), MOGUL, varied(OPEN)]
    assert offered(Offers(singles)) == ["open", "sideways", "large", "small"]
    assert offered(Offers(singles), wanted=13.0) == ["large", "open", "sideways", "small"]
    hold = rated("easy-jog")
    assert offered(Offers(singles), start=hold) == []
    assert offered(Offers(singles), start=rated("calf-stretch")) == []


def test_of_each_factor_two_are_new_and_six_in_all() -> None:
    """Of three ways to travel the dearest stays away, of seven new forms the last."""
    travels = [varied(BACK), varied(ASIDE), varied(FORWARD), varied(OPEN)]
    assert offered(Offers(travels)) == ["open", "forward", "sideways"]
    turns = [varied(QUARTER), varied(HALF), varied(FIST), varied(LARGE)]
    assert offered(Offers([*travels, *turns])) == [
        *("open", "large", "forward", "sideways", "quarter", "fist"),
    ]  # fmt: skip


@pytest.mark.parametrize(("ledger", "experience", "found"), [
    (learned([OPEN], [FIST]), Experience.REGULAR, "open|fist|large"),
    (learned([OPEN], [FIST], [BACK]), Experience.REGULAR, "open|fist|back"),  # three are enough
    (learned([OPEN], [FIST], [BACK]), Experience.TRAINED, "open|fist|back|large"),
    (learned([OPEN], [FIST], [BACK], old=1), Experience.REGULAR, "open|fist|back|large"),
    (learned([OPEN, LARGE], [FIST], [BACK]), Experience.REGULAR, "open large|fist|back|large"),
    (learned([LARGE]), Experience.FIRST_WEEK, "large"),
    (Ledger({"mogul"}, forms={"jog": Counter({(("hands", "open"),): 1})}), Experience.REGULAR,
     "large"),
])  # fmt: skip
def test_what_is_learned_comes_back_and_leaves_less_room_for_new(
    ledger: Ledger, experience: Experience, found: str
) -> None:
    """A class learns so many ways of a move; earlier classes and two at a time do not count."""
    offers = Offers([varied(LARGE)])
    assert "|".join(offered(offers, ledger=ledger, experience=experience)) == found
    assert offered(Offers(barred="too fast"), ledger=ledger, experience=experience) == []


def test_what_is_learned_is_put_on_top_of_the_start() -> None:
    """A move that starts small takes open hands beside it, no other range, and itself not twice."""
    start = varied(SMALL)
    assert offered(Offers(), start, learned([OPEN], [LARGE], [SMALL])) == ["small open"]
    both = learned([(Factor.SIDES, "one"), OPEN], [(Factor.SIDES, "one")])
    assert offered(Offers(), MOGUL, both) == ["open"]  # sides are no variation


@pytest.mark.parametrize(("change", "asked", "suits"), [
    (POWER, {"jumps_allowed": True}, True),
    (POWER, {}, False),  # a jump
    (POWER, {"part": WARM_UP, "jumps_allowed": True}, False),
    ((Factor.LEVEL, "III"), {}, True), ((Factor.LEVEL, "III"), {"part": COOL_DOWN}, False),
    (LAND, {}, True), (LAND, {"part": COOL_DOWN, "wanted": 13.0}, False),
    (LAND, {"part": WARM_UP, "wanted": 11.9}, False), (LAND, {"part": WARM_UP}, True),
    (LARGE, {"part": WARM_UP}, True), (LARGE, {"part": WARM_UP, "wanted": 11.9}, False),
    ((Factor.TEMPO, "build"), {}, True), ((Factor.TEMPO, "build"), {"part": WARM_UP}, False),
    (HOLD, {}, False), (HOLD, {"themes": ("balance",)}, True),
    (HOLD, {"part": PartName.INTERVALS}, False),
    (HOLD, {"part": WARM_UP, "themes": ("balance",)}, False),
    (HOLD, {"part": COOL_DOWN}, True),
    (LAND, {"tempo_bpm": 79.9}, False), (LAND, {"tempo_bpm": 80.0}, True),
    (OPEN, {"tempo_bpm": 60.0}, True),
    (BOUNCE, {}, True), (BOUNCE, {"start": varied((Factor.LEVEL, "II"))}, False),
    (OPEN, {"start": varied((Factor.LEVEL, "II"))}, True),
    (OPEN, {"part": COOL_DOWN}, True),  # the jack hops as it stands
])  # fmt: skip
def test_each_part_has_forms_that_suit_it(
    change: Change, asked: dict[str, Any], suits: bool
) -> None:
    """No power, suspense, land tempo or large range in gentle parts, no still stand in work."""
    assert len(offered(Offers(), ledger=learned([change]), **asked)) == suits


def test_moves_of_the_arms_keep_their_arms() -> None:
    """Where the arms are the move they are not changed; the hands may be."""
    press = rated("arm-press")
    arms = replace(
        press, form=replace(press.form, arms="raise", variation=Variation("arm-press", (RAISE,)))
    )
    hands = rated("arm-press", changes=[FIST])
    assert offered(Offers([arms, hands]), press) == ["fist"]


def test_two_at_a_time_are_made_of_what_is_known_and_the_best_three_new() -> None:
    """Learned ones and three new; a learned pair is no part of another."""
    singles = [varied(LARGE), varied(ASIDE), varied(QUARTER), varied(RAISE)]
    offers = Offers(singles)
    offered(offers, ledger=learned([OPEN], [FIST, BACK]))
    told = [one.form.variation.changes for one in offers.single]
    assert told == [(OPEN,), (RAISE,), (LARGE,), (ASIDE,)]


def test_pairs_come_nearest_first_two_of_the_same_factors_and_four_at_most() -> None:
    """At 12.1, 12.2, ...: the third of hands and range stays away; driven classes have eight."""
    near = [
        (OPEN, LARGE), (FIST, LARGE), (OPEN, SMALL), (OPEN, FORWARD), (LARGE, FORWARD),
        (RAISE, LARGE), (RAISE, FORWARD), (RAISE, OPEN), (OPEN, LAND), (RAISE, LAND), (LARGE, LAND),
    ]  # fmt: skip
    pairs = [varied(*two, rpe=12.0 + place / 10.0) for place, two in enumerate(near, 1)]
    found = offered(Offers(layered=[*reversed(pairs)]))
    assert found == ["open large", "fist large", "open forward", "large forward"]
    driven = offered(Offers(layered=[*reversed(pairs)]), drive=2.0)
    assert driven == [" ".join(key for _, key in near[one]) for one in (0, 1, 3, 4, 5, 6, 7, 8)]
    twice = offered(Offers(layered=pairs), ledger=learned([OPEN, LARGE]))
    assert twice == ["open large", "fist large", "open forward", "large forward", "raise large"]
    held = varied(OPEN, HOLD)
    assert offered(Offers(layered=[held])) == []


@pytest.mark.parametrize(("wanted", "found"), [(13.5, 1), (13.6, 2), (15.0, 2)])
def test_what_is_much_harder_is_offered_where_single_changes_stay_far_below(
    wanted: float, found: int
) -> None:
    """More than 1.5 points below what is wanted two at a time help, once each."""
    far = [varied(OPEN, LARGE, rpe=14.0), varied(POWER, OPEN, rpe=14.0), varied(LAND, OPEN)]
    offers = Offers(layered=far[:1], strong=[far[2], far[0]])
    assert len(offered(offers, wanted=wanted)) == found
    assert offers.driven is (None if found == 1 else False)
    single = Offers([varied(LARGE, rpe=14.0)], far[:1], far)
    assert len(offered(single, wanted=15.0)) == 2  # the large one comes near enough
    hard = Offers(strong=far)
    offered(hard, wanted=18.0, drive=4.0, experience=Experience.TRAINED)
    assert hard.driven is True
    assert not tasting(drive=4.0).vigorous
    assert not tasting(drive=3.9, experience=Experience.TRAINED).vigorous


def test_what_makes_it_easier_is_not_rated_where_a_class_has_to_rise() -> None:
    """Half a point below what is wanted a driven class looks at nothing easier."""
    for drive, wanted, small in ((2.0, 12.6, False), (2.0, 12.5, True), (1.0, 14.0, True)):
        offers = Offers()
        offered(offers, wanted=wanted, drive=drive)
        assert offers.fits(SMALL) is small
        assert offers.fits(LARGE)
        assert not offers.fits(HOLD)
    offered(offers, part=COOL_DOWN)
    assert offers.fits(HOLD)
    offered(offers, themes=("balance",))
    assert offers.fits(HOLD)


def test_a_move_is_combined_with_the_four_that_are_known_best() -> None:
    """Those with most phrases, then by name; never one that is not known."""
    offers = Offers()
    had = Counter({"twist": 5, "jog": 2, "leap": 2, "tuck": 1})
    known = {"mogul", "twist", "jog", "leap", "tuck", "walk", "lunge"}
    offered(offers, ledger=Ledger(known, phrases=had))
    keys = ("mogul", "jog", "leap", "lunge", "star", "tuck", "twist", "walk")
    good = [key for key in keys if offers.fits((Factor.COMBINATION, f"with-{key}"))]
    assert good == ["jog", "leap", "tuck", "twist"]
    offered(offers, ledger=Ledger({"mogul", "walk", "lunge", "jog", "leap", "tuck"}))
    good = [key for key in keys if offers.fits((Factor.COMBINATION, f"with-{key}"))]
    assert good == ["jog", "leap", "lunge", "tuck"]


@pytest.mark.parametrize(("change", "cost"), [
    ((Factor.LEVEL, "III"), 5), (POWER, 5), ((Factor.LEVEL, "II"), 0), (BACK, 4), (HALF, 5),
    (QUARTER, 3), ((Factor.TURN, "torso"), 2), ((Factor.TEMPO, "build"), 6), (HOLD, 4),
    (BOUNCE, 3), ((Factor.TEMPO, "mixed"), 3), (LAND, 0), ((Factor.COMBINATION, "with-jog"), 8),
    (SMALL, 6), (LARGE, 0), (FORWARD, 0), (ASIDE, 1), ((Factor.TRAVEL, "in-place"), 6),
    ((Factor.ARMS, "still"), 5), (RAISE, 0), (FIST, 4), ((Factor.HANDS, "slice"), 6), (OPEN, 0),
    ((Factor.ARM_SYMMETRY, "alternating"), 2), ((Factor.ARM_SYMMETRY, "one"), 4),
])  # fmt: skip
def test_what_a_variation_asks_beside_its_effort(change: Change, cost: int) -> None:
    """Space, balance or an ear cost, and what changes little (common practice, no source)."""
    one = replace(MOGUL, form=replace(MOGUL.form, variation=Variation("mogul", (change,))))
    ledger, moving = Ledger(set()), change[0] in (Factor.TRAVEL, Factor.TURN)
    assert taste_of(one, MOGUL, ledger, tasting()) == cost
    assert taste_of(one, MOGUL, ledger, tasting(calm=True)) == cost + 6 * moving
    hard = tasting(drive=4.0, experience=Experience.TRAINED)
    ways = ((Factor.LEVEL, "III"), POWER, LAND, OPEN, FORWARD, ASIDE)
    rare = change in ways[:2]
    assert taste_of(one, MOGUL, ledger, hard) == (-24 if rare else 0 if change in ways else cost)
    for times, left in ((2, -24), (3, 0)):
        ledger.options["mogul", change[0].value, change[1]] = times
        assert taste_of(one, MOGUL, ledger, hard) == (
            left if rare else 0 if change in ways else cost
        )


def test_what_others_have_and_what_a_theme_asks_is_weighed() -> None:
    """Two for each other move with the same option, six at most; five less for its theme."""
    ledger = Ledger(set())
    costs = []
    for key in ("mogul", "jog", "twist", "leap", "tuck"):
        ledger.options[key, "hands", "open"] += 4
        costs.append(taste_of(varied(OPEN), MOGUL, ledger, tasting()))
    assert costs == [0, 2, 4, 6, 6]
    assert taste_of(varied(FIST), MOGUL, ledger, tasting()) == 4
    assert taste_of(varied(OPEN), MOGUL, Ledger(set()), tasting(themes=("strength",))) == -5
    assert taste_of(varied(OPEN, SMALL), MOGUL, ledger, tasting()) == 12
    assert taste_of(varied(OPEN, SMALL), varied(SMALL), ledger, tasting()) == 6
    assert alone(varied(OPEN, SMALL), (SMALL,))
    assert not alone(varied(OPEN, SMALL), ())
    assert changed_factors(varied(OPEN, SMALL).form, varied(FIST, SMALL).form) == {Factor.HANDS}


@pytest.mark.parametrize(("move", "ways"), [
    ("side-kick", "sideways"), ("jack", "sideways"), ("front-kick", "back|forward"),
    ("jog", "back|forward"), ("tuck", ""), ("mogul", "back|forward|sideways"),
])  # fmt: skip
def test_a_move_goes_the_way_of_its_plane(move: str, ways: str) -> None:
    """To the side, forward and back, or nowhere, unless the theme is travel (common practice)."""
    told, every = catalogue().moves[move], (BACK, FORWARD, ASIDE)
    assert "|".join(sorted(one[1] for one in every if not goes_across(told, one))) == ways
    assert not any(goes_across(told, one, ("travel",)) for one in every)
    assert not goes_across(told, OPEN)
    kick = rated("side-kick")
    sent = [rated("side-kick", changes=[one]) for one in every]
    assert offered(Offers(sent), start=kick) == ["sideways"]
    assert "forward" in offered(Offers(sent), start=kick, themes=("travel",))


def test_what_is_rare_is_worth_most_where_it_stays() -> None:
    """Eight a phrase, for three at most, until it has come three times."""
    hard = tasting(drive=4.0, experience=Experience.TRAINED)
    one = varied(POWER)
    worth = [taste_of(one, MOGUL, Ledger(set()), hard, phrases) for phrases in (1, 2, 3, 4)]
    assert worth == [-8, -16, -24, -24]
