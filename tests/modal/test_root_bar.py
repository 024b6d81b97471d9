"""What a root bar does to the notes, held against solids that were made without the bar's own part of the mesh."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.modal import solid
from kerftone.modal.solid import Bands
from kerftone.modal.solve import modes

from ..drums import WREN

COUNT = 8
SAME_CENTS = 1.0
"""How far two meshes of one solid may differ."""


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
    monkeypatch.setattr(solid, "_bands", lambda drum: Bands([0.0, 10.0], [0.0, 30.0], (1, 1), 0))
    off = cents(down, bar_hz)
    assert abs(off).max() < SAME_CENTS, off
    # and it tells a bar of 25 mm from one of 40
    assert abs(cents(down, short_hz)).max() > 10.0 * SAME_CENTS
