"""Wood in air takes up the moisture the handbook says."""

from __future__ import annotations

import pytest

from kerftone.wood.moisture import equilibrium_moisture_pct


@pytest.mark.outside
def test_the_handbooks_worked_value_is_met() -> None:
    # Wood Handbook ch. 4: at 140 F and 55 % the equation gives 8.4 %
    assert equilibrium_moisture_pct((140.0 - 32.0) / 1.8, 55.0) == pytest.approx(8.4, abs=0.05)
    # a table that is 5 points of humidity out is caught
    assert equilibrium_moisture_pct((140.0 - 32.0) / 1.8, 60.0) != pytest.approx(8.4, abs=0.05)


@pytest.mark.outside
@pytest.mark.parametrize("humidity, moisture", [(30.0, 6.2), (50.0, 9.2), (65.0, 12.0)])
def test_at_room_temperature_it_follows_the_handbooks_table(humidity: float, moisture: float) -> None:
    # Wood Handbook Table 4-2, 21.1 C (70 F): from memory
    assert equilibrium_moisture_pct(21.1, humidity) == pytest.approx(moisture, abs=0.15)
