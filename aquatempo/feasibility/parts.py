"""A form of a move taken apart: the paths of its limbs, hops, sway, travel, by movement."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from functools import lru_cache

from aquatempo.moves.postures import pivots_of
from aquatempo.moves.tags import big_hop
from aquatempo.records.limbs import Arm, Leg, Movement, Posture, Side, Trunk
from aquatempo.records.moves import ImpactLevel, MoveForm, Plane, Travel
from aquatempo.water.limb_demand import Held
from aquatempo.water.limbs import Kind
from aquatempo.water.paths import LimbPath

__all__ = ["FormParts", "LimbPart", "MovementParts", "parts_of"]

_NO_FLIGHT = (ImpactLevel.II, ImpactLevel.III, ImpactLevel.GROUNDED)


@dataclass(frozen=True, slots=True)
class LimbPart:
    """One path that a limb takes in a movement.

    limbs: how many limbs take it at once. duty: share of the movements of a repetition in
    which the same limb takes it, so that its muscles rest in the others [1]. alongside: how
    many limbs turn a free pelvis the same way with it, itself included; 0: others balance it.
    in_air: how many movements share one jump, in which the leg moves only while its foot is
    off the floor; 0: it has the whole time of its movement.
    """

    path: LimbPath
    limbs: int
    duty: float
    held: Held = field(default_factory=Held)
    alongside: int = 0
    in_air: int = 0


@dataclass(frozen=True, slots=True)
class MovementParts:
    """What a movement is made of, whichever side does it.

    flight_m, flight_movements, sway_m: as in Movement. step_m: travel in it [m]; turns: of
    the body's travel in it that are reversals [1]. trunk_rad: how far the trunk turns.
    """

    legs: tuple[LimbPart, ...]
    arms: tuple[LimbPart, ...]
    flight_m: float
    flight_movements: int
    sway_m: float
    sideways: bool
    travel: Travel
    step_m: float
    turns: float
    trunk_deg: float


@dataclass(frozen=True, slots=True)
class FormParts:
    """A form taken apart. index: for each movement its place in movements (each once).

    big_hop: the move is a jump: without its flight it is another move. travels: it goes
    somewhere by nature.
    """

    movements: tuple[MovementParts, ...]
    index: tuple[int, ...]
    big_hop: bool
    travels: bool


@lru_cache(maxsize=8192)
def parts_of(form: MoveForm) -> FormParts:
    """Return a form taken apart."""
    pivots = pivots_of(form.movements)
    taken = [_limbs(movement, pivots, form) for movement in form.movements]
    duties = Counter(
        (side, path) for limbs in taken for side, path, _ in limbs
    )  # how often a limb takes a path
    count = max(len(form.movements), 1)
    turns = 1.0 / (form.reverses_every * count) if form.reverses_every else 0.0
    found: list[MovementParts] = []
    index: list[int] = []
    for movement, limbs in zip(form.movements, taken, strict=True):
        parts: dict[tuple[LimbPath, Held], LimbPart] = {}
        for side, path, held in limbs:
            duty = duties[side, path] / count
            old = parts.get((path, held))
            parts[path, held] = (
                LimbPart(path, 1, duty, held)
                if old is None
                else replace(old, limbs=old.limbs + 1, duty=max(old.duty, duty))
            )
        flies = form.level not in _NO_FLIGHT and movement.flight_m > 0
        shared = movement.flight_movements if flies and movement.flight_movements > 1 else 0
        legs = tuple(replace(p, in_air=shared) for p in parts.values() if p.path.kind is Kind.LEG)
        own = MovementParts(
            legs=_balanced(legs),
            arms=tuple(p for p in parts.values() if p.path.kind is Kind.ARM),
            flight_m=movement.flight_m if flies else 0.0,
            flight_movements=movement.flight_movements if flies else 1,
            sway_m=movement.sway_m,
            sideways=form.move.plane in (Plane.FRONTAL, Plane.TRANSVERSE),
            travel=form.travel,
            step_m=form.travel_m / count if form.travel is not Travel.IN_PLACE else 0.0,
            turns=turns,
            trunk_deg=abs(movement.end_pose.trunk.turn - movement.start_pose.trunk.turn),
        )
        if own not in found:
            found.append(own)
        index.append(found.index(own))
    return FormParts(
        tuple(found),
        tuple(index),
        big_hop(form.move),
        form.move.travel is not Travel.IN_PLACE,
    )


def _limbs(
    movement: Movement, pivots: Posture, form: MoveForm
) -> list[tuple[Side, LimbPath, Held]]:
    """Return the limbs that move through the water in a movement: side, path, what is held."""
    held = Held(form.hands, form.equipment_area_m2, form.equipment_buoyancy_n, form.arms_in_water)
    found: list[tuple[Side, LimbPath, Held]] = []
    for side, word in ((Side.LEAD, "lead"), (Side.TRAIL, "other")):
        for kind in Kind:
            name = f"{word}_{kind.value}"
            if kind is Kind.LEG and side in movement.stands:
                continue
            start, end, pivot = (
                _angles(getattr(p, name)) for p in (movement.start_pose, movement.end_pose, pivots)
            )
            via = None if movement.via is None else _angles(getattr(movement.via, name))
            if via is not None and all(
                abs(v - (a + b) / 2) < 1e-9 for v, a, b in zip(via, start, end, strict=True)
            ):
                via = None
            if start == end and (via is None or via == start):
                continue
            path = LimbPath(kind, start, end, pivot, via)
            found.append((side, path, held if kind is Kind.ARM else Held()))
    return found


def _balanced(legs: tuple[LimbPart, ...]) -> tuple[LimbPart, ...]:
    """Return legs that know how many swing the pelvis round the same way.

    Ahead and back, legs that part company balance each other; aside, a leg that opens
    and one that closes go the same way, and two that open balance.
    """
    ahead, aside = 0.0, 0.0
    for leg in legs:
        ahead += leg.limbs * (leg.path.end[0] - leg.path.start[0])
        if leg.limbs == 1:
            aside += abs(leg.path.end[1] - leg.path.start[1])
    told = []
    for leg in legs:
        hip = abs(leg.path.end[0] - leg.path.start[0])
        out = abs(leg.path.end[1] - leg.path.start[1])
        if out > hip:
            alongside = round(aside / out) if leg.limbs == 1 else 0
        else:
            alongside = round(abs(ahead) / hip) if hip else 0
        told.append(replace(leg, alongside=alongside))
    return tuple(told)


def _angles(limb: Leg | Arm | Trunk) -> tuple[float, ...]:
    if isinstance(limb, Leg):
        return limb.hip, limb.out, limb.knee, limb.ankle
    assert isinstance(limb, Arm)
    return limb.raised, limb.across, limb.elbow
