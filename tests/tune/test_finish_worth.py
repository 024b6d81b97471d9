"""What a finish does to notes and ringing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.tune.finish_worth import FILM_LOSS, finish_cents, finish_loss
from kerftone.wood.elastic import CONSTANTS

from ..drums import REED, WREN

FINISH = '[finish]\nkind = "{kind}"\ndry_g_m2 = {weight}\nfaces = "{faces}"\n'


def finished(text: str, weight: float, kind: str = "shellac", faces: str = "outside") -> Drum:
    """This drum with so much of a finish on it."""
    return parse_drum(text + FINISH.format(kind=kind, weight=weight, faces=faces))


def denser(drum: Drum, weight: float) -> Drum:
    """The drum of wood that is heavier by so much on one face of each board."""

    def heavier(part, thick_mm):  # type: ignore[no-untyped-def]
        more = part.elastic.density_kg_m3 + weight / thick_mm
        return replace(part, elastic=replace(part.elastic, density_kg_m3=more))

    bottom = None if drum.bottom is None else heavier(drum.bottom, drum.bottom.thickness_mm)
    return replace(
        drum,
        top=heavier(drum.top, drum.top.thickness_mm),
        box=heavier(drum.box, drum.box.wall_mm),
        bottom=bottom,
    )


def only_top() -> dict[str, np.ndarray]:
    """The answers of one note whose motion is all in the top: pitch goes with the root of stiffness over density."""
    row = np.zeros((1, len(CONSTANTS)))
    row[0, CONSTANTS.index("density_kg_m3")] = -600.0 / np.log(2.0)
    return {"top": row, "box": np.zeros_like(row)}


@pytest.mark.outside
@pytest.mark.parametrize(("faces", "count"), [("outside", 1), ("inside too", 2)])
def test_a_coated_bar_falls_as_the_root_of_its_mass(faces: str, count: int) -> None:
    # A bar's pitch goes with one over the root of its mass per length: Rayleigh, Theory of Sound, in any form.
    drum = finished(WREN, 60.0, faces=faces)
    share = count * 60.0 / (drum.top.elastic.density_kg_m3 * drum.top.thickness_mm)
    falls = 1200.0 * np.log2(1.0 / np.sqrt(1.0 + share))
    assert finish_cents(drum, only_top())[0] == pytest.approx(falls, rel=0.02)
    assert -20.0 < falls < -5.0


def test_films_take_less_of_thick_wood_and_oil_is_left_out() -> None:
    thin = finished(WREN.replace("thickness = 12.0", "thickness = 4.0"), 60.0, faces="inside too")
    thick = finished(WREN, 60.0, faces="inside too")
    assert finish_loss(thin) == pytest.approx(3.0 * finish_loss(thick))
    assert finish_loss(thin) == pytest.approx(0.75 * FILM_LOSS)
    assert finish_loss(finished(WREN, 60.0)) == pytest.approx(0.5 * finish_loss(thick))
    assert finish_loss(finished(WREN, 60.0, kind="Danish oil")) == 0.0
    assert finish_loss(finished(WREN, 0.0)) == 0.0


@pytest.mark.slow
def test_the_drum_solved_with_heavier_wood_falls_as_much() -> None:
    from kerftone.modal.notes import weights
    from kerftone.modal.sensitivity import wood_gradients

    from ..solving import solve_once

    drum = finished(REED, 80.0)
    one, other = solve_once(drum, 8), solve_once(denser(drum, 80.0), 8)
    own = [int(number) for number in np.argmax(weights(one.modes()), axis=1)]
    falls = 600.0 * np.log2(other.values[own] / one.values[own])
    assert finish_cents(drum, wood_gradients(one, own)) == pytest.approx(falls, rel=0.03)
    assert np.all(falls < -5.0)
