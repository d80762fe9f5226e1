"""Where the joints of a body are, for postures and a stature: hips at the origin.

x forward, y towards the lead side, z up [m]. Lengths Drillis and Contini 1966.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.limbs import Posture, Trunk
from aquatempo.water.limbs import Kind, lengths_of, places
from aquatempo.water.tables import read_table

__all__ = ["body_share", "leg_points", "reach_m", "skeleton"]

Array = NDArray[Any]

_CROUCH_DEG = np.arange(0.0, 71.0, 1.0)
_SIDES = (("lead", 1.0), ("other", -1.0))


@cache
def body_share(name: str) -> float:
    """Return a length or height of the body as a share of stature [1].

    >>> body_share("hip height")
    0.53
    """
    return read_table("drillis-contini-1966").numbers("quantity", "fraction")[name]


@cache
def _heel() -> float:
    assumed = read_table("body-assumptions").numbers("quantity", "value")
    return assumed["ankle from heel as a fraction of foot length"]


def leg_points(angles_deg: Array) -> Array:
    """Return hip, knee, ankle, heel and toe of legs (B, 5, 3), per metre of stature.

    angles_deg: shape (B, 4): hip, out, knee, ankle. The sole lies an ankle's height under the foot.
    """
    thigh, shank, foot = lengths_of(Kind.LEG)
    segment = np.array([0, 0, 1, 2, 2])
    along = np.array([0.0, thigh, shank, -_heel() * foot, (1 - _heel()) * foot])
    points, _, normals = places(Kind.LEG, np.radians(angles_deg), segment, along)
    points = points.copy()
    points[:, 3:] -= body_share("ankle height") * normals[:, None, 0]
    return np.asarray(points)


def _arm_points(angles_deg: Array) -> Array:
    upper, fore, hand = lengths_of(Kind.ARM)
    segment = np.array([0, 0, 1, 2])
    along = np.array([0.0, upper, fore, hand])
    return np.asarray(places(Kind.ARM, np.radians(angles_deg), segment, along)[0])


def reach_m(angles_deg: Array, stature_m: float) -> Array:
    """Return how far the sole is under the hips [m], shape (B,).

    angles_deg: of legs, shape (B, 4) [degrees]; stature_m: height of the person [m].
    """
    return np.asarray(-leg_points(angles_deg)[:, 3:, 2].min(axis=1) * stature_m)


def skeleton(
    postures: Sequence[Posture], stature_m: float, hips_m: Array | None = None
) -> dict[str, Array]:
    """Return the points of each part of a body (B, P, 3) [m].

    postures: B of them. stature_m: height of the person. hips_m (B,): how high the hips are
    above the floor; a leg that would go through the floor is bent until it stands on it. None:
    the hips are at 0 and no leg is bent. Parts: trunk (hips and shoulders), neck, head, nose, and
    thigh, shank, foot, upper arm, forearm, hand of each side.

    >>> from aquatempo.records.limbs import Posture
    >>> round(float(skeleton([Posture()], 1.70)["lead foot"][0, 1, 2]), 3)  # sole under the hips
    -0.901
    """
    h = stature_m
    rotation = _trunk_rotations([one.trunk for one in postures])
    half_hip, half_shoulder = body_share("hip width") / 2, body_share("shoulder width") / 2
    up = body_share("shoulder height") - body_share("hip height")
    found: dict[str, Array] = {}
    shoulders, hips = [], []
    for side, sign in _SIDES:
        legs = np.array([_values(getattr(one, f"{side}_leg")) for one in postures])
        if hips_m is not None:
            legs = _bent(legs, hips_m / h, h)
        hip = np.array([0.0, sign * half_hip * 0.8, 0.0])  # joints lie within the hips
        leg = leg_points(legs) * np.array([1.0, sign, 1.0]) + hip
        shoulder = np.einsum(
            "bij,j->bi", rotation, np.array([0.0, sign * half_shoulder * 0.82, up])
        )
        arms = _arm_points(np.array([_values(getattr(one, f"{side}_arm")) for one in postures]))
        arm = np.einsum("bij,bpj->bpi", rotation, arms * np.array([1.0, sign, 1.0]))
        arm = arm + shoulder[:, None]
        found |= {
            f"{side} thigh": leg[:, 0:2],
            f"{side} shank": leg[:, 1:3],
            f"{side} foot": leg[:, [3, 4, 2]],
            f"{side} upper arm": arm[:, 0:2],
            f"{side} forearm": arm[:, 1:3],
            f"{side} hand": arm[:, 2:4],
        }
        blade = np.array([0.0, sign * half_shoulder * 0.72, up - 0.025])  # flesh lies round it
        shoulders.append(np.einsum("bij,j->bi", rotation, blade))
        hips.append(np.broadcast_to(hip, shoulder.shape))
    found["trunk"] = np.stack([hips[0], hips[1], shoulders[1], shoulders[0]], axis=1)
    chin = body_share("chin height") - body_share("hip height")
    crown = 1.0 - body_share("hip height")
    middle, radius, ahead = (chin + crown) / 2, 0.375 * (crown - chin), 0.012
    lines = {
        "neck": [[0, 0, up], [ahead, 0, chin]],
        "head": [[ahead, 0, chin + radius], [ahead, 0, crown - radius]],
        "nose": [[ahead, 0, middle], [ahead + 1.5 * radius, 0, middle - 0.15 * radius]],
    }
    for name, line in lines.items():
        found[name] = np.einsum("bij,pj->bpi", rotation, np.array(line, float))
    return {name: points * h for name, points in found.items()}


def _values(limb: object) -> list[float]:
    return [getattr(limb, field.name) for field in fields(limb)]  # type: ignore[arg-type]


def _bent(legs: Array, hips: Array, stature_m: float) -> Array:
    """Return legs whose soles are not under the floor: hip, knee and ankle give together."""
    step = np.array([1.0, 0.0, 2.0, 1.0])
    tried = legs[:, None] + _CROUCH_DEG[None, :, None] * step  # (B, C, 4)
    reach = reach_m(tried.reshape(-1, 4), 1.0).reshape(len(legs), -1)
    fits = reach <= hips[:, None] + 1e-9
    index = np.where(fits.any(axis=1), fits.argmax(axis=1), reach.argmin(axis=1))
    rows = np.arange(len(legs))
    before = np.maximum(index - 1, 0)
    gap = reach[rows, before] - reach[rows, index]
    share = np.where(gap > 1e-9, (reach[rows, before] - hips) / np.where(gap > 1e-9, gap, 1), 1.0)
    crouch = _CROUCH_DEG[before] + np.clip(share, 0, 1) * (_CROUCH_DEG[index] - _CROUCH_DEG[before])
    return np.asarray(legs + crouch[:, None] * step)


def _trunk_rotations(trunks: Sequence[Trunk]) -> Array:
    """Return rotations (B, 3, 3): first the turn, then the side bend, then the lean."""
    turn, lean, side = np.radians(np.array([_values(one) for one in trunks])).T
    zero, one = np.zeros_like(turn), np.ones_like(turn)

    def matrix(rows: list[list[Array]]) -> Array:
        return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)

    c, s = np.cos(turn), np.sin(turn)
    turned = matrix([[c, -s, zero], [s, c, zero], [zero, zero, one]])
    c, s = np.cos(side), np.sin(side)
    bent = matrix([[one, zero, zero], [zero, c, s], [zero, -s, c]])
    c, s = np.cos(lean), np.sin(lean)
    leant = matrix([[c, zero, s], [zero, one, zero], [-s, zero, c]])
    return np.asarray(leant @ bent @ turned)
