"""Bodies of people: lengths, masses, diameters and landmark heights with sources."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aquatempo.records.people import Person, Sex
from aquatempo.units import check_range
from aquatempo.water.tables import read_table, read_values

__all__ = ["LANDMARKS", "Bodies", "Part", "bodies_of", "fat_percent", "tissue_density_kg_m3"]

Array = NDArray[np.float64]

# From the floor up; height fractions come from the tables.
LANDMARKS = (
    "ankle", "knee", "crotch", "hip", "front of hip bone", "navel", "breastbone end",
    "nipple", "armpit", "collarbone", "neck", "chin",
)  # fmt: skip

_LIMITS = {
    "stature": (1.2, 2.2, "m", "centimetres?"),
    "mass": (30.0, 200.0, "kg", "pounds?"),
    "age": (16.0, 100.0, "years", "the strength tables start at 18"),
}


@dataclass(frozen=True, slots=True)
class Part:
    """One limb segment of n people, all arrays of shape (n,).

    length_m [m], mass_kg [kg], upper_m and lower_m: diameters at the ends [m].
    """

    length_m: Array
    mass_kg: Array
    upper_m: Array
    lower_m: Array


@dataclass(frozen=True, slots=True)
class Bodies:
    """n people. Arrays of shape (n,); heights above the floor and widths in m."""

    stature_m: Array
    mass_kg: Array
    woman: NDArray[np.bool_]
    age_years: Array
    fat_percent: Array
    tissue_kg_m3: Array
    girth: Array  # diameters over those of the tables, 1 at their mass over stature
    parts: dict[str, Part]
    trunk_kg: dict[str, Array]  # head, upper, middle, lower trunk
    landmarks_m: dict[str, Array]
    joints_m: dict[str, Array]  # ankle, knee, hip, shoulder
    widths_m: dict[str, Array]

    def __len__(self) -> int:
        return len(self.stature_m)


def tissue_density_kg_m3(body_fat_percent: Array) -> Array:
    """Return the density [kg/m3] of tissue without lung gas, from body fat [%].

    body_fat_percent: shape (n,) or any other, which the result has too.
    Source: Siri 1961, in Techniques for Measuring Body Composition, 223-244.
    Valid 3 to 60 %. Raises RangeError outside.

    >>> round(float(tissue_density_kg_m3(np.array(22.0))), 1)
    1048.7
    """
    siri = read_values("siri-1961")["siri-1961"]
    fat = np.asarray(body_fat_percent, float)
    low, high = siri["valid_percent"]
    for value in np.atleast_1d(fat):
        check_range("body fat", float(value), "%", low, high)
    return np.asarray(1000.0 * siri["numerator"] / (fat + siri["offset"]))


def fat_percent(bmi_kg_m2: Array | float, age_years: Array, woman: NDArray[np.bool_]) -> Array:
    """Return body fat [%] from mass over stature squared [kg/m2], age and sex.

    bmi_kg_m2: body mass over stature squared [kg/m2]; age_years [years]; woman: whether it is
    one. All of one shape (n,).
    Source: Deurenberg et al. 1991, Br J Nutr 65:105-114 (densitometry, 1,229 people,
    standard error 4.1). Kept within 6 to 55 %.

    >>> round(float(fat_percent(21.5, np.array(23.0), np.array(True))), 2)
    25.69
    """
    d = read_values("deurenberg-1991")["deurenberg-1991"]
    fat = d["bmi"] * bmi_kg_m2 + d["age"] * age_years + d["constant"]
    return np.asarray(np.clip(fat + d["man"] * np.where(woman, 0.0, 1.0), *d["valid_percent"]))


def bodies_of(people: Sequence[Person]) -> Bodies:
    """Return the bodies of some people. Raises RangeError for sizes out of range.

    Sources: lengths Drillis and Contini 1966; masses de Leva 1996;
    landmarks and diameters ANSUR II 2012, diameters scaled by sqrt(mass / stature);
    xiphoid and ASIS from memory. Where a person's body fat is not
    given it is that of ``fat_percent``.

    >>> body = bodies_of([Person(1.63, 68.0, Sex.WOMAN, 40.0)])
    >>> round(float(body.parts["thigh"].length_m[0]), 3)
    0.399
    """
    for person in people:
        for name, value in (
            ("stature", person.height_m),
            ("mass", person.mass_kg),
            ("age", person.age_years),
        ):
            low, high, unit, slip = _LIMITS[name]
            check_range(name, value, unit, low, high, slip)
    stature = np.array([person.height_m for person in people])
    mass = np.array([person.mass_kg for person in people])
    woman = np.array([person.sex is Sex.WOMAN for person in people])
    age = np.array([person.age_years for person in people])
    assumed = read_table("body-assumptions").numbers("quantity", "value")
    usual = fat_percent(mass / stature**2, age, woman)
    fat = np.array([
        default if person.body_fat_percent is None else person.body_fat_percent
        for person, default in zip(people, usual, strict=True)
    ])  # fmt: skip
    lengths = read_table("drillis-contini-1966").numbers("quantity", "fraction")
    build = _Builder(stature, mass, woman)
    landmark_rows = {
        "hip": "hip (trochanter)", "knee": "knee (tibiale)", "crotch": "crotch",
        "navel": "navel", "nipple": "nipple", "armpit": "armpit",
        "collarbone": "collarbone (suprasternale)", "neck": "neck (C7)",
    }  # fmt: skip
    fixed = {
        "ankle": lengths["ankle height"],
        "front of hip bone": assumed["front of hip bone (ASIS) height"],
        "breastbone end": assumed["breastbone end (xiphoid) height"],
        "chin": lengths["chin height"],
    }
    landmarks = {
        name: fixed[name] * stature if name in fixed else build.ansur(landmark_rows[name]) * stature
        for name in LANDMARKS
    }
    return Bodies(
        stature,
        mass,
        woman,
        age,
        fat,
        tissue_density_kg_m3(fat),
        build.girth,
        build.parts(lengths),
        {name: build.share(name) * mass for name in _TRUNK},
        landmarks,
        {
            name: lengths[f"{name} height"] * stature
            for name in ("ankle", "knee", "hip", "shoulder")
        },
        {name: build.diameter(name) for name in ("hip breadth", "chest breadth", "chest depth")},
    )


_TRUNK = ("head", "upper trunk", "middle trunk", "lower trunk")


@dataclass(frozen=True, slots=True)
class _Builder:
    stature: Array
    mass: Array
    woman: NDArray[np.bool_]

    def ansur(self, quantity: str) -> Array:
        row = next(r for r in read_table("ansur-2012").rows if r["quantity"] == quantity)
        return np.where(self.woman, float(row["woman"]), float(row["man"]))

    @property
    def girth(self) -> Array:
        build = self.mass / self.stature / (self.ansur("mass") / self.ansur("stature"))
        return np.asarray(np.sqrt(build))

    def diameter(self, quantity: str) -> Array:
        return self.ansur(quantity) * self.girth

    def share(self, segment: str) -> Array:
        """Return the mass of a segment over that of the body (de Leva)."""
        row = read_table("de-leva-1996").numbers("sex", "mass_fraction", segment=segment)
        return np.where(self.woman, row["woman"], row["man"])

    def parts(self, lengths: dict[str, float]) -> dict[str, Part]:
        ends = {
            "thigh": ("upper thigh diameter", "lower thigh diameter"),
            "shank": ("calf diameter", "ankle diameter"),
            "upper arm": ("biceps diameter", "forearm diameter"),
            "forearm": ("forearm diameter", "wrist diameter"),
        }
        fractions = {
            "thigh": lengths["hip height"] - lengths["knee height"],
            "shank": lengths["knee height"] - lengths["ankle height"],
            "upper arm": lengths["upper arm length"],
            "forearm": lengths["forearm length"],
            "hand": lengths["hand length"],
            "foot": lengths["foot length"],
        }
        parts: dict[str, Part] = {}
        for name, fraction in fractions.items():
            length = fraction * self.stature
            if name in ends:
                upper, lower = (self.diameter(quantity) for quantity in ends[name])
            elif name == "hand":
                upper = lower = self.ansur("hand breadth") * self.stature / self.ansur("stature")
            else:
                upper = lower = lengths["foot breadth"] * self.stature
            parts[name] = Part(length, self.share(name) * self.mass, upper, lower)
        return parts
