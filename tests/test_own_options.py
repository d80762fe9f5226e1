"""A user's own factor options count wherever a catalogue is in force."""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import Command

from aquatempo.errors import TextFileError
from aquatempo.moves import catalogue, resolve, variations
from aquatempo.records.limbs import Hands
from aquatempo.records.moves import Factor, Variation

PACKAGE = Path(__file__).parent.parent / "aquatempo"
OPTION = """\
[factors.{factor}.{key}]
name = "Own option"
spoken = "own one"
sign = "own sign"
physics = "own"
rung = 0
effect = {{ {effect} }}
"""
CHANGED = "[factors.range.small]\neffect = { range_scale = 0.3 }\n"


def own(text: str, path: Path) -> None:
    """Save a catalogue file of the user's as own.toml."""
    (path / "own.toml").write_text(text, encoding="utf-8")


def kept(aquatempo: Command, move: str, *more: str) -> float:
    """Return the median range kept by a move at land tempo, 150 bpm."""
    run = aquatempo("judge", "150", "--move", move, "--pattern", "1", "--json", *more)
    assert run.returncode == 0, run.stderr
    median: float = json.loads(run.stdout)["verdicts"][0]["range_kept"]["median"]
    return median


def test_a_changed_option_is_judged_as_changed(aquatempo: Command, tmp_path: Path) -> None:
    """A smaller range keeps more of itself (less to move in the same time), own or packaged."""
    own(CHANGED, tmp_path)
    packaged = kept(aquatempo, "jack+range=small")
    changed = kept(aquatempo, "jack+range=small", "--own-moves", "own.toml")
    assert changed > packaged + 0.05  # half the packaged excursion
    assert kept(aquatempo, "jack", "--own-moves", "own.toml") == kept(aquatempo, "jack")


def test_advice_speaks_of_the_changed_option(aquatempo: Command, tmp_path: Path) -> None:
    """What a verdict advises is judged with the user's option, not with the packaged one."""
    own(CHANGED, tmp_path)

    def advised(*more: str) -> str:
        run = aquatempo("judge", "150", "--move", "jack:1", "--json", *more)
        advice = json.loads(run.stdout)["verdicts"][0]["advice"]
        return str(next(one["words"] for one in advice if one["kind"] == "variation"))

    assert advised("--own-moves", "own.toml") != advised()


@pytest.mark.parametrize(
    ("factor", "effect"),
    [
        ("arms", ""),
        ("arm_symmetry", 'arm_symmetry = "one"'),
        ("hands", 'hands = "open"'),
        ("travel", 'travel = "forward", travel_m = 0.2'),
        ("turn", "turn_deg = 45.0"),
        ("tempo", 'pattern = "4-4-2-2-2-2"'),
        ("level", 'level = "grounded"'),
        ("range", "range_scale = 0.8"),
        ("combination", 'partner = "knee-lift"'),
    ],
)
def test_a_new_option_of_each_factor_is_judged_varied_and_called(
    aquatempo: Command, tmp_path: Path, factor: str, effect: str
) -> None:
    """``judge`` and ``cue`` take it, and ``vary`` lists it, however many there are of ours."""
    own(OPTION.format(factor=factor, key="own", effect=effect), tmp_path)
    asked = ("--own-moves", "own.toml", "--json")
    move = f"cross-country-ski+{factor}=own"
    run = aquatempo("judge", "130", "--move", move, *asked)
    assert run.returncode == 0, run.stderr
    assert json.loads(run.stdout)["verdicts"][0]["variation"][0][1] == "own"
    rungs = json.loads(aquatempo("vary", "cross-country-ski", *asked).stdout)["rungs"]
    assert [rung["factor"] for rung in rungs if rung["option"] == "own"] == [
        factor.replace("_", " ")
    ]
    (tmp_path / "song.toml").write_text('length = "2:00"\ntempo_bpm = 128\n', encoding="utf-8")
    calls = json.loads(aquatempo("cue", "song.toml", "--move", move, *asked).stdout)
    assert any("own" in dict(change["variation"]).values() for change in calls["changes"])


def test_own_options_crowd_out_none_of_ours() -> None:
    """Six options of a factor are offered, and the user's own besides."""
    text = OPTION.format(factor="arms", key="own", effect="")
    jack, ours = catalogue().move("jack"), set(variations(catalogue().move("jack")))
    found = set(variations(jack, source=catalogue(("own.toml", text))))
    assert found - ours == {Variation("jack", ((Factor.ARMS, "own"),))}
    assert ours <= found


def test_own_hands_are_hands() -> None:
    """A new option of hands is one of the three hand shapes that drag is known for."""
    source = catalogue(
        ("own.toml", OPTION.format(factor="hands", key="mitts", effect='hands = "open"'))
    )
    form = resolve(
        source.move("jack"), Variation("jack", ((Factor.HANDS, "mitts"),)), source=source
    )
    assert form.hands is Hands.OPEN


@pytest.mark.parametrize(
    ("factor", "effect", "needs"),
    [
        ("hands", "", "an option of hands needs an effect: hands"),
        ("turn", "", "an option of turn needs an effect: turn_deg or trunk_turn_deg"),
        ("hands", 'hands = "mitts"', "hands 'mitts': needs slice, fist, open"),
        ("arm_symmetry", 'arm_symmetry = "none"', "needs both, alternating, one"),
        ("range", "range_scale = 9.0", "range_scale 9: needs 0.1 to 2"),
    ],
)
def test_an_option_that_would_change_nothing_is_refused(
    factor: str, effect: str, needs: str
) -> None:
    """An option without the effect of its factor, or with one out of reach, names its line."""
    text = OPTION.format(factor=factor, key="own", effect=effect)
    with pytest.raises(TextFileError, match=needs) as caught:
        catalogue(("own.toml", text))
    assert caught.value.line == 7


def test_check_names_moves_of_the_catalogue_in_force(aquatempo: Command, tmp_path: Path) -> None:
    """``check`` lists a renamed move by its own name where it loses range."""
    own('[moves.knee-lift]\nname = "High step"\n', tmp_path)
    (tmp_path / "song.toml").write_text('length = "2:00"\ntempo_bpm = 190\n', encoding="utf-8")
    run = aquatempo("check", "song.toml", "--own-moves", "own.toml", "--json")
    short = json.loads(run.stdout)["tracks"][0]["fits"][0]["losing_moves"]
    assert "High step" in short
    assert "Knee lift" not in short


# function: which positional argument is the catalogue
TAKES_A_CATALOGUE = {
    **{"resolve": 3, "variations": 2, "why_not": 3, "ladder": 2, "variation_of": 2},
    **{"judge": 6, "fit_track": 6},
}


def calls_without_a_catalogue() -> Iterator[str]:
    """Yield calls in the package that leave it to a default which catalogue is in force."""
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.relative_to(PACKAGE).parts[0] in ("moves", "cli"):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                at = TAKES_A_CATALOGUE.get(node.func.id.replace("judge_form", "judge"))
                named = any(keyword.arg == "source" for keyword in node.keywords)
                if at is not None and not named and len(node.args) <= at:
                    yield f"{path.relative_to(PACKAGE)}:{node.lineno}: {node.func.id}"


def test_every_part_names_the_catalogue_in_force() -> None:
    """Nobody outside ``moves`` resolves or judges with the packaged catalogue by default."""
    assert list(calls_without_a_catalogue()) == []
