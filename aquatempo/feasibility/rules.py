"""What forbids or qualifies a form, whatever its tempo: depth, space, heat, balance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError
from aquatempo.feasibility.inputs import thresholds
from aquatempo.feasibility.sample import Sample
from aquatempo.records.moves import ImpactLevel, MoveForm, MoveKind, Plane, Travel
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.verdict import DepthFit
from aquatempo.water.body import LANDMARKS

__all__ = ["Standing", "depth_fit", "standing_of", "trunk_decides"]

Array = NDArray[np.float64]

_SOFT = 0.0075  # of stature: who is within this of a landmark counts in part
_MOST = 0.9  # of the group stand right where the advice sends them
_HARDLY_ANY = 0.1  # fewer than these stand right: it is not done here
_TOLD = 0.025  # shares below this are not told


@dataclass(frozen=True, slots=True)
class Standing:
    """Whether a form may be done here: forbidden tells why not ("" = it may).

    depth: for whom the water is right; it forbids only where that is hardly anybody.
    """

    forbidden: str
    cautions: tuple[str, ...]
    depth: DepthFit


def trunk_decides(form: MoveForm) -> bool:
    """Return whether the trunk is what a move is about (twist, mogul): no capacity known.

    The stillness of the trunk does not make arms-only work such.
    """
    return form.move.plane is Plane.TRANSVERSE and form.move.kind is not MoveKind.ARMS_ONLY


def standing_of(form: MoveForm, pool: Pool, people: Sample, size: int) -> Standing:
    """Return what the pool and the people's depth say of a form.

    size: people in the group, for the words. Raises InputError for a landmark that does not
    exist.
    """
    cautions = list(form.cautions)
    depth = depth_fit(form, pool, people, size)
    forbidden = ""
    if pool.kind not in form.move.depths:
        forbidden = (
            "depth: needs the floor"
            if pool.kind is ClassDepth.DEEP
            else "depth: needs deep water and a belt"
        )
    elif form.level not in form.move.levels and pool.kind is ClassDepth.SHALLOW:
        forbidden = f"balance: not taught at level {form.level.value}"
    elif depth.right < _HARDLY_ANY:
        shallow = depth.too_shallow >= depth.too_deep
        forbidden = f"depth: too {'shallow' if shallow else 'deep'}"
    if depth.advice:
        cautions.append(depth.advice)
    if pool.kind is ClassDepth.SHALLOW and pool.far_depth_m is not None:
        cautions.append("sloping floor: tall people stand deeper, short people shallower")
    if pool.space_m2 is not None and pool.space_m2 < form.move.space_m2:
        room = f"{form.move.space_m2:g} m2 each, here {pool.space_m2:g}"
        if form.travel is Travel.IN_PLACE:
            cautions.append(f"space: {room}; keep arms short and stagger the rows")
        else:
            forbidden = forbidden or f"space: travelling needs {room}"
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
    return Standing(forbidden, tuple(dict.fromkeys(cautions)), depth)


def depth_fit(form: MoveForm, pool: Pool, people: Sample, size: int) -> DepthFit:
    """Return for which share of the group the water is too shallow, right and too deep.

    form, people, size: what is done by whom, and how many they are.
    Each person's own landmarks count, and who is within a centimetre or so of one counts in
    part. In a sloping pool each stands where it fits best. A belt needs water over the chin.
    """
    group = slice(0, people.people)
    stature = people.bodies.stature_m[group]
    low, high = (
        _mark(people, name)[group]
        for name in (
            ("chin", "chin")
            if pool.kind is ClassDepth.DEEP
            else (form.move.min_depth, form.move.max_depth)
        )
    )
    near, far = pool.depth_m, pool.depth_m if pool.far_depth_m is None else pool.far_depth_m
    shallow = _over(low - max(near, far), stature)
    deep = np.zeros_like(shallow)
    if pool.kind is ClassDepth.SHALLOW:
        deep = _over(min(near, far) - high, stature) * (1.0 - shallow)
    too_shallow, too_deep = float(np.mean(shallow)), float(np.mean(deep))
    right = 1.0 - too_shallow - too_deep
    advice = ""
    if pool.kind is ClassDepth.DEEP:
        if too_shallow > _TOLD:
            advice = f"{_of(too_shallow, size)} can stand here: knees up, or further out"
    elif too_shallow > max(_TOLD, too_deep):
        where = float(np.quantile(low, _MOST))
        advice = (
            f"too shallow for {_of(too_shallow, size)}: {where:.2f} m or more, or {_lower(form)}"
        )
    elif too_deep > _TOLD:
        where = float(np.quantile(high, 1.0 - _MOST))
        advice = f"too deep for {_of(too_deep, size)}: {where:.2f} m or less, or {_higher(form)}"
    return DepthFit(too_shallow, right, too_deep, advice)


def _mark(people: Sample, name: str) -> Array:
    if name not in LANDMARKS:
        raise InputError(f"no landmark {name!r}: known are {', '.join(LANDMARKS)}")
    return people.bodies.landmarks_m[name]


def _over(above_m: Array, stature_m: Array) -> Array:
    """Return how far a height counts as above 0 [1]."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(above_m / (_SOFT * stature_m), -40, 40))))


def _of(share: float, size: int) -> str:
    """Say a share as people: ``5 of 20``."""
    return f"{min(max(round(share * size), 1), size)} of {size}"


def _lower(form: MoveForm) -> str:
    """Say what helps where the water is low: less landing, or knees bent under it."""
    if form.level is not ImpactLevel.II and ImpactLevel.II in form.move.levels:
        return "bend the knees (level II)"
    if form.level is not ImpactLevel.GROUNDED and ImpactLevel.GROUNDED in form.move.levels:
        return "a foot stays on the floor (grounded)"
    return "smaller, without a jump"


def _higher(form: MoveForm) -> str:
    """Say what helps where the water is high: off the floor, or hands that hold one there."""
    if form.level is not ImpactLevel.III and ImpactLevel.III in form.move.levels:
        return "off the floor (level III)"
    return "hands scull for balance"
