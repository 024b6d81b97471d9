"""Motions of the wood at given places."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from kerftone.modal.surface import motions_of, rigid_motions

from ..air.conftest import known_case


@pytest.fixture(scope="module")
def brook() -> Any:
    return known_case("Brook, bottom on").solved()


def test_a_strike_point_moves_as_the_modes_say(brook: Any) -> None:
    from kerftone.drum.outline import outline

    motions = motions_of(brook)
    points = np.array(
        [(x, y, brook.drum.top.thickness_mm - 0.01) for x, y in outline(brook.drum).strike_points]
    )
    lifts = motions.at(points)[:, :, 2].T
    assert lifts == pytest.approx(motions.strike, rel=1e-3, abs=1e-4)


def test_rigid_motions_are_of_unit_mass_and_have_no_frequency(brook: Any) -> None:
    rigid = rigid_motions(brook)
    gram = rigid @ brook.mass(rigid).T
    assert gram == pytest.approx(np.eye(6), abs=1e-9)
    assert np.all(motions_of(brook).squares[-6:] == 0.0)


def test_a_slide_moves_every_place_alike(brook: Any) -> None:
    moved = motions_of(brook).at(np.array([[20.0, 30.0, 8.0], [300.0, 100.0, 15.9]]))[-6]
    assert moved[0] == pytest.approx(moved[1], rel=1e-9)
    assert np.linalg.norm(moved[0]) > 0.1


def test_a_drum_held_in_a_vice_has_no_rigid_motion() -> None:
    held: Any = SimpleNamespace(shift=0.0, space=SimpleNamespace(unknowns=7))
    assert rigid_motions(held).shape == (0, 7)


def test_a_place_a_hair_outside_the_wood_moves_as_the_wood_beside_it_does(brook: Any) -> None:
    motions = motions_of(brook)
    top = brook.drum.top
    outside = np.array([[-0.03, 60.0, 8.0], [200.0, 60.0, top.thickness_mm + 0.02], [200.0, 60.0, 8.0]])
    faces = np.array([[0.0, 60.0, 8.0], [200.0, 60.0, top.thickness_mm], [200.0, 60.0, 8.0]])
    inside = np.add(faces, [0.01, 0.0, -0.01])
    found, beside = motions.at(outside), motions.at(inside)
    assert found == pytest.approx(beside, abs=2e-3 * np.abs(beside).max())
