"""Which air: how fast sound goes in it, how heavy it is, how much it rubs.

Dry air as an ideal gas at the pressure of sea level. SI.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

ZERO_CELSIUS_K = 273.15
"""0 °C, by definition."""
GAS_CONSTANT_J_KG_K = 287.05
"""Specific gas constant of dry air, standard reference value (from memory)."""
PRESSURE_PA = 101325.0
"""Standard atmosphere, by definition."""


@dataclass(frozen=True, kw_only=True)
class Medium:
    """The air as the model needs it: density, speed of sound, viscosity."""

    density_kg_m3: float
    speed_m_s: float
    viscosity_pa_s: float
    temperature_c: float = 20.0


def air_at(temperature_c: float = 20.0, *, pressure_pa: float = PRESSURE_PA) -> Medium:
    """The air of a room at this temperature.

    Speed 331.3 sqrt(1 + t / 273.15) m/s (standard, from memory); density p / (R T); viscosity by Sutherland's law,
    1.716e-5 Pa s at 0 °C with the constant 110.4 K (from memory). Held by tests/air/test_medium.py.
    """
    kelvin = ZERO_CELSIUS_K + temperature_c
    warm = kelvin / ZERO_CELSIUS_K
    return Medium(
        density_kg_m3=pressure_pa / (GAS_CONSTANT_J_KG_K * kelvin),
        speed_m_s=331.3 * math.sqrt(warm),
        viscosity_pa_s=1.716e-5 * warm**1.5 * (ZERO_CELSIUS_K + 110.4) / (kelvin + 110.4),
        temperature_c=temperature_c,
    )
