from __future__ import annotations

import pytest

from kerftone.errors import MoistureError
from kerftone.wood.moisture import dried, emc_pct
from kerftone.wood.species import find_species

CHERRY = find_species("cherry, black").elastic()


@pytest.mark.outside
def test_equilibrium_moisture_is_the_handbooks_own_example() -> None:
    """Wood Handbook ch. 4: at 140 °F and 55 % the equation gives 8.4 %, the table 8.0 % (read)."""
    assert emc_pct(humidity_pct=55.0, temperature_c=60.0) == pytest.approx(8.4, abs=0.05)
    assert abs(emc_pct(humidity_pct=55.0, temperature_c=60.0) - 8.0) > 0.3


@pytest.mark.outside
@pytest.mark.parametrize(("humidity", "moisture"), [(30, 6.2), (50, 9.2), (65, 12.0), (80, 16.0), (90, 20.5)])
def test_equilibrium_moisture_at_room_warmth_is_the_handbooks_table(humidity: float, moisture: float) -> None:
    """Wood Handbook Table 4-2, row 70 °F (21.1 °C), from memory."""
    assert emc_pct(humidity_pct=humidity, temperature_c=21.1) == pytest.approx(moisture, abs=0.15)
    assert emc_pct(humidity_pct=humidity + 5.0, temperature_c=21.1) > moisture + 0.5


def test_dry_wood_is_stiffer_and_lighter_and_comes_back() -> None:
    dry = dried(CHERRY, from_pct=12.0, to_pct=6.0, movement_pct=0.37)
    assert dry.e_l_gpa / CHERRY.e_l_gpa == pytest.approx(1.09)
    assert dry.g_lt_gpa / CHERRY.g_lt_gpa == pytest.approx(1.20)
    assert CHERRY.density_kg_m3 * 0.95 < dry.density_kg_m3 < CHERRY.density_kg_m3
    back = dried(dry, from_pct=6.0, to_pct=12.0, movement_pct=0.37)
    assert back.e_t_gpa == pytest.approx(CHERRY.e_t_gpa)
    assert back.density_kg_m3 == pytest.approx(CHERRY.density_kg_m3, rel=1e-3)


@pytest.mark.refusal
def test_air_beyond_the_equation_is_refused_with_the_nearest_that_works() -> None:
    with pytest.raises(MoistureError, match=r"humidity is 120 %.*write 98"):
        emc_pct(humidity_pct=120.0)
    with pytest.raises(MoistureError, match=r"temperature is 90 °C.*write 60"):
        emc_pct(humidity_pct=50.0, temperature_c=90.0)
    with pytest.raises(MoistureError, match=r"moisture is 30 %.*nearest that works is 22 %"):
        dried(CHERRY, from_pct=12.0, to_pct=30.0, movement_pct=0.37)
