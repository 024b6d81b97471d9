"""A log with one fact of every kind."""

from __future__ import annotations

from pathlib import Path

import pytest

from kerftone.bench.facts import (
    BoreMade,
    Fact,
    Noted,
    SlotsLengthened,
    Start,
    Tapped,
    TipTrimmed,
    Voided,
    WeightFixed,
)
from kerftone.bench.log import Telling, log_beside, start_log

from ..drums import WREN as ONE_WREN

WREN = ONE_WREN + "[shop]\nbits = [6.0, 10.0, 15.0]\n"

START = Start(file="drum.toml", text=WREN)
AFTERWARDS: tuple[Fact, ...] = (
    Tapped(tongue=1, hz=288.1, temperature_c=19.5, humidity_pct=44.0, bottom_on=False, recording="a.flac"),
    BoreMade(tongue=1, x_mm=140.0, y_mm=35.0, bit_mm=15.0, depth_mm=3.0, measured_mm=2.8),
    SlotsLengthened(tongue=2, by_mm=1.5),
    TipTrimmed(tongue=2, by_mm=0.5),
    WeightFixed(tongue=1, grams=4.0),
    Noted(words="sanded the top, Grüße", tongue=None),
    Voided(number=4, reason="wrong tongue"),
)


@pytest.fixture
def log_path(tmp_path: Path) -> Path:
    """A log that holds a fact of every kind."""
    drum = tmp_path / "drum.toml"
    drum.write_text(WREN)
    path = log_beside(drum)
    with start_log(path, START) as log:
        log.add(lambda _: [Telling(fact=fact) for fact in AFTERWARDS])
    return path
