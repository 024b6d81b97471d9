"""What a blow shakes elsewhere on the drum, against one oscillator struck by an impulse."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.modal.result import Modes
from kerftone.sound.mallet import HARD_RUBBER, SOFT_RUBBER
from kerftone.sound.shaken import shaken

from ..drums import WREN

TOP = parse_drum(WREN).top


def modes(hz: list[float], strike: list[list[float]]) -> Modes:
    lift = np.array(strike)
    return Modes(hz=np.array(hz), strike=lift, sweep=lift, volume=lift[0], unknowns=0, seconds=0.0)


@pytest.mark.outside
def test_a_heavy_mode_is_shaken_as_by_the_impulse_of_an_elastic_bounce() -> None:
    """Free mass on a heavy slow body: impulse 2 m v; then v' = u J, and the peak acceleration w u J. Textbook."""
    heavy = modes([40.0], [[0.1]])
    found = shaken(heavy, TOP, np.array([[0.3], [-0.6]]), mallet=HARD_RUBBER, speed_m_s=0.5)
    speed = 0.1 * 2.0 * 1e-3 * HARD_RUBBER.mass_g * 0.5
    known = 2.0 * math.pi * 40.0 * 0.3 * speed
    assert found.m_s2[0, 0] == pytest.approx(known, rel=0.06), (
        "a little lost to the wood in the first quarter"
    )
    assert found.m_s2[1, 0] == pytest.approx(2.0 * found.m_s2[0, 0], rel=1e-9)
    assert found.mm[0, 0] == pytest.approx(1e3 * known / (2.0 * math.pi * 40.0) ** 2, rel=0.06)


def test_twice_the_speed_shakes_about_twice_as_hard_and_a_soft_ball_less_at_high_pitch() -> None:
    both = modes([150.0, 900.0], [[2.0, 2.0], [1.0, 3.0]])
    place = np.array([[0.0, 0.5]])
    slow, fast = (shaken(both, TOP, place, mallet=HARD_RUBBER, speed_m_s=v).m_s2 for v in (0.5, 1.0))
    assert fast.shape == (1, 2)
    assert np.all(fast > 1.7 * slow)
    soft = shaken(both, TOP, place, mallet=SOFT_RUBBER, speed_m_s=0.5).m_s2
    assert np.all(soft < 0.7 * slow)
