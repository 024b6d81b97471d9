"""Slots that bow in the air: laid straight, and the wood beside them still pushes what it pushes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from kerftone.air.grid import top_grid
from kerftone.air.place import BottomState, place_of
from kerftone.air.wood import _on_bowed, pushed
from kerftone.drum.outline import outline
from kerftone.drum.slot_room import bowed_ys, straightened
from kerftone.modal.surface import motions_of

from ..solving import solve_once
from .conftest import known_case


def bowed_brook() -> Any:
    drum = known_case("Brook, bottom on").drum
    rows = outline(drum).layout.rows
    bows = tuple(4.0 * (-1.0) ** slot for slot in range(rows + 1))
    return replace(drum, slots=replace(drum.slots, bow_mm=bows, tongue_end="curve"))


@pytest.fixture(scope="module")
def volumes() -> dict[str, np.ndarray]:
    solved = solve_once(bowed_brook())
    place = place_of(solved.drum, BottomState.GLUED)
    whole = pushed(motions_of(solved), place)
    names = ("above", "under", "slots", "panels", "floor", "walls")
    return {name: getattr(whole, name).sum(axis=1) for name in names} | {"solver": solved.modes().volume[:7]}


def test_the_outside_pushes_what_the_solver_says_it_does(volumes: Any) -> None:
    found = (volumes["above"] + volumes["panels"])[:7]
    assert found == pytest.approx(volumes["solver"], rel=0.02, abs=3e-4)


def test_wood_keeps_its_volume_in_every_note(volumes: Any) -> None:
    whole = sum(part for name, part in volumes.items() if name != "solver")[:6]
    assert np.all(abs(whole) < 0.05 * abs(volumes["above"][:6]) + 2e-4)


def test_the_air_has_the_openings_of_the_drum_within_two_hundredths() -> None:
    """A slot 4 mm bowed is longer than a straight one by a thousandth; rows are narrower or wider between tips."""
    drum = bowed_brook()
    assert top_grid(drum).open_m2.sum() * 1e6 == pytest.approx(outline(drum).removed.area, rel=0.02)


def test_places_of_the_straightened_top_lie_in_the_wood_of_the_bowed_one() -> None:
    drum = bowed_brook()
    top, straight = outline(drum).top, outline(straightened(drum)).top
    x0, y0, x1, y1 = straight.bounds
    x, y = (g.ravel() for g in np.meshgrid(np.linspace(x0, x1, 61)[1:-1], np.linspace(y0, y1, 41)[1:-1]))
    inside = shapely.contains_xy(straight.buffer(-0.2), x, y)
    found, wider = _on_bowed(drum, np.column_stack([x, y])[inside])
    assert shapely.contains_xy(top, *found.T).all()
    assert wider.min() < 0.9 and wider.max() > 1.05


def test_slots_go_to_slots_and_the_board_s_edges_stay() -> None:
    drum = bowed_brook()
    lines = outline(drum).layout
    x = 0.5 * (lines.root_left_mm + lines.root_right_mm)
    half = 0.5 * drum.slots.kerf_mm
    places = np.array([(x, lines.slot_ys_mm[1] + half), (x, 1.0), (10.0, 50.0)])
    ys, wider = bowed_ys(lines, 12.0, drum.top.width_mm, places)
    assert ys[0] == pytest.approx(lines.slot(1).y_at(x, half), abs=1e-9)
    assert (ys[1], wider[1]) == (1.0, 1.0)
    assert ys[2] == pytest.approx(50.0, abs=0.01)
