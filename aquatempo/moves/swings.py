"""Swings of a catalogue text -> records, and the same swing back or on the other side."""

from __future__ import annotations

from dataclasses import replace

from aquatempo.moves.rules import axis_of, rules
from aquatempo.records.moves import Action, Foot, Joint, JointSwing, Segment, Side
from aquatempo.tomltext import TomlTable

__all__ = ["mirrored_swing", "read_swing", "reversed_swing"]

_SWING_KEYS = (*("joint", "action", "side", "from_deg", "to_deg", "bend_deg", "held_deg", "foot"),)
_SEGMENTS = {
    Joint.HIP: Segment.LEG,
    Joint.KNEE: Segment.SHANK,
    Joint.ANKLE: Segment.FOOT,
    Joint.SHOULDER: Segment.ARM,
    Joint.ELBOW: Segment.FOREARM,
    Joint.TRUNK: Segment.TRUNK,
}
_SAGITTAL_ONLY = {Action.FLEXION, Action.EXTENSION}
_JOINT_ACTIONS = {
    Joint.HIP: _SAGITTAL_ONLY | {Action.ABDUCTION, Action.ADDUCTION},
    Joint.KNEE: _SAGITTAL_ONLY,
    Joint.ANKLE: _SAGITTAL_ONLY,
    Joint.SHOULDER: set(Action) - {Action.ROTATION, Action.SIDE_BEND},
    Joint.ELBOW: _SAGITTAL_ONLY,
    Joint.TRUNK: _SAGITTAL_ONLY | {Action.ROTATION, Action.SIDE_BEND},
}
_OPPOSITE = {
    Action.FLEXION: Action.EXTENSION,
    Action.EXTENSION: Action.FLEXION,
    Action.ABDUCTION: Action.ADDUCTION,
    Action.ADDUCTION: Action.ABDUCTION,
    Action.HORIZONTAL_ABDUCTION: Action.HORIZONTAL_ADDUCTION,
    Action.HORIZONTAL_ADDUCTION: Action.HORIZONTAL_ABDUCTION,
    Action.ROTATION: Action.ROTATION,
    Action.SIDE_BEND: Action.SIDE_BEND,
}
_UPWARD = {Action.FLEXION, Action.ABDUCTION, Action.HORIZONTAL_ADDUCTION}
_OTHER_SIDE = {Side.LEAD: Side.TRAIL, Side.TRAIL: Side.LEAD, Side.BOTH: Side.BOTH}


def read_swing(table: TomlTable) -> JointSwing:
    """Return the swing that a table tells; raise TextFileError at the line that is wrong."""
    table.know(_SWING_KEYS)
    joint = table.choice("joint", Joint)
    action = table.choice("action", Action)
    if action not in _JOINT_ACTIONS[joint]:
        raise table.error("action", f"a {joint} has no {action}")
    start, end = (table.number(key, -360, 360, "degrees") for key in ("from_deg", "to_deg"))
    if start == end or ((action in _UPWARD) != (end > start) and _OPPOSITE[action] != action):
        raise table.error(
            "to_deg",
            f"{joint} {action} from {start:g} to {end:g}: needs to run"
            f" {'upwards' if action in _UPWARD else 'downwards'}"
            f" (did you mean {_OPPOSITE[action]}?)",
        )
    swing = JointSwing(
        joint=joint,
        action=action,
        segment=_SEGMENTS[joint],
        start_deg=start,
        end_deg=end,
        side=table.choice("side", Side, Side.LEAD),
        bend_deg=table.number("bend_deg", 0.0, 150.0, "degrees", 0.0),
        foot=table.choice("foot", Foot, Foot.EDGE),
        held_deg=table.number("held_deg", -60.0, 120.0, "degrees", 0.0),
    )
    low, high = rules().norms_deg[axis_of(swing)]
    if min(start, end) < low or max(start, end) > high:
        raise table.error(
            "to_deg",
            f"{joint} {action} from {start:g} to {end:g} degrees: needs {low:g} to {high:g}"
            f" ({rules().norms_source})",
        )
    return swing


def reversed_swing(swing: JointSwing) -> JointSwing:
    """Return the swing that leads back the same way."""
    return replace(
        swing,
        action=_OPPOSITE[swing.action],
        start_deg=swing.end_deg,
        end_deg=swing.start_deg,
    )


def mirrored_swing(swing: JointSwing) -> JointSwing:
    """Return the same swing on the other side; a turn to one side becomes one to the other."""
    if swing.action in (Action.ROTATION, Action.SIDE_BEND):
        return replace(swing, start_deg=-swing.start_deg, end_deg=-swing.end_deg)
    return replace(swing, side=_OTHER_SIDE[swing.side])
