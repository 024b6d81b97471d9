"""A drum on its feet and in a lap: springs under it, and what they take."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kerftone.air.answer import in_air
from kerftone.air.held import CLOTH_PA_M, LEG_MM, Springs, gap_mm, hold_under, legs_mm, springs_under
from kerftone.air.place import BottomState, place_of
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.shop import Feet, On
from kerftone.modal.surface import motions_of

from ..drums import REED, WREN
from ..solving import solve_once

SMALL = replace(parse_drum(WREN), box=replace(parse_drum(WREN).box, stands="free"))


def under(drum: Drum, on: On) -> Springs:
    found = springs_under(drum, on)
    assert found is not None
    return found


def lifts(drum: Drum, points: np.ndarray) -> np.ndarray:
    return motions_of(solve_once(drum)).at(points)[:, :, 2]


def test_four_feet_carry_the_drum_as_four_springs() -> None:
    """A slide upwards by one: its energy is that of the whole mass, and the springs', four times one of them."""
    springs, motions = under(SMALL, "feet"), motions_of(solve_once(SMALL))
    rigid = motions.squares == 0.0
    slide = np.linalg.lstsq(lifts(SMALL, springs.points_mm)[rigid].T, np.ones(4), rcond=None)[0]
    hold = hold_under(motions, "feet")
    stiff = slide @ hold.stiff[np.ix_(rigid, rigid)] @ slide
    foot = 3.0e6 * math.pi * 0.0075**2 / 0.008
    assert stiff == pytest.approx(4.0 * foot, rel=1e-6)
    # Wren is some 320 x 70 x 12 mm of cherry on teak walls: half a kilogram, which would bounce at some 100 Hz
    assert 0.3 < slide @ slide < 0.8
    assert hold.loss == pytest.approx(0.15 * hold.stiff)


@pytest.mark.parametrize("on", ["feet", "lap"])
def test_springs_raise_a_motion_by_what_they_press_and_take_their_share(on: On) -> None:
    """First order (Rayleigh): omega² grows by the springs' work; of that the loss goes (textbook)."""
    free, held = (in_air(solve_once(SMALL), BottomState.OFF, on=one) for one in ("nothing", on))
    hold = hold_under(motions_of(solve_once(SMALL)), on)
    for own, tongue in zip(free.owns, range(len(SMALL.tongues)), strict=True):
        mode = int(np.argmax(free.shares[own]))
        omega2, work = (2.0 * math.pi * free.modes.hz[own]) ** 2, hold.stiff[mode, mode]
        there = held.owns[tongue]
        rise = (2.0 * math.pi * held.modes.hz[there]) ** 2 - omega2
        assert 0.0 < held.holding[there] < 0.02
        if work < 0.003 * omega2:
            assert held.holding[there] == pytest.approx(hold.loss[mode, mode] / omega2, rel=0.4)
            assert rise == pytest.approx(work, rel=0.5, abs=0.002 * omega2)
    assert not free.holding.any()


@pytest.mark.outside
def test_a_mass_on_felt_an_inch_thick_swings_at_no_less_than_twenty_hertz() -> None:
    """The Properties of Felt in the Reduction of Noise and Vibration (J. Acoust. Soc. Am. 1947, its abstract): some
    20 Hz at the least for 1 inch, whatever it carries above 6 psi, 41.4 kPa."""
    foot = Feet(kind="felt", diameter_mm=15.0, height_mm=25.4)
    mass = 41.4e3 * 1e-6 * foot.area_mm2 / 9.81
    assert math.sqrt(1e3 * foot.stiff_n_mm / mass) / (2.0 * math.pi) == pytest.approx(20.0, rel=0.01)


@pytest.mark.outside
def test_a_block_of_cork_gives_as_was_measured() -> None:
    """17.0 +- 1.8 MPa (Procedia Structural Integrity 12, 2018, Table 1): 40 N squeeze 4 cm² 10 mm high by 0.06."""
    side = Feet(kind="cork", diameter_mm=20.0 * math.sqrt(4.0 / math.pi), height_mm=10.0)
    assert 40.0 / side.stiff_n_mm == pytest.approx(0.0588, rel=0.11)


def test_feet_of_felt_hold_less_than_rubber_and_cork_more() -> None:
    each = {
        kind: under(replace(SMALL, box=replace(SMALL.box, feet=Feet(kind=kind))), "feet")
        for kind in ("felt", "rubber", "cork", "wood")
    }
    stiff = [springs.stiff_n_m[0] for springs in each.values()]
    assert stiff == sorted(stiff)
    assert each["felt"].loss > each["cork"].loss > each["wood"].loss


def test_softer_feet_take_less_of_a_note() -> None:
    hard = replace(SMALL, box=replace(SMALL.box, feet=Feet(kind="wood")))
    assert under(hard, "feet").stiff_n_m[0] > 100.0 * under(SMALL, "feet").stiff_n_m[0]
    assert under(hard, "feet").loss < under(SMALL, "feet").loss


def test_a_lap_covers_two_strips_of_a_bottom_or_of_the_walls_edges() -> None:
    drum = parse_drum(REED)
    (a, b), (c, d) = legs_mm(drum)
    assert (b - a, d - c) == (LEG_MM, LEG_MM)
    assert 0.5 * (a + d) == pytest.approx(200.0)
    assert under(drum, "lap").stiff_n_m.sum() == pytest.approx(CLOTH_PA_M * 2.0 * 0.12 * 0.18)
    edges = under(replace(drum, bottom=None), "lap")
    assert edges.stiff_n_m.sum() == pytest.approx(CLOTH_PA_M * 2.0 * 0.12 * 2.0 * 0.016)


def test_what_the_drum_is_on_shuts_the_holes_it_covers_and_puts_the_table_where_it_is() -> None:
    holes = "".join(f'[[sound_holes]]\npart = "bottom"\ndiameter = 20\nalong = {x}\n' for x in (75, 200))
    drum = parse_drum(REED + holes)
    places = {on: place_of(drum, BottomState.GLUED, on=on) for on in ("nothing", "feet", "table", "lap")}
    assert {on: len(place.holes) for on, place in places.items()} == {
        "nothing": 2,
        "feet": 2,
        "table": 0,
        "lap": 1,
    }
    assert gap_mm(drum, "feet") == 8.0
    mirrors = {on: place.shell.mirror_m for on, place in places.items()}
    assert mirrors["nothing"] is None and mirrors["lap"] is None
    assert (mirrors["table"], mirrors["feet"]) == (pytest.approx(-0.098), pytest.approx(-0.106))
