"""How far notes fall when a joint gives: against full solves whose joint has a layer of softer wood."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.seat import drop_mm, over_mm
from kerftone.modal import joints
from kerftone.modal import solve as solving
from kerftone.modal.joints import Face, joint_faces, joint_slopes
from kerftone.modal.notes import weights
from kerftone.modal.solid import Cells
from kerftone.modal.space import Parts

from ..drums import REED, WREN
from ..solving import solve_once
from .conftest import barred, lipped

SOFT = ", soft"
GIVES_MM = 0.5


def own_modes(solution: Any) -> list[int]:
    return [int(n) for n in np.argmax(weights(solution.modes()), axis=1)]


def with_soft_layer(monkeypatch: pytest.MonkeyPatch, low: float, high: float, factor: float) -> None:
    """Walls and rim between two heights, in mm, are of wood so many times as stiff from now on."""
    raise_column, materials = Cells.raise_column, solving.materials

    def column(cells: Cells, material: str, below: list[Any], above: list[Any]) -> None:
        middle = float(np.mean([point[2] for point in (*below, *above)]))
        soft = material.startswith(("wall", "rim")) and low < middle < high
        raise_column(cells, material + SOFT if soft else material, below, above)

    def softer(drum: Drum, regions: tuple[str, ...]) -> Parts:
        parts = materials(drum, regions)
        return Parts(
            parts.stiffness | {name + SOFT: factor * c for name, c in parts.stiffness.items()},
            parts.density | {name + SOFT: rho for name, rho in parts.density.items()},
        )

    monkeypatch.setattr(Cells, "raise_column", column)
    monkeypatch.setattr(solving, "materials", softer)


def test_notes_fall_as_far_as_with_a_layer_of_softer_wood_in_the_solid(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Wren on its walls: 12 mm of top over the first 12.5 mm of wall, all of it softer as if 0.5 mm thicker.

    The strains are read in that very layer, so that the two say the same but for the second order.
    """
    drum = parse_drum(WREN)
    plain = solve_once(drum)
    high, low = drum.top.thickness_mm, -12.5
    thick = high - low
    wide = {"top": (Face((0.0, over_mm(drum)), (0.0, 0.0), (-low, high)),)}
    monkeypatch.setattr(joints, "joint_faces", lambda drum: wide)
    own = own_modes(plain)
    said = joint_slopes(plain, own)["top"] * GIVES_MM
    with_soft_layer(monkeypatch, low, high, thick / (thick + GIVES_MM))
    softer = solving.solve(drum)
    true = -600.0 * np.log2(softer.fine_values[own] / plain.fine_values[own])
    assert true.min() > 2.5
    np.testing.assert_allclose(said, true, rtol=0.06)


CASES: dict[str, Callable[[Drum], Drum]] = {
    "on walls": lambda drum: drum,
    "in ledge": lambda drum: replace(
        drum, box=replace(drum.box, mount="in ledge", ledge_mm=6.0, glued="ledge and edges")
    ),
    "on a ledge alone": lambda drum: replace(
        drum, box=replace(drum.box, mount="in ledge", ledge_mm=6.0, glued="ledge", clearance_mm=0.5)
    ),
    "on a lip": lipped,
    "root bars": lambda drum: barred(drum, wide=12.0, high=30.0),
}


@pytest.mark.parametrize("mount", CASES)
def test_the_places_of_a_joint_fill_its_layer_and_lie_in_its_wood(mount: str) -> None:
    """The volume of the layer by hand; all of its places inside the drum, none beyond the walls' outer faces."""
    drum = CASES[mount](parse_drum(REED))
    over, drop = over_mm(drum), drop_mm(drum)
    long, wide = drum.top.length_mm - 2.0 * over, drum.top.width_mm - 2.0 * over
    faces = joint_faces(drum)
    (first, *others), (below,) = faces["top"], faces["bottom"]
    places, volumes = joints._layer(drum, first)
    # Front and back run to the corners, left and right between them.
    round_it = 2.0 * (long + 2.0 * over + wide)
    assert 1e9 * volumes.sum() == pytest.approx(round_it * over * sum(first.reach))
    beyond = drum.box.wall_mm - over
    assert places[:, 0].min() > -beyond and places[:, 0].max() < drum.top.length_mm + beyond
    assert abs(places[:, 2] - drop).max() < joints.REACH_MM
    floor = drop - drum.box.height_mm
    assert abs(joints._layer(drum, below)[0][:, 2] - floor).max() < joints.REACH_MM
    assert bool(others) == (mount in ("in ledge", "root bars"))
    for face in others:
        _, volumes = joints._layer(drum, face)
        span = drum.top.thickness_mm if face.out[0] == face.out[1] else face.out[1] - face.out[0]
        run = 2.0 * wide if face.ends else 2.0 * (long + 2.0 * over + wide)
        assert 1e9 * volumes.sum() == pytest.approx(run * span * sum(face.reach))
