"""Strikes one by one while the sound still comes."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))

from recordings import taps

from kerftone.ear.live_strikes import follow

RATE = 16000


def test_each_strike_is_told_once_and_soon() -> None:
    run = ((220.0, 0.5), (330.0, 2.0), (220.0, 2.4), (262.0, 9.0), (262.0, 11.5))
    sound = taps(run, rate=RATE, seconds=14.0)
    given = 0

    def blocks() -> Iterator[np.ndarray]:
        nonlocal given
        for at in range(0, len(sound), 1600):
            given = at + 1600
            yield sound[at : at + 1600]

    told = [(one.t_s, one.hz, given / RATE) for one in follow(blocks(), RATE)]
    assert [at for at, _, _ in told] == pytest.approx([at for _, at in run], abs=0.03)
    assert [hz for _, hz, _ in told] == pytest.approx([hz for hz, _ in run], rel=2e-3)
    assert all(when - at < 1.1 for at, _, when in told), "nobody waits longer than a second"


def test_a_still_room_says_nothing() -> None:
    noise = 1e-3 * np.random.default_rng(4).standard_normal(10 * RATE)
    assert list(follow((noise[at : at + 1600] for at in range(0, len(noise), 1600)), RATE)) == []
