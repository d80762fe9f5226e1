"""How deep a pool is on the people of a group."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from aquatempo.feasibility.inputs import free_inputs
from aquatempo.feasibility.standins import stand_ins_of
from aquatempo.records.people import Group, Pool, Sex
from aquatempo.water.immersion import DEPTH_KINDS, depth_kind, landmark_reached, weight_on_feet
from aquatempo.water.properties import water

__all__ = ["DepthOnPerson", "depths_on_group"]


@dataclass(frozen=True, slots=True)
class DepthOnPerson:
    """Where the water stands on a person. height_m, depth_m [m]; foot_load_bw [1].

    landmark: the highest one under water; kind: too low, shallow, transitional or deep.
    """

    sex: Sex
    height_m: float
    depth_m: float
    landmark: str
    kind: str
    foot_load_bw: float


def depths_on_group(
    pool: Pool | None = None, group: Group | None = None
) -> tuple[DepthOnPerson, ...]:
    """Return where the water stands on the short, the middle and the tall of a group.

    In a sloping pool at both ends. Raises InputError or RangeError as ``judge`` does.

    >>> [person.kind for person in depths_on_group(Pool(depth_m=1.1))][-1]
    'too low'
    """
    pool = pool or Pool()
    people = stand_ins_of(group or Group(), pool)
    bodies = people.bodies
    marks = landmark_reached(bodies, people.depth_m)
    kinds = depth_kind(bodies, people.depth_m)
    medium = water(pool.temperature_c, pool.salinity_g_kg)
    load = weight_on_feet(bodies, people.depth_m, medium, True, free_inputs().lung_gas_l)
    rows = {
        (bool(bodies.woman[i]), float(bodies.stature_m[i]), float(people.depth_m[i])): i
        for i in range(len(bodies))
    }
    return tuple(
        DepthOnPerson(
            Sex.WOMAN if woman else Sex.MAN,
            height,
            depth,
            marks[i],
            DEPTH_KINDS[int(kinds[i])],
            float(np.maximum(load[i], 0.0)),
        )
        for (woman, height, depth), i in rows.items()
    )
