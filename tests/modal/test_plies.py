"""A board of plies in one layer of elements, against the same with its plies meshed."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import ngsolve as ng
import numpy as np
import pytest
from tests.drums import WREN

from kerftone.drum.file import parse_drum
from kerftone.modal.mechanics import GPA, Graded, board_stiffness
from kerftone.modal.solid import Cells
from kerftone.modal.solve import materials
from kerftone.modal.space import Parts, Space
from kerftone.wood.laminate import Ply, graded, layers

THICK, LONG, WIDE = 12.0, 60.0, 25.0
DRUM = parse_drum(
    WREN.replace(
        'wood = "cherry, black"',
        'wood = "birch, yellow"\n'
        'plies = [[2.4, "along"], [2.4, "across"], [2.4, 30], [2.4, "across"], [2.4, "along"]]',
    )
)


def block(levels: list[float], *, parted: bool, bricks: bool = False) -> ng.Mesh:
    """A plain block in layers, each of its own material if it is parted."""
    cells = Cells()
    corners = [(0.0, 0.0), (LONG, 0.0), (LONG, WIDE), (0.0, WIDE)]
    for at, (low, high) in enumerate(pairwise(levels)):
        name = f"ply {at}" if parted else "board"
        for chosen in [(0, 1, 2, 3)] if bricks else [(0, 1, 2), (0, 2, 3)]:
            places = [corners[k] for k in chosen]
            cells.raise_column(name, [(*p, low) for p in places], [(*p, high) for p in places])
    return ng.Mesh(cells.mesh())


def energies(space: Space) -> np.ndarray:
    """What some bent, stretched and sheared shapes of order 3 store, each with each."""
    x, y, z = 1e3 * ng.x / LONG, 1e3 * ng.y / WIDE, 1e3 * ng.z / THICK
    shapes = [
        (x * z, 0, 0),
        (0, y * z, x * x),
        (x, x * y, z * z),
        (z**3, x * z * z, 0),
        (y * z, x * z, x * y),
    ]
    fields = []
    for shape in shapes:
        parts = []
        for value in shape:
            field = ng.GridFunction(space.scalar)
            field.Set(ng.CF(value))
            parts.append(np.array(field.vec.FV().NumPy()))
        fields.append(np.concatenate(parts))
    rows = np.array(fields)
    return np.asarray(rows @ space.blocks().times(rows).T)


@pytest.mark.parametrize("bricks", [False, True])
def test_one_layer_of_elements_stores_what_plies_meshed_store(bricks: bool) -> None:
    found = graded(layers(DRUM.top.plies, "flatsawn"))
    levels = [0.0, *(THICK * layer.high for layer in found[:-1]), THICK]
    own = {f"ply {at}": GPA * layer.stiffness for at, layer in enumerate(found)}
    meshed = Space(
        block(levels, parted=True, bricks=bricks), Parts(own, dict.fromkeys(own, 600.0)), order=3, held=None
    )
    board = board_stiffness(DRUM.top, low_mm=0.0)
    assert isinstance(board, Graded)
    one = Space(
        block([0.0, THICK], parted=False, bricks=bricks),
        Parts({"board": board}, {"board": 600.0}),
        order=3,
        held=None,
    )
    wanted = energies(meshed)
    assert energies(one) == pytest.approx(wanted, abs=1e-9 * np.abs(wanted).max())
    # Parted where a bored top is, and not at a ply, the polynomial must still do: see DEGREE.
    two = Space(
        block([0.0, 0.3 * THICK, THICK], parted=False, bricks=bricks),
        Parts({"board": board}, {"board": 600.0}),
        order=3,
        held=None,
    )
    assert energies(two) == pytest.approx(wanted, abs=1e-9 * np.abs(wanted).max())


def test_a_single_ply_is_solid_wood() -> None:
    one = Ply(wood="cherry", elastic=DRUM.top.plies[0].elastic, thickness_mm=THICK)
    found = []
    for top in (
        replace(DRUM.top, plies=(one,), elastic=one.elastic),
        replace(DRUM.top, plies=(), elastic=one.elastic),
    ):
        parts = {"board": board_stiffness(top, low_mm=0.0)}
        found.append(
            energies(
                Space(block([0.0, THICK], parted=False), Parts(parts, {"board": 1.0}), order=3, held=None)
            )
        )
    assert found[0] == pytest.approx(found[1], abs=1e-9 * np.abs(found[1]).max())


def test_at_a_face_the_stiffness_is_that_of_its_ply() -> None:
    board = board_stiffness(DRUM.top, low_mm=0.0)
    assert isinstance(board, Graded)
    space = Space(
        block([0.0, THICK], parted=False), Parts({"board": board}, {"board": 1.0}), order=2, held=None
    )
    for z, share in ((0.01, 0.0), (0.3 * THICK, 0.3), (0.5 * THICK, 0.5), (THICK - 0.01, 1.0)):
        assert np.array(space.c(space.mesh(1e-3 * 7.0, 1e-3 * 5.0, 1e-3 * z))) == pytest.approx(
            board.at(share).ravel()
        )


def test_a_bottom_of_plies_lies_where_the_bottom_is() -> None:
    bottom = '[bottom]\nwood = "teak"\nthickness = 6.0\nplies = [[2, "along"], [2, "across"], [2, "along"]]\n'
    for fit, low_mm in (("", -46.0), ('fit = "on a lip"\nlip = 5.0\nlip_thickness = 3.0\n', -43.0)):
        drum = parse_drum(WREN + bottom + fit)
        part = materials(drum, ("frame",)).stiffness["bottom"]
        assert isinstance(part, Graded)
        assert (part.low_m, part.high_m) == pytest.approx((1e-3 * low_mm, 1e-3 * (low_mm + 6.0)))
