"""An uneven top on an even mesh against one that is cut as uneven as it is."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import ngsolve as ng
import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.uneven import thickness_mm
from kerftone.modal.mechanics import Graded, board_stiffness
from kerftone.modal.solid import Cells
from kerftone.modal.solve import solve

from ..drums import WREN

DRUM = parse_drum(WREN)
TAPERED = (12.8, 12.2, 12.2, 12.8, 12.6)
"""Thicker at the left, where the low tongue has its root, and a little in the middle."""


def with_top(five: tuple[float, ...]) -> Drum:
    """Wren with a top so measured, 12 mm by its file."""
    return replace(DRUM, top=replace(DRUM.top, thickness_at_mm=five))


def notes_hz(drum: Drum) -> Any:
    """The two lowest modes, each of which is a tongue's."""
    return solve(drum, 4).hz[:2]


def cents(one: Any, other: Any) -> Any:
    """From the other to the one."""
    return 1200.0 * np.log2(one / other)


def test_a_plate_is_stiffer_by_the_third_power_in_bending_and_by_the_first_in_shear() -> None:
    even, thick = (board_stiffness(with_top((mm,) * 5).top, low_mm=0.0) for mm in (12.0, 13.2))
    cells = Cells()
    cells.raise_column("top", [(0, 0, 0), (9, 0, 0), (0, 9, 0)], [(0, 0, 12), (9, 0, 12), (0, 9, 12)])
    mesh = ng.Mesh(cells.mesh())
    found = []
    for one in (even, thick):
        assert isinstance(one, Graded)
        whole = [[one.entry((i, j))(mesh(1e-3, 1e-3, 4e-3)) for j in range(6)] for i in range(6)]
        found.append(1.0 / np.diag(np.linalg.inv(np.array(whole))))
    xx, yy, zz, yz, xz, xy = found[1] / found[0]
    assert (xx, yy, xy) == pytest.approx((1.1**3,) * 3)
    assert (yz, xz) == pytest.approx((1.1,) * 2)
    assert zz > 1.0
    assert found[0][0] == pytest.approx(1e9 * DRUM.top.elastic.e_l_gpa)


@pytest.mark.slow
@pytest.mark.parametrize("five", [(12.6,) * 5, TAPERED])
def test_notes_are_within_cents_of_a_top_cut_as_uneven(
    five: tuple[float, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    plain, here = notes_hz(DRUM), notes_hz(with_top(five))
    meshed = Cells.mesh

    def moved(cells: Cells) -> Any:
        long, wide, thick = DRUM.top.length_mm, DRUM.top.width_mm, DRUM.top.thickness_mm
        cells.points = [
            (x, y, z * thickness_mm(five, x / long, y / wide) / thick if z > 0.0 else z)
            for x, y, z in cells.points
        ]
        return meshed(cells)

    monkeypatch.setattr(Cells, "mesh", moved)
    there = notes_hz(DRUM)
    print(five, "moves", cents(there, plain), "off", cents(here, there))
    assert np.max(np.abs(cents(there, plain))) > 50.0
    assert np.all(np.abs(cents(here, there)) < 5.0)
