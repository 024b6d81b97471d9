"""What the bottom's coming off does to a tongue that is tuned past a tone of the open box: coupled oscillators."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kerftone.tune.boxes import MIDDLE, MOST_APART_CENTS, apart, brought, pulls

from .coupled_pair import HANGS, TONGUE_HZ, box

FAR = box(3000.0)


def pushed(tongue_hz: float, box_hz: float) -> float:
    """How far the tone of the box pushes the tongue's: in cents, to second order (any text on coupled oscillators).

    Two oscillators a² and b² that hang together by c: a² + c² / (a² - b²).
    """
    square, tone = tongue_hz**2, box_hz**2
    return 600.0 * math.log2(1.0 + HANGS**2 * TONGUE_HZ**2 * tone / (square - tone) / square)


@pytest.mark.parametrize("raised", [-100.0, 0.0, 250.0])
def test_a_tongue_is_pulled_down_below_a_tone_of_the_open_box_and_up_above_it(raised: float) -> None:
    """The tone lies 113 cents above the tongue as it is."""
    box_hz = TONGUE_HZ * 2.0 ** (113.0 / 1200.0)
    (found,) = pulls(FAR, box(box_hz), np.array([raised]))[MIDDLE]
    expected = pushed(TONGUE_HZ * 2.0 ** (raised / 1200.0), box_hz)
    assert found == pytest.approx(expected, abs=1.0 + 0.05 * abs(expected))
    assert abs(expected) > 1.0 and (found < 0.0) == (raised < 113.0)


def test_what_the_finished_drum_sounds_is_the_same_in_every_box() -> None:
    stiffer = FAR.changed(1.3)
    there = stiffer.changed(1.0, brought(stiffer, np.array([80.0])))
    assert 1200.0 * np.log2(there.heard_hz(0) / stiffer.heard_hz(0)) == pytest.approx(80.0, abs=0.1)


def test_far_from_every_tone_all_boxes_pull_alike_and_beside_one_they_do_not() -> None:
    far, beside = (apart(pulls(FAR, box(hz), np.zeros(1))) for hz in (900.0, 310.0))
    assert np.linalg.norm(far) < 0.5 and 5.0 < np.linalg.norm(beside) <= MOST_APART_CENTS + 1e-9
    assert not beside[MIDDLE].any()


def test_what_was_heard_of_the_pull_below_a_tone_says_little_of_it_above() -> None:
    """At one pitch it says all; past the tone, where it is pulled the other way, next to nothing is left of that."""
    glued, opened = FAR, box(TONGUE_HZ * 2.0 ** (60.0 / 1200.0))
    below, near, above = (apart(pulls(glued, opened, np.array([by])))[:, 0] for by in (-60.0, -55.0, 130.0))

    def alike(one: np.ndarray, other: np.ndarray) -> float:
        return float(one @ other / np.linalg.norm(one) / np.linalg.norm(other))

    assert alike(below, near) > 0.95
    assert alike(below, above) < 0.6
