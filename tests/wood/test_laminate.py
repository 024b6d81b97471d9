"""What plies are as one board."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.wood import find_species
from kerftone.wood.elastic import CONSTANTS, Elastic
from kerftone.wood.laminate import (
    Ply,
    as_one,
    board_name,
    graded,
    layers,
    plate_stiffness,
    polynomials,
    swelling,
)

BIRCH = find_species("birch, yellow").elastic()
VENEER = Elastic(
    e_l_gpa=17.5,
    e_r_gpa=0.01,
    e_t_gpa=0.01,
    g_lr_gpa=0.6,
    g_lt_gpa=0.6,
    g_rt_gpa=0.2,
    nu_lr=0.0,
    nu_lt=0.0,
    nu_rt=0.0,
    density_kg_m3=600.0,
)
"""Birch veneer as the table below reckons with it: 17.5 GPa along the grain and next to nothing across."""
# Handbook of Finnish Plywood (2002), birch plywood, mean values, from memory: number of plies, GPa in bending along
# and across the face grain, in tension along and across. Faces sanded to 1.1 mm, all other veneers 1.4 mm.
PUBLISHED = [
    (3, 16.471, 1.029, 10.694, 6.806),
    (5, 12.737, 4.763, 9.844, 7.656),
    (7, 11.395, 6.105, None, None),
    (9, 10.719, 6.781, None, None),
]


def sheet(count: int, elastic: Elastic = BIRCH, faces_mm: float = 1.4) -> tuple[Ply, ...]:
    """So many veneers of 1.4 mm, by turns along and across."""
    plies = [
        Ply(wood="birch", elastic=elastic, thickness_mm=1.4, turn_deg=90.0 * (at % 2)) for at in range(count)
    ]
    for at in (0, -1):
        plies[at] = replace(plies[at], thickness_mm=faces_mm)
    return tuple(plies)


@pytest.mark.outside
@pytest.mark.parametrize("row", PUBLISHED)
def test_published_birch_plywood_is_met(row: tuple[int, float, float, float | None, float | None]) -> None:
    count, along, across, pulled_along, pulled_across = row
    plies = sheet(count, VENEER, faces_mm=1.1)
    board = as_one(plies, "flatsawn", glue_g_m2=0.0, thickness_mm=sum(ply.thickness_mm for ply in plies))
    assert (board.e_l_gpa, board.e_t_gpa) == pytest.approx((along, across), abs=0.012)
    stretch = plate_stiffness(layers(plies, "flatsawn"))[0]
    if pulled_along is not None and pulled_across is not None:
        assert (stretch[0, 0], stretch[1, 1]) == pytest.approx((pulled_along, pulled_across), abs=0.012)


@pytest.mark.outside
def test_a_slip_in_the_plies_would_be_seen_in_that_table() -> None:
    board = as_one(sheet(5, VENEER), "flatsawn", glue_g_m2=0.0, thickness_mm=7.0)
    assert abs(board.e_l_gpa - 12.737) > 0.3, "faces not sanded"


@pytest.mark.parametrize("cut", ["flatsawn", "quartersawn"])
def test_one_ply_or_many_alike_are_the_wood_itself(cut) -> None:  # type: ignore[no-untyped-def]
    for plies in ((sheet(1)[0],), (sheet(1)[0],) * 4):
        board = as_one(plies, cut, glue_g_m2=0.0, thickness_mm=12.0)
        for name in CONSTANTS:
            assert getattr(board, name) == pytest.approx(getattr(BIRCH, name), rel=1e-9), name


def test_more_plies_bend_more_alike_both_ways() -> None:
    ratios = []
    for count in (3, 5, 9, 15):
        board = as_one(sheet(count), "flatsawn", glue_g_m2=75.0, thickness_mm=1.4 * count)
        assert board.is_stable()
        ratios.append(board.e_t_gpa / board.e_l_gpa)
    assert ratios == sorted(ratios)
    assert 0.6 < ratios[-1] < 1.0


def test_rolling_shear_makes_a_board_soft_through_its_thickness() -> None:
    board = as_one(sheet(9), "flatsawn", glue_g_m2=75.0, thickness_mm=12.6)
    assert BIRCH.g_rt_gpa < board.g_lr_gpa < 0.5 * BIRCH.g_lr_gpa


def test_glue_lines_weigh() -> None:
    bare, glued = (as_one(sheet(9), "flatsawn", glue_g_m2=g, thickness_mm=12.0) for g in (0.0, 75.0))
    assert glued.density_kg_m3 - bare.density_kg_m3 == pytest.approx(8 * 75.0 / 12.0)


@pytest.mark.parametrize("count", [3, 9])
def test_the_polynomial_has_the_moments_of_the_plies(count: int) -> None:
    plies = graded(layers(sheet(count), "flatsawn", 20.0))
    powers = polynomials(plies)
    for moment in range(9):
        own = sum(
            layer.stiffness
            * ((2 * layer.high - 1) ** (moment + 1) - (2 * layer.low - 1) ** (moment + 1))
            / (moment + 1)
            for layer in plies
        )
        order = np.arange(len(powers)) + moment
        found = np.einsum("p,pij->ij", (1.0 - (-1.0) ** (order + 1)) / (order + 1), powers)
        assert found == pytest.approx(own, abs=1e-9 * np.abs(own).max() + 1e-9)


def test_plies_keep_each_other_from_swelling() -> None:
    free = 0.00338  # of yellow birch, tangentially, in species.csv
    alone = swelling((sheet(1)[0],), "flatsawn", [free])
    assert alone == pytest.approx((0.00005, free))
    long, wide = swelling(sheet(9), "flatsawn", [free] * 9)
    assert 0.00005 < long < 0.0006 and 0.00005 < wide < 0.0006
    turned = [replace(ply, turn_deg=90.0 - ply.turn_deg) for ply in sheet(9)]
    assert swelling(turned, "flatsawn", [free] * 9) == pytest.approx((wide, long))


def test_what_it_is_called() -> None:
    assert board_name(sheet(3)) == "birch plywood"
    assert board_name((sheet(1)[0],) * 3) == "birch laminate"
