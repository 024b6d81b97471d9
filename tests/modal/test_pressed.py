"""A top held down by clamps: where its springs are, how stiff, and what they do to the notes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import ngsolve as ng
import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.seat import PRESSED_MM, clamped
from kerftone.modal import pressed
from kerftone.modal.band import build
from kerftone.modal.band_columns import PRESSED
from kerftone.modal.joints import joint_slopes
from kerftone.modal.notes import read_notes
from kerftone.modal.plan import Fineness, plan
from kerftone.modal.solve import solve

from ..drums import REED, WREN
from ..solving import solve_once
from .conftest import barred, lipped

MOUNTS: dict[str, tuple[Callable[[Drum], Drum], float]] = {
    "on walls": (lambda drum: drum, 16.0),
    "in ledge": (lambda drum: replace(drum, box=replace(drum.box, mount="in ledge", ledge_mm=6.0)), 6.0),
    "on a lip": (lipped, 6.0),
    "root bars": (lambda drum: barred(drum, wide=12.0, high=30.0), 16.0),
}


@pytest.mark.parametrize("mount", MOUNTS)
@pytest.mark.parametrize("layered", [False, True])
def test_the_springs_are_under_all_that_carries_the_top_and_nothing_is_lost(
    mount: str, layered: bool
) -> None:
    """The area by hand: a frame as wide as the seat, and the root bars between the side walls."""
    make, seat = MOUNTS[mount]
    drum = clamped(make(parse_drum(REED)))
    long, wide = drum.top.length_mm, drum.top.width_mm
    mesh = ng.Mesh(build(drum, plan(drum, Fineness()), layered=layered))
    area = long * wide - (long - 2.0 * seat) * (wide - 2.0 * seat)
    area += 2.0 * drum.box.root_bar_mm * (wide - 2.0 * seat)
    found = 1e9 * ng.Integrate(ng.CF(1.0) * ng.dx(PRESSED), mesh)
    assert found == pytest.approx(area * PRESSED_MM, rel=1e-6)
    glued = replace(drum, box=replace(drum.box, clamped=False))
    whole = ng.Mesh(build(glued, plan(glued, Fineness()), layered=layered))
    assert ng.Integrate(ng.CF(1.0), mesh) == pytest.approx(ng.Integrate(ng.CF(1.0), whole), rel=1e-9)


def test_a_layer_gives_as_its_springs_do() -> None:
    """0.7 MPa on high places of 5 micrometres: 0.07 MPa more presses the faces 0.5 micrometres nearer."""
    strain = 0.5e-3 / PRESSED_MM
    assert pressed.pressed_stiffness()[2, 2] * strain == pytest.approx(0.07e6)


def test_every_note_is_flatter_by_a_fraction_of_what_a_top_off_its_walls_would_be() -> None:
    drum = parse_drum(WREN)
    held = clamped(drum)
    there, here = (read_notes(one, solve_once(one).modes()) for one in (held, drum))
    falls = [1200.0 * np.log2(a.hz / b.hz) for a, b in zip(there, here, strict=True)]
    assert -150.0 < min(falls) < max(falls) < -20.0


@pytest.mark.slow
def test_springs_as_stiff_as_wood_sound_as_glue_and_the_slope_is_that_of_two_solves(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    drum, rough = parse_drum(WREN), pressed.ROUGH_MM
    held = clamped(drum)
    solution = solve_once(held)
    own = [note.mode for note in read_notes(held, solution.modes())]
    said = joint_slopes(solution, own)["clamps"] * np.log(1.1**2)
    values = []
    for by in (1.1, 1.0 / 1.1):
        monkeypatch.setattr(pressed, "ROUGH_MM", rough * by)
        values.append(solve(held).fine_values[own])
    np.testing.assert_allclose(said, 600.0 * np.log2(values[1] / values[0]), rtol=0.02)
    monkeypatch.setattr(
        pressed, "ROUGH_MM", rough / 30.0
    )  # the layer is then of 0.84 GPa, as the wood across it
    stiff, here = (read_notes(one, solve(one).modes()) for one in (held, drum))
    assert all(abs(1200.0 * np.log2(a.hz / b.hz)) < 1.0 for a, b in zip(stiff, here, strict=True))
