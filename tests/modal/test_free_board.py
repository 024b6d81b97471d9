from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kerftone.modal.free_board import ROUGH, FreeTones, free_tones
from kerftone.modal.mechanics import flat_axes
from kerftone.modal.plain_board import board_modes
from kerftone.modal.sensitivity import CONSTANTS
from kerftone.wood.elastic import Elastic
from kerftone.wood.species import find_species

REFERENCE = Path(__file__).parents[1] / "reference" / "modes.json"
CHERRY = find_species("cherry, black").elastic()
SIZE_MM = (430.0, 195.0, 16.4)


def free_board(name: str) -> tuple[dict[str, Any], Elastic]:
    boards = json.loads(REFERENCE.read_text("utf-8"))["free_boards"]
    board = next(board for board in boards if board["name"] == name)
    given = {k if k.startswith("nu_") else f"{k}_gpa": value for k, value in board["elastic_gpa"].items()}
    return board, Elastic(**given, density_kg_m3=board["density"])


def cents(hz: Any, from_hz: Any) -> Any:
    return 1200.0 * np.log2(np.asarray(hz) / np.asarray(from_hz))


@pytest.mark.outside
@pytest.mark.parametrize("name", ["B1", "B2"])
def test_free_tones_are_those_of_another_program(name: str) -> None:
    """CalculiX and an independent solution, known to 0.11 to 0.15 cents: tests/reference/modes.json."""
    board, wood = free_board(name)
    found = free_tones(size_mm=tuple(board["board_mm"]), elastic=wood, cut="quartersawn", count=10)
    assert abs(cents(found.hz, board["modes_hz"])).max() < 0.2


@pytest.mark.outside
def test_a_constant_off_by_one_in_a_hundred_is_seen() -> None:
    board, wood = free_board("B1")
    spoiled = replace(wood, g_lr_gpa=0.99 * wood.g_lr_gpa)
    found = free_tones(size_mm=tuple(board["board_mm"]), elastic=spoiled, cut="quartersawn", count=10)
    assert abs(cents(found.hz, board["modes_hz"])).max() > 3.0


def test_polynomials_and_bricks_agree_for_a_flatsawn_board() -> None:
    bricks = board_modes(size_mm=SIZE_MM, elastic=CHERRY, axes=flat_axes("flatsawn"), count=8)
    found = free_tones(size_mm=SIZE_MM, elastic=CHERRY, cut="flatsawn", count=8)
    assert abs(cents(found.hz, bricks)).max() < 0.5


@pytest.mark.outside
def test_a_metal_bar_rings_by_the_formula_of_astm_e1876() -> None:
    """E = 0.9465 (m f² / b)(L³/t³) T1, from memory; T1 in the long form for a Poisson's ratio of 0.3."""
    length, width, thick, nu, e_gpa, density = 150.0, 20.0, 6.0, 0.3, 200.0, 7800.0
    steel = Elastic(
        **dict.fromkeys(("e_l_gpa", "e_r_gpa", "e_t_gpa"), e_gpa),
        **dict.fromkeys(("g_lr_gpa", "g_lt_gpa", "g_rt_gpa"), e_gpa / (2.0 * (1.0 + nu))),
        **dict.fromkeys(("nu_lr", "nu_lt", "nu_rt"), nu),
        density_kg_m3=density,
    )
    found = free_tones(size_mm=(length, width, thick), elastic=steel, cut="flatsawn", count=4)
    hz = float(found.hz[found.kinds.index("along")])
    q = (thick / length) ** 2
    shear = 8.340 * (1 + 0.2023 * nu + 2.173 * nu**2) * q**2
    t1 = 1 + 6.585 * (1 + 0.0752 * nu + 0.8109 * nu**2) * q - 0.868 * q**2
    t1 -= shear / (1 + 6.338 * (1 + 0.1408 * nu + 1.536 * nu**2) * q)
    mass_kg = density * length * width * thick * 1e-9
    told_gpa = 0.9465 * mass_kg * hz**2 / (width * 1e-3) * (length / thick) ** 3 * t1 * 1e-9
    assert told_gpa == pytest.approx(e_gpa, rel=2e-3)
    assert (
        0.9465 * mass_kg * (1.01 * hz) ** 2 / (width * 1e-3) * (length / thick) ** 3 * t1 * 1e-9
        > 1.01 * e_gpa
    )


@pytest.mark.parametrize("name", CONSTANTS)
def test_the_answer_to_a_constant_is_that_of_a_second_solve(name: str) -> None:
    assert_answers(replace(CHERRY, **{name: 1.001 * getattr(CHERRY, name)}), SIZE_MM, CONSTANTS.index(name))


@pytest.mark.parametrize("side", range(3))
def test_the_answer_to_a_size_is_that_of_a_second_solve(side: int) -> None:
    size = tuple(mm * (1.001 if at == side else 1.0) for at, mm in enumerate(SIZE_MM))
    assert_answers(CHERRY, (size[0], size[1], size[2]), len(CONSTANTS) + side)


def assert_answers(wood: Elastic, size: tuple[float, float, float], column: int) -> None:
    before = tones(CHERRY, SIZE_MM)
    moved = cents(tones(wood, size).hz, before.hz) / math.log(1.001)
    told = np.hstack([before.by_constant, before.by_size])[:, column]
    np.testing.assert_allclose(told, moved, atol=3.0)


def tones(wood: Elastic, size: tuple[float, float, float]) -> FreeTones:
    return free_tones(size_mm=size, elastic=wood, cut="flatsawn", count=8)


def test_the_three_motions_a_maker_taps_for_are_told_apart() -> None:
    found = tones(CHERRY, SIZE_MM)
    first = {kind: float(found.hz[found.kinds.index(kind)]) for kind in ("along", "twisting", "across")}
    softer = tones(replace(CHERRY, e_t_gpa=0.5 * CHERRY.e_t_gpa), SIZE_MM)
    fallen = float(softer.hz[softer.kinds.index("across")])
    assert cents(fallen, first["across"]) == pytest.approx(-600.0, abs=60.0)


def test_a_motion_keeps_its_name_while_the_wood_changes_and_others_pass_it() -> None:
    """From one wood to another in small steps, each named tone moves as its answers say, also where tones cross."""
    change = np.array([0.3, 0.2, -0.6, 0.1, 0.5, 0.8, 0.1, -0.1, 0.1, 0.0])
    steps, before, order = 30, None, set()
    for step in range(steps + 1):
        factors = np.exp(change * step / steps)
        wood = replace(CHERRY, **{n: getattr(CHERRY, n) * f for n, f in zip(CONSTANTS, factors, strict=True)})
        now = free_tones(size_mm=SIZE_MM, elastic=wood, cut="flatsawn", count=14, orders=ROUGH)
        order.add(now.names[:8])
        for name in now.names[:8] if before is not None else ():
            new, old = now.names.index(name), before.names.index(name)
            moved = float(cents(now.hz[new], before.hz[old]))
            told = 0.5 * float((now.by_constant[new] + before.by_constant[old]) @ change) / steps
            assert moved == pytest.approx(told, abs=0.5), (step, name)
        before = now
    assert len(order) > 2, "no tones changed places, so the test would hold nothing"


def test_the_rough_tones_are_near_the_fine_ones() -> None:
    fine = free_tones(size_mm=SIZE_MM, elastic=CHERRY, cut="flatsawn", count=10)
    rough = free_tones(size_mm=SIZE_MM, elastic=CHERRY, cut="flatsawn", count=10, orders=ROUGH)
    assert rough.names == fine.names
    assert abs(cents(rough.hz, fine.hz)).max() < 2.0
