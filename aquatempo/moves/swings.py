"""Swings of a catalogue text: the short way to tell a movement, joint by joint.

A movement may name the joints that turn, from angle to angle, in place of postures for its
ends. The next joint down is bent with it (``bend_deg``): a knee in proportion to the hip,
so that a bent leg does not swing with a frozen knee; an elbow all the way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from enum import StrEnum

from aquatempo.moves.rules import rules
from aquatempo.records.limbs import Action, Arm, Joint, Leg, Posture, Side
from aquatempo.tomltext import TomlTable

__all__ = ["TextSwing", "arms_by_swings", "ends_of", "read_swing"]

_KEYS = ("joint", "action", "side", "from_deg", "to_deg", "bend_deg", "held_deg", "foot")
_SAGITTAL = {Action.FLEXION, Action.EXTENSION}
_LEVEL = {Action.HORIZONTAL_ABDUCTION, Action.HORIZONTAL_ADDUCTION}
_FRONTAL = {Action.ABDUCTION, Action.ADDUCTION}
_JOINT_ACTIONS = {
    Joint.HIP: _SAGITTAL | _FRONTAL,
    Joint.KNEE: _SAGITTAL,
    Joint.ANKLE: _SAGITTAL,
    Joint.SHOULDER: _SAGITTAL | _FRONTAL | _LEVEL,
    Joint.ELBOW: _SAGITTAL,
    Joint.TRUNK: _SAGITTAL | {Action.ROTATION, Action.SIDE_BEND},
}
_OPPOSITE = {
    Action.FLEXION: Action.EXTENSION,
    Action.EXTENSION: Action.FLEXION,
    Action.ABDUCTION: Action.ADDUCTION,
    Action.ADDUCTION: Action.ABDUCTION,
    Action.HORIZONTAL_ABDUCTION: Action.HORIZONTAL_ADDUCTION,
    Action.HORIZONTAL_ADDUCTION: Action.HORIZONTAL_ABDUCTION,
}
_UPWARD = {Action.FLEXION, Action.ABDUCTION, Action.HORIZONTAL_ADDUCTION}
_POINTED_DEG = -40.0


class _Foot(StrEnum):
    """How the foot meets the water: along its length, or as a plate (pointed)."""

    EDGE = "edge"
    BROAD = "broad"


@dataclass(frozen=True, slots=True)
class TextSwing:
    """A joint that turns, as a text tells it. Angles [degrees] as in records/limbs.py.

    bend_deg: of the next joint down; held_deg: of the joint above (hip of a shank, shoulder
    of a forearm, how far an arm is raised that sweeps level). pointed: the foot.
    """

    joint: Joint
    action: Action
    side: Side
    start_deg: float
    end_deg: float
    bend_deg: float
    held_deg: float
    pointed: bool


def read_swing(table: TomlTable) -> TextSwing:
    """Return the swing that a table tells; raise TextFileError at the line that is wrong."""
    table.know(_KEYS)
    joint = table.choice("joint", Joint)
    action = table.choice("action", Action)
    if action not in _JOINT_ACTIONS[joint]:
        raise table.error("action", f"a {joint} has no {action}")
    start, end = (table.number(key, -360, 360, "degrees") for key in ("from_deg", "to_deg"))
    turns = action in (Action.ROTATION, Action.SIDE_BEND)
    if start == end or ((action in _UPWARD) != (end > start) and not turns):
        raise table.error(
            "to_deg",
            f"{joint} {action} from {start:g} to {end:g}: needs to run"
            f" {'upwards' if action in _UPWARD else 'downwards'}"
            f" (did you mean {_OPPOSITE.get(action, action)}?)",
        )
    low, high = rules().norms_deg[_axis(joint, action)]
    if min(start, end) < low or max(start, end) > high:
        raise table.error(
            "to_deg",
            f"{joint} {action} from {start:g} to {end:g} degrees: needs {low:g} to {high:g}"
            f" ({rules().norms_source})",
        )
    return TextSwing(
        joint,
        action,
        table.choice("side", Side, Side.LEAD),
        start,
        end,
        table.number("bend_deg", 0.0, 150.0, "degrees", 0.0),
        table.number("held_deg", -60.0, 120.0, "degrees", 0.0),
        table.choice("foot", _Foot, _Foot.EDGE) is _Foot.BROAD and joint is not Joint.SHOULDER,
    )


def ends_of(swings: Sequence[TextSwing], before: Posture) -> tuple[Posture, Posture]:
    """Return the postures that some swings lead from and to; all else is as before."""
    first = last = before
    for swing in swings:
        for side in (Side.LEAD, Side.TRAIL):
            if swing.side in (side, Side.BOTH):
                first = _turned(first, swing, side, swing.start_deg)
                last = _turned(last, swing, side, swing.end_deg)
    return first, last


def arms_by_swings(table: TomlTable) -> tuple[Arm, Arm, Arm | None]:
    """Return where the arms of an action rest, reach to and pass on the way back (None: as out).

    table: tells ``swings`` out and, where the way back is another, ``swings_back``.
    """
    first, last = _arms_of(table, "swings", Arm())
    if "swings_back" not in table:
        return first, last, None
    back = _arms_of(table, "swings_back", last)
    half = {f.name: (getattr(back[0], f.name) + getattr(back[1], f.name)) / 2 for f in fields(Arm)}
    return first, last, Arm(**half)


def _arms_of(table: TomlTable, key: str, before: Arm) -> tuple[Arm, Arm]:
    swings = [read_swing(item) for item in table.tables(key)]
    for swing in swings:
        if swing.joint not in (Joint.SHOULDER, Joint.ELBOW):
            raise table.error(key, f"an arm action cannot move the {swing.joint}")
    both = [replace(swing, side=Side.BOTH) for swing in swings]
    first, last = ends_of(both, Posture(lead_arm=before, other_arm=before))
    return first.lead_arm, last.lead_arm


def _turned(posture: Posture, swing: TextSwing, side: Side, angle: float) -> Posture:
    if swing.joint is Joint.TRUNK:
        field = {Action.ROTATION: "turn", Action.SIDE_BEND: "side"}.get(swing.action, "lean")
        return replace(posture, trunk=replace(posture.trunk, **{field: angle}))
    word = "lead" if side is Side.LEAD else "other"
    if swing.joint in (Joint.SHOULDER, Joint.ELBOW):
        arm: Arm = getattr(posture, f"{word}_arm")
        return replace(posture, **{f"{word}_arm": _arm(arm, swing, angle)})  # type: ignore[arg-type]
    leg: Leg = getattr(posture, f"{word}_leg")
    return replace(posture, **{f"{word}_leg": _leg(leg, swing, angle)})  # type: ignore[arg-type]


def _leg(leg: Leg, swing: TextSwing, angle: float) -> Leg:
    if swing.joint is Joint.ANKLE:
        return replace(leg, ankle=angle)
    if swing.pointed and swing.action in _SAGITTAL:
        leg = replace(leg, ankle=_POINTED_DEG)
    if swing.joint is Joint.KNEE:
        return replace(leg, knee=angle, hip=swing.held_deg or leg.hip)
    farthest = max(abs(swing.start_deg), abs(swing.end_deg))
    knee = swing.bend_deg * abs(angle) / farthest if swing.bend_deg else leg.knee
    field = "out" if swing.action in _FRONTAL else "hip"
    return replace(leg, knee=knee, **{field: angle})


def _arm(arm: Arm, swing: TextSwing, angle: float) -> Arm:
    if swing.joint is Joint.ELBOW:
        return Arm(swing.held_deg, 90.0, angle)
    if swing.action in _LEVEL:
        return Arm(swing.held_deg or 90.0, angle, swing.bend_deg)
    return Arm(angle, 0.0 if swing.action in _FRONTAL else 90.0, swing.bend_deg)


def _axis(joint: Joint, action: Action) -> str:
    if action in _SAGITTAL:
        return f"{joint} sagittal"
    if action in _LEVEL:
        return f"{joint} horizontal"
    return f"{joint} {action.value}" if joint is Joint.TRUNK else f"{joint} frontal"
