"""How fast sound goes in the air of the room, and how a small source loads it.

Dry air as an ideal gas. A vibrating tongue is small against the wavelength of its note (2.3 m at
150 Hz, 0.6 m at 600 Hz), so what it sends out is set by the volume of air it pushes and by nothing
else of its shape: a monopole. Above about 1 kHz that is no longer so, and this overstates it.
SI inside, as `modal/` has it; no wood and no mallet here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FREE_SPACE_SR = 4.0 * math.pi
"""The solid angle into which a drum in free air sounds."""
ON_TABLE_SR = 2.0 * math.pi
"""Half of it: a table reflects the rest."""
# Dry air: specific gas constant, standard reference value (from memory).
GAS_CONSTANT_J_KG_K = 287.05
ZERO_CELSIUS_K = 273.15
"""By definition."""


@dataclass(frozen=True, kw_only=True)
class Air:
    """Which air, and into how much of space the drum sounds.

    solid_angle_sr: 4 pi for a drum in the air, 2 pi for one on a large table or floor, which doubles
    the pressure.
    """

    temperature_c: float = 20.0
    pressure_kpa: float = 101.325
    solid_angle_sr: float = FREE_SPACE_SR

    @property
    def speed_m_s(self) -> float:
        """How fast sound goes: 331.3 sqrt(1 + t / 273.15) m/s, dry air, standard (from memory)."""
        return 331.3 * math.sqrt(1.0 + self.temperature_c / ZERO_CELSIUS_K)

    @property
    def density_kg_m3(self) -> float:
        """How heavy the air is: p / (R T), the ideal gas law."""
        return 1000.0 * self.pressure_kpa / (GAS_CONSTANT_J_KG_K * (ZERO_CELSIUS_K + self.temperature_c))

    def pressure_per_volume_acceleration(self, *, distance_m: float) -> float:
        """How loud one m³/s² of volume acceleration is far away, in pascals: rho / (Omega r).

        From p = j omega rho Q / (4 pi r), the monopole in free space (standard acoustics texts, such as
        Kinsler and Frey), with 4 pi replaced by the solid angle.
        """
        return self.density_kg_m3 / (self.solid_angle_sr * distance_m)
