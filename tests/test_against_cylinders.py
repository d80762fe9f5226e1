"""Drag coefficients against the tables of Blevins 1984 and Roshko 1961, as transcribed."""

from __future__ import annotations

import numpy as np
import pytest

from aquatempo.errors import RangeError
from aquatempo.water.cylinders import finite_cylinder_cd, limb_cd, long_cylinder_cd

BLEVINS = {1: 0.64, 2: 0.68, 3: 0.74, 5: 0.74, 10: 0.82, 20: 0.91, 40: 0.98, np.inf: 1.20}
ROSHKO = {1e4: 1.11, 2e4: 1.20, 2e5: 1.17, 3e5: 0.90, 4e5: 0.54, 5e5: 0.31, 1e6: 0.38, 3.5e6: 0.70}


@pytest.mark.parametrize("ratio", BLEVINS)
def test_finite_cylinders_are_as_tabulated(ratio: float) -> None:
    """Each row of the table of finite cylinders comes back exactly."""
    assert float(finite_cylinder_cd(np.array(ratio))) == pytest.approx(BLEVINS[ratio])


@pytest.mark.parametrize("reynolds", ROSHKO)
def test_long_cylinders_are_as_digitised(reynolds: float) -> None:
    """Each digitised point of the long cylinder comes back exactly."""
    assert float(long_cylinder_cd(np.array(reynolds))) == pytest.approx(ROSHKO[reynolds])


def test_cd_stays_between_neighbouring_rows() -> None:
    """Between two rows Cd lies between theirs, and it grows with length."""
    values = finite_cylinder_cd(np.linspace(1.0, 60.0, 200))
    assert np.all(np.diff(values) >= -1e-12)
    assert 0.82 < float(finite_cylinder_cd(np.array(14.5))) < 0.91


def test_an_attached_limb_counts_twice_its_length() -> None:
    """A limb of L/D 5 has the Cd of a free cylinder of L/D 10."""
    assert float(limb_cd(np.array(0.5), np.array(0.1))) == pytest.approx(0.82)


def test_shorter_than_the_table_is_refused() -> None:
    """L/D below 1 is outside the table and raises."""
    with pytest.raises(RangeError, match="length over diameter"):
        finite_cylinder_cd(np.array(0.9))
