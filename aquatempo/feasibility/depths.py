"""How deep a pool is on the people of a group."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from aquatempo.feasibility.inputs import free_inputs
from aquatempo.records.people import Group, Person, Pool, Sex
from aquatempo.units import check_range
from aquatempo.water.body import bodies_of
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

    In a sloping pool at both ends. Women are the short, men the tall where there are both.
    Raises RangeError for a depth or people out of reach of the tables.

    >>> [person.kind for person in depths_on_group(Pool(depth_m=1.1))][-1]
    'too low'
    """
    pool, group = pool or Pool(), group or Group()
    ends = dict.fromkeys(
        (pool.depth_m, pool.depth_m if pool.far_depth_m is None else pool.far_depth_m)
    )
    for depth in ends:
        check_range("depth", depth, "m", 0.3, 5.0, "pools are 0.5 to 5 m deep; centimetres?")
    mostly = Sex.WOMAN if 2 * group.women >= group.size else Sex.MAN
    people = []
    for share, sex in (
        (0.0, Sex.WOMAN if group.women else Sex.MAN),
        (0.5, mostly),
        (1.0, Sex.WOMAN if group.women == group.size else Sex.MAN),
    ):
        height, mass, age = (
            low + (high - low) * share
            for low, high in (group.height_m, group.mass_kg, group.age_years)
        )
        people.append(Person(height, mass, sex, age))
    people = [person for _ in ends for person in people]
    depths = np.repeat(np.array(list(ends)), 3)
    bodies = bodies_of(people)
    marks, kinds = landmark_reached(bodies, depths), depth_kind(bodies, depths)
    medium = water(pool.temperature_c, pool.salinity_g_kg)
    load = weight_on_feet(bodies, depths, medium, True, free_inputs().lung_gas_l)
    found = [
        DepthOnPerson(
            person.sex,
            person.height_m,
            float(depth),
            mark,
            DEPTH_KINDS[int(kind)],
            float(max(share, 0.0)),
        )
        for person, depth, mark, kind, share in zip(people, depths, marks, kinds, load, strict=True)
    ]
    return tuple(dict.fromkeys(found))
