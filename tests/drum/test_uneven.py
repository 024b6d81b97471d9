"""A top measured in five places."""

from __future__ import annotations

import pytest

from kerftone.drum.file import parse_drum
from kerftone.drum.season import in_air
from kerftone.drum.template import drum_text
from kerftone.drum.uneven import thickness_mm
from kerftone.errors import DrumFileError

from ..drums import WREN

FIVE = (12.4, 12.0, 11.8, 12.2, 12.3)


def measured(five: str) -> str:
    """Wren with a top so measured."""
    return WREN.replace("thickness = 12.0", f"thickness = 12.0\nthickness_at = {five}")


def test_where_it_was_measured_it_is_as_thick_as_measured() -> None:
    places = ((0, 0), (1, 0), (1, 1), (0, 1), (0.5, 0.5))
    for (along, across), thick in zip(places, FIVE, strict=True):
        assert thickness_mm(FIVE, along, across) == pytest.approx(thick)


@pytest.mark.roundtrip
def test_five_thicknesses_are_written_and_read_back() -> None:
    drum = parse_drum(measured("[12.4, 12.0, 11.8, 12.2, 12.3]"))
    assert drum.top.thickness_at_mm == FIVE
    assert parse_drum(drum_text(drum)) == drum


@pytest.mark.refusal
@pytest.mark.parametrize(
    "five", ["[12, 12, 12, 12]", "12.5", '[12, 12, "thick", 12, 12]', "[12, 12, 120, 12, 12]"]
)
def test_what_is_no_five_thicknesses_is_refused(five: str) -> None:
    with pytest.raises(DrumFileError, match="thickness_at in"):
        parse_drum(measured(five))


def test_in_dry_air_all_of_it_is_thinner() -> None:
    drum = parse_drum(measured("[12.4, 12.0, 11.8, 12.2, 12.3]"))
    dry = in_air(drum, 8.0).top
    share = dry.thickness_mm / drum.top.thickness_mm
    assert share < 0.999
    assert dry.thickness_at_mm == pytest.approx([share * one for one in FIVE])
