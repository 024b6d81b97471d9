"""The model against drums solved by another program."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerftone.modal.solve import Solution, modes

from ..solving import solve_once

pytestmark = pytest.mark.outside

COUNT = 8
EACH_CENTS = 5.0
MEDIAN_CENTS = 2.0
KNOWN_LESS = {("W2", 7): 8.0}
"""Mode 8 of W2 is a motion of the box with hardly any of a tongue in it: known to 3.7 cents only."""


def allowed(name: str) -> Any:
    """Cents for each of the first modes."""
    return np.array([KNOWN_LESS.get((name, number), EACH_CENTS) for number in range(COUNT)])


def cents(hz: Any, from_hz: Any) -> Any:
    return 1200.0 * np.log2(hz[:COUNT] / from_hz[:COUNT])


def agrees(name: str, off: Any) -> bool:
    return bool(np.all(abs(off) <= allowed(name)) and np.median(abs(off)) <= MEDIAN_CENTS)


@pytest.fixture(scope="module", params=["W1", "W2", "W4"])
def solved(request: pytest.FixtureRequest, known: Any) -> tuple[str, Solution]:
    return request.param, solve_once(known[request.param].drum, COUNT)


def test_the_first_eight_modes_agree_with_another_program(known: Any, solved: Any) -> None:
    name, solution = solved
    off = cents(solution.hz, known[name].hz)
    assert agrees(name, off), off


def test_without_extrapolation_every_mode_is_sharp_by_more_than_is_allowed(known: Any, solved: Any) -> None:
    """Order 3 alone is stiffer than the wood; that this fails shows what the extrapolation is for."""
    name, solution = solved
    off = cents(np.sqrt(solution.fine_values) / (2.0 * np.pi), known[name].hz)
    assert not agrees(name, off)
    assert np.all((off > 0.0) & (off < 20.0)), off


def test_walls_of_a_wood_one_fifth_softer_do_not_pass(known: Any) -> None:
    drum = known["W1"].drum
    moduli = {name: 0.8 * value for name, value in vars(drum.box.elastic).items() if name.endswith("_gpa")}
    softer = replace(drum.box, elastic=replace(drum.box.elastic, **moduli))
    off = cents(modes(replace(drum, box=softer), COUNT).hz, known["W1"].hz)
    assert not agrees("W1", off), off
    assert np.median(abs(off)) > 2.0 * MEDIAN_CENTS, off
    assert off.max() < 2.0, "softer walls must not sharpen anything"


def test_five_bores_are_told_from_none(known: Any) -> None:
    """Modes of W4 and W1 differ by the bores alone: those of one must not pass for the other."""
    assert not agrees("W4", cents(known["W1"].hz, known["W4"].hz))
