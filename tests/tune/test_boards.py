from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.tune.boards import drawn_boards
from kerftone.wood.species import ELASTIC_NAMES

from ..drums import REED, WREN


@pytest.fixture(scope="module")
def reed() -> Drum:
    return parse_drum(REED)


def logarithms(drum: Drum, part: str, count: int = 256) -> tuple[np.ndarray, np.ndarray]:
    boards = drawn_boards(drum, count)
    return (
        np.log([board.stiffness[part] for board in boards]),
        np.log([board.density[part] for board in boards]),
    )


@pytest.mark.outside
@pytest.mark.parametrize("part", ["top", "box", "bottom"])
def test_boards_scatter_as_the_wood_handbook_says(reed: Drum, part: str) -> None:
    """Wood Handbook (FPL-GTR-282), table 5-6: coefficients of variation of 22 % in stiffness, 10 % in density."""
    stiffness, density = logarithms(reed, part)
    assert abs(np.median(stiffness)) < 0.02 and abs(np.median(density)) < 0.01
    assert stiffness.std() == pytest.approx(0.22, rel=0.05)
    assert density.std() == pytest.approx(0.10, rel=0.05)


def test_denser_boards_are_stiffer_but_not_only_those(reed: Drum) -> None:
    stiffness, density = logarithms(reed, "top")
    assert 0.15 < np.corrcoef(stiffness, density)[0, 1] < 0.6


def test_top_box_and_bottom_are_boards_of_their_own(reed: Drum) -> None:
    top, box = logarithms(reed, "top")[0], logarithms(reed, "box")[0]
    assert abs(np.corrcoef(top, box)[0, 1]) < 0.1


def test_the_same_drum_has_the_same_boards_every_time(reed: Drum) -> None:
    assert drawn_boards(reed, 4) == drawn_boards(replace(reed, name="Other"), 4)


def test_a_drum_without_a_bottom_draws_none_for_it() -> None:
    for board in drawn_boards(parse_drum(WREN), 2):
        assert set(board.stiffness) == set(board.density) == {"top", "box"}


def test_no_boards_are_no_boards(reed: Drum) -> None:
    assert drawn_boards(reed, 0) == []


def test_a_board_that_was_tapped_is_nearly_the_one_drawn(reed: Drum) -> None:
    certain = tuple(tuple(1e-6 * float(a == b) for b in ELASTIC_NAMES) for a in ELASTIC_NAMES)
    scatter = replace(reed.top.scatter, measured=certain)
    tapped = replace(reed, top=replace(reed.top, scatter=scatter))
    stiffness, density = logarithms(tapped, "top", 16)
    assert abs(stiffness).max() < 0.01 and abs(density).max() < 0.01
    assert abs(logarithms(tapped, "box", 16)[0]).max() > 0.2
