"""What forbids or qualifies a form, whatever its tempo: depth, space, heat, balance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from aquatempo.errors import InputError
from aquatempo.feasibility.inputs import thresholds
from aquatempo.feasibility.setting import Setting
from aquatempo.records.moves import MoveForm, MoveKind, Plane, Travel
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.water.body import LANDMARKS

__all__ = ["Standing", "standing_of", "trunk_decides"]


@dataclass(frozen=True, slots=True)
class Standing:
    """Whether a form may be done here: forbidden tells why not ("" = it may)."""

    forbidden: str
    cautions: tuple[str, ...]


def trunk_decides(form: MoveForm) -> bool:
    """Return whether the trunk is what a move is about (twist, mogul): no capacity known.

    The stillness of the trunk does not make arms-only work such.
    """
    return form.move.plane is Plane.TRANSVERSE and form.move.kind is not MoveKind.ARMS_ONLY


def standing_of(form: MoveForm, pool: Pool, setting: Setting) -> Standing:
    """Return what the pool and the people's depth say of a form.

    Raises InputError for a landmark that does not exist.
    """
    cautions = list(form.cautions)
    forbidden = ""
    if pool.kind not in form.move.depths:
        forbidden = (
            "depth: needs the floor"
            if pool.kind is ClassDepth.DEEP
            else "depth: needs deep water and a belt"
        )
    elif form.level not in form.move.levels and pool.kind is ClassDepth.SHALLOW:
        forbidden = f"balance: not taught at level {form.level.value}"
    elif pool.kind is ClassDepth.SHALLOW:
        low, high = _fitting(form, pool, setting)
        if low + high > 0.5:
            forbidden = "depth: too shallow" if low >= high else "depth: too deep"
        elif low > 0:
            cautions.append(f"water below the {form.move.min_depth} of the tallest: bend, no jumps")
        elif high > 0:
            cautions.append(f"water above the {form.move.max_depth} of the shortest: arms scull")
        if pool.far_depth_m is not None:
            cautions.append("sloping floor: tall people stand deeper, short people shallower")
    if pool.space_m2 is not None and pool.space_m2 < form.move.space_m2:
        room = f"{form.move.space_m2:g} m2 each, here {pool.space_m2:g}"
        if form.travel is Travel.IN_PLACE:
            cautions.append(f"space: {room}; keep arms short and stagger the rows")
        else:
            forbidden = forbidden or f"space: travelling needs {room}"
    if pool.kind is ClassDepth.DEEP and not forbidden:
        people = setting.people
        standing = people.depth_m < people.bodies.landmarks_m["chin"]
        if float(np.sum(people.weight[standing])) > 0.5:
            forbidden = "depth: too shallow to hang free"
        elif standing.any():
            cautions.append("the tallest can stand here: knees up, or further out")
    if form.equipment_area_m2 > 0:
        cautions.append("plates at the hands load the shoulders: slower, smaller, no jerk")
    if form.equipment_buoyancy_n > 0:
        cautions.append("floats pull up: press down slowly, not for sore shoulders or weak grip")
    limits = thresholds()
    if pool.temperature_c > limits.no_aerobic_above_c:
        cautions.append(f"water above {limits.no_aerobic_above_c:g} degrees: no aerobic work")
    elif pool.temperature_c < limits.cool_below_c:
        cautions.append(
            f"water below {limits.cool_below_c:g} degrees: longer warm-up, larger moves"
        )
    return Standing(forbidden, tuple(dict.fromkeys(cautions)))


def _fitting(form: MoveForm, pool: Pool, setting: Setting) -> tuple[float, float]:
    """Return the shares of the group for whom the water is too low and too high.

    In a sloping pool each stands where it fits best.
    """
    marks, people = setting.people.bodies.landmarks_m, setting.people
    for name in (form.move.min_depth, form.move.max_depth):
        if name not in LANDMARKS:
            raise InputError(f"no landmark {name!r}: known are {', '.join(LANDMARKS)}")
    depths = [pool.depth_m] if pool.far_depth_m is None else [pool.depth_m, pool.far_depth_m]
    low = max(depths) < marks[form.move.min_depth]
    high = min(depths) > marks[form.move.max_depth]
    return float(np.sum(people.weight[low])), float(np.sum(people.weight[high]))
