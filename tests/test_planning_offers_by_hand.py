"""Which forms of a move are rated: those that change one thing, or that make it much harder."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

import pytest
from planning_forms import SHALLOW, form_of, rated

from aquatempo.class_shape.limits import Limits, limits_of
from aquatempo.moves import Catalogue, catalogue, variations
from aquatempo.planning.moves import offers as module
from aquatempo.planning.moves.offers import (
    EASIER,
    Ahead,
    changes_of,
    moves_the_body,
    singles,
    steady,
    strongest,
)
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.moves.together import STRONG, STRONGEST
from aquatempo.records.brief import Brief, Experience
from aquatempo.records.moves import Factor, LeadCheck, Move, MoveForm, MoveKind, Variation
from aquatempo.records.people import ClassDepth

Change = tuple[Factor, str]
MOVES = catalogue().moves
OPEN, FIST = (Factor.HANDS, "open"), (Factor.HANDS, "fist")
RAISE, TURN = (Factor.ARMS, "raise"), (Factor.TURN, "quarter")
SECOND, THIRD, ONE = (Factor.LEVEL, "II"), (Factor.LEVEL, "III"), (Factor.SIDES, "one")
WITH_JOG = (Factor.COMBINATION, "with-jog")


@dataclass
class Forms:
    """Stands for a palette that makes forms by name and rates nothing.

    start of no_start there is none; bad changes are not legal; known forms are rated already.
    """

    rpe: tuple[float, float] = (10.0, 13.0)
    experience: Experience = Experience.REGULAR
    no_start: str = ""
    bad: tuple[Change, ...] = ()
    known: tuple[tuple[str, tuple[Change, ...]], ...] = ()
    asked: list[list[tuple[str, tuple[Change, ...]]]] = field(default_factory=list)

    brief = Brief()

    @property
    def source(self) -> Catalogue:
        """The whole catalogue."""
        return catalogue()

    @property
    def limits(self) -> Limits:
        """What the class aims at."""
        return replace(limits_of(self.brief), rpe=self.rpe, experience=self.experience)

    def form(self, move: Move, changes: Sequence[Change] = ()) -> MoveForm:
        """Return a form."""
        return replace(form_of(move.key), variation=Variation(move.key, tuple(changes)))

    def legal(self, move: Move, change: Change) -> bool:
        """Return whether a change is not a bad one."""
        return change not in self.bad

    def start(self, move: Move, tempo_bpm: float) -> Rated | None:
        """Return a move as it stands."""
        assert tempo_bpm == 120.0
        return None if move.key == self.no_start else rated(move.key)

    def knows(self, form: MoveForm, tempo_bpm: float) -> bool:
        """Return whether a form is known."""
        assert tempo_bpm == 120.0
        return (form.move.key, form.variation.changes) in self.known

    def rate(self, forms: Sequence[MoveForm], tempo_bpm: float) -> None:
        """Write down what is asked for."""
        assert tempo_bpm == 120.0
        self.asked.append([(one.move.key, one.variation.changes) for one in forms])


@pytest.fixture
def offer(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Return what lets every move be varied by some changes only."""

    def put(*changes: Change) -> None:
        def told(move: Move, *_: object) -> tuple[Variation, ...]:
            return tuple(Variation(move.key, (one,)) for one in changes)

        monkeypatch.setattr(module, "variations", told)

    return put


def ways(forms: Sequence[MoveForm]) -> list[tuple[Change, ...]]:
    """Return the changes of forms."""
    return [form.variation.changes for form in forms]


def single(*start: Change, fits: Callable[[Change], bool] | None = None) -> list[Any]:
    """Return the ways of a jack that starts with some changes."""
    palette = Forms()
    first = palette.form(MOVES["jack"], start)
    return ways(singles(cast("Palette", palette), MOVES["jack"], first, fits))


def test_one_thing_is_changed_at_a_time(offer: Callable[..., None]) -> None:
    """What a form has already is not changed, but for its level, which another one replaces."""
    offer(OPEN, FIST, RAISE, TURN, SECOND, THIRD, ONE, WITH_JOG)
    assert single() == [(), *((one,) for one in (OPEN, FIST, RAISE, TURN, SECOND, THIRD, WITH_JOG))]
    assert single(FIST) == [
        (FIST,), (FIST, RAISE), (FIST, TURN), (FIST, SECOND), (FIST, THIRD), (FIST, WITH_JOG),
    ]  # fmt: skip
    assert single(SECOND, OPEN) == [
        (SECOND, OPEN), (SECOND, OPEN, RAISE), (SECOND, OPEN, TURN), (OPEN, SECOND),
        (OPEN, THIRD), (SECOND, OPEN, WITH_JOG),
    ]  # fmt: skip
    assert single(SECOND)[1:] == [
        (SECOND, OPEN), (SECOND, FIST), (SECOND, RAISE), (SECOND, TURN), (THIRD,),
        (SECOND, WITH_JOG),
    ]  # fmt: skip


def test_one_side_has_no_room_for_turns_levels_or_another_move(
    offer: Callable[..., None],
) -> None:
    """A pyramid's side takes arms and hands; no form is put on one side as a change."""
    offer(OPEN, TURN, SECOND, ONE, WITH_JOG, RAISE)
    assert single(ONE) == [(ONE,), (ONE, OPEN), (ONE, RAISE)]
    assert single(ONE, SECOND) == [(ONE, SECOND), (ONE, SECOND, OPEN), (ONE, SECOND, RAISE)]


def test_only_what_fits_is_offered(offer: Callable[..., None]) -> None:
    """The start itself always; each change is asked for by itself, once."""
    offer(OPEN, FIST, RAISE)
    asked: list[Change] = []

    def fits(change: Change) -> bool:
        asked.append(change)
        return change is RAISE

    assert single(fits=fits) == [(), (RAISE,)]
    assert asked == [OPEN, FIST, RAISE]


@pytest.mark.parametrize("driven", [False, True])
def test_what_makes_a_move_much_harder(driven: bool) -> None:
    """Every pair, and three at once for those who are driven; legal, none of it there already."""
    every = (*STRONG, *STRONGEST) if driven else STRONG

    def found(palette: Forms, *start: Change) -> list[tuple[Change, ...]]:
        first = palette.form(MOVES["jack"], start)
        return ways(strongest(cast("Palette", palette), first, driven))

    assert found(Forms()) == list(every)
    for bad in (OPEN, RAISE, THIRD):
        assert found(Forms(bad=(bad,))) == [way for way in every if bad not in way]
    level_left = [way for way in every if all(factor is not Factor.LEVEL for factor, _ in way)]
    assert found(Forms(), SECOND) == [(SECOND, *way) for way in level_left]
    assert 0 < len(level_left) < len(every)


def rated_ahead(palette: Forms, *keys: str) -> list[tuple[str, tuple[Change, ...]]]:
    """Return what is rated ahead for some moves at 120 beats/min, two at a time."""
    ahead = Ahead(cast("Palette", palette), keys, 120.0)
    while ahead():
        pass
    assert all(len(some) == 2 for some in palette.asked[:-2])
    assert palette.asked[-1] == []
    return [one for some in palette.asked for one in some]


@pytest.mark.parametrize(("rpe", "works"), [
    ((9.0, 15.0), False), ((11.8, 15.0), False), ((11.9, 15.0), True), ((14.0, 15.0), True),
])  # fmt: skip
def test_what_a_song_will_ask_for_is_rated_ahead(
    offer: Callable[..., None], rpe: tuple[float, float], works: bool
) -> None:
    """No combinations; nothing easier for a class that works; of each move that can start."""
    offer(OPEN, FIST, WITH_JOG, RAISE)
    found = rated_ahead(Forms(rpe, no_start="jog"), "jack", "jog", "twist")
    mine: list[tuple[Change, ...]] = [(), (OPEN,), *([] if works else [(FIST,)]), (RAISE,)]
    assert found == [(key, way) for key in ("jack", "twist") for way in mine]
    assert FIST in EASIER


def test_what_is_rated_is_not_rated_again(offer: Callable[..., None]) -> None:
    """Of three forms one is known."""
    offer(OPEN, RAISE)
    palette = Forms(known=(("jack", ()), ("twist", (OPEN,))))
    assert rated_ahead(palette, "jack", "twist") == [
        ("jack", (OPEN,)), ("jack", (RAISE,)), ("twist", ()), ("twist", (RAISE,)),
    ]  # fmt: skip


@pytest.mark.parametrize(("rpe", "experience", "driven"), [
    ((13.4, 17.0), Experience.TRAINED, False), ((13.5, 17.0), Experience.TRAINED, True),
    ((15.0, 17.0), Experience.TRAINED, True), ((15.0, 17.0), Experience.REGULAR, False),
])  # fmt: skip
def test_those_who_are_driven_get_the_hardest_ahead(
    offer: Callable[..., None], rpe: tuple[float, float], experience: Experience, driven: bool
) -> None:
    """Vigorous work of a trained group: all pairs and threes too, after single changes."""
    offer(OPEN)
    found = rated_ahead(Forms(rpe, experience), "jack")
    more = (*STRONG, *STRONGEST) if driven else ()
    assert found == [("jack", way) for way in ((), (OPEN,), *more)]


class Sides:
    """A round of a form by hand."""

    def __init__(self, at_start: bool, lead: int, other: int, after: int) -> None:
        self.told = LeadCheck(4, False, at_start, True, after, lead, other)

    def __call__(self, *_: object) -> LeadCheck:
        """Return it for every form."""
        return self.told


@pytest.mark.parametrize(("told", "found"), [
    ((True, 8, 8, 16), True), ((True, 4, 4, 8), True), ((True, 0, 0, 8), True),
    ((True, 12, 12, 24), False), ((True, 10, 10, 17), False), ((False, 8, 8, 16), False),
    ((True, 3, 5, 8), False), ((True, 5, 3, 8), False),
])  # fmt: skip
def test_half_a_phrase_ends_where_it_began(
    monkeypatch: pytest.MonkeyPatch, told: tuple[bool, int, int, int], found: bool
) -> None:
    """Within 16 counts, at the start of a round, both sides alike; else it is not steady."""
    monkeypatch.setattr(module, "lead_check", Sides(*told))
    jack = form_of("jack")
    assert jack.pattern is not None
    assert steady(jack) is found
    assert not steady(replace(jack, pattern=None))


@pytest.mark.parametrize(("key", "change", "found"), [
    ("jog", None, True), ("jack", None, True), ("lunge", "half", True),
    ("lunge", "mixed", False),  # 16 and 16 counts, a whole phrase
    ("jog", "build", False),  # 3 and 5 counts of 8
    ("jack", "mixed", False),  # half-way through its round
])  # fmt: skip
def test_forms_that_are_steady(key: str, change: str | None, found: bool) -> None:
    """Forms of the catalogue; a pattern that does not fill eights never is."""
    form = form_of(key, *([(Factor.TEMPO, change)] if change else []))
    assert steady(form) is found
    pattern = form.pattern
    assert pattern is not None
    assert not steady(replace(form, pattern=replace(pattern, fills_eights=False)))


def test_a_hold_does_not_move_the_body() -> None:
    """A base move swings a limb, flies or sways; all that is none of the base moves may come."""
    jack = MOVES["jack"]
    assert [key for key, move in MOVES.items() if not moves_the_body(move)] == ["tuck-hold"]
    still = tuple(
        replace(m, end_pose=m.start_pose, via=None, flight_m=0.0, sway_m=0.0)
        for m in jack.movements
    )
    held = replace(jack, movements=still)
    assert not moves_the_body(held)
    assert moves_the_body(replace(held, kind=MoveKind.ARMS_ONLY))
    assert not moves_the_body(replace(held, kind=MoveKind.DEEP_ONLY))
    flies = replace(still[0], flight_m=0.01)
    sways = replace(still[0], sway_m=0.01)
    for one in (flies, sways, jack.movements[0]):
        assert moves_the_body(replace(held, movements=(one, *still[1:])))


@pytest.mark.parametrize("depth", list(ClassDepth))
def test_every_change_of_a_move_is_one_that_it_can_take(depth: ClassDepth) -> None:
    """All single variations of the catalogue, also beyond the first few of each factor."""
    jog = MOVES["jog"]
    every = changes_of(jog, depth, catalogue())
    assert every == {one.changes[0] for one in variations(jog, depth, catalogue(), None)}
    usual = {one.changes[0] for one in variations(jog, depth, catalogue())}
    assert usual < every or usual == every
    assert (SECOND in every) is (depth is SHALLOW)
