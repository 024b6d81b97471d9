"""Reading the tones of a board that come in any order, with wrong labels, twice, or from somewhere else."""

from __future__ import annotations

import random

import pytest

from kerftone.modal.free_board import FreeTones, free_tones
from kerftone.tune.board_match import Open, guesses
from kerftone.tune.board_model import Problem
from kerftone.wood.board import Board, Motion, Tap
from kerftone.wood.elastic import Elastic
from kerftone.wood.species import find_species

SIZE_MM = (430.0, 195.0, 16.4)
CHERRY = find_species("cherry, black")
TRUE = Elastic(
    e_l_gpa=13.1,
    e_r_gpa=2.1,
    e_t_gpa=0.86,
    g_lr_gpa=1.5,
    g_lt_gpa=1.25,
    g_rt_gpa=0.19,
    nu_lr=0.4,
    nu_lt=0.4,
    nu_rt=0.6,
    density_kg_m3=590.0,
)
"""An invented board of cherry."""


@pytest.fixture(scope="module")
def tones() -> FreeTones:
    return free_tones(size_mm=SIZE_MM, elastic=TRUE, cut="flatsawn")


def read(taps: list[Tap]) -> tuple[dict[float, object], set[float]]:
    """What the likeliest guess takes each tone for, and which ones it leaves out."""
    mass = TRUE.density_kg_m3 * SIZE_MM[0] * SIZE_MM[1] * SIZE_MM[2] * 1e-6
    length, width, thick = SIZE_MM
    board = Board(
        species=CHERRY, length_mm=length, width_mm=width, thickness_mm=thick, mass_g=mass, taps=tuple(taps)
    )
    problem = Problem(board)
    best = guesses(problem, problem.at(problem.weighed(), rough=True), taps, Open())[0]
    return {tap.hz: name for tap, name in zip(best.taps, best.names, strict=True)}, {t.hz for t in best.left}


def tap(tones: FreeTones, at: int, motion: Motion = "unknown") -> Tap:
    return Tap(hz=float(tones.hz[at]), motion=motion)


@pytest.mark.parametrize("motion", ["unknown", "along"])
def test_ten_tones_in_any_order_are_read_right_whatever_was_written_beside_them(
    tones: FreeTones, motion: Motion
) -> None:
    order = list(range(10))
    random.Random(5).shuffle(order)
    taken, left = read([tap(tones, at, motion) for at in order])
    assert not left
    assert all(taken[float(tones.hz[at])] == tones.names[at] for at in order)


def test_one_label_that_is_wrong_is_overruled_by_the_other_tones(tones: FreeTones) -> None:
    kinds = list(tones.kinds)
    along, across, twisting = (kinds.index(kind) for kind in ("along", "across", "twisting"))
    taken, left = read([tap(tones, along, "along"), tap(tones, twisting, "across"), tap(tones, across)])
    assert not left and taken[float(tones.hz[twisting])] == tones.names[twisting]


def test_the_only_tone_is_taken_for_bending_along_when_nobody_says_what_it_is(tones: FreeTones) -> None:
    at = tones.kinds.index("along")
    taken, _ = read([tap(tones, at)])
    assert taken[float(tones.hz[at])] == tones.names[at]


def test_a_tone_tapped_twice_is_one_motion(tones: FreeTones) -> None:
    again = Tap(hz=float(tones.hz[1]) * 1.002, motion="unknown")
    taken, left = read([tap(tones, 0), tap(tones, 1), tap(tones, 2), again])
    assert not left and taken[again.hz] == taken[float(tones.hz[1])] == tones.names[1]


def test_a_tone_of_the_bench_among_five_is_left_out(tones: FreeTones) -> None:
    bench = Tap(hz=float(tones.hz[1]) * 0.83, motion="unknown")
    taken, left = read([bench, *(tap(tones, at) for at in range(5))])
    assert left == {bench.hz}
    assert all(taken[float(tones.hz[at])] == tones.names[at] for at in range(5))
