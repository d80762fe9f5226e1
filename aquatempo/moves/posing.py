"""Postures of a catalogue text -> records, each angle checked against the norm of its joint.

A move names a posture for each of its end positions in a table ``poses``. A text without
that table may tell the joints that turn instead (``swings``); postures are made of those.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace

from aquatempo.moves.postures import LIMBS, mirrored
from aquatempo.moves.rules import rules
from aquatempo.records.limbs import Arm, Leg, Posture, Trunk
from aquatempo.tomltext import TomlTable

__all__ = ["other_words", "read_arm", "read_pose", "read_poses", "read_via"]

_AXES = {
    (Leg, "hip"): "hip sagittal",
    (Leg, "out"): "hip frontal",
    (Leg, "knee"): "knee sagittal",
    (Leg, "ankle"): "ankle sagittal",
    (Arm, "across"): "shoulder horizontal",
    (Arm, "elbow"): "elbow sagittal",
    (Trunk, "turn"): "trunk rotation",
    (Trunk, "lean"): "trunk sagittal",
    (Trunk, "side"): "trunk side bend",
}
_KEYS = {
    "lead": ("lead_leg",),
    "other": ("other_leg",),
    "both": ("lead_leg", "other_leg"),
    "lead_arm": ("lead_arm",),
    "other_arm": ("other_arm",),
    "both_arms": ("lead_arm", "other_arm"),
    "trunk": ("trunk",),
}
_STANDING = ("feet together", "upright")


def read_poses(table: TomlTable, mirror: bool) -> dict[str, Posture]:
    """Return the postures of the table ``poses``, with those of the other side for a mirror."""
    found = {name: Posture() for name in _STANDING}
    own = table.table("poses")
    for name, entry in own.inner():
        found[name] = read_pose(entry, Posture())
    if mirror:
        for name in own.data:
            found.setdefault(other_words(name), mirrored(found[name]))
    return found


def read_pose(table: TomlTable, rest: Posture) -> Posture:
    """Return a posture: rest, with the angles that a table gives."""
    table.know(_KEYS)
    limbs: dict[str, Leg | Arm | Trunk] = {}
    for key, names in _KEYS.items():
        if key in table.data:
            own = table.table(key)
            for name in names:
                limbs[name] = _read_limb(own, limbs.get(name, getattr(rest, name)))
    return replace(rest, **limbs)  # type: ignore[arg-type]


def read_via(table: TomlTable, start: Posture, end: Posture) -> Posture | None:
    """Return where a movement passes half-way, None where its table does not say.

    start, end: its ends; what the table leaves out is half-way between them.
    """
    if "via" not in table.data:
        return None
    halfway = {}
    for name in LIMBS:
        first, last = getattr(start, name), getattr(end, name)
        middle = {
            f.name: (getattr(first, f.name) + getattr(last, f.name)) / 2 for f in fields(first)
        }
        halfway[name] = replace(first, **middle)
    return read_pose(table.table("via"), replace(start, **halfway))


def read_arm(table: TomlTable, key: str) -> Arm | None:
    """Return the arm that a key of a table tells, None where it is missing."""
    if key not in table.data:
        return None
    arm = _read_limb(table.table(key), Arm())
    assert isinstance(arm, Arm)
    return arm


def other_words(words: str) -> str:
    """Return words with lead and other changed over."""
    swap: Mapping[str, str] = {"lead": "other", "other": "lead"}
    parts = [word.rstrip(",") for word in words.split(" ")]
    tails = [word[len(part) :] for word, part in zip(words.split(" "), parts, strict=True)]
    return " ".join(swap.get(part, part) + tail for part, tail in zip(parts, tails, strict=True))


def _read_limb(table: TomlTable, rest: Leg | Arm | Trunk) -> Leg | Arm | Trunk:
    names = [field.name for field in fields(rest)]
    table.know(names)
    angles = {
        name: table.number(name, -360, 360, "degrees") for name in names if name in table.data
    }
    limb = replace(rest, **angles)  # type: ignore[arg-type]
    for name in names:
        axis = _AXES.get((type(rest), name)) or _shoulder_axis(limb)
        low, high = rules().norms_deg[axis]
        value = getattr(limb, name)
        if not low <= value <= high:
            raise table.error(
                name,
                f"{name} {value:g} degrees: needs {low:g} to {high:g} ({rules().norms_source})",
            )
    return limb


def _shoulder_axis(limb: Leg | Arm | Trunk) -> str:
    sideways = isinstance(limb, Arm) and limb.across < 45.0
    return "shoulder frontal" if sideways else "shoulder sagittal"
