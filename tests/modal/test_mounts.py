"""A top on a lip or on a ledge alone, against the same drums solved without this program's mesh."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.modal.solve import ERROR_RATIO, LAYERED_RATIO, error_ratio, modes

MOUNTS = Path(__file__).parents[1] / "reference" / "mounts.json"
"""By CalculiX and, on its meshes, by elements of rising order; benchmarks/mounts.py made it."""
ORDERS = MOUNTS.with_name("orders.json")
"""Where elements of rising order lead on the program's own mesh; benchmarks/orders.py made it."""
COUNT = 8
EACH_CENTS = 5.0


def drums() -> list[Any]:
    return list(json.loads(MOUNTS.read_text("utf-8"))["drums"])


def off_cents(drum: Any, known: Any) -> Any:
    return 1200.0 * np.log2(modes(drum, COUNT).hz[:COUNT] / np.array(known["modes_hz"]))


def each(name: str) -> Any:
    """P2, the largest, is left to the slow tests."""
    return [pytest.mark.slow] if name == "P2" else []


@pytest.mark.parametrize(
    "known",
    [pytest.param(one, id=one["name"], marks=[pytest.mark.outside, *each(one["name"])]) for one in drums()],
)
def test_the_first_eight_modes_agree_with_another_program(known: Any) -> None:
    """Within 5 cents, and what the other is not sure of: 2 to 7 cents."""
    off = off_cents(parse_drum(known["toml"]), known)
    assert np.all(abs(off) < EACH_CENTS + np.array(known["plus_minus_cents"])), off


@pytest.mark.slow
@pytest.mark.parametrize(
    "known", [pytest.param(one, id=one["name"]) for one in json.loads(ORDERS.read_text("utf-8"))["drums"]]
)
def test_beside_an_open_gap_two_orders_lead_where_five_do(known: Any) -> None:
    """Within 3 cents; in one layer of elements, with a ratio of 4.3, they lay up to 7.3 off."""
    drum = parse_drum(known["toml"])
    off = off_cents(drum, known)
    assert np.all(abs(off) < 3.0), off
    assert error_ratio(drum, layered=True) < LAYERED_RATIO < ERROR_RATIO


@pytest.mark.outside
def test_a_gap_filled_with_glue_does_not_pass_for_an_open_one() -> None:
    known = next(one for one in drums() if one["name"] == "Q1")
    drum = parse_drum(known["toml"])
    off = off_cents(replace(drum, box=replace(drum.box, glued="ledge and edges")), known)
    assert off.min() > 10.0 * EACH_CENTS, off
