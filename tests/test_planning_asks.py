"""What a brief asks that leaves moves out, each with the brief without it and the looser ones."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.class_shape.limits import LEVELS
from aquatempo.class_shape.notes import vocabulary
from aquatempo.planning.asks import Ask, asks_of
from aquatempo.records.brief import Brief, Experience, HouseRules
from aquatempo.records.moves import ImpactLevel
from aquatempo.records.people import Group, Intensity
from aquatempo.records.verdict import ImpactBand


def ask(brief: Brief, key: str) -> Ask:
    """Return one ask of a brief."""
    return next(one for one in asks_of(brief) if one.key == key)


def loosened(brief: Brief, key: str, moves: Sequence[str] = ()) -> list[tuple[Brief, str]]:
    """Return the looser briefs of an ask, in order, with their words."""
    return list(ask(brief, key).looser(brief, moves))


def test_a_brief_that_asks_nothing_has_only_its_floor() -> None:
    """Of a plain brief the range floor alone leaves moves out; each ask more is one more."""
    assert [one.key for one in asks_of(Brief())] == ["range_floor"]
    full = Brief(
        allowed_moves=("jog",), banned_moves=("jack",), banned=("jumps",), rpe=(12.0, 14.0),
        max_impact=ImpactBand.LOW, max_level=ImpactLevel.II, rules=HouseRules(title="Pool A"),
        group_notes=("one bad knee", "they like waltzes"), group=Group(intensity=Intensity.EASY),
        experience=Experience.REGULAR,
    )  # fmt: skip
    found = {one.key: one for one in asks_of(full)}
    assert list(found) == [
        *("allowed", "banned_moves", "banned", "max_impact", "max_level", "note 0"),
        *("intensity", "rpe", "rules", "range_floor"),
    ]
    assert found["rpe"].text == "rpe = 12-14"
    assert found["rules"].text == "the rules 'Pool A'"
    assert ask(Brief(rules=HouseRules()), "rules").text == "the rules"
    for key, one in found.items():
        less = one.without(full)
        assert less != full
        gone = {other.key for other in asks_of(less)}
        assert gone == set(found) - ({key} if key != "range_floor" else set())


def test_bans_are_lifted_one_by_one_and_then_together() -> None:
    """Each looser brief keeps the other bans; the last has none."""
    brief = Brief(banned_moves=("jog", "jack"), banned=("jumps", "twists"))
    for key, name in (("banned_moves", "banned_moves"), ("banned", "banned")):
        first, second = getattr(brief, name)
        found = loosened(brief, key)
        assert [getattr(one, name) for one, _ in found] == [(second,), (first,), ()]
        assert first in found[0][1]
        assert second in found[1][1]


def test_moves_are_allowed_one_by_one_and_then_in_pairs() -> None:
    """Of a, b and c with a allowed: b, c, and both."""
    found = loosened(Brief(allowed_moves=("a",)), "allowed", ["a", "b", "c"])
    assert [one.allowed_moves for one, _ in found] == [("a", "b"), ("a", "c"), ("a", "b", "c")]
    assert [words for _, words in found] == ["allow b", "allow c", "allow b and c"]


def test_ceilings_rise_step_by_step() -> None:
    """From low impact: medium, high; from RPE 14: 15, 16, 18; each step by its smallest change."""
    bands = [one.max_impact for one, _ in loosened(Brief(max_impact=ImpactBand.LOW), "max_impact")]
    assert bands == [ImpactBand.MEDIUM, ImpactBand.HIGH]
    levels = [
        one.max_level for one, _ in loosened(Brief(max_level=ImpactLevel.GROUNDED), "max_level")
    ]
    assert levels[-1] is ImpactLevel.POWER
    assert ImpactLevel.GROUNDED not in levels
    efforts = [one.rpe for one, _ in loosened(Brief(rpe=(12.0, 14.0)), "rpe")]
    assert efforts == [(12.0, 15.0), (12.0, 16.0), (12.0, 18.0)]


def test_the_floor_goes_down_by_hundredths_to_a_half() -> None:
    """From 0.53: 0.52, 0.51, 0.5, where a move has become another (docs/design/review.md)."""
    floors = [one.range_floor for one, _ in loosened(Brief(range_floor=0.53), "range_floor")]
    assert floors == [0.52, 0.51, 0.5]
    assert ask(Brief(), "range_floor").without(Brief()).range_floor == 0.5


def test_an_easy_class_is_made_steady_and_a_note_is_let_through() -> None:
    """Intensity goes one step up; a note gives way word by word, and in the end as a whole."""
    easy = Brief(group=Group(intensity=Intensity.EASY))
    assert [one.group.intensity for one, _ in loosened(easy, "intensity")] == [Intensity.STEADY]
    noted = Brief(group_notes=("one bad knee", "pregnancy"), allow=("x",))
    found = loosened(noted, "note 0")
    assert found[-1][0].group_notes == ("pregnancy",)
    for looser, words in found[:-1]:
        assert looser.group_notes == noted.group_notes
        assert looser.allow[:1] == ("x",)
        assert (len(looser.allow) == 2) is words.startswith("allow = x, ")
        assert (looser.max_level is not None) is words.startswith("max_level = ")


def test_a_ceiling_of_a_note_rises_above_what_it_sets() -> None:
    """Each note with a level of its own is loosened to the levels above it, in their order."""
    capped = [note for note in vocabulary().values() if note.max_level is not None]
    assert capped
    for note in capped:
        found = loosened(Brief(group_notes=(note.key,)), "note 0")
        levels = [one.max_level for one, _ in found if one.max_level is not None]
        assert note.max_level is not None
        assert levels == list(LEVELS[LEVELS.index(note.max_level) :])[1:]


def test_each_change_is_told_in_words() -> None:
    """What an ask is, and what would loosen it, as the lines of a brief are written."""
    asked = Brief(
        allowed_moves=("jog", "jack"), banned_moves=("twist", "leap"), banned=("jumps",),
        max_impact=ImpactBand.LOW, max_level=ImpactLevel.II, rpe=(12.5, 14.0),
        rules=HouseRules(), group=Group(intensity=Intensity.EASY), range_floor=0.52,
    )  # fmt: skip
    assert [(one.key, one.line, one.text) for one in asks_of(asked)] == [
        ("allowed", "allowed_moves", "allowed_moves = jog, jack"),
        ("banned_moves", "banned_moves", "banned_moves = twist, leap"),
        ("banned", "banned", "banned = jumps"),
        ("max_impact", "max_impact", "max_impact = low"),
        ("max_level", "max_level", "max_level = II"),
        ("intensity", "group.intensity", "intensity = easy"),
        ("rpe", "rpe", "rpe = 12.5-14"),
        ("rules", "rules", "the rules"),
        ("range_floor", "range_floor", "range_floor = 0.52"),
    ]
    words = {one.key: [said for _, said in one.looser(asked, ())] for one in asks_of(asked)}
    assert words == {
        "allowed": [],
        "banned_moves": [
            "take twist out of banned_moves", "take leap out of banned_moves",
            "leave banned_moves out",
        ],
        "banned": ["take jumps out of banned", "leave banned out"],
        "max_impact": ["max_impact = medium", "max_impact = high"],
        "max_level": ["max_level = I", "max_level = power"],
        "intensity": ["intensity = steady"],
        "rpe": ["rpe = 12.5-15", "rpe = 12.5-16", "rpe = 12.5-18"],
        "rules": ["ask the coordinator for more moves"],
        "range_floor": ["range_floor = 0.51", "range_floor = 0.5"],
    }  # fmt: skip
    without = {one.key: one.without(asked) for one in asks_of(asked)}
    assert without["rpe"].rpe is None
    assert without["rules"].rules is None
    assert without["intensity"].group.intensity is Intensity.STEADY
