"""The grid has all of what is sawn out, whatever the shape."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.air.grid import top_grid
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.outline import outline

from ..drums import REED

PLAIN = parse_drum(REED)


def changed(**slots: object) -> Drum:
    return replace(PLAIN, slots=replace(PLAIN.slots, **slots))


SHAPES = {
    "square": PLAIN,
    "round ends": changed(tongue_end="round"),
    "slant ends": changed(tongue_end="slant"),
    "stop holes": changed(stop_hole_mm=9.0),
    "a tongue alone": replace(PLAIN, tongues=PLAIN.tongues[:3]),
    "in a ledge": replace(PLAIN, box=replace(PLAIN.box, mount="in ledge", ledge_mm=9.0)),
}


@pytest.mark.parametrize("name", SHAPES)
def test_all_that_is_sawn_out_is_open_and_nothing_else(name: str) -> None:
    drum = SHAPES[name]
    grid = top_grid(drum)
    assert grid.open_m2.sum() * 1e6 == pytest.approx(outline(drum).removed.area, rel=5e-3)
    assert np.all(grid.open_m2 <= grid.cell_m2 * (1.0 + 1e-9))
    assert not np.any(grid.open_m2[~grid.inside]), "nothing is open over a wall"


def test_a_slot_is_one_cell_across_and_as_narrow_as_the_kerf() -> None:
    grid = top_grid(PLAIN)
    middle = int(np.argmin(abs(grid.middles[1] - PLAIN.slots.side_margin_mm * 1e-3)))
    row = grid.open_m2[:, middle] > 0.0
    assert np.diff(grid.ys)[middle] == pytest.approx(0.003)
    assert np.min(grid.gap_m[row, middle]) == pytest.approx(0.003)


def test_a_finer_grid_is_as_open() -> None:
    assert top_grid(PLAIN, fineness=2.0).open_m2.sum() == pytest.approx(
        top_grid(PLAIN).open_m2.sum(), rel=1e-9
    )
