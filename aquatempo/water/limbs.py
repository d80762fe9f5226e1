"""Legs and arms as strips: where each strip is for any joint angles.

A limb belongs to a body one metre tall, joint at the origin, x forward, y away from the
middle, z up. Strips of thigh, shank, upper arm and forearm are cylinders and feel the water
across their axis (cross-flow principle, DNV-RP-C205, section 6); hands likewise, as plates;
a foot is a sole, a side and a tip, each of which feels the water along its normal.

Angles are those of records/limbs.py, in rad. Lengths Drillis and Contini 1966, diameters
ANSUR II 2012, masses de Leva 1996; foot and hand details from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.water.tables import read_table

__all__ = [
    "ANGLES",
    "DRIVEN",
    "LIMB_JOINT",
    "SEXES",
    "Kind",
    "Strips",
    "lengths_of",
    "places",
    "strips_of",
]

Array = NDArray[Any]

SEXES = ("woman", "man")
STRIPS = 7  # a segment; doubling them moves a drag moment by less than 1 %


class Kind(StrEnum):
    """A leg hangs from the hip, an arm from the shoulder."""

    LEG = "leg"
    ARM = "arm"


ANGLES = {Kind.LEG: ("hip", "out", "knee", "ankle"), Kind.ARM: ("raised", "across", "elbow")}
DRIVEN = {Kind.LEG: 3, Kind.ARM: 3}  # of ANGLES, whose torque is told: not the ankle
LIMB_JOINT = {Kind.LEG: "hip", Kind.ARM: "shoulder"}


@dataclass(frozen=True, slots=True)
class Strips:
    """Strips of a limb of a body one metre tall (S of them), and its point masses (M).

    segment (S,): 0 the upper, 1 the lower, 2 the end; along (S,): place on it [1 m of
    stature]; by_axis (S,): feels the water across its axis, else along a normal;
    normal (S,): which one (0 sole, 1 side, 2 tip). Areas for drag, each 0 where it does not
    apply: cylinder (2, S) diameter [m] times length, by sex; plate (S,), of the foot; hand (S,)
    length only, its width comes later; tip (S,): 1 at the middle of the hand. added_cylinder
    (2, S) pi/4 d^2 times length [m2]; added_plate (S,) pi/4 b^2 times length, of the foot;
    added_hand likewise. volume (2, S): share of body mass. mass (2, M): share of body mass;
    mass_segment, mass_along (M,) or (2, M).
    """

    segment: NDArray[np.int_]
    along: Array
    by_axis: NDArray[np.bool_]
    normal: NDArray[np.int_]
    cylinder: Array
    plate: Array
    hand: Array
    tip: Array
    added_cylinder: Array
    added_plate: Array
    added_hand: Array
    volume: Array
    mass: Array
    mass_segment: NDArray[np.int_]
    mass_along: Array


@cache
def strips_of(kind: Kind) -> Strips:
    """Return the strips of a limb of a body one metre tall."""
    return _StripCutter(kind).strips()


@cache
def lengths_of(kind: Kind) -> tuple[float, float, float]:
    """Return the lengths of the three segments of a limb as shares of stature [1]."""
    table = read_table("drillis-contini-1966").numbers("quantity", "fraction")
    if kind is Kind.ARM:
        return table["upper arm length"], table["forearm length"], table["hand length"]
    thigh = table["hip height"] - table["knee height"]
    return thigh, table["knee height"] - table["ankle height"], table["foot length"]


def places(
    kind: Kind, angles_rad: Array, segment: NDArray[np.int_], along: Array
) -> tuple[Array, Array, Array]:
    """Return where points of a limb are, its axes and the normals of the foot.

    kind: leg or arm. B postures and S points tell the shape of all.
    angles_rad (B, 4 or 3): as ANGLES names them [rad]; segment, along (S,): see Strips.
    Three arrays: places (B, S, 3) [1 m of stature], axes of the segments (B, 3, 3), normals
    of sole, side and tip (B, 3, 3; of an arm: unused).
    """
    first, second, _ = lengths_of(kind)
    axes, normals = _leg_axes(angles_rad) if kind is Kind.LEG else _arm_axes(angles_rad)
    zero = np.zeros_like(axes[:, 0])
    knee = first * axes[:, 0]
    starts = np.stack([zero, knee, knee + second * axes[:, 1]], axis=1)
    return starts[:, segment] + along[:, None] * axes[:, segment], axes, normals


def _leg_axes(angles: Array) -> tuple[Array, Array]:
    hip, out, knee, ankle = angles.T
    shank = hip - knee
    foot = shank + ankle
    flat = np.zeros_like(hip)

    def outward(x: Array, z: Array) -> Array:  # turned outwards about the axis ahead
        return np.stack([x, -z * np.sin(out), z * np.cos(out)], axis=1)

    axes = np.stack(
        [
            outward(np.sin(hip), -np.cos(hip)),
            outward(np.sin(shank), -np.cos(shank)),
            outward(np.cos(foot), np.sin(foot)),
        ],
        axis=1,
    )
    side = np.stack([flat, np.cos(out), np.sin(out)], axis=1)
    normals = np.stack([outward(-np.sin(foot), np.cos(foot)), side, axes[:, 2]], axis=1)
    return axes, normals


def _arm_axes(angles: Array) -> tuple[Array, Array]:
    up, across, elbow = angles.T
    upper = np.stack(
        [np.sin(up) * np.sin(across), np.sin(up) * np.cos(across), -np.cos(up)], axis=1
    )
    lifts = np.stack([np.cos(up) * np.sin(across), np.cos(up) * np.cos(across), np.sin(up)], axis=1)
    closes = np.stack([np.cos(across), -np.sin(across), np.zeros_like(up)], axis=1)
    # An arm to the side bends its elbow inwards, an arm ahead upwards, smooth between.
    level = (np.pi / 2 * np.sin(np.abs(up)) * np.clip(np.cos(across), 0.0, 1.0))[:, None]
    bends = np.cos(level) * lifts + np.sin(level) * closes
    lower = np.cos(elbow)[:, None] * upper + np.sin(elbow)[:, None] * bends
    axes = np.stack([upper, lower, lower], axis=1)
    return axes, axes


class _StripCutter:
    def __init__(self, kind: Kind) -> None:
        self.kind = kind
        self.rows: list[dict[str, Array | float]] = []

    def strips(self) -> Strips:
        lengths = lengths_of(self.kind)
        names = ("thigh", "shank") if self.kind is Kind.LEG else ("upper arm", "forearm")
        for index, name in enumerate(names):
            self._cylinder(index, name, lengths[index])
        if self.kind is Kind.LEG:
            self._foot(lengths[2])
        else:
            self._hand(lengths[2])
        columns = {
            key: np.concatenate([np.atleast_2d(row[key]).T for row in self.rows]).T
            for key in self.rows[0]
        }
        flat = {key: value[0] for key, value in columns.items()}
        masses = self._masses(names, lengths)
        return Strips(
            segment=flat["segment"].astype(int),
            along=flat["along"],
            by_axis=flat["by_axis"] > 0,
            normal=flat["normal"].astype(int),
            cylinder=np.stack([flat["woman"], flat["man"]]),
            plate=flat["plate"],
            hand=flat["hand"],
            tip=flat["tip"],
            added_cylinder=np.stack([flat["added_woman"], flat["added_man"]]),
            added_plate=flat["added_plate"],
            added_hand=flat["added_hand"],
            volume=np.stack([flat["volume_woman"], flat["volume_man"]]),
            mass=masses[0],
            mass_segment=masses[1],
            mass_along=masses[2],
        )

    def _add(self, count: int, **given: Array | float) -> None:
        names = (
            *("segment", "along", "by_axis", "normal", "woman", "man", "plate", "hand", "tip"),
            *("added_woman", "added_man", "added_plate", "added_hand"),
            *("volume_woman", "volume_man"),
        )
        row = {name: np.broadcast_to(given.get(name, 0.0), count) for name in names}
        self.rows.append({name: np.array(value, float) for name, value in row.items()})

    def _cylinder(self, index: int, name: str, length: float) -> None:
        middle = (np.arange(STRIPS) + 0.5) / STRIPS
        given: dict[str, Array | float] = {}
        for sex in SEXES:
            upper, lower = (_ansur(quantity, sex) for quantity in _DIAMETERS[name])
            width = upper + (lower - upper) * middle
            section = np.pi / 4 * width**2
            given[sex] = width * length / STRIPS
            given[f"added_{sex}"] = section * length / STRIPS
            given[f"volume_{sex}"] = _mass(name, sex) * section / section.sum()
        self._add(STRIPS, segment=index, along=middle * length, by_axis=1.0, **given)

    def _foot(self, length: float) -> None:
        table = read_table("drillis-contini-1966").numbers("quantity", "fraction")
        assumed = read_table("body-assumptions").numbers("quantity", "value")
        breadth = table["foot breadth"]
        side = assumed["foot side height filled as a fraction of ankle height"]
        height = side * table["ankle height"]
        behind = assumed["ankle from heel as a fraction of foot length"]
        count = 4
        along = ((np.arange(count) + 0.5) / count - behind) * length
        part = length / count
        volumes = {f"volume_{sex}": _mass("foot", sex) / count for sex in SEXES}
        self._add(
            count,
            segment=2, along=along, normal=0, plate=breadth * part,
            added_plate=np.pi / 4 * breadth**2 * part, **volumes,
        )  # fmt: skip
        self._add(
            count,
            segment=2, along=along, normal=1, plate=height * part,
            added_plate=np.pi / 4 * height**2 * part,
        )  # fmt: skip
        self._add(1, segment=2, along=(1 - behind) * length, normal=2, plate=breadth * height)

    def _hand(self, length: float) -> None:
        count = 3
        part = length / count
        along = (np.arange(count) + 0.5) * part
        volumes = {f"volume_{sex}": _mass("hand", sex) / count for sex in SEXES}
        self._add(
            count, segment=2, along=along, by_axis=1.0, hand=part,
            tip=(np.arange(count) == count // 2).astype(float), added_hand=np.pi / 4 * part,
            **volumes,
        )  # fmt: skip

    def _masses(
        self, names: tuple[str, ...], lengths: tuple[float, float, float]
    ) -> tuple[Array, NDArray[np.int_], Array]:
        """Two points a segment, a radius of gyration to either side of the centre of mass."""
        end = "foot" if self.kind is Kind.LEG else "hand"
        assumed = read_table("body-assumptions").numbers("quantity", "value")
        mass, along = np.zeros((2, 6)), np.zeros((2, 6))
        for s, sex in enumerate(SEXES):
            for i, (name, length) in enumerate(zip((*names, end), lengths, strict=True)):
                share, centre, gyration = _de_leva(name, sex)
                if name == "hand":
                    centre, gyration = 0.5, 0.25
                if name == "foot":
                    heel = assumed["foot centre from heel as a fraction of foot length"]
                    centre = heel - assumed["ankle from heel as a fraction of foot length"]
                mass[s, 2 * i : 2 * i + 2] = share / 2
                ends = np.array([centre - gyration, centre + gyration])
                along[s, 2 * i : 2 * i + 2] = ends * length
        return mass, np.repeat(np.arange(3), 2), along


_DIAMETERS = {
    "thigh": ("upper thigh diameter", "lower thigh diameter"),
    "shank": ("calf diameter", "ankle diameter"),
    "upper arm": ("biceps diameter", "forearm diameter"),
    "forearm": ("forearm diameter", "wrist diameter"),
}


def _ansur(quantity: str, sex: str) -> float:
    row = next(r for r in read_table("ansur-2012").rows if r["quantity"] == quantity)
    return float(row[sex])


def _de_leva(segment: str, sex: str) -> tuple[float, float, float]:
    for row in read_table("de-leva-1996").rows:
        if row["segment"] == segment and row["sex"] == sex:
            columns = ("mass_fraction", "centre_fraction", "gyration_fraction")
            share, centre, gyration = (float(row[column] or 0.0) for column in columns)
            return share, centre, gyration
    raise AssertionError(f"no {segment} in the table")


def _mass(segment: str, sex: str) -> float:
    return _de_leva(segment, sex)[0]
