"""Who is in the water, and in what water."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["DEEP_POOL", "ClassDepth", "Group", "Intensity", "Person", "Pool", "Sex"]


class Sex(StrEnum):
    """The published body and strength tables give men and women apart."""

    WOMAN = "woman"
    MAN = "man"


class Intensity(StrEnum):
    """The share of their maximum that a group is asked to sustain."""

    EASY = "easy"
    STEADY = "steady"
    HARD = "hard"


class ClassDepth(StrEnum):
    """Feet on the floor, or a flotation belt and feet free."""

    SHALLOW = "shallow"
    DEEP = "deep"


@dataclass(frozen=True, slots=True)
class Person:
    """One person. height_m [m], mass_kg [kg], age_years [a], body_fat_percent [%] or default."""

    height_m: float
    mass_kg: float
    sex: Sex
    age_years: float
    body_fat_percent: float | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """A class given as ranges (low, high); the defaults are an invented mixed group.

    height_m [m], age_years [a], mass_kg [kg]; women is how many of size are women.
    body_fat_percent [%] and uptake_ml_kg_min (maximal oxygen uptake [mL/kg/min]): None
    for what is published for their age, sex and size, with its spread.
    """

    size: int = 20
    women: int = 14
    height_m: tuple[float, float] = (1.50, 1.90)
    age_years: tuple[float, float] = (30.0, 75.0)
    mass_kg: tuple[float, float] = (55.0, 95.0)
    intensity: Intensity = Intensity.STEADY
    body_fat_percent: tuple[float, float] | None = None
    uptake_ml_kg_min: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Pool:
    """The water. depth_m is where the shallowest stand, far_depth_m the deepest [m].

    temperature_c [degrees Celsius], salinity_g_kg [g/kg]. space_m2: room for each
    person [m2], None where there is enough.
    """

    depth_m: float = 1.2
    far_depth_m: float | None = None
    temperature_c: float = 29.0
    salinity_g_kg: float = 0.0
    kind: ClassDepth = ClassDepth.SHALLOW
    space_m2: float | None = None


# The usual pool of a deep class: over the head of the tallest of most groups.
DEEP_POOL = Pool(depth_m=2.0, kind=ClassDepth.DEEP)
