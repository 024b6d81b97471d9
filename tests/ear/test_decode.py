"""Samples as the decoders give them."""

from __future__ import annotations

import numpy as np
import pytest

from kerftone.ear.decode import _as_fractions
from kerftone.ear.survey import Levels


@pytest.mark.parametrize(
    "values, expected",
    [
        (np.array([[0, 128, 255]], np.uint8), [-1.0, 0.0, 127 / 128]),
        (np.array([[-32768, 0, 16384]], np.int16), [-1.0, 0.0, 0.5]),
        (np.array([[-(2**31), 2**30, 0]], np.int32), [-1.0, 0.5, 0.0]),
        (np.array([[-1.0, 0.25, 0.5]], np.float64), [-1.0, 0.25, 0.5]),
    ],
)
def test_whole_numbers_become_fractions_of_full_scale(values: np.ndarray, expected: list[float]) -> None:
    assert _as_fractions(values, planar=True, channels=1)[:, 0].tolist() == expected


def test_interleaved_and_planar_channels_come_out_alike() -> None:
    left, right = np.float32([0.1, 0.2, 0.3]), np.float32([-0.1, -0.2, -0.3])
    planar = _as_fractions(np.stack([left, right]), planar=True, channels=2)
    packed = _as_fractions(np.stack([left, right], 1).reshape(1, -1), planar=False, channels=2)
    assert np.array_equal(planar, packed) and np.array_equal(planar[:, 1], right)


def test_the_survey_does_not_depend_on_how_the_blocks_are_cut() -> None:
    sound = np.float32(np.clip(np.random.default_rng(2).standard_normal((9000, 2)) * [0.2, 0.9], -0.8, 0.8))
    whole, pieces = Levels(8000, 2), Levels(8000, 2)
    whole.take(sound)
    for at in range(0, 9000, 777):
        pieces.take(sound[at : at + 777])
    assert np.array_equal(whole.counts, pieces.counts) and np.array_equal(whole.peaks, pieces.peaks)
    assert whole.best() == pieces.best()
