"""Body segments against de Leva 1996, Drillis and Contini 1966 and ANSUR II 2012."""

from __future__ import annotations

import numpy as np
import pytest

from aquatempo.errors import RangeError
from aquatempo.records.people import Person, Sex
from aquatempo.water.body import bodies_of, tissue_density_kg_m3
from aquatempo.water.tables import read_table


@pytest.mark.parametrize("sex", ["woman", "man"])
def test_mass_fractions_add_up_to_one(sex: str) -> None:
    """Head, trunk and twice each limb segment add up to 1.000 (de Leva, Table 4), 5e-4."""
    rows = read_table("de-leva-1996").numbers("segment", "mass_fraction", sex=sex)
    single = {"head", "upper trunk", "middle trunk", "lower trunk"}
    total = sum(value * (1 if name in single else 2) for name, value in rows.items())
    assert total == pytest.approx(1.0, abs=5e-4)


def test_bodies_weigh_what_they_are_given() -> None:
    """The parts of a body add up to its mass within 0.05 %."""
    bodies = bodies_of([Person(1.63, 68.0, Sex.WOMAN, 40.0), Person(1.80, 82.0, Sex.MAN, 40.0)])
    limbs = sum(2 * part.mass_kg for part in bodies.parts.values())
    total = limbs + sum(bodies.trunk_kg.values())
    assert np.allclose(total, [68.0, 82.0], rtol=5e-4)


def test_diameters_are_those_of_ansur_at_its_mean_size() -> None:
    """At the ANSUR mean size an upper thigh is 196 mm (women) and 199 mm (men) wide."""
    bodies = bodies_of([Person(1.6285, 67.8, Sex.WOMAN, 30.0), Person(1.7562, 85.5, Sex.MAN, 30.0)])
    assert np.allclose(bodies.parts["thigh"].upper_m, [0.196, 0.199])
    assert np.allclose(bodies.landmarks_m["nipple"], [0.719 * 1.6285, 0.735 * 1.7562])


def test_limb_volumes_from_diameters_agree_with_masses() -> None:
    """Thigh and shank as cones hold their de Leva mass over tissue density within 30 %.

    Two independent sources; the tolerance is what a cone misses of a limb's shape.
    """
    bodies = bodies_of([Person(1.6285, 67.8, Sex.WOMAN, 30.0), Person(1.7562, 85.5, Sex.MAN, 30.0)])
    for name in ("thigh", "shank"):
        part = bodies.parts[name]
        cone = (
            np.pi
            / 12
            * part.length_m
            * (part.upper_m**2 + part.upper_m * part.lower_m + part.lower_m**2)
        )
        assert np.allclose(cone, part.mass_kg / bodies.tissue_kg_m3, rtol=0.30)


@pytest.mark.parametrize(("fat", "density"), [(10.0, 1076.1), (22.0, 1048.7), (30.0, 1031.25)])
def test_siri_density(fat: float, density: float) -> None:
    """Tissue density follows Siri 1961, 4.95 / D - 4.50, worked by hand to 0.1 kg/m3."""
    assert float(tissue_density_kg_m3(np.array(fat))) == pytest.approx(density, abs=0.1)


@pytest.mark.parametrize(
    ("person", "slip"),
    [
        (Person(165.0, 60.0, Sex.WOMAN, 40.0), "centimetres"),
        (Person(1.65, 250.0, Sex.WOMAN, 40.0), "pounds"),
        (Person(1.65, 60.0, Sex.WOMAN, 12.0), "18"),
    ],
)
def test_impossible_people_are_refused(person: Person, slip: str) -> None:
    """Sizes out of range raise with the likely slip."""
    with pytest.raises(RangeError, match=slip):
        bodies_of([person])
