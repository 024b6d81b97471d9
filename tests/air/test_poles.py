"""A mode of the wood beside the breathing of a box: two coupled oscillators."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kerftone.air.coupled import coupled
from kerftone.air.medium import Medium
from kerftone.air.poles import Pole, poles
from kerftone.air.wood import still

from .test_coupled import AIR, resonator, rigid

HIGHEST = 300.0


def with_a_loose_bottom(hz: float, push: float, medium: Medium = AIR) -> tuple[Pole, ...]:
    """The free motions of the resonator when its bottom can move as a piston inwards, `push` m² kg^-1/2 in all."""
    place = resonator()
    wood = still(place)
    share = place.floor_area / place.floor_area.sum()
    wood = replace(
        wood,
        **{
            name: np.zeros((1, getattr(wood, name).shape[1]))
            for name in ("above", "under", "slots", "panels", "walls")
        },
        floor=push * share[None, :],
    )
    squares = np.array([(2.0 * math.pi * hz) ** 2])
    system = replace(coupled(place, medium, squares, wood, up_to_hz=HIGHEST), friction=False)
    return poles(system, near_hz=hz, up_to_hz=HIGHEST)


@pytest.mark.outside
@pytest.mark.parametrize("apart", [0.9, 1.0, 1.15])
def test_a_mode_near_the_breathing_is_pushed_off_as_two_coupled_oscillators_are(apart: float) -> None:
    """w² = (a + b)/2 -+ sqrt((a - b)²/4 + s²): textbook. s: the cavity's spring, rho c² push / V, on both."""
    place = resonator()
    (alone, *_) = poles(replace(rigid(place), friction=False), near_hz=80.0, up_to_hz=200.0)
    push = 0.005
    stiff = AIR.density_kg_m3 * AIR.speed_m_s**2 / place.room.volume
    air, wood = (2.0 * math.pi * alone.hz) ** 2, (2.0 * math.pi * apart * alone.hz) ** 2
    closed = wood + stiff * push**2
    bound = math.sqrt(air * stiff * push**2)  # the air's own spring is air = stiff / inertance
    split = math.sqrt(0.25 * (air - closed) ** 2 + bound**2)
    known = [math.sqrt(0.5 * (air + closed) + way * split) / (2.0 * math.pi) for way in (-1.0, 1.0)]
    found = with_a_loose_bottom(apart * alone.hz, push)
    assert [pole.hz for pole in found[:2]] == pytest.approx(known, rel=3e-3)
    assert known[1] / known[0] > 1.05, "they are felt"


def test_a_mode_that_pushes_no_air_stays_where_it_is_and_rings_for_ever() -> None:
    found = with_a_loose_bottom(200.0, 0.0)
    pole = min(found, key=lambda one: abs(one.hz - 200.0))
    assert pole.hz == pytest.approx(200.0, rel=1e-9)
    assert pole.q > 1e9
    assert pole.wood == pytest.approx(1.0)


def test_without_air_nothing_moves_it() -> None:
    thin = replace(AIR, density_kg_m3=1e-9)
    pole = min(with_a_loose_bottom(200.0, 0.02, thin), key=lambda one: abs(one.hz - 200.0))
    assert pole.hz == pytest.approx(200.0, rel=1e-6)
