"""A limb that turns about one joint in water: drag, inertia, net weight.

Cross-flow principle (DNV-RP-C205, section 6): only the speed across a strip's own
axis gives drag and added mass. In a rigid swing at angular speed w a strip at signed
distance p along its axis from the foot of the perpendicular through the joint crosses
the water at w p, and the lever of its force is p again, so that

    drag moment   = 1/2 rho w|w| sum(Cd d |p|^3 ds)
    added inertia = rho Ca sum(pi/4 d^2 p^2 ds)

Angles are those of records/moves.py: a straight limb at angle a hangs a off the
vertical. All arrays have a first axis over people.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.moves import Foot, Hands, Segment
from aquatempo.water.body import Bodies, Part
from aquatempo.water.cylinders import limb_cd, reynolds_factor
from aquatempo.water.properties import GRAVITY_M_S2, Water

__all__ = [
    "Coefficients",
    "Limb",
    "SwingAxis",
    "build_limb",
    "drag_moment_nm",
    "reynolds_scale",
    "swing_moments",
]

Array = NDArray[np.float64]
STRIPS = 8  # a segment; doubling them moves a drag moment by less than 0.5 %


@dataclass(frozen=True, slots=True)
class Coefficients:
    """Free inputs of a limb; see feasibility/data/free_inputs.toml."""

    plate_cd: float = 1.17
    hand_edge_cd: float = 0.3
    added_mass: float = 0.9


class SwingAxis:
    """Which way a limb turns: fore and aft, sideways, or level about the vertical."""

    SAGITTAL = "sagittal"
    FRONTAL = "frontal"
    LEVEL = "level"


@dataclass(frozen=True, slots=True)
class Limb:
    """Strips (people x strips) and masses (people x segments) of a limb.

    u: along the first segment away from the joint, v: across it, forward [m];
    p: along the strip's own axis [m]; area_m2: width times length; cd, added_kg_m3:
    drag coefficient and added volume [m3]; volume_m3 displaced.
    """

    u: Array
    v: Array
    p: Array
    area_m2: Array
    cd: Array
    added_m3: Array
    volume_m3: Array
    mass_kg: Array
    mass_u: Array
    mass_v: Array
    gyration_m: Array
    axis: str
    width_m: Array  # of cylinders; 0 for plates, whose Cd does not depend on speed
    raised: Array = field(default_factory=lambda: np.ones(1))  # sine of how far a level arm is up


def build_limb(
    bodies: Bodies,
    segment: Segment,
    axis: str,
    bend_rad: float = 0.0,
    foot: Foot = Foot.EDGE,
    hands: Hands = Hands.SLICE,
    raised_rad: float = np.pi / 2,
    equipment_area_m2: float = 0.0,
    coefficients: Coefficients | None = None,
) -> Limb:
    """Return the limb of n people that turns about its upper joint.

    segment LEG or ARM is held bent at bend_rad at the knee or elbow; SHANK, FOOT and
    FOREARM turn about knee, ankle and elbow. raised_rad: for a level swing, how far the
    arm is raised (pi/2 = level). equipment_area_m2: a plate at the hand.
    """
    c = coefficients or Coefficients()
    build = _LimbBuilder(bodies, axis, c)
    parts = bodies.parts
    arm = segment in (Segment.ARM, Segment.FOREARM)
    chain = ("upper arm", "forearm", "hand") if arm else ("thigh", "shank", "foot")
    exposed = sum((parts[name].length_m for name in chain[:2]), start=np.zeros(len(bodies)))
    if arm:
        exposed = exposed + parts["hand"].length_m
    diameters = [parts[name].upper_m + parts[name].lower_m for name in chain[:2]]
    cd = limb_cd(exposed, sum(diameters, start=np.zeros(len(bodies))) / 4.0)
    start = np.zeros(len(bodies))
    if segment in (Segment.LEG, Segment.ARM):
        build.cylinder(parts[chain[0]], start, start, 0.0, cd)
        start = parts[chain[0]].length_m
        turn = bend_rad if arm else -bend_rad
    else:
        turn = 0.0
    if segment is not Segment.FOOT:
        lower = parts[chain[1]]
        build.cylinder(lower, start, np.zeros(len(bodies)), turn, cd)
        end_u = start + lower.length_m * np.cos(turn)
        end_v = lower.length_m * np.sin(turn)
    else:
        end_u, end_v, turn = start, start, 0.0
    if arm:
        build.hand(end_u, end_v, turn, hands, equipment_area_m2)
    elif segment is Segment.FOOT:
        build.plate(parts["foot"], end_u, end_v, 0.0, parts["foot"].upper_m, c.plate_cd)
    else:
        build.foot(end_u, end_v, turn, foot, cd)
    raised = np.full(1, np.sin(raised_rad) if axis == SwingAxis.LEVEL else 1.0)
    return build.limb(raised)


def swing_moments(
    limb: Limb,
    angle_rad: Array,
    below_surface_m: Array,
    water: Water,
    tip_buoyancy_n: float = 0.0,
    in_water: bool = True,
) -> tuple[Array, Array, Array, Array]:
    """Return what the limb asks of its joint at some angles, each of shape (n, angles).

    angle_rad (angles,) or (n, angles): of the first segment off the vertical [rad];
    below_surface_m (n,): depth of the joint under the surface [m], negative above;
    tip_buoyancy_n: of a float at its end [N]; in_water False: the limb moves in air.

    Four arrays: drag [N m s2] to multiply with w|w|; force [N s2], the same for the net
    force across the limb; inertia [kg m2] with added mass; weight [N m], the moment of
    weight less buoyancy towards hanging (positive angle: has to be lifted).
    """
    angle = np.atleast_2d(np.asarray(angle_rad, float))[:, :, None]
    sine, cosine = np.sin(angle), np.cos(angle)
    level = limb.axis == SwingAxis.LEVEL
    u, v = limb.u[:, None, :], limb.v[:, None, :]
    across = np.zeros_like(v) if limb.axis == SwingAxis.FRONTAL else v
    down = 0.0 * sine if level else u * cosine - across * sine
    wet = _wet(below_surface_m[:, None, None] + down) if in_water else 0.0 * (u + sine)
    size = np.abs(limb.p[:, None, :])
    raised = limb.raised[:, None]
    drag_area = 0.5 * water.density_kg_m3 * (limb.cd * limb.area_m2)[:, None, :] * wet
    drag = np.sum(drag_area * size**3, axis=-1) * raised**3
    force = np.sum(drag_area * size**2, axis=-1) * raised**2
    added = water.density_kg_m3 * np.sum(limb.added_m3[:, None, :] * size**2 * wet, axis=-1)
    mass_v = np.zeros_like(limb.mass_v) if limb.axis == SwingAxis.FRONTAL else limb.mass_v
    own = np.sum(limb.mass_kg * (limb.mass_u**2 + mass_v**2 + limb.gyration_m**2), axis=-1)
    inertia = (own[:, None] + added) * raised**2
    if level:
        return drag, force, inertia, np.zeros_like(drag)
    sideways_mass = limb.mass_u[:, None, :] * sine + mass_v[:, None, :] * cosine
    heavy = np.sum(limb.mass_kg[:, None, :] * sideways_mass, axis=-1)
    sideways = u * sine + across * cosine
    light = water.density_kg_m3 * np.sum(limb.volume_m3[:, None, :] * wet * sideways, axis=-1)
    tip = tip_buoyancy_n * sideways[:, :, -1] * wet[:, :, -1]
    return drag, force, inertia, GRAVITY_M_S2 * (heavy - light) - tip


def drag_moment_nm(
    limb: Limb,
    angle_rad: float,
    speed_rad_s: Array,
    below_surface_m: Array,
    water: Water,
) -> Array:
    """Return the drag moment [N m] of each person at one angle and one or more speeds.

    At constant Cd it grows with the square of the speed; shape (n,) or (n, speeds).
    """
    drag, *_ = swing_moments(limb, np.array([angle_rad]), below_surface_m, water)
    speed = np.asarray(speed_rad_s, float)
    return np.asarray(drag[:, 0] * speed**2 if speed.ndim == 0 else drag * speed**2)


def reynolds_scale(limb: Limb, speed_rad_s: Array, water: Water) -> Array:
    """Return drag at Cd(Re) over drag at the subcritical Cd, (n, speeds); 1 when slow."""
    speed = np.asarray(speed_rad_s, float)[None, :, None]
    across = speed * np.abs(limb.p[:, None, :])
    reynolds = across * limb.width_m[:, None, :] * water.density_kg_m3 / water.viscosity_pa_s
    share = limb.cd * limb.area_m2 * np.abs(limb.p) ** 3
    scaled = np.sum(share[:, None, :] * reynolds_factor(reynolds), axis=-1)
    return np.asarray(scaled / np.sum(share, axis=-1)[:, None])


def _wet(depth_m: Array) -> Array:
    """Return the share of each strip under water, smooth over 2 cm."""
    return np.clip(depth_m / 0.02 + 0.5, 0.0, 1.0)


class _LimbBuilder:
    def __init__(self, bodies: Bodies, axis: str, coefficients: Coefficients) -> None:
        self.bodies, self.axis, self.c = bodies, axis, coefficients
        self.strips: list[tuple[Array, ...]] = []
        self.masses: list[tuple[Array, ...]] = []

    def cylinder(self, part: Part, u0: Array, v0: Array, turn: float, cd: Array) -> None:
        middle = (np.arange(STRIPS) + 0.5) / STRIPS
        s = part.length_m[:, None] * middle
        width = part.upper_m[:, None] + (part.lower_m - part.upper_m)[:, None] * middle
        ds = part.length_m[:, None] / STRIPS
        section = np.pi / 4 * width**2 * ds
        volume = section / section.sum(axis=1, keepdims=True)
        volume = volume * (part.mass_kg / self.bodies.tissue_kg_m3)[:, None]
        u, v = u0[:, None] + s * np.cos(turn), v0[:, None] + s * np.sin(turn)
        p = self._along(s, u0, v0, turn, u)
        self._add(u, v, p, width * ds, cd[:, None] * np.ones_like(u), section, volume, width)
        self._mass(part, u0, v0, turn)

    def plate(self, part: Part, u0: Array, v0: Array, turn: float, width: Array, cd: float) -> None:
        """Add a flat part that continues in direction turn and moves broadside."""
        n = 4
        middle = (np.arange(n) + 0.5) / n
        s = part.length_m[:, None] * middle
        ds = part.length_m[:, None] / n * np.ones(n)
        u, v = u0[:, None] + s * np.cos(turn), v0[:, None] + s * np.sin(turn)
        p = self._along(s, u0, v0, turn, u)
        area = width[:, None] * ds
        volume = np.repeat((part.mass_kg / self.bodies.tissue_kg_m3)[:, None] / n, n, axis=1)
        section = np.pi / 4 * width[:, None] ** 2 * ds
        self._add(u, v, p, area, np.full_like(u, cd), section, volume, np.zeros_like(u))
        self._mass(part, u0, v0, turn)

    def lump(self, u: Array, v: Array, p: Array, area: Array, cd: Array) -> None:
        """Add an area at one point, without mass of its own."""
        column = [x[:, None] for x in (u, v, p, area, cd)]
        self._add(*column, *(3 * [np.zeros_like(column[0])]))

    def foot(self, u0: Array, v0: Array, turn: float, foot: Foot, cd: Array) -> None:
        part, widths = self.bodies.parts["foot"], self.bodies.widths_m
        if self.axis == SwingAxis.FRONTAL:
            self._mass(part, u0, v0, turn)
            side = part.length_m * widths["foot side height"]
            edge = part.upper_m * widths["foot side height"]
            broad = foot is Foot.BROAD
            area, coefficient = (side, np.full_like(cd, self.c.plate_cd)) if broad else (edge, cd)
            self.lump(u0, v0, u0, area, coefficient)
            return
        if foot is Foot.BROAD:  # pointed: the foot goes on in line with the shank
            self.plate(part, u0, v0, turn, part.upper_m, self.c.plate_cd)
            return
        self.plate(part, u0, v0, turn + np.pi / 2, part.upper_m, self.c.plate_cd)
        along = u0 * np.cos(turn) + v0 * np.sin(turn)
        self.lump(u0, v0, along, part.upper_m * widths["foot side height"], cd)

    def hand(self, u0: Array, v0: Array, turn: float, hands: Hands, extra_m2: float) -> None:
        part, widths = self.bodies.parts["hand"], self.bodies.widths_m
        cd = self.c.plate_cd
        if hands is Hands.OPEN:
            self.plate(part, u0, v0, turn, part.upper_m, cd)
        elif hands is Hands.FIST:  # as long as it is wide
            self.plate(part, u0, v0, turn, part.upper_m**2 / part.length_m, cd)
        else:
            self.plate(part, u0, v0, turn, widths["hand thickness"], self.c.hand_edge_cd)
        if extra_m2:
            s = 0.5 * part.length_m[:, None]
            u, v = u0[:, None] + s * np.cos(turn), v0[:, None] + s * np.sin(turn)
            p = self._along(s, u0, v0, turn, u)
            u, v, p = u[:, 0], v[:, 0], p[:, 0]
            self.lump(u, v, p, np.full_like(u, extra_m2), np.full_like(u, cd))

    def limb(self, raised: Array) -> Limb:
        u, v, p, area, cd, section, volume, width = (
            np.concatenate(column, axis=1) for column in zip(*self.strips, strict=True)
        )
        mass, mass_u, mass_v, gyration = (
            np.stack(column, axis=1) for column in zip(*self.masses, strict=True)
        )
        added = self.c.added_mass * section
        return Limb(
            u,
            v,
            p,
            area,
            cd,
            added,
            volume,
            mass,
            mass_u,
            mass_v,
            gyration,
            self.axis,
            width,
            raised,
        )

    def _along(self, s: Array, u0: Array, v0: Array, turn: float, u: Array) -> Array:
        """Return the signed distance of strips along their own axis."""
        if self.axis == SwingAxis.FRONTAL:
            return u  # sideways a strip turns with its height over the axis, bent or not
        return np.asarray(s + (u0 * np.cos(turn) + v0 * np.sin(turn))[:, None])

    def _add(self, *strip: Array) -> None:
        self.strips.append(strip)

    def _mass(self, part: Part, u0: Array, v0: Array, turn: float) -> None:
        u, v = u0 + part.centre_m * np.cos(turn), v0 + part.centre_m * np.sin(turn)
        self.masses.append((part.mass_kg, u, v, part.gyration_m))
