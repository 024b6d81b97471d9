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
    if bottom is not None and fit == "on a lip":
        bottom = replace(bottom, lip_mm=6.0, lip_thickness_mm=4.0)
    ledge = 7.0 if mount == "in ledge" else 0.0
    lip = {"lip_mm": 6.0, "lip_thickness_mm": 8.0} if mount == "on a lip" else {}
    box = replace(drum.box, joint=joint, mount=mount, ledge_mm=ledge)  # type: ignore[arg-type]
    return replace(drum, box=box, bottom=bottom, top=replace(drum.top, **lip))


@pytest.fixture
def drum() -> Drum:
    return reed()
