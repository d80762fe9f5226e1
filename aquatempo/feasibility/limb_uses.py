"""A limb's path as it is done in a setting, and how it uses the muscles of its people."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.law import AtShares
from aquatempo.feasibility.parts import LimbPart
from aquatempo.feasibility.setting import Setting
from aquatempo.records.limbs import Plane
from aquatempo.water.floating import trunk_inertia_kg_m2
from aquatempo.water.limb_demand import demand_of, limb_inertia_kg_m2
from aquatempo.water.limbs import Kind
from aquatempo.water.muscle_use import LimbUse, use_of
from aquatempo.water.paths import SHARES, LimbPath
from aquatempo.water.tables import read_table

__all__ = ["limb_use", "suited"]

Array = NDArray[Any]  # of 32 or 64 bits


def suited(part: LimbPart, setting: Setting) -> tuple[LimbPath, float]:
    """Return the path as it is done in this stance, and joint angle over angle in the water.

    part, setting: a limb on its path, and the people in their water.
    In deep water hips swing further, within their norm. Off the floor the pelvis turns back
    against a swing, so that the joint has to go further and faster than the limb.
    """
    path = _scaled(part.path, setting.central.excursion, ())
    if path.kind is Kind.ARM or not setting.stance.free:
        return path, 1.0
    if setting.deep:
        path = _scaled(path, setting.central.deep_excursion, _hip_norms())
    sideways = abs(path.end[1] - path.start[1]) > abs(path.end[0] - path.start[0])
    bodies = setting.people.bodies
    limb = part.alongside * limb_inertia_kg_m2(
        path, bodies, setting.water, setting.central.added_mass
    )
    plane = Plane.FRONTAL if sideways else Plane.SAGITTAL
    rest = trunk_inertia_kg_m2(bodies, plane, setting.water)
    return path, float(np.mean(1.0 + limb / rest))


def limb_use(part: LimbPart, setting: Setting) -> tuple[LimbUse, float]:
    """Return the use of a limb's muscles, and the joint's way over the limb's.

    part, setting: a limb on its path, and the people in their water.
    """
    path, ratio = suited(part, setting)
    bodies = setting.people.bodies
    surface = setting.surface_m
    if path.kind is Kind.ARM and path.start[1] != path.end[1]:
        # Level sweeps are done under the surface: people bend their knees for them.
        surface = np.maximum(surface, bodies.joints_m["shoulder"] + 0.06 * bodies.stature_m)
    demand = demand_of(
        path, bodies, surface, setting.water, part.held, setting.inputs.coefficients()
    )
    return _stretched(use_of(path, bodies, demand, setting.people.strength), setting.stretch), ratio


def _stretched(use: LimbUse, stretch: Array) -> LimbUse:
    """Return the use of limbs that swing stretch (n,) times as far as their path says."""
    rows = stretch != 1.0
    if not rows.any():
        return use
    at = AtShares(SHARES * stretch[rows, None])
    told = {}
    for name, power in _GROWS.items():
        table = getattr(use, name).copy()
        for m in np.ndindex(table.shape[2:]):
            table[(rows, slice(None), *m)] = at.read(table[(rows, slice(None), *m)], power)
        told[name] = table
    return replace(use, **told)


_GROWS = {  # about as which power of the range
    **dict.fromkeys(("mean_moving", "peak_moving", "torque_nm", "hand_n", "foot_n"), 2.0),
    **dict.fromkeys(("mean_still", "peak_still", "work_still"), 1.0),
    "work_moving": 3.0,
}


def _hip_norms() -> tuple[tuple[float, float], ...]:
    rows = read_table("aaos-range").rows
    norm = {row["action"]: float(row["limit_deg"]) for row in rows if row["joint"] == "hip"}
    return (
        (-norm["extension"], norm["flexion"]),
        (-norm["adduction"], norm["abduction"]),
    )


def _scaled(path: LimbPath, scale: float, norms: tuple[tuple[float, float], ...]) -> LimbPath:
    """Return a path with its excursions scaled; with norms given, those of the hip only."""
    if scale == 1.0:
        return path

    def scaled(angles: tuple[float, ...]) -> tuple[float, ...]:
        new = []
        for i, (angle, pivot) in enumerate(zip(angles, path.pivot, strict=True)):
            if norms and i >= len(norms):
                new.append(angle)
                continue
            value = pivot + scale * (angle - pivot)
            if norms:
                low, high = norms[i]
                value = min(max(value, min(low, angle)), max(high, angle))
            new.append(round(value, 6))
        return tuple(new)

    return replace(
        path,
        start=scaled(path.start),
        end=scaled(path.end),
        via=None if path.via is None else scaled(path.via),
    )
