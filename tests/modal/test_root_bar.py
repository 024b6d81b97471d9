"""What a root bar does, held against facts that do not come from the bar's own part of the mesh."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.modal import solid
from kerftone.modal.solid import Bands
from kerftone.modal.solve import modes

from ..solving import solve_once
from .conftest import barred

COUNT = 8
SAME_CENTS = 1.0


def cents(hz: Any, from_hz: Any) -> Any:
    return 1200.0 * np.log2(np.asarray(hz)[:COUNT] / np.asarray(from_hz)[:COUNT])


@pytest.fixture(scope="module")
def whole(known: Any) -> Drum:
    """W2, let in on a ledge, on walls of 12 mm and with bars of 18 down to the ground."""
    w1 = known["W1"].drum
    two = replace(w1, tongues=(w1.tongues[0], w1.tongues[1]))
    return barred(two, wide=18.0, high=w1.box.height_mm, shorter=20.0)
