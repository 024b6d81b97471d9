import pytest

from kerftone.sound.air import ON_TABLE_SR, Air


@pytest.mark.outside
def test_air_at_20_degrees_has_its_tabulated_speed_and_density():
    # 343.2 m/s and 1.204 kg/m3: dry air at 20 °C and 101.325 kPa, standard tables (from memory).
    assert Air().speed_m_s == pytest.approx(343.2, rel=1e-3)
    assert Air().density_kg_m3 == pytest.approx(1.204, rel=1e-3)


def test_a_drum_on_a_table_is_twice_as_loud_as_one_in_the_air():
    table = Air(solid_angle_sr=ON_TABLE_SR).pressure_per_volume_acceleration(distance_m=2.0)
    assert table == pytest.approx(2.0 * Air().pressure_per_volume_acceleration(distance_m=2.0))
