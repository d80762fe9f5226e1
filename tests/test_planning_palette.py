"""What a class may do, from figures by hand; how moves start, and how far their forms go."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest
from planning_forms import form_of, rated

from aquatempo.class_shape.figures import Figures
from aquatempo.moves import catalogue
from aquatempo.planning.moves import palette as module
from aquatempo.planning.moves.palette import Palette, firm, hops, jumps, usual_kinds
from aquatempo.records.brief import Brief, Experience, HouseRules
from aquatempo.records.moves import Factor, MoveForm, MoveKind
from aquatempo.records.people import Pool
from aquatempo.records.plan import PartName
from aquatempo.records.verdict import ImpactBand

Told = Callable[[MoveForm], Figures]
MOVES = catalogue().moves


def figures(rpe: float = 12.0, kept: float = 0.9, **others: object) -> Figures:
    """Return figures of a form that keeps 90 % of its range at RPE 12, unless told."""
    usual = {"kept": kept, "met": 5.0, "rpe": rpe, "impact": ImpactBand.LOW}
    return Figures(**(usual | others))  # type: ignore[arg-type]


def made(monkeypatch: pytest.MonkeyPatch, told: Told, brief: Brief | None = None) -> Palette:
    """Return a palette at 120 beats/min whose figures are told by hand."""

    def rate(forms: Sequence[MoveForm], tempos: Sequence[float], *_: object) -> list[list[Figures]]:
        return [[told(form) for _ in tempos] for form in forms]

    monkeypatch.setattr(module, "rate", rate)
    return Palette(brief or Brief(), [120.0])


@pytest.mark.parametrize(("told", "brief", "why"), [
    (figures(), Brief(), ""),
    (figures(barred="too deep"), Brief(), "too deep"),
    (figures(rated=False), Brief(), "its range cannot be rated"),
    (figures(kept=0.85), Brief(), ""),
    (figures(kept=0.84), Brief(), "keeps 84% of its range, 85% is the floor"),
    (figures(16.0), Brief(), ""),  # half a point beyond 15.5 is within what is known
    (figures(16.1), Brief(), "RPE 16, 15.5 is the most here"),
])  # fmt: skip
def test_a_form_is_left_out_with_its_reason(
    monkeypatch: pytest.MonkeyPatch, told: Figures, brief: Brief, why: str
) -> None:
    """Barred, not rated, below the floor, or too hard; else it may come."""
    own = made(monkeypatch, lambda form: told, brief)
    (found,) = own.rate([own.form(MOVES["jack"])], 120.0)
    assert found.left_out == why
    assert found.allowed is (not why)
    assert (found.rpe, found.met) == (told.rpe, told.met)
    (held,) = own.rate([own.form(MOVES["easy-jog"])], 120.0)
    assert held.left_out == told.barred  # holding moves are only barred


@pytest.mark.parametrize(("space_m2", "why"), [
    (2.9, "travelling needs 3 m2 each"), (3.0, ""), (None, "it travels, and no space is named"),
])  # fmt: skip
def test_nobody_is_sent_about_where_it_is_narrow(
    monkeypatch: pytest.MonkeyPatch, space_m2: float | None, why: str
) -> None:
    """With less than 3 m2 each, or no space told, no form travels further than its move does."""
    own = made(monkeypatch, lambda form: figures(), Brief(pool=Pool(space_m2=space_m2)))
    forward, plain = (own.form(MOVES["jog"], one) for one in ([(Factor.TRAVEL, "forward")], []))
    assert [one.left_out for one in own.rate([forward, plain], 120.0)] == [why, ""]


def changes(form: MoveForm) -> list[str]:
    """Return the options of a form."""
    return [key for _, key in form.variation.changes]


@pytest.mark.parametrize(("bad", "key", "found"), [
    ((), "jack", []), (("",), "jack", ["grounded"]), (("", "grounded"), "jack", ["II"]),
    (("", "grounded", "II"), "jack", ["half"]),
    (("", "grounded", "II", "half"), "jack", ["grounded", "half"]),
    (("",), "jump", None),  # a jump that stays on the floor is another move
])  # fmt: skip
def test_a_move_starts_as_near_to_itself_as_may_be(
    monkeypatch: pytest.MonkeyPatch, bad: tuple[str, ...], key: str, found: list[str] | None
) -> None:
    """As it stands, then softer, then slower, then both."""

    def told(form: MoveForm) -> Figures:
        return figures(kept=0.5 if " ".join(changes(form)) in bad else 0.9)

    own = made(monkeypatch, told)
    start = own.start(MOVES[key], 120.0)
    assert (start and changes(start.form)) == found
    assert (key in own.starts([MOVES[key]], 120.0)) is (found is not None)
    assert (key in own.named_starts({}, [key], 120.0)) is (found is not None)


def test_moves_are_those_that_the_brief_and_its_rules_leave(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What is banned by either is gone; of what is allowed by both the rest, and what is free."""

    def keys(**asked: object) -> set[str]:
        own = made(monkeypatch, lambda form: figures(), Brief(**asked))  # type: ignore[arg-type]
        return {move.key for move in own.of(MoveKind.BASE)}

    every = keys()
    assert every - keys(banned_moves=("jog",)) == {"jog"}
    assert every - keys(rules=HouseRules(banned_moves=("jack",))) == {"jack"}
    assert keys(allowed_moves=("jog", "jack")) == {"jog", "jack"}
    assert keys(rules=HouseRules(allowed_moves=("jog", "jack"))) == {"jog", "jack"}
    both = HouseRules(allowed_moves=("jog", "twist"))
    assert keys(allowed_moves=("jog", "jack"), rules=both) == {"jog"}
    assert keys(allowed_moves=("jack",), rules=both) == set()
    own = made(monkeypatch, lambda form: figures(), Brief(allowed_moves=("jog",)))
    assert len(own.of(MoveKind.HOLDING)) == len(own.holds) > 1
    assert own.suiting(120.0) == 1


@pytest.mark.parametrize(("experience", "reach"), [
    (Experience.BEGINNERS, (11.0, 14.0)),  # one thing: small 11, land tempo 14
    (Experience.REGULAR, (11.0, 14.0)),  # two: raised and open 13
    (Experience.TRAINED, (11.0, 15.0)),  # three, large: 15
])  # fmt: skip
def test_how_far_forms_go_is_told_from_a_few(
    monkeypatch: pytest.MonkeyPatch, experience: Experience, reach: tuple[float, float]
) -> None:
    """Small and land tempo, and as much at once as the class puts together."""
    points = {"small": -1.0, "land": 2.0, "large": 2.0, "raise": 0.5, "open": 0.5}

    def told(form: MoveForm) -> Figures:
        rpe = 12.0 + sum(points.get(key, 0.0) for key in changes(form))
        return figures(rpe)

    own = made(monkeypatch, told, Brief(experience=experience))
    start = own.start(MOVES["jack"], 120.0)
    assert start is not None
    assert own.reach(start, 120.0) == reach


def test_landings_are_told_by_band_and_flight() -> None:
    """Medium or more is firm; high, or thrown up 8 cm or more, is a big jump, unless suspended."""
    bands = [rated("jog", impact=band) for band in ImpactBand]
    assert [firm(one) for one in bands] == [False, False, True, True]  # none, low, medium, high
    assert [jumps(one) for one in bands] == [band is ImpactBand.HIGH for band in ImpactBand]
    assert jumps(rated("jump"))
    assert not jumps(rated("jog"))
    third = [(Factor.LEVEL, "III")]
    assert not jumps(rated("jog", impact=ImpactBand.HIGH, changes=third))
    assert [hops(form_of(key)) for key in ("jog", "side-step", "easy-jog")] == [True, False, False]
    assert not hops(form_of("jog", (Factor.LEVEL, "III")))
    assert usual_kinds(PartName.STRETCH) == (MoveKind.STRETCH,)
    assert MoveKind.ARMS_ONLY in usual_kinds(PartName.COOL_DOWN)
    assert usual_kinds(PartName.MAIN) == (MoveKind.BASE, MoveKind.DEEP_ONLY)


def test_two_factors_go_together_where_neither_changes_what_the_other_needs(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Arms with hands do, turns with levels do not; and only of forms that change one thing."""
    own = made(monkeypatch, lambda form: figures())
    jack = own.form(MOVES["jack"])
    arms, hands, turn = (Factor.ARMS, "raise"), (Factor.HANDS, "open"), (Factor.TURN, "quarter")
    ways = [[arms], [hands], [turn], [arms, turn]]
    singles = own.rate([own.form(MOVES["jack"], way) for way in ways], 120.0)
    found = own.layered(jack, singles, 120.0)
    assert [one.form.variation.changes for one in found] == [(arms, hands)]


def test_a_partner_has_to_be_among_the_moves(monkeypatch: pytest.MonkeyPatch) -> None:
    """A jack with a jog between is left out where the brief has no jog."""
    pair = [(Factor.COMBINATION, "with-jog")]
    for banned, why in (((), ""), (("jog",), "jog is not there to alternate with")):
        own = made(monkeypatch, lambda form: figures(), Brief(banned_moves=banned))
        assert own.rate([own.form(MOVES["jack"], pair)], 120.0)[0].left_out == why
