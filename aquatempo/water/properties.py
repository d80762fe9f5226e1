"""Density and viscosity of pool water against temperature and salt."""

from __future__ import annotations

from typing import NamedTuple

from aquatempo.units import check_range
from aquatempo.water.tables import read_values

__all__ = ["GRAVITY_M_S2", "Water", "density_kg_m3", "viscosity_pa_s", "water"]

GRAVITY_M_S2 = 9.80665  # standard gravity, exact


class Water(NamedTuple):
    """Water of a pool. density_kg_m3 [kg/m3], viscosity_pa_s [Pa s]."""

    density_kg_m3: float
    viscosity_pa_s: float


def density_kg_m3(temperature_c: float, salinity_g_kg: float = 0.0) -> float:
    """Return the density [kg/m3] of water at normal pressure.

    temperature_c: 5 to 45 degrees Celsius; salinity_g_kg: 0 to 42 g/kg.
    Raises RangeError outside.

    Sources: Kell 1975, J Chem Eng Data 20:97-105, eq. 16 (fresh water); Millero and
    Poisson 1981, Deep-Sea Res 28A:625-629 (salt). Both typed from memory and tested
    against an implementation of IAPWS-95.

    >>> round(density_kg_m3(28.0), 2)
    996.23
    """
    t, salt = _checked(temperature_c, salinity_g_kg)
    values = read_values("water-properties")
    kell = values["kell-1975"]
    fresh = _polynomial(kell["numerator"], t) / (1 + kell["denominator"] * t)
    sea = values["millero-poisson-1981"]
    added = (
        _polynomial(sea["a"], t) * salt + _polynomial(sea["b"], t) * salt**1.5 + sea["c"] * salt**2
    )
    return float(fresh + added)


def viscosity_pa_s(temperature_c: float, salinity_g_kg: float = 0.0) -> float:
    """Return the dynamic viscosity [Pa s] of water at normal pressure.

    temperature_c [degrees C], salinity_g_kg [g/kg].
    Ranges as for density. Sources: IAPWS 2008 release on viscosity, simplified
    equation at 0.1 MPa; Sharqawy et al. 2010, Desalin Water Treat 16:354-380 (salt).

    >>> round(viscosity_pa_s(28.0) * 1e3, 3)
    0.832
    """
    t, salt = _checked(temperature_c, salinity_g_kg)
    values = read_values("water-properties")
    fresh = values["iapws-2008"]
    reduced = (t + 273.15) / 300.0
    pure = 1e-6 * sum(
        factor * reduced**power
        for factor, power in zip(fresh["factor"], fresh["power"], strict=True)
    )
    sea = values["sharqawy-2010"]
    s = salt / 1000.0
    return float(pure * (1 + _polynomial(sea["a"], t) * s + _polynomial(sea["b"], t) * s**2))


def water(temperature_c: float, salinity_g_kg: float = 0.0) -> Water:
    """Return density and viscosity together; ranges as for density.

    temperature_c [degrees C], salinity_g_kg [g/kg]: of the pool.
    """
    return Water(
        density_kg_m3(temperature_c, salinity_g_kg), viscosity_pa_s(temperature_c, salinity_g_kg)
    )


def _checked(temperature_c: float, salinity_g_kg: float) -> tuple[float, float]:
    values = read_values("water-properties")
    low, high = values["pool"]["valid_c"]
    check_range("water temperature", temperature_c, "C", low, high, "degrees Fahrenheit?")
    least, most = values["millero-poisson-1981"]["valid_g_kg"]
    check_range("salinity", salinity_g_kg, "g/kg", least, most, "sea water has 35 g/kg")
    return temperature_c, salinity_g_kg


def _polynomial(coefficients: list[float], x: float) -> float:
    return sum(c * x**power for power, c in enumerate(coefficients))
