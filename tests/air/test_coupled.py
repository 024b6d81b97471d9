"""Rigid boxes with openings, and one mode of wood beside them, against the textbook."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from kerftone.air.cavity import Room
from kerftone.air.coupled import Coupled, coupled, slit_factor
from kerftone.air.grid import Grid, _openings
from kerftone.air.medium import Medium, air_at
from kerftone.air.place import BottomState, Place
from kerftone.air.poles import poles
from kerftone.air.shell import Brick, shell_of
from kerftone.air.wood import still

AIR = air_at()
RADIUS, DEEP, SIDE, HIGH = 0.008, 0.01, 0.3, 0.1


def resonator(radius: float = RADIUS) -> Place:
    """A box with thick walls and a round hole in the middle of its top."""
    wall, cells = 0.02, 12
    fine = np.linspace(SIDE / 2 - radius, SIDE / 2 + radius, cells + 1)
    lines = np.concatenate([[0.0, wall], np.linspace(wall, fine[0], 8)[1:-1], fine])
    lines = np.concatenate([lines, (SIDE - lines[: len(lines) - len(fine)])[::-1]])
    hole = shapely.Point(0.5e3 * SIDE, 0.5e3 * SIDE).buffer(1e3 * radius, quad_segs=64)
    open_mm2, _ = _openings(hole, lines * 1e3, lines * 1e3)
    within = (lines[:-1] > wall - 1e-9) & (lines[1:] < SIDE - wall + 1e-9)
    grid = Grid(
        xs=lines,
        ys=lines,
        inside=np.outer(within, within),
        open_m2=open_mm2 * 1e-6,
        gap_m=np.where(open_mm2 > 0.0, 2.0 * radius, np.inf),
    )
    return Place(
        grid=grid,
        shell=shell_of(Brick(low=(0.0, 0.0, -HIGH - 0.01), high=(SIDE, SIDE, DEEP))),
        room=Room(origin=(wall, wall), length=SIDE - 2 * wall, width=SIDE - 2 * wall, height=HIGH),
        state=BottomState.GLUED,
        plate_m=0.01,
    )


def rigid(place: Place, medium: Medium = AIR) -> Coupled:
    return coupled(place, medium, np.zeros(0), still(place), up_to_hz=200.0)


@pytest.mark.outside
def test_a_box_with_a_round_neck_is_the_helmholtz_resonator_of_the_textbook() -> None:
    """f = (c / 2 pi) sqrt(A / (V L')), L' = L + 1.7 r with both ends in wide walls (Kinsler and Frey): to 2.5 %.

    Less roughly: each end 0.8217 r (Nomura, King; from memory), the inner one in a wall R wide less by 1.25 r / R
    (Ingard 1953, from memory).
    """
    place = resonator()
    (first, *_) = poles(replace(rigid(place), friction=False), near_hz=60.0, up_to_hz=200.0)
    end = 0.8217 * RADIUS
    wide = 0.5 * place.room.length
    for long, within in (
        (DEEP + 1.7 * RADIUS, 0.025),
        (DEEP + end + end * (1.0 - 1.25 * RADIUS / wide), 0.007),
    ):
        slope = math.sqrt(math.pi * RADIUS**2 / (place.room.volume * long))
        assert first.hz == pytest.approx(AIR.speed_m_s / (2.0 * math.pi) * slope, rel=within)


@pytest.mark.outside
def test_the_resonator_dies_by_what_a_small_source_radiates() -> None:
    """Q = 2 pi sqrt(V (L'/A)³), a flanged neck (Kinsler and Frey); this box's top is no wall without end: times 2."""
    place = resonator()
    (first, *_) = poles(replace(rigid(place), friction=False), near_hz=80.0, up_to_hz=200.0)
    flanged = (
        2.0 * math.pi * math.sqrt(place.room.volume * ((DEEP + 1.7 * RADIUS) / (math.pi * RADIUS**2)) ** 3)
    )
    assert flanged < first.q < 2.05 * flanged
    assert first.q == pytest.approx(2.0 * flanged, rel=0.1)


@pytest.mark.outside
def test_air_in_a_narrow_slit_is_all_friction_and_in_a_wide_one_hardly_any() -> None:
    """Poiseuille flow between walls: 12 mu / w². Far apart, only a layer delta = sqrt(2 mu / rho omega) drags:
    textbook."""
    narrow, wide = np.array([2e-5]), np.array([0.05])
    omega = 2.0 * math.pi * 100.0
    drag = -1j * omega * AIR.density_kg_m3 * slit_factor(narrow, omega, AIR)[0]
    assert drag.real == pytest.approx(12.0 * AIR.viscosity_pa_s / narrow[0] ** 2, rel=2e-3)
    layer = math.sqrt(2.0 * AIR.viscosity_pa_s / (AIR.density_kg_m3 * omega))
    more = slit_factor(wide, omega, AIR)[0] - 1.0
    assert more == pytest.approx((1.0 + 1.0j) * layer / wide[0], rel=0.03)
    assert slit_factor(np.array([np.inf]), omega, AIR)[0] == 1.0


def test_friction_slows_the_breathing_and_shortens_it() -> None:
    system = rigid(resonator(0.004))
    free, rubbed = (
        poles(replace(system, friction=friction), near_hz=40.0, up_to_hz=100.0)[0]
        for friction in (False, True)
    )
    assert rubbed.hz < free.hz
    assert rubbed.q < 0.1 * free.q


@pytest.mark.outside
def test_warm_air_breathes_faster_as_its_sound_does() -> None:
    place = resonator()
    cold, warm = (
        poles(replace(rigid(place, air_at(celsius)), friction=False), near_hz=80.0, up_to_hz=200.0)[0].hz
        for celsius in (0.0, 30.0)
    )
    assert warm / cold == pytest.approx(math.sqrt(303.15 / 273.15), rel=1e-3)
