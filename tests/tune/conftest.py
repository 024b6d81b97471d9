"""A drum whose lengths the tests find, once for all of them."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.tune.begin import first_drum
from kerftone.tune.fit import Fit, fit
from kerftone.tune.instrument import Instrument

from ..solving import solve_once

REFERENCE = Path(__file__).parents[1] / "reference" / "modes.json"

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


@pytest.fixture(scope="session")
def reference_drums() -> dict[str, tuple[Drum, np.ndarray]]:
    """Drums with modes found without Kerftone: see tests/reference/modes.json."""
    drums = json.loads(REFERENCE.read_text("utf-8"))["drums"]
    return {drum["name"]: (parse_drum(drum["toml"]), np.array(drum["modes_hz"])) for drum in drums}


@pytest.fixture(scope="session")
def bench(reference_drums: dict[str, tuple[Drum, np.ndarray]]) -> Instrument:
    """The reference drum W1 as an instrument at the bench; its frame is solved once."""
    made = Instrument(design=reference_drums["W1"][0])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("kerftone.tune.instrument.solve", solve_once)
        made.notes(made.design)
    return made
