"""One class in one pool, made ready for computing: people, water line, inputs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.inputs import FreeInputs
from aquatempo.feasibility.standins import StandIns, stand_ins_of
from aquatempo.records.moves import ImpactLevel, Joint, JointSwing
from aquatempo.records.people import ClassDepth, Group, Pool
from aquatempo.water.properties import Water, water

__all__ = ["Setting", "setting_of"]

Array = NDArray[np.float64]

_LOWERED = (ImpactLevel.II, ImpactLevel.III)


@dataclass(frozen=True, slots=True)
class Setting:
    """What all swings of a level share. surface_m (n,): water line on the upright body [m].

    free: the pelvis is free to turn (deep water, suspended work).
    """

    people: StandIns
    water: Water
    surface_m: Array
    free: bool
    deep: bool
    share: float
    inputs: FreeInputs

    @property
    def trunk_wet_m(self) -> Array:
        """Height of trunk under water [m]."""
        joints = self.people.bodies.joints_m
        return np.clip(self.surface_m - joints["hip"], 0.0, joints["shoulder"] - joints["hip"])

    def joint_below_m(self, swing: JointSwing) -> Array:
        """Return how far the turning joint lies under the surface [m], negative above."""
        bodies = self.people.bodies
        joints, parts = bodies.joints_m, bodies.parts
        held = np.cos(np.radians(swing.held_deg))
        below = {name: self.surface_m - height for name, height in joints.items()}
        if swing.joint is Joint.KNEE:
            return np.asarray(below["hip"] + parts["thigh"].length_m * held)
        if swing.joint is Joint.ELBOW:
            return np.asarray(below["shoulder"] + parts["upper arm"].length_m * held)
        if swing.joint is Joint.ANKLE:
            return below["ankle"]
        if swing.joint is Joint.SHOULDER and swing.action.value.startswith("horizontal"):
            # Level sweeps are done under the surface: people bend their knees for them.
            return np.maximum(below["shoulder"], 0.1)
        return below["shoulder"] if swing.joint is Joint.SHOULDER else below["hip"]


def setting_of(pool: Pool, group: Group, level: ImpactLevel, inputs: FreeInputs) -> Setting:
    """Return the setting of a class for moves at an impact level.

    Level I, grounded and power stand upright in the pool's depth; II and III bring the
    shoulders to the surface; in deep water a belt holds it at the neck.
    """
    people = stand_ins_of(group, pool)
    bodies = people.bodies
    deep = pool.kind is ClassDepth.DEEP
    if deep:
        surface = bodies.landmarks_m["neck"]
    elif level in _LOWERED:
        surface = np.maximum(people.depth_m, bodies.joints_m["shoulder"])
    else:
        surface = people.depth_m
    return Setting(
        people,
        water(pool.temperature_c, pool.salinity_g_kg),
        surface,
        deep or level is ImpactLevel.III,
        deep,
        inputs.share(group.intensity),
        inputs,
    )
