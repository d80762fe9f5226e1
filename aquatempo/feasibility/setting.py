"""One class in one pool, made ready for computing: people, water line, inputs."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.inputs import FreeInputs, Inputs, RowInputs
from aquatempo.feasibility.sample import Sample
from aquatempo.records.moves import ImpactLevel, MoveForm, MoveKind
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.water.floating import net_weight_n
from aquatempo.water.properties import GRAVITY_M_S2, Water, water

__all__ = ["Setting", "Stance", "setting_of", "stance_of"]

Array = NDArray[np.float64]

_LOWERED = (ImpactLevel.II, ImpactLevel.III)


@dataclass(frozen=True, slots=True)
class Stance:
    """How people are in the water: lowered to the shoulders; free: off the floor."""

    lowered: bool
    free: bool


@dataclass(frozen=True, slots=True)
class Setting:
    """What all forms of a stance share. Arrays (n,).

    surface_m: water line on the upright body [m]; apparent_n: weight less buoyancy [N], at
    least 0, belt and all. deep: with a belt, in water that nobody stands in. columns: the
    inputs of each row as columns (n, 1).
    """

    people: Sample
    water: Water
    surface_m: Array
    apparent_n: Array
    stance: Stance
    deep: bool
    columns: RowInputs

    @property
    def inputs(self) -> RowInputs:
        """The inputs of each row."""
        return self.people.inputs

    @property
    def central(self) -> FreeInputs:
        """The inputs as given."""
        return self.people.central

    @property
    def stretch(self) -> Array:
        """How much further than given a limb swings, by the draw of a row, (n,)."""
        inputs, given = self.inputs, self.central
        stretch = inputs.excursion / given.excursion
        return stretch * inputs.deep_excursion / given.deep_excursion if self.deep else stretch

    @property
    def apparent_bw(self) -> Array:
        """Weight less buoyancy over weight on land [1]."""
        return np.asarray(self.apparent_n / (self.people.bodies.mass_kg * GRAVITY_M_S2))


def stance_of(form: MoveForm, pool: Pool) -> Stance:
    """Return how people are in the water for a form.

    pool: shallow or deep.
    Level II, III and arms-only work bring the shoulders to the surface (people bend their
    knees for it); III and deep water are off the floor.
    """
    deep = pool.kind is ClassDepth.DEEP
    lowered = form.level in _LOWERED or form.move.kind is MoveKind.ARMS_ONLY
    return Stance(lowered or deep, deep or form.level is ImpactLevel.III)


def setting_of(people: Sample, pool: Pool, stance: Stance) -> Setting:
    """Return the setting of a class for a stance.

    Upright people stand in the pool's depth; lowered ones have the surface at the shoulders
    or, where it is deeper, at the depth. Nobody who breathes has it above the neck, and a
    belt holds it there in deep water.
    """
    bodies, inputs = people.bodies, people.inputs
    deep = pool.kind is ClassDepth.DEEP
    neck = bodies.landmarks_m["neck"]
    if deep:
        surface = neck
    elif stance.lowered:
        surface = np.clip(people.depth_m, bodies.joints_m["shoulder"], neck)
    else:
        surface = np.minimum(people.depth_m, neck)
    medium = water(pool.temperature_c, pool.salinity_g_kg)
    belt = inputs.belt_n if deep else 0.0
    net = net_weight_n(bodies, surface, medium, inputs.lung_gas_l, belt)
    return Setting(people, medium, surface, np.maximum(net, 0.0), stance, deep, _columns(inputs))


def _columns(inputs: RowInputs) -> RowInputs:
    told: dict[str, Any] = {}
    for field in fields(inputs):
        value = getattr(inputs, field.name)
        told[field.name] = value if isinstance(value, str) else value[:, None]
    return Inputs(**told)
