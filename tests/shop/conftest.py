"""An invented drum for the shop, in every joint, mount and bottom."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum import parse_drum
from kerftone.drum.design import Drum

REED = """\
# INVENTED: never built
name = "Reed"
[top]
wood = "cherry, black"
length = 400.0
width = 180.0
thickness = 14.0
[slots]
kerf = 3.0
end_margin = 45.0
side_margin = 32.0
[[tongues]]
note = "D4"
row = 1
side = "left"
length = 150.0
[[tongues]]
note = "A4"
row = 1
side = "right"
length = 110.0
[[tongues]]
note = "F4"
row = 2
side = "left"
length = 130.0
[[tongues]]
note = "C5"
row = 2
side = "right"
length = 95.0
[box]
wood = "ash, white"
wall = 16.0
height = 90.0
[bottom]
wood = "ash, white"
thickness = 8.0
"""


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
