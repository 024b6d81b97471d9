from dataclasses import replace

import numpy as np
import pytest

from kerftone.sound.air import ON_TABLE_SR, Air
from kerftone.sound.decay import poles, radiation_loss, t60_s, wood_loss


@pytest.mark.outside
def test_dry_cherry_loses_as_much_as_the_handbook_says_of_dry_wood(cherry_top):
    # Wood Handbook ch. 5: logarithmic decrement from about 0.02 (dry) to 0.1 (hot and moist); from memory.
    decrement = np.pi * wood_loss(np.array([150.0, 600.0]), cherry_top)
    assert np.all(decrement > 0.02)
    assert np.all(decrement < 0.04)


@pytest.mark.outside
def test_stiff_light_wood_rings_longer_as_spruce_does(cherry_top):
    # Loss factors of resonance spruce (E_L/rho near 30) and of medium hardwoods (near 20): about 0.006 and
    # 0.008, usual textbook figures (from memory).
    spruce = replace(cherry_top.elastic, e_l_gpa=13.0, density_kg_m3=430.0)
    low = np.array([100.0])
    assert wood_loss(low, replace(cherry_top, elastic=spruce))[0] == pytest.approx(0.006, rel=0.1)
    assert wood_loss(low, cherry_top)[0] == pytest.approx(0.008, rel=0.1)


def test_the_loss_rises_with_pitch_and_with_thickness_but_stays_under_that_of_pure_shear(cherry_top):
    loss = wood_loss(np.geomspace(50.0, 20000.0, 40), cherry_top)
    assert np.all(np.diff(loss) > 0.0)
    assert loss[-1] < 0.02
    thin = wood_loss(np.array([1000.0]), replace(cherry_top, thickness_mm=6.0))
    assert thin[0] < wood_loss(np.array([1000.0]), cherry_top)[0]


def test_the_radiated_loss_is_the_power_that_crosses_a_far_sphere():
    # From the far pressure, p = (rho / Omega r) dQ/dt, over a sphere and a cycle, against the mode's energy.
    hz, volume, air, distance_m = 220.0, 0.02, Air(), 50.0
    t = np.linspace(0.0, 1.0 / hz, 400, endpoint=False)
    omega = 2.0 * np.pi * hz
    mode_speed = np.cos(omega * t)
    volume_acceleration = -volume * omega * np.sin(omega * t)
    pressure = air.pressure_per_volume_acceleration(distance_m=distance_m) * volume_acceleration
    watts = np.mean(pressure**2) / (air.density_kg_m3 * air.speed_m_s) * 4.0 * np.pi * distance_m**2
    joules = 0.5 * np.max(mode_speed) ** 2
    assert radiation_loss(np.array([hz]), np.array([volume]), air)[0] == pytest.approx(
        watts / (omega * joules), rel=1e-6
    )


def test_a_table_under_the_drum_doubles_what_it_sends_out():
    hz, volume = np.array([200.0]), np.array([0.02])
    table = radiation_loss(hz, volume, Air(solid_angle_sr=ON_TABLE_SR))
    assert table == pytest.approx(2.0 * radiation_loss(hz, volume, Air()))


def test_after_its_t60_a_mode_has_a_thousandth_of_its_size():
    hz, loss = np.array([148.0, 1000.0]), np.array([0.008, 0.02])
    left = np.abs(np.exp(poles(hz, loss) * t60_s(hz, loss)))
    assert left == pytest.approx(np.array([1e-3, 1e-3]), rel=1e-9)


def test_the_loss_factor_is_the_energy_lost_in_a_cycle_over_two_pi():
    pole = poles(np.array([300.0]), np.array([0.006]))[0]
    cycle_s = 2.0 * np.pi / pole.imag
    lost = 1.0 - np.abs(np.exp(pole * cycle_s)) ** 2
    assert lost / (2.0 * np.pi) == pytest.approx(0.006, rel=0.03)
