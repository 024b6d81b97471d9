"""Drum files that tests start from."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

REFERENCE = Path(__file__).parents[1] / "reference" / "modes.json"


def reference_toml(name: str) -> str:
    """The text of one reference drum, W1, W2 or W4."""
    drums = json.loads(REFERENCE.read_text("utf-8"))["drums"]
    return str(next(drum["toml"] for drum in drums if drum["name"] == name))


@pytest.fixture(scope="session")
def w1() -> str:
    """Six tongues in three rows on walls."""
    return reference_toml("W1")


@pytest.fixture(scope="session")
def w2() -> str:
    """Four tongues in two rows, let in on a ledge."""
    return reference_toml("W2")


@pytest.fixture(scope="session")
def w4() -> str:
    """W1 with five bores."""
    return reference_toml("W4")
