"""How high the hips are above the floor: standing, in flight, lowered, or held by the water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from aquatempo.figures.skeleton import body_share, reach_m
from aquatempo.moves.postures import pose
from aquatempo.records.limbs import Posture
from aquatempo.records.moves import ImpactLevel, MoveForm, MoveKind
from aquatempo.records.people import ClassDepth, Pool

__all__ = ["Carriage", "hips_of", "water_of"]

Array = NDArray[np.float64]

_CLEAR_M = 0.04  # what is suspended stays so far off the floor
_NECK = 0.845  # of stature: where a belt holds the surface, between collarbone and chin


@dataclass(frozen=True, slots=True)
class Carriage:
    """Where surface and floor are for a person [m]; held_m: height of hips that are held."""

    surface_m: float
    held_m: float | None
    suspended: bool


def water_of(form: MoveForm, pool: Pool, stature_m: float) -> Carriage:
    """Return how the water carries a person of a stature for a form (as feasibility has it).

    Level II, III and arms-only work bring the shoulders to the surface; deep water and level
    III are off the floor. pool: the water; stature_m: height of the person [m].
    """
    trunk = body_share("shoulder height") - body_share("hip height")
    if pool.kind is ClassDepth.DEEP:
        to_hips = (_NECK - body_share("hip height")) * stature_m
        return Carriage(pool.depth_m, pool.depth_m - to_hips, True)
    lowered = form.level in (ImpactLevel.II, ImpactLevel.III)
    if lowered or form.move.kind is MoveKind.ARMS_ONLY:
        held = pool.depth_m - trunk * stature_m
        return Carriage(pool.depth_m, held, form.level is ImpactLevel.III)
    return Carriage(pool.depth_m, None, False)


def hips_of(
    form: MoveForm, postures: Sequence[Posture], phases: Sequence[float], pool: Pool, height: float
) -> Array:
    """Return the height of the hips above the floor [m], one a posture.

    On the floor the longer leg decides. In a flight the hips go from where they were at
    take-off to where they are at landing, and up with the hop; never lower than a leg stands.
    form: the move; postures: instants of it; phases: where in the repetition each is
    [movements]; pool: the water; height: of the person [m].
    """
    water = water_of(form, pool, height)
    standing = _reach(postures, height)
    if water.suspended and water.held_m is not None:
        return np.full(len(postures), max(water.held_m, _CLEAR_M))
    hips = standing.copy()
    for row, phase in enumerate(phases):
        begin, length = _flight(form, phase)
        if length:
            ends = [pose(form, begin), pose(form, begin + length)]
            take_off, landing = _reach(ends, height)
            share = (phase - begin) / length
            thrown = take_off + (landing - take_off) * share + postures[row].hop_m
            hips[row] = max(standing[row], thrown)
    if water.held_m is not None:
        hips = np.minimum(hips, max(water.held_m, 0.25 * height))
    return hips


def _flight(form: MoveForm, phase: float) -> tuple[float, int]:
    """Return where the flight began that a phase is in, and how many movements it lasts."""
    index = int(phase)
    for back in range(len(form.movements)):
        movement = form.movements[(index - back) % len(form.movements)]
        if movement.flight_m > 0 and back < movement.flight_movements:
            return float(index - back), movement.flight_movements
    return 0.0, 0


def _reach(postures: Sequence[Posture], height: float) -> Array:
    legs = [
        [[getattr(leg, f.name) for f in fields(leg)] for leg in (one.lead_leg, one.other_leg)]
        for one in postures
    ]
    angles = np.array(legs).reshape(-1, 4)
    return np.asarray(reach_m(angles, height).reshape(-1, 2).max(axis=1))
