"""What one swing allows and costs, tabulated over the time that a movement gets."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.feasibility.inputs import FreeInputs
from aquatempo.feasibility.setting import Setting
from aquatempo.records.moves import Action, Hands, Joint, JointSwing, Segment
from aquatempo.water.limbs import Limb, SwingAxis, build_limb, reynolds_scale, swing_moments
from aquatempo.water.strength import Strength, strength_of
from aquatempo.water.trunk import trunk_turn_coefficients

__all__ = ["SHARES", "TIMES_S", "SwingCurve", "axis_of", "swing_curve", "swing_limb"]

Array = NDArray[np.float64]

TIMES_S = np.geomspace(0.12, 6.0, 28)  # a movement at 500 to 10 a minute
SHARES = np.linspace(0.125, 1.0, 8)
_MOST = 3.0
_PHASES = np.linspace(0.0, 1.0, 9)


@dataclass(frozen=True, slots=True)
class SwingCurve:
    """A swing of n stand-ins over TIMES_S; arrays (n, times).

    range_kept [1], above 1 where there is room to spare; use: share of what can be
    sustained that full range would ask [1]; work_j:
    positive work of all its limbs at the range kept [J]; torque_peak_nm, torque_mean_nm
    (while driving) and capacity_nm at the peak, of one limb [N m]; force_n: peak net
    force across the limb [N]. rated False: no capacity is published. estimated: filled.
    """

    range_kept: Array
    use: Array
    work_j: Array
    torque_peak_nm: Array
    torque_mean_nm: Array
    capacity_nm: Array
    force_n: Array
    rated: bool
    estimated: bool
    extrapolated: NDArray[np.bool_]


def axis_of(action: Action) -> str:
    """Return the SwingAxis that an action turns about."""
    if action in (Action.HORIZONTAL_ABDUCTION, Action.HORIZONTAL_ADDUCTION, Action.ROTATION):
        return SwingAxis.LEVEL
    if action in (Action.ABDUCTION, Action.ADDUCTION, Action.SIDE_BEND):
        return SwingAxis.FRONTAL
    return SwingAxis.SAGITTAL


def swing_limb(swing: JointSwing, setting: Setting, hands: Hands, area_m2: float) -> Limb:
    """Return the limb of a swing for all stand-ins."""
    return build_limb(
        setting.people.bodies,
        swing.segment,
        axis_of(swing.action),
        np.radians(swing.bend_deg),
        swing.foot,
        hands,
        np.radians(swing.held_deg if swing.held_deg else 90.0),
        area_m2,
        setting.inputs.coefficients(),
    )


def swing_curve(
    swing: JointSwing,
    setting: Setting,
    limbs: int,
    water_share: Array,
    hands: Hands,
    in_water: bool,
    area_m2: float,
    float_n: float,
) -> SwingCurve:
    """Return the curve of one swing.

    limbs: how many do it at once; water_share (n,): share of the joint's angle that the
    limb turns through the water (below 1 where the pelvis is free to turn).
    """
    inputs = setting.inputs
    place, speed, change = _profile(inputs.motion_profile)
    start, end = np.radians(swing.start_deg), np.radians(swing.end_deg)
    sweep, direction = abs(end - start), float(np.sign(end - start)) or 1.0
    # Angles scale about the anatomical position, as range options do.
    ends = SHARES[:, None] * (start + (end - start) * place)  # (shares, phases)
    n, s, f = len(setting.people.bodies), len(SHARES), len(_PHASES)
    reach = (SHARES[:, None] * sweep * speed)[None, :, None, :]  # rad, (1, s, 1, f)
    bend = (SHARES[:, None] * sweep * change)[None, :, None, :]
    time = TIMES_S[None, None, :, None]
    omega, alpha = reach / time, bend / time**2
    if swing.joint is Joint.TRUNK:
        drag, inertia = trunk_turn_coefficients(
            setting.people.bodies, setting.trunk_wet_m, setting.water
        )
        parts = [np.broadcast_to(x[:, None], (n, s * f)) for x in (drag, 0 * drag, inertia)]
        parts.append(np.zeros((n, s * f)))
        scale: Array = np.ones((1, 1, 1, 1))
    else:
        limb = swing_limb(swing, setting, hands, area_m2)
        below = setting.joint_below_m(swing)
        angles = _hang_angle(swing, ends).reshape(1, -1)
        parts = list(swing_moments(limb, angles, below, setting.water, float_n, in_water))
        scale = inputs.unsteady_drag * _drag_scale(limb, inputs, omega, setting)
    drag4, force4, inertia4, weight4 = (np.reshape(part, (n, s, 1, f)) for part in parts)
    # Weight hangs against angles that grow; a knee's flexion turns the shank backwards.
    turn = -direction if swing.joint is Joint.KNEE else direction
    through = water_share[:, None, None, None]
    flow = drag4 * scale * (through * omega) ** 2
    torque = flow + inertia4 * through * alpha + turn * weight4
    force = force4 * scale * (through * omega) ** 2
    strength = strength_of(setting.people.bodies, swing.joint, swing.action)
    capacity, ratio, beyond = _against(strength, torque, ends, omega)
    use = _use(ratio, setting.share, inputs)
    kept = np.full((n, len(TIMES_S)), _MOST) if strength is None else _range_kept(use)
    step = np.abs(reach) / (f - 1)  # at rest at both ends: a trapezoid without corners
    work = limbs * np.sum(np.maximum(torque, 0.0) * step, axis=-1)
    top = np.argmax(torque, axis=-1)[..., None]
    mean = _mean_driving(torque)
    peak = np.maximum(np.take_along_axis(torque, top, axis=-1)[..., 0], 0.0)
    top_capacity = np.take_along_axis(capacity, top, axis=-1)[..., 0]
    return SwingCurve(
        range_kept=kept,
        use=use[:, -1, :],
        work_j=_at_share(work, kept),
        torque_peak_nm=_at_share(peak, kept),
        torque_mean_nm=_at_share(mean, kept),
        capacity_nm=_at_share(top_capacity, kept),
        force_n=_at_share(np.max(force, axis=-1), kept),
        rated=strength is not None,
        estimated=strength is not None and strength.estimated,
        extrapolated=_at_share(beyond.astype(float), kept) > 0.5,
    )


def _profile(name: str) -> tuple[Array, Array, Array]:
    """Return place, speed and acceleration (share of sweep, time = 1) at the phases."""
    t = _PHASES
    if name == "minimum-jerk":
        place = 10 * t**3 - 15 * t**4 + 6 * t**5
        return place, 30 * t**2 - 60 * t**3 + 30 * t**4, 60 * t - 180 * t**2 + 120 * t**3
    return (
        (1 - np.cos(np.pi * t)) / 2,
        np.pi / 2 * np.sin(np.pi * t),
        np.pi**2 / 2 * np.cos(np.pi * t),
    )


def _hang_angle(swing: JointSwing, angle_rad: Array) -> Array:
    """Return how far the first turning segment hangs off the vertical [rad]."""
    held = np.radians(swing.held_deg)
    if swing.segment is Segment.SHANK:
        return np.asarray(held - angle_rad)
    if swing.segment is Segment.FOREARM:
        return np.asarray(held + angle_rad)
    if swing.segment is Segment.FOOT:
        return np.asarray(np.pi / 2 + angle_rad)
    return angle_rad


def _drag_scale(limb: Limb, inputs: FreeInputs, omega: Array, setting: Setting) -> Array:
    if inputs.drag_law != "reynolds":
        return np.ones((1, 1, 1, 1))
    speeds = np.geomspace(0.2, 30.0, 24)
    table = reynolds_scale(limb, speeds, setting.water)
    flat = np.abs(omega).ravel()
    rows = [np.interp(flat, speeds, row).reshape(omega.shape[1:]) for row in table]
    return np.stack(rows)


def _against(
    strength: Strength | None, torque: Array, angle: Array, omega: Array
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Return capacity, demand over capacity, and where the speed is off the table."""
    if strength is None:
        return np.zeros_like(torque), np.zeros_like(torque), np.zeros(torque.shape[:-1], bool)
    n = torque.shape[0]
    angles = np.broadcast_to(angle[None, :, None, :], (n, angle.shape[0], 1, angle.shape[1]))
    speed = np.broadcast_to(omega, (n, *omega.shape[1:]))
    capacity = strength.torque_nm(angles, speed)
    ratio = torque / np.maximum(capacity, 1e-6)
    return capacity, ratio, np.asarray(strength.extrapolated(speed).any(axis=-1))


def _use(ratio: Array, share: float, inputs: FreeInputs) -> Array:
    """Return demand over what may be asked (n, shares, times): 1 is the limit."""
    peak = np.max(np.maximum(ratio, 0.0), axis=-1)
    compared = peak if inputs.share_basis == "peak" else _mean_driving(ratio)
    return np.asarray(np.maximum(compared / share, peak / inputs.peak_ceiling))


def _mean_driving(values: Array) -> Array:
    """Return the mean of values (..., phases) over the part of the time they are positive.

    Straight lines between phases, so that the part is not a whole number of phases.
    """
    above = np.maximum(values, 0.0)
    size = np.abs(values)
    pair = above[..., 1:] + above[..., :-1]
    part = pair / np.maximum(size[..., 1:] + size[..., :-1], 1e-12)
    total = np.sum(0.5 * pair * part, axis=-1)
    return np.asarray(total / np.maximum(part.sum(axis=-1), 1e-12))


def _range_kept(use: Array) -> Array:
    """Return the largest share (n, times) whose use is at most 1, found in sqrt(use).

    Above 1 it tells the room to spare, so that interpolation over time stays smooth.
    """
    root = np.sqrt(np.minimum(use, 1e6))
    above = root > 1.0
    first = np.argmax(above, axis=1)  # index of the first share that is too much
    none_above = ~above.any(axis=1)
    i = np.maximum(first, 1)[:, None, :]
    r1, r0 = (np.take_along_axis(root, k, axis=1)[:, 0, :] for k in (i, i - 1))
    x1, x0 = SHARES[i[:, 0, :]], SHARES[i[:, 0, :] - 1]
    between = x0 + (x1 - x0) * (1.0 - r0) / np.maximum(r1 - r0, 1e-9)
    below_first = SHARES[0] / np.maximum(root[:, 0, :], 1e-9)
    kept = np.where(first == 0, np.minimum(below_first, SHARES[0]), between)
    to_spare = np.minimum(1.0 / np.maximum(root[:, -1, :], 1e-9), _MOST)
    return np.where(none_above, to_spare, np.clip(kept, 0.0, 1.0))


def _at_share(field: Array, kept: Array) -> Array:
    """Return a field (n, shares, times) at the range kept (n, times)."""
    x = np.clip(np.interp(kept, SHARES, np.arange(len(SHARES))), 0, len(SHARES) - 1)
    low = np.minimum(x.astype(int), len(SHARES) - 2)
    part = x - low
    lower = np.take_along_axis(field, low[:, None, :], axis=1)[:, 0, :]
    upper = np.take_along_axis(field, low[:, None, :] + 1, axis=1)[:, 0, :]
    return np.asarray(lower + part * (upper - lower))
