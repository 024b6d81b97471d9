"""Loudness by what is radiated."""

from __future__ import annotations

import numpy as np
import pytest

from kerftone.modal.result import Modes
from kerftone.sound.air import ON_TABLE_SR, Air
from kerftone.sound.decay import radiation_loss
from kerftone.sound.radiated import radiated

MODES = Modes(
    hz=np.array([150.0, 300.0, 600.0]),
    strike=np.array([[4.0, 1.0, 0.5], [1.0, 5.0, 2.0]]),
    sweep=np.ones((2, 3)),
    volume=np.array([0.04, -0.02, 0.01]),
    unknowns=10,
    seconds=0.0,
)
Q = np.array([20000.0, 400.0, 3000.0])
EAR = np.array([0.03, -0.01, 0.02])


def test_each_motion_loses_to_the_air_what_its_q_says() -> None:
    told = radiated(MODES, Q, EAR)
    assert radiation_loss(told.hz, told.volume, Air()) == pytest.approx(1.0 / Q, rel=1e-12)


def test_power_at_a_distance_is_that_of_the_blow() -> None:
    """Far pressure of a small source, over a sphere: strike²/2 · omega/Q watts after a blow of 1 N s."""
    told, air = radiated(MODES, Q, EAR), Air()
    omega = 2.0 * np.pi * told.hz
    speed = told.strike[0]  # of each mode, after 1 N s
    pressure = omega * speed * told.volume * air.pressure_per_volume_acceleration(distance_m=1.0)
    power = 4.0 * np.pi * pressure**2 / 2.0 / (air.density_kg_m3 * air.speed_m_s)
    assert power == pytest.approx(0.5 * speed**2 * omega / Q, rel=1e-9)


def test_whoever_is_struck_the_same_motion_sounds_alike_and_as_at_the_ear() -> None:
    told = radiated(MODES, Q, EAR)
    assert np.all(told.sweep == EAR)
    table = radiated(MODES, Q, EAR, Air(solid_angle_sr=ON_TABLE_SR))
    air, half = Air(), Air(solid_angle_sr=ON_TABLE_SR)
    pressure, same = (
        one.sweep[0] * medium.pressure_per_volume_acceleration(distance_m=1.0)
        for one, medium in ((told, air), (table, half))
    )
    assert same == pytest.approx(pressure), "what the table does is in the volume at the ear already"
    assert list(np.sign(told.volume)) == [1.0, -1.0, 1.0]
