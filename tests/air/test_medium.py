"""The air of a room against handbook values (dry air at sea level, from memory)."""

from __future__ import annotations

import pytest

from kerftone.air.medium import air_at

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("celsius", "density", "speed", "viscosity"),
    [(0.0, 1.2929, 331.3, 1.716e-5), (20.0, 1.2041, 343.2, 1.813e-5), (40.0, 1.1270, 354.7, 1.907e-5)],
)
def test_air_is_what_the_handbooks_say(
    celsius: float, density: float, speed: float, viscosity: float
) -> None:
    air = air_at(celsius)
    assert air.density_kg_m3 == pytest.approx(density, rel=1e-3)
    assert air.speed_m_s == pytest.approx(speed, rel=1e-3)
    assert air.viscosity_pa_s == pytest.approx(viscosity, rel=5e-3)
