"""What a root bar does to the notes, held against solids that were made without the bar's own part of the mesh."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.modal import band
from kerftone.modal.band import Bands
from kerftone.modal.solve import modes

from ..drums import WREN

ROOT_BAR = Path(__file__).parents[1] / "reference" / "root_bar.json"
COUNT = 8
SAME_CENTS = 1.0
"""How far two meshes of one solid may differ."""
EACH_CENTS, MEDIAN_CENTS = 15.0, 5.0
"""How far the shifts by the bars may be from CalculiX's, 35 to 143 cents and themselves known to some 10."""


def cents(drum: Drum, from_hz: Any) -> Any:
    return 1200.0 * np.log2(modes(drum, COUNT).hz[:COUNT] / np.asarray(from_hz)[:COUNT])


@pytest.fixture(scope="module")
def barred() -> Drum:
    """A small drum on walls 10 mm thick and 40 high, with bars 20 wide and 25 high."""
    text = WREN.replace("end_margin = 26.0", "end_margin = 45.0")
    text = text.replace("length = 140.0", "length = 120.0").replace("length = 105.0", "length = 90.0")
    return parse_drum(text.replace("wall = 10.0", "wall = 10.0\nroot_bar = 20.0\nroot_bar_height = 25.0"))


def of_height(drum: Drum, mm: float) -> Drum:
    return replace(drum, box=replace(drum.box, root_bar_height_mm=mm))


def test_a_bar_down_to_the_ground_is_an_end_wall_as_much_thicker(
    barred: Drum, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The end wall in one piece, 30 mm thick, of one brick through its thickness, knows nothing of bars."""
    down = of_height(barred, 40.0)
    bar_hz, short_hz = (modes(drum, COUNT).hz for drum in (down, barred))
    monkeypatch.setattr(band, "bands", lambda drum: Bands([0.0, 10.0], [-20.0, 10.0]))
    off = cents(down, bar_hz)
    assert abs(off).max() < SAME_CENTS, off
    # and it tells a bar of 25 mm from one of 40
    assert abs(cents(down, short_hz)).max() > 10.0 * SAME_CENTS


def shift_cents(with_hz: Any, without_hz: Any) -> Any:
    """By how much the bars raise each of the lowest modes."""
    return 1200.0 * np.log2(np.asarray(with_hz)[:COUNT] / np.asarray(without_hz)[:COUNT])


@pytest.fixture(scope="module")
def by_calculix() -> Any:
    """Its finest mesh, of tetrahedra no longer than 10 mm; the file says how it was made."""
    finest = json.loads(ROOT_BAR.read_text("utf-8"))["meshes"][-1]
    return shift_cents(finest["with_bars_hz"], finest["without_hz"])


@pytest.mark.outside
def test_the_bars_move_the_modes_as_calculix_says(barred: Drum, by_calculix: Any) -> None:
    """Its mesh makes every mode sharp, nearly as much with bars as without."""
    plain = replace(barred, box=replace(barred.box, root_bar_mm=0.0, root_bar_height_mm=0.0))
    without = modes(plain, COUNT).hz
    off = shift_cents(modes(barred, COUNT).hz, without) - by_calculix
    assert abs(off).max() < EACH_CENTS and np.median(abs(off)) < MEDIAN_CENTS, off
    # a bar 5 mm lower, of 25, would not pass, nor would none
    lower = shift_cents(modes(of_height(barred, 20.0), COUNT).hz, without) - by_calculix
    assert abs(lower).max() > EACH_CENTS and np.median(abs(lower)) > MEDIAN_CENTS, lower
    assert np.median(abs(by_calculix)) > 10.0 * MEDIAN_CENTS
