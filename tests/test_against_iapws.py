"""Water against the open implementation of IAPWS-95 and the IAPWS viscosity release."""

from __future__ import annotations

import warnings

import pytest

from aquatempo.errors import RangeError
from aquatempo.water.properties import density_kg_m3, viscosity_pa_s

TEMPERATURES_C = (5.0, 15.0, 20.0, 26.0, 28.0, 30.0, 32.0, 34.0, 40.0)

# IAPWS-95 and IAPWS 2008 viscosity at 0.101325 MPa, computed once with the iapws package 1.5.
COMPUTED = {
    20.0: (998.207, 1.0016e-3),
    28.0: (996.236, 0.8324e-3),
    34.0: (994.373, 0.7337e-3),
}


@pytest.mark.parametrize("temperature_c", TEMPERATURES_C)
def test_density_and_viscosity_match_iapws(temperature_c: float) -> None:
    """Density is within 0.02 % and viscosity within 1 % of IAPWS over pool temperatures."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        iapws = pytest.importorskip("iapws", reason="the iapws package is for development")
        state = iapws.IAPWS95(T=temperature_c + 273.15, P=0.101325)
    assert density_kg_m3(temperature_c) == pytest.approx(state.rho, rel=2e-4)
    assert viscosity_pa_s(temperature_c) == pytest.approx(state.mu, rel=1e-2)


@pytest.mark.parametrize("temperature_c", COMPUTED)
def test_properties_match_stored_iapws_values(temperature_c: float) -> None:
    """The same holds for stored values, where the iapws package is not installed."""
    density, viscosity = COMPUTED[temperature_c]
    assert density_kg_m3(temperature_c) == pytest.approx(density, rel=2e-4)
    assert viscosity_pa_s(temperature_c) == pytest.approx(viscosity, rel=1e-2)


def test_sea_water_matches_the_unesco_check_value() -> None:
    """Salt gives 1023.343 kg/m3 at 25 C, 35 g/kg: UNESCO 1981 check value (memory), 0.02 %."""
    assert density_kg_m3(25.0, 35.0) == pytest.approx(1023.343, rel=2e-4)


@pytest.mark.parametrize(
    ("temperature_c", "fits"), [(4.9, False), (5.0, True), (45.0, True), (45.1, False)]
)
def test_range_of_temperature_is_held(temperature_c: float, fits: bool) -> None:
    """Temperatures just inside the range work, just outside raise with the likely slip."""
    if fits:
        assert density_kg_m3(temperature_c) > 980.0
        return
    with pytest.raises(RangeError, match="Fahrenheit"):
        density_kg_m3(temperature_c)
