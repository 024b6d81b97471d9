"""Modes are followed by shape from one way of standing to the other."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.modal.follow import same_modes
from kerftone.modal.solve import Solution, solve

DRUM = """
name = "Finch"
[top]
wood = "cherry, black"
length = 240.0
width = 70.0
thickness = 12.0
[slots]
kerf = 3.0
end_margin = 26.0
side_margin = 20.0
[[tongues]]
note = "D4"
row = 1
side = "left"
length = 110.0
[[tongues]]
note = "A4"
row = 1
side = "right"
length = 68.0
[box]
wood = "ash, white"
wall = 10.0
height = 40.0
"""


@pytest.fixture(scope="module")
def held() -> Solution:
    return solve(parse_drum(DRUM), 8)


@pytest.fixture(scope="module")
def free() -> Solution:
    drum = parse_drum(DRUM)
    return solve(replace(drum, box=replace(drum.box, stands="free")), 8)


def test_a_mode_is_like_itself_whatever_its_number_and_sign(held: Solution) -> None:
    assert same_modes(held, range(8), held) == tuple(range(8))
    turned = replace(held, shapes=-held.shapes[::-1])
    last = len(held.shapes) - 1
    assert same_modes(held, range(8), turned) == tuple(last - number for number in range(8))


def test_each_tongue_is_found_again_when_the_drum_is_let_loose(held: Solution, free: Solution) -> None:
    """The strike on a tongue's tip moves the same tongue's mode most, held or free."""
    own = [int(np.argmax(np.abs(row))) for row in held.modes().strike[:, :6]]
    found = same_modes(held, own, free)
    lift = np.abs(free.modes().strike)
    for tongue, mode in enumerate(found):
        assert mode is not None
        assert int(np.argmax(lift[:, mode])) == tongue


def test_a_motion_without_its_like_is_not_matched(held: Solution) -> None:
    few = replace(held, shapes=held.shapes[3:])
    assert same_modes(held, [0], few) == (None,)


def test_drums_of_different_outline_are_refused(held: Solution) -> None:
    other: Any = replace(held, shapes=held.shapes[:, :-3])
    with pytest.raises(ValueError, match="same outline"):
        same_modes(held, [0], other)
