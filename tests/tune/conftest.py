"""A drum whose lengths the tests find, once for all of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.design import Drum
from kerftone.tune.begin import first_drum
from kerftone.tune.fit import Fit, fit

NOTES = ("D3", "F3", "G3", "A3", "C4", "D4")


@pytest.fixture(scope="session")
def wanted() -> Drum:
    """Six notes on a board of the size that `kerftone new` works out, places given."""
    drum = first_drum("Test", NOTES, "cherry, black")
    places = ((2, "left"), (3, "right"), (1, "left"), (1, "right"), (3, "left"), (2, "right"))
    tongues = (replace(t, row=row, side=side) for t, (row, side) in zip(drum.tongues, places, strict=True))
    return replace(drum, tongues=tuple(tongues))


@pytest.fixture(scope="session")
def fitted(wanted: Drum) -> Fit:
    return fit(wanted)
