"""The posture of a body at any instant of a move: one set of numbers for physics and figures.

``pose`` is what a drawing needs; ``Bounds`` and ``scaled`` tell how a smaller or larger
range changes the angles: each about the one that is nearest to standing, so that a
smaller kick still starts from the standing leg, and a smaller seated kick from the long one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import fields, replace
from typing import TypeVar

from aquatempo.records.limbs import Arm, Leg, Movement, Posture, Side, Trunk
from aquatempo.records.moves import MoveForm, Travel

__all__ = ["LIMBS", "mirrored", "mirrored_side", "pivots_of", "pose", "scaled", "scaled_movements"]

LIMBS = ("lead_leg", "other_leg", "lead_arm", "other_arm", "trunk")
_SWAP = {Side.LEAD: Side.TRAIL, Side.TRAIL: Side.LEAD, Side.BOTH: Side.BOTH}
_Limb = TypeVar("_Limb", Leg, Arm, Trunk)


def pose(form: MoveForm, phase: float, range_kept: float = 1.0) -> Posture:
    """Return the posture of a form at an instant.

    phase: movements since the repetition began, 0 to the number of movements (taken
    modulo that; 0.5 is half-way in time through the first). All joints go from rest to
    rest with the speed of half a sine. range_kept: share of the full range [1], which
    angles, hop, sway and travel shrink with. Angles in degrees, lengths in m.

    >>> from aquatempo.moves import catalogue, resolve
    >>> kick = resolve(catalogue().move("front-kick"))
    >>> [round(pose(kick, phase).lead_leg.hip, 6) for phase in (0.0, 0.5, 1.0)]
    [0.0, 30.0, 60.0]
    """
    count = len(form.movements)
    whole = phase % count
    index, part = int(whole), whole - int(whole)
    movement = scaled_movements(form.movements, range_kept)[index]
    place = (1.0 - math.cos(math.pi * part)) / 2.0
    limbs = {
        name: _between(
            getattr(movement.start_pose, name),
            getattr(movement.end_pose, name),
            getattr(movement.via, name) if movement.via is not None else None,
            place,
        )
        for name in LIMBS
    }
    ahead, aside = _carried(form, index, place, whole, range_kept)
    return Posture(
        **limbs,
        hop_m=_hop(form, index, part) * range_kept,
        ahead_m=ahead,
        aside_m=aside,
        turned_deg=form.turn_deg * whole / count,
    )


def scaled_movements(movements: tuple[Movement, ...], scale: float) -> tuple[Movement, ...]:
    """Return movements with every excursion multiplied by scale; hops stay as they are."""
    if scale == 1.0:
        return movements
    pivots = pivots_of(movements)
    return tuple(
        replace(
            movement,
            start_pose=scaled(movement.start_pose, pivots, scale),
            end_pose=scaled(movement.end_pose, pivots, scale),
            via=None if movement.via is None else scaled(movement.via, pivots, scale),
        )
        for movement in movements
    )


def pivots_of(movements: Iterable[Movement]) -> Posture:
    """Return for each joint the angle that it passes nearest to standing [degrees]."""
    poses = [p for m in movements for p in (m.start_pose, m.end_pose)]
    standing = Posture()
    found = {}
    for name in LIMBS:
        limbs = [getattr(one, name) for one in poses]
        rest = getattr(standing, name)
        nearest = {}
        for field in fields(rest):
            angles = [getattr(limb, field.name) for limb in limbs]
            middle = getattr(rest, field.name)
            nearest[field.name] = min(max(middle, min(angles)), max(angles))
        found[name] = replace(rest, **nearest)
    return replace(standing, **found)


def scaled(posture: Posture, pivots: Posture, scale: float) -> Posture:
    """Return a posture whose angles lie scale times as far from the pivots."""
    limbs = {}
    for name in LIMBS:
        limb, rest = getattr(posture, name), getattr(pivots, name)
        limbs[name] = replace(
            limb,
            **{
                field.name: getattr(rest, field.name)
                + scale * (getattr(limb, field.name) - getattr(rest, field.name))
                for field in fields(limb)
            },
        )
    return replace(posture, **limbs)


def mirrored(posture: Posture) -> Posture:
    """Return the same posture with lead and other side changed over."""
    trunk = replace(posture.trunk, turn=-posture.trunk.turn, side=-posture.trunk.side)
    return replace(
        posture,
        lead_leg=posture.other_leg,
        other_leg=posture.lead_leg,
        lead_arm=posture.other_arm,
        other_arm=posture.lead_arm,
        trunk=trunk,
    )


def mirrored_side(side: Side) -> Side:
    """Return the other side."""
    return _SWAP[side]


def _between(first: _Limb, last: _Limb, middle: _Limb | None, place: float) -> _Limb:
    """Return a limb on its way, bent so that it passes through middle at half way."""
    angles = {}
    for field in fields(first):
        a, b = getattr(first, field.name), getattr(last, field.name)
        value = a + (b - a) * place
        if middle is not None:
            value += 4 * place * (1 - place) * (getattr(middle, field.name) - (a + b) / 2)
        angles[field.name] = value
    return replace(first, **angles)


def _hop(form: MoveForm, index: int, part: float) -> float:
    """Return the height [m] of the flight that the movement is part of: a parabola."""
    for back in range(len(form.movements)):
        movement = form.movements[(index - back) % len(form.movements)]
        if movement.flight_m > 0 and back < movement.flight_movements:
            share = (back + part) / movement.flight_movements
            return 4 * movement.flight_m * share * (1 - share)
    return 0.0


def _carried(
    form: MoveForm, index: int, place: float, whole: float, scale: float
) -> tuple[float, float]:
    """Return how far the body is carried ahead and aside [m]: travel, and sway to and fro."""
    count = len(form.movements)
    gone = scale * form.travel_m * whole / count
    ahead = {Travel.FORWARD: gone, Travel.BACK: -gone}.get(form.travel, 0.0)
    aside = gone if form.travel is Travel.SIDEWAYS else 0.0
    movement = form.movements[index]
    if movement.sway_m:
        out = place if index % 2 == 0 else 1.0 - place
        sway = scale * movement.sway_m * (out - 0.5)
        turns = movement.swings and movement.swings[0].action.value in ("flexion", "extension")
        ahead, aside = (ahead + sway, aside) if turns else (ahead, aside + sway)
    return ahead, aside
