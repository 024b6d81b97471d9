"""Laws that a solved drum obeys, whatever it is made of."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerftone.drum.design import Bottom, Drum
from kerftone.errors import KerftoneError, OutlineError
from kerftone.modal import solve as room
from kerftone.modal.notes import enough_modes
from kerftone.modal.plan import Fineness
from kerftone.modal.solve import Solution, materials, modes, solve

OTHER = {"left": "right", "right": "left"}


def cents(hz: Any, from_hz: Any) -> Any:
    return 1200.0 * np.log2(np.asarray(hz) / np.asarray(from_hz))


def seen_from_behind(drum: Drum) -> Drum:
    """Left and right exchanged, grain and all."""
    tongues = tuple(replace(t, side=OTHER[t.side or "left"]) for t in drum.tongues)
    bores = tuple(replace(b, x_mm=drum.top.length_mm - b.x_mm) for b in drum.bores)
    top = replace(drum.top, grain_angle_deg=-drum.top.grain_angle_deg)
    return replace(drum, tongues=tongues, bores=bores, top=top)


@pytest.fixture(scope="module")
def crooked(known: Any) -> Drum:
    """W1 with a tongue alone in its row and the grain 10 degrees aslant."""
    w1 = known["W1"].drum
    return replace(w1, tongues=w1.tongues[:5], top=replace(w1.top, grain_angle_deg=10.0))


@pytest.fixture(scope="module")
def solved(crooked: Drum) -> Solution:
    return solve(crooked, 12)


@pytest.fixture(scope="module")
def afloat(known: Any) -> Solution:
    """W1 with a bottom, held by nothing; at order 2, for what is asked of it holds at any."""
    w1 = known["W1"].drum
    bottom = Bottom(wood=w1.box.wood, elastic=w1.box.elastic, thickness_mm=9.0)
    return solve(
        replace(w1, bottom=bottom, box=replace(w1.box, stands="free")), 12, fineness=Fineness(order=2)
    )


def test_a_drum_and_its_mirror_image_sound_alike(crooked: Drum, solved: Solution) -> None:
    """Their meshes differ, so this also says how much a mesh can matter."""
    mirrored = modes(seen_from_behind(crooked), 12)
    off = cents(mirrored.hz[:8], solved.hz[:8])
    assert abs(off).max() < 2.0, off


@pytest.mark.slow
def test_the_slant_of_the_grain_is_told_from_its_mirror(crooked: Drum, solved: Solution) -> None:
    """The law above must fail when left and right are exchanged but the grain is left as it was."""
    mirrored = seen_from_behind(crooked)
    wrong = replace(mirrored, top=replace(mirrored.top, grain_angle_deg=-mirrored.top.grain_angle_deg))
    assert abs(cents(modes(wrong, 12).hz[:8], solved.hz[:8])).max() > 2.0


def test_a_free_drum_has_no_mode_near_nought(afloat: Solution) -> None:
    assert afloat.hz[0] > 50.0
    assert np.all(np.diff(afloat.hz) >= 0.0)


def test_modes_of_a_free_drum_neither_slide_nor_turn_it(afloat: Solution) -> None:
    """Momentum and spin are the mass inner products with the rigid motions; all must vanish."""
    for move in afloat.space.rigid():
        weighted = afloat.mass(move)
        size = math.sqrt(move @ weighted)
        assert abs(afloat.shapes @ weighted).max() < 1e-6 * size


def test_rigid_motions_of_a_free_drum_strain_nothing(afloat: Solution) -> None:
    """No part of it is loose and no part is held: top, walls and bottom move as one."""
    matrix = afloat.space.stiffness().mat
    into, out = matrix.CreateRowVector(), matrix.CreateColVector()

    def applied(vector: Any) -> Any:
        into.FV().NumPy()[:] = vector
        out.data = matrix * into
        return np.array(out.FV().NumPy())

    bent = abs(applied(afloat.shapes[0])).max() / abs(afloat.shapes[0]).max()
    for move in afloat.space.rigid():
        assert abs(applied(move)).max() / abs(move).max() < 1e-4 * bent


def test_a_free_drum_weighs_what_its_wood_weighs(afloat: Solution, known: Any) -> None:
    slide = afloat.space.rigid()[0]
    drum, top, box = afloat.drum, afloat.drum.top, afloat.drum.box
    drawn = room.outline(drum)
    wood = drawn.top.area * top.thickness_mm * top.elastic.density_kg_m3
    walls = drawn.box_outer.difference(drawn.box_inner).area * box.height_mm
    walls += drawn.box_outer.difference(drawn.board).area * top.thickness_mm
    assert drum.bottom is not None
    floor = drawn.box_outer.area * drum.bottom.thickness_mm * drum.bottom.elastic.density_kg_m3
    expected = (wood + walls * box.elastic.density_kg_m3 + floor) * 1e-9
    assert slide @ afloat.mass(slide) == pytest.approx(expected, rel=1e-9)


def test_a_bottom_has_the_wood_across_it_that_its_cut_says(afloat: Solution) -> None:
    """Across a quartersawn board lies R, across a flatsawn one T."""
    bottom = afloat.drum.bottom
    assert bottom is not None and bottom.elastic.e_r_gpa > 1.2 * bottom.elastic.e_t_gpa
    for cut, across in (("flatsawn", bottom.elastic.e_t_gpa), ("quartersawn", bottom.elastic.e_r_gpa)):
        drum = replace(afloat.drum, bottom=replace(bottom, cut=cut))
        compliance = np.linalg.inv(materials(drum, ()).stiffness["bottom"])
        assert 1e-9 / compliance[1, 1] == pytest.approx(across, rel=1e-6)


def test_shapes_are_mass_normalised_and_orthogonal(solved: Solution) -> None:
    weighted = np.array([solved.mass(shape) for shape in solved.shapes])
    np.testing.assert_allclose(solved.shapes @ weighted.T, np.eye(len(solved.shapes)), atol=1e-6)


def test_a_held_drum_does_not_move_where_it_is_held(solved: Solution) -> None:
    held = solved.space.free() == 0.0
    assert held.any()
    assert not solved.shapes[:, held].any()


@pytest.mark.slow
def test_wood_twice_as_heavy_and_twice_as_stiff_sounds_the_same_and_moves_less(
    crooked: Drum, solved: Solution
) -> None:
    def doubled(elastic: Any) -> Any:
        scaled = {
            name: value * (1.0 if name.startswith("nu_") else 2.0) for name, value in vars(elastic).items()
        }
        return replace(elastic, **scaled)

    heavy = replace(
        crooked,
        top=replace(crooked.top, elastic=doubled(crooked.top.elastic)),
        box=replace(crooked.box, elastic=doubled(crooked.box.elastic)),
    )
    found, light = solve(heavy, 12).modes(), solved.modes()
    np.testing.assert_allclose(found.hz, light.hz, rtol=1e-6)
    np.testing.assert_allclose(abs(found.strike), abs(light.strike) / math.sqrt(2.0), rtol=0, atol=1e-3)


def test_every_tongue_has_two_modes_looked_for_whatever_the_count(crooked: Drum) -> None:
    assert enough_modes(crooked, 4) >= 2 * len(crooked.tongues)
    assert enough_modes(crooked, 40) == 40


def test_the_strike_is_the_vertical_motion_at_the_strike_point(solved: Solution) -> None:
    """Read from the shapes in another way: as the motion of the vertices nearest above it."""
    view = solved.modes(view=True).view
    assert view is not None
    points = room.outline(solved.drum).strike_points
    for row, point in zip(solved.modes().strike, points, strict=True):
        near = np.argsort(np.hypot(*(view.points_mm - point).T))[:6]
        local = np.c_[np.ones(6), view.points_mm[near] - point]
        fitted = np.linalg.lstsq(local, view.lift[near], rcond=None)[0][0]
        np.testing.assert_allclose(fitted, row, atol=0.05 * abs(row).max())


@pytest.mark.refusal
def test_a_drum_that_cannot_be_sawn_is_refused_before_anything_is_solved(known: Any) -> None:
    drum = known["W1"].drum
    tongues = (replace(drum.tongues[0], length_mm=400.0), *drum.tongues[1:])
    with pytest.raises(OutlineError, match="Tongue 1"):
        modes(replace(drum, tongues=tongues))


@pytest.mark.refusal
def test_a_drum_too_large_for_the_memory_is_refused(known: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "MOST_UNKNOWNS", 1000)
    with pytest.raises(KerftoneError, match="stops at 1000") as refused:
        modes(known["W2"].drum)
    assert refused.value.limit == 1000
