"""The packaged catalogue of moves keeps its promises."""

from __future__ import annotations

import subprocess
import sys

import pytest

from aquatempo.errors import UnknownNameError
from aquatempo.moves import catalogue, resolve
from aquatempo.moves.patterns import parse_pattern
from aquatempo.moves.rules import axis_of, rules
from aquatempo.records.moves import Action, Factor, Joint, Move, MoveKind, Side
from aquatempo.records.people import ClassDepth

MOVES = tuple(catalogue().moves.values())
BASE = catalogue().of_kind(MoveKind.BASE)
# Common practice, no source: the base moves that a class is built from.
BASE_KEYS = {
    *("walk", "jog", "knee-lift", "leg-curl", "front-kick", "side-kick", "back-kick", "jack"),
    *("cross-country-ski", "rocking-horse", "pendulum", "mogul", "twist", "jump", "tuck"),
    *("frog", "star", "leap", "lunge", "shuffle", "side-step"),
}
# American Academy of Orthopaedic Surgeons joint ranges [degrees], from memory.
AAOS_DEG = {
    "hip sagittal": (-30, 120),
    "hip frontal": (-30, 45),
    "knee sagittal": (0, 135),
    "shoulder sagittal": (-60, 180),
    "shoulder frontal": (0, 180),
    "elbow sagittal": (0, 150),
    "ankle sagittal": (-50, 20),
    "trunk rotation": (-45, 45),
    "trunk side bend": (-35, 35),
}


def key_of(move: Move) -> str:
    """Name a test case after its move."""
    return move.key


def test_all_21_base_moves_are_there() -> None:
    """The catalogue holds each base move that practice knows, and no other."""
    assert {move.key for move in BASE} == BASE_KEYS
    assert len(BASE_KEYS) == 21


@pytest.mark.parametrize(
    ("kind", "at_least"),
    [
        (MoveKind.HOLDING, 3),
        (MoveKind.ARMS_ONLY, 6),
        (MoveKind.DEEP_ONLY, 3),
        (MoveKind.STRETCH, 8),
    ],
)
def test_other_kinds_are_served(kind: MoveKind, at_least: int) -> None:
    """There are holding moves, arms-only work, deep-only moves and stretches enough."""
    assert len(catalogue().of_kind(kind)) >= at_least


def test_stretches_serve_warm_and_cool_water() -> None:
    """Some stretches are held (warm water), some move all the time (cool water)."""
    held = {
        any(step.held_counts for step in parse_pattern(move.pattern).steps)
        for move in catalogue().of_kind(MoveKind.STRETCH)
    }
    assert held == {True, False}


@pytest.mark.parametrize("move", MOVES, ids=key_of)
def test_each_repetition_is_a_cycle(move: Move) -> None:
    """Each movement starts where the one before it ended, the first where the last ended."""
    for before, after in zip(move.movements, (*move.movements[1:], move.movements[0]), strict=True):
        assert before.end == after.start


# Moves in which a limb comes back while it bears on the floor, where it is not listed.
FLOOR_BACK = {"walk", "leap", "shuffle", "side-step", "calf-stretch", "hip-flexor-stretch"}
TWO_WAYS = {"breaststroke-arms"}  # out along one axis, back along another


@pytest.mark.parametrize(
    "move", [m for m in MOVES if m.key not in FLOOR_BACK | TWO_WAYS], ids=key_of
)
def test_every_limb_comes_back(move: Move) -> None:
    """Over a repetition each limb returns to the angle it started from, without a jump."""
    angle: dict[tuple[str, Side], float] = {}
    first: dict[tuple[str, Side], float] = {}
    for movement in resolve(move).movements:
        for swing in movement.swings:
            place = (axis_of(swing), swing.side)
            assert swing.start_deg == angle.get(place, swing.start_deg)
            first.setdefault(place, swing.start_deg)
            angle[place] = swing.end_deg
    assert angle == pytest.approx(first)


@pytest.mark.parametrize("move", MOVES, ids=key_of)
def test_excursions_stay_inside_joint_norms(move: Move) -> None:
    """No joint is asked for more than the AAOS norm (from memory)."""
    for movement in resolve(move).movements:
        for swing in movement.swings:
            low, high = AAOS_DEG.get(axis_of(swing), rules().norms_deg[axis_of(swing)])
            assert low <= min(swing.start_deg, swing.end_deg)
            assert max(swing.start_deg, swing.end_deg) <= high


def test_norms_of_the_loader_are_those_of_the_handbook() -> None:
    """The table that a user's own moves are checked against holds the AAOS norms."""
    for axis, span in AAOS_DEG.items():
        assert rules().norms_deg[axis] == span


@pytest.mark.parametrize("move", MOVES, ids=key_of)
def test_actions_name_the_direction_of_motion(move: Move) -> None:
    """Flexion, abduction and horizontal adduction run upwards, their opposites downwards."""
    upward = {Action.FLEXION, Action.ABDUCTION, Action.HORIZONTAL_ADDUCTION}
    either = {Action.ROTATION, Action.SIDE_BEND}
    for movement in resolve(move).movements:
        for swing in movement.swings:
            assert swing.end_deg != swing.start_deg
            if swing.action not in either:
                assert (swing.end_deg > swing.start_deg) == (swing.action in upward)


@pytest.mark.parametrize("move", MOVES, ids=key_of)
def test_links_lead_to_moves_that_exist(move: Move) -> None:
    """Easier, harder and deep-water options are keys of other moves; deep ones go deep."""
    for key in (move.easier, move.harder, move.deep_equivalent):
        assert not key or key in catalogue().moves
    assert move.key not in (move.easier, move.harder)
    if move.deep_equivalent:
        assert ClassDepth.DEEP in catalogue().move(move.deep_equivalent).depths
    if ClassDepth.DEEP in move.depths:
        assert move.deep_equivalent


@pytest.mark.parametrize("move", MOVES, ids=key_of)
def test_each_entry_can_be_taught(move: Move) -> None:
    """A move has a short call, a sign, a description, muscles and a reason for its range."""
    assert len(move.spoken.split()) <= 4
    assert move.sign != move.spoken
    assert move.description.endswith(".")
    assert move.muscles
    assert move.range_reason


def test_calls_and_signs_tell_base_moves_apart() -> None:
    """No two base moves share a key, a name, a call or a sign."""
    for field in ("key", "name", "spoken", "sign"):
        assert len({getattr(move, field) for move in BASE}) == len(BASE)


@pytest.mark.parametrize(
    ("key", "words"),
    [("back-kick", "spine"), ("twist", "spine"), ("twist", "knees and toes"), ("jump", "impact")],
)
def test_moves_that_can_hurt_carry_their_caution(key: str, words: str) -> None:
    """Back kick and twist warn for spine and knees, jumps for impact (common practice)."""
    assert any(words in caution for caution in catalogue().move(key).cautions)


def test_every_big_hop_warns_of_impact() -> None:
    """A base move that throws the body up 8 cm or more says that it is an impact."""
    for move in BASE:
        if max(movement.flight_m for movement in move.movements) >= 0.08:
            assert any("impact" in caution for caution in move.cautions), move.key


def test_back_kick_and_twist_stay_small() -> None:
    """Back kick and twist keep to two thirds of the joint norm (spine: common practice)."""
    back, twist = catalogue().move("back-kick"), catalogue().move("twist")
    assert min(s.end_deg for m in back.movements for s in m.swings) >= -20
    assert max(abs(s.end_deg) for m in twist.movements for s in m.swings) <= 30
    assert {s.joint for m in twist.movements for s in m.swings} == {Joint.TRUNK}


@pytest.mark.parametrize(
    "name",
    [
        *("jack", "Jack", "cross-country ski", "ski", "Knee lift"),
        *("jumping jacks", "jacks", "knee_lifts", "high knees", "Hampelmann", "Running"),
    ],
)
def test_moves_are_found_as_people_write_them(name: str) -> None:
    """A move is found by key, name or call, in any case, and by what else people say."""
    assert catalogue().move(name).key in BASE_KEYS


def test_unknown_moves_and_options_suggest_the_nearest() -> None:
    """A misspelt move or option is refused with the nearest one that exists."""
    with pytest.raises(UnknownNameError, match="did you mean 'jack'"):
        catalogue().move("jakc")
    with pytest.raises(UnknownNameError, match="did you mean 'quarter'"):
        catalogue().option(Factor.TURN, "quater")


def test_importing_moves_loads_no_numerical_library() -> None:
    """The catalogue can be read without numpy."""
    code = "import aquatempo.moves as m, sys; m.catalogue(); print('numpy' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"
