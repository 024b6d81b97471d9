"""The closed cavity against sums over all its modes and the textbook's stepped duct."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from kerftone.air.cavity import LOW_Y, Room, low_modes, near_field

ROOM = Room(origin=(0.0, 0.0), length=0.4, width=0.17, height=0.1)
XS, YS = np.array([0.0, 0.06, 0.11, 0.4]), np.array([0.0, 0.05, 0.09, 0.17])


def summed(first: tuple[int, int], second: tuple[int, int], k: float, *, below: bool) -> float:
    """Mean over two cells of the field of one at the other by all modes of a closed box, one by one: textbook."""
    counts = (150, 120, 600)
    means = []
    for axis, (lines, length) in enumerate(((XS, ROOM.length), (YS, ROOM.width))):
        order = np.arange(1, counts[axis])[:, None] * math.pi / length
        mean = (np.sin(order * lines[1:]) - np.sin(order * lines[:-1])) / (order * np.diff(lines))
        means.append(np.concatenate([np.ones((1, len(lines) - 1)), mean]))
    m, n, o = (np.arange(count) for count in counts)
    square = (
        (m[:, None, None] * math.pi / ROOM.length) ** 2
        + (n[None, :, None] * math.pi / ROOM.width) ** 2
        + (o[None, None, :] * math.pi / ROOM.height) ** 2
    )
    halves = [np.where(part == 0, 1.0, 0.5) for part in (m, n, o)]
    norm = ROOM.volume * halves[0][:, None, None] * halves[1][None, :, None] * halves[2][None, None, :]
    way = np.where(o % 2, -1.0, 1.0) if below else np.ones(len(o))
    weight = (way[None, None, :] / (norm * (square - k**2))).sum(axis=2)
    along = means[0][:, first[0]] * means[0][:, second[0]]
    across = means[1][:, first[1]] * means[1][:, second[1]]
    return float(along @ weight @ across)


@pytest.mark.outside
@pytest.mark.parametrize(("first", "second"), [((0, 0), (0, 0)), ((0, 1), (2, 2)), ((1, 1), (1, 2))])
def test_cells_of_the_top_press_on_each_other_as_all_modes_together_say(
    first: tuple[int, int], second: tuple[int, int]
) -> None:
    k = 2.0 * math.pi * 250.0 / 343.0
    low = low_modes(ROOM)
    here, there = (low.over(XS, YS)[:, i, j] for i, j in (first, second))
    value, slope = (part[(*first, *second)] for part in near_field(ROOM, XS, YS))
    flat, _ = low.beyond(k**2)
    found = value + k**2 * slope + (here * (low.uniform(k**2) + flat)) @ there
    assert found.real == pytest.approx(summed(first, second, k, below=False), rel=4e-3)


@pytest.mark.outside
def test_the_bottom_presses_on_the_top_as_all_modes_together_say() -> None:
    k = 2.0 * math.pi * 250.0 / 343.0
    low = low_modes(ROOM)
    here, there = (low.over(XS, YS)[:, i, j] for i, j in ((0, 0), (1, 2)))
    _, through = low.beyond(k**2)
    found = (here * (low.uniform(k**2) + through)) @ there
    assert found.real == pytest.approx(summed((0, 0), (1, 2), k, below=True), rel=4e-3)


@pytest.mark.outside
def test_closed_cavity_modes_are_those_of_the_textbook() -> None:
    """f = (c/2) sqrt((m/L)² + (n/W)²), Kinsler and Frey."""
    hz = np.sort(np.sqrt(low_modes(ROOM).waves)) * 343.0 / (2.0 * math.pi)
    known = sorted(171.5 * math.hypot(m / 0.4, n / 0.17) for m in range(9) for n in range(LOW_Y))
    assert hz[1:8] == pytest.approx(known[1:8], rel=1e-9)


@pytest.mark.outside
def test_root_bars_lower_the_first_mode_along_as_a_stepped_duct() -> None:
    """Closed at both ends, shallow for `reach` there: h tan(k reach) = H cot(k (L/2 - reach)). Textbook duct."""
    reach, hang = 0.03, 0.05
    barred = Room(origin=(0.0, 0.0), length=0.4, width=0.17, height=0.1, bars=(reach, hang))
    shallow = barred.height - hang
    k = brentq(
        lambda k: shallow * math.tan(k * reach) - barred.height / math.tan(k * (0.2 - reach)), 1.0, 9.2
    )
    first = math.sqrt(np.sort(low_modes(barred).waves)[1])
    assert first == pytest.approx(k, rel=2e-3)
    assert first > 1.02 * math.pi / 0.4, "the bars are felt"
