"""An invented drum for the shop, in every joint, mount and bottom."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum import parse_drum
from kerftone.drum.design import Drum

from ..drums import REED


def reed(
    *, joint: str = "mitre", mount: str = "on walls", fit: str | None = "under", recess: float = 0.0
) -> Drum:
    """The drum with this joint, mount and fit of the bottom (None for no bottom)."""
    drum = parse_drum(REED)
    assert drum.bottom is not None
    bottom = None if fit is None else replace(drum.bottom, fit=fit, recess_mm=recess)  # type: ignore[arg-type]
    ledge = 7.0 if mount == "in ledge" else 0.0
    box = replace(drum.box, joint=joint, mount=mount, ledge_mm=ledge)  # type: ignore[arg-type]
    return replace(drum, box=box, bottom=bottom)


@pytest.fixture
def drum() -> Drum:
    return reed()
