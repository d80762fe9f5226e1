"""What may stand in a place at all: sides, jumps, what goes before, what is new; other classes."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import pytest
from alternative_moves import BRIEF, FIST, Moves
from plan_shapes import class_of, phrase_of, song_of

from aquatempo.moves import catalogue
from aquatempo.planning.class_plan import Wishes
from aquatempo.planning.shaping import alternatives as module
from aquatempo.planning.shaping.alternatives import alternatives, other_classes
from aquatempo.planning.shaping.places import place_of
from aquatempo.records.brief import Brief
from aquatempo.records.moves import Factor, MoveForm
from aquatempo.records.plan import Block, ClassPlan
from aquatempo.records.shaping import Alternative

OPEN, REACH, ONE = (Factor.HANDS, "open"), (Factor.ARMS, "reach"), (Factor.SIDES, "one")
TUCKED = (("hands", "fist"),)
KNOWN = ("jog", "jack", "front-kick", "leg-curl", "side-step", "rocking-horse", "knee-lift")


@dataclass
class Ways:
    """Passages: every one works but the barred, which are pairs of a move with its options."""

    barred: Collection[tuple[str, str]] = ()

    def works(self, before: MoveForm, after: MoveForm) -> bool:
        """Return whether a class goes from one to the other."""
        return (told_form(before), told_form(after)) not in self.barred


def told_form(form: MoveForm) -> str:
    """Return a move with its options."""
    return " ".join([form.move.key, *(key for _, key in form.variation.changes)])


def told(found: Sequence[Alternative]) -> list[str]:
    """Return each alternative as a move with its options, sorted."""
    return sorted(
        " ".join([one.block.move, *(key for _, key in one.block.variation)]) for one in found
    )


@pytest.fixture
def other(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return what a block might be, all of it, where some passages are barred."""

    def find(
        plan: ClassPlan, place: str, *, barred: Collection[tuple[str, str]] = (), **palette: Any
    ) -> list[str]:
        monkeypatch.setattr(module, "Palette", partial(Moves, **palette))
        monkeypatch.setattr(module, "passages_for", lambda _: Ways(barred))
        return told(alternatives(plan, place_of(place), best=99))

    return find


def lane(*phrases: Any, part: str = "main", brief: Brief = BRIEF) -> ClassPlan:
    """Return a class of one song."""
    return class_of(song_of("Lane", part, *phrases), brief=replace(brief, known_moves=KNOWN))


@pytest.mark.parametrize(("move", "found"), [
    ("jog", ["front-kick"]),  # a move of one side would leave the other one out
    ("rocking-horse", ["front-kick", "jog", "side-step"]),
])  # fmt: skip
def test_a_move_of_one_side_comes_where_one_was(other: Any, move: str, found: list[str]) -> None:
    """A side-step or a rocking horse does not take the place of a jog."""
    keys = ("jog", "front-kick", "side-step", "rocking-horse")
    plan = lane("jack", move, "jack")
    assert other(plan, "1.2", keys=keys, ways=()) == found


def test_big_jumps_come_only_where_one_was(other: Any) -> None:
    """A jack that lands hard is no alternative of a jog, but of a kick that does too."""
    keys, hard = ("jog", "jack", "front-kick"), [("jack", ()), ("front-kick", ())]
    plan = lane("leg-curl", "jog", "front-kick", "leg-curl")
    assert other(plan, "1.2", keys=keys, ways=(), hard=hard) == []
    assert other(plan, "1.3", keys=keys, ways=(), hard=hard) == ["jack", "jog"]


@pytest.mark.parametrize(("barred", "found"), [
    ([], ["front-kick", "jack", "jog"]),
    ([("leg-curl", "jack")], ["front-kick", "jog"]),  # what goes before
    ([("front-kick", "twist")], ["jack", "jog"]),  # what comes after
    ([("jack", "leg-curl"), ("twist", "front-kick")], ["front-kick", "jack", "jog"]),
])  # fmt: skip
def test_it_follows_what_goes_before_and_is_followed(
    other: Any, barred: Collection[tuple[str, str]], found: list[str]
) -> None:
    """The blocks just before and just after count, each in its direction."""
    plan = lane("jog", "leg-curl", "knee-lift", "twist", "jog")
    assert other(plan, "1.3", keys=("jog", "jack", "front-kick"), ways=(), barred=barred) == found


@pytest.mark.parametrize(("place", "barred", "found"), [
    ("1.1", [("knee-lift", "jack")], ["jack"]),  # nothing goes before the first
    ("1.1", [("jack", "leg-curl")], []),
    ("1.3", [("jack", "jog")], ["jack"]),  # nothing comes after the last
    ("1.3", [("leg-curl", "jack")], []),
    ("1.2", [("jog", "jack")], []), ("1.2", [("jack", "knee-lift")], []),
    ("1.2", [("jack", "jog"), ("knee-lift", "jack")], ["jack"]),
])  # fmt: skip
def test_the_ends_of_a_song_have_one_neighbour(
    other: Any, place: str, barred: Collection[tuple[str, str]], found: list[str]
) -> None:
    """Jog, leg curl, knee lift: each may be a jack as far as its neighbours go with it."""
    plan = lane("jog", "leg-curl", "knee-lift")
    assert other(plan, place, keys=("jack",), ways=(), barred=barred) == found


def test_a_move_goes_on_with_one_thing_changed_at_most(other: Any) -> None:
    """Beside a plain jog a jog takes one option; beside one with fists, fists alone or none.

    Open hands and fists are the same factor; between other moves both may come.
    """
    ways = ((FIST,), (FIST, REACH), (OPEN,))
    fists = phrase_of(Block(32, "jack", TUCKED), start=32)
    plain, varied = lane("jack", "jog", "jog"), lane("jog", "jog", fists)
    varied = lane("jog", fists, replace(phrase_of("jog"), start_beat=64))
    assert other(plain, "1.2", keys=("jack",), ways=ways) == ["jack", "jack fist", "jack open"]
    assert other(varied, "1.3", keys=("jack",), ways=ways) == [
        "jack", "jack fist", "jack fist reach", "jack open",
    ]  # fmt: skip
    alone = lane("jog", "jog", "jog")
    assert len(other(alone, "1.2", keys=("jack",), ways=ways)) == 4


@pytest.mark.parametrize(("beside", "found"), [
    ("jog", ["jack", "side-step"]),
    ("jack reach", ["jack reach", "side-step reach"]),
])  # fmt: skip
def test_arms_stay_in_or_out_of_the_water_within_a_phrase(
    other: Any, beside: str, found: list[str]
) -> None:
    """Beside arms that reach out of the water others reach too; in another phrase they need not."""
    key, *options = beside.split()
    half = Block(16, key, tuple(("arms", one) for one in options))
    step = Block(16, "shuffle", (), "right")
    reach = phrase_of(Block(32, "jack", (("arms", "reach"),)), start=64)
    plan = lane("front-kick", phrase_of(step, half, start=32), reach)
    keys, ways = ("jack", "side-step"), ((REACH,),)
    assert other(plan, "1.2.1", keys=keys, ways=ways) == found


def test_what_is_new_in_a_place_is_told_by_what_came_before(other: Any) -> None:
    """In an eight a jack with fists comes only after a phrase of it, in this song or before.

    What the same phrase or a later one has does not count yet.
    """
    eights = phrase_of(Block(8, "jog"), Block(24, "front-kick"), start=32)
    fists = phrase_of(Block(32, "jack", TUCKED))
    later = replace(fists, start_beat=64)
    inside = phrase_of(Block(8, "jog"), Block(8, "front-kick"), Block(16, "jack", TUCKED), start=32)
    told = {"keys": ("jack",), "ways": ((FIST,),)}
    plain = phrase_of("jack")
    assert other(lane(fists, eights), "1.2.1", **told) == ["jack fist"]
    assert other(lane(plain, eights, later), "1.2.1", **told) == ["jack"]
    assert other(lane(plain, inside), "1.2.1", **told) == ["jack"]
    first, second = song_of("A", "main", "jog", fists), song_of("B", "main", eights)
    brief = replace(BRIEF, known_moves=KNOWN)
    assert other(class_of(first, second, brief=brief), "2.1.1", **told) == ["jack fist"]
    assert other(class_of(second, first, brief=brief), "1.1.1", **told) == []
    sixteen = phrase_of(Block(16, "jog"), Block(16, "front-kick"), start=32)
    assert other(lane("jog", sixteen), "1.2.1", **told) == ["jack", "jack fist"]


def test_a_new_move_begins_a_phrase(other: Any) -> None:
    """Not at count 17, nor in half a phrase, nor where it takes two phrases to be learned."""
    brief = replace(BRIEF, known_moves=("jog",))
    told = {"keys": ("jack",), "ways": ()}

    def found(*blocks: Block | str, place: str = "1.2") -> list[str]:
        song = song_of("Lane", "main", "jog", phrase_of(*blocks, start=32))
        return list(other(class_of(song, brief=brief), place, **told))

    assert found("jog") == ["jack"]
    assert found(Block(16, "jog"), Block(16, "jog")) == []
    assert found(Block(16, "jog"), Block(32, "jog"), place="1.2.2") == []
    assert found(Block(32, "jog"), Block(16, "jog"), place="1.2.1") == ["jack"]


@pytest.mark.parametrize(("part", "found"), [
    ("cool-down", ["jack", "row"]), ("main", ["jack"]), ("warm-up", ["jack"]),
])  # fmt: skip
def test_arms_alone_come_in_a_cool_down(
    monkeypatch: pytest.MonkeyPatch, part: str, found: list[str]
) -> None:
    """A row, legs at rest, is no work of the main part."""
    monkeypatch.setattr(module, "Palette", partial(Moves, keys=("jack", "row"), ways=()))
    monkeypatch.setattr(module, "passages_for", lambda _: Ways())
    brief = replace(BRIEF, known_moves=("jog", "jack", "row"))
    monkeypatch.setattr(Moves, "under", lambda self, limits: self)
    plan = class_of(song_of("Lane", part, "jog", "jog"), brief=brief)
    assert told(alternatives(plan, place_of("1.2"))) == found


def test_other_classes_avoid_the_moves_of_those_before(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seeds 6, 7 and 8 after 5; each avoids all moves so far, once each; what is shared is told.

    Of 128 worked counts of the second class 32 are jacks, as in the first: a quarter; holds do not
    count. Of the third class nothing is shared.
    """
    made = [
        class_of(song_of("A", "main", "jack", "twist", "front-kick", "twist", "easy-jog")),
        class_of(song_of("A", "main", "mogul", "leap"), song_of("B", "main", "mogul")),
        class_of(song_of("A", "main", "easy-jog")),
    ]
    asked: list[tuple[int, tuple[str, ...], float]] = []

    def planned(
        tracks: object, brief: Brief, source: object, *, work: float, progress: object,
        wishes: Wishes,
    ) -> ClassPlan:  # fmt: skip
        asked.append((brief.seed, wishes.avoid, work))
        return made[len(asked) - 1]

    monkeypatch.setattr(module, "plan_class", planned)
    first = class_of(song_of("A", "main", "jog", "jack"), brief=Brief(seed=5))
    found = other_classes([], first, catalogue(), count=3, work=2.0)
    assert asked == [
        (6, ("jog", "jack"), 2.0),
        (7, ("jog", "jack", "twist", "front-kick"), 2.0),
        (8, ("jog", "jack", "twist", "front-kick", "mogul", "leap"), 2.0),
    ]
    assert [one.plan for one in found] == made
    assert [one.bases for one in found] == [("jack", "twist", "front-kick"), ("mogul", "leap"), ()]
    assert [one.shared for one in found] == [0.25, 0.0, 0.0]
    asked.clear()
    assert len(other_classes([], first)) == 2
