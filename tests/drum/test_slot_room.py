"""A row between slots that bow: what reaches beyond it, and what is not read from drawings."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import box

from kerftone.drum.design import Drum
from kerftone.drum.drawn_ends import drawn_ends
from kerftone.drum.facing import too_near
from kerftone.drum.file import parse_drum
from kerftone.drum.outline import outline
from kerftone.drum.slot_room import between_edges, centre_line, strip
from kerftone.errors import OutlineError


@pytest.fixture(scope="module")
def drum(w1: str) -> Drum:
    made = parse_drum(w1, "w1.toml")
    return replace(made, slots=replace(made.slots, bow_mm=(3.0, -4.0, 5.0, 0.0)))


def test_a_row_is_a_kerf_narrower_on_each_side_than_its_strip(drum: Drum) -> None:
    lines = outline(drum).layout
    for row in (1, 2, 3):
        inner, outer = between_edges(lines, row, 1e-3), strip(lines, row, 1e-3, same_area=False)
        assert inner.exterior.hausdorff_distance(outer.exterior) == pytest.approx(
            drum.slots.kerf_mm, rel=0.01
        )
        assert inner.area < outer.area


def test_the_centre_line_of_a_row_is_the_mean_of_its_slots(drum: Drum) -> None:
    lines = outline(drum).layout
    middle = 0.5 * (lines.root_left_mm + lines.root_right_mm)
    line = centre_line(lines, 2, lines.root_left_mm, lines.root_right_mm)
    assert line.interpolate(0.5, normalized=True).y == pytest.approx(lines.centre_mm(2) + 0.5, abs=1e-3)
    assert lines.centre_at_mm(2, middle) == pytest.approx(lines.centre_mm(2) + 0.5, abs=1e-9)


def test_an_end_that_reaches_out_between_bowed_slots_is_seen_and_one_that_does_not_is_not(drum: Drum) -> None:
    assert too_near(drum, outline(drum)) is None
    wide = ((-30.0, -21.5), (-20.0, -25.0), (0.0, -25.0), (0.0, 21.5))
    row2 = next(n for n, t in enumerate(drum.tongues) if t.row == 2)
    out = tuple(replace(t, end=wide) if n == row2 else t for n, t in enumerate(drum.tongues))
    found = too_near(replace(drum, tongues=out), outline(replace(drum, tongues=out)))
    assert found is not None and row2 in found[:2]


@pytest.mark.refusal
def test_ends_are_not_read_from_a_drawing_while_slots_bow(drum: Drum) -> None:
    with pytest.raises(OutlineError, match="with bow taken out"):
        drawn_ends(drum, [])


def test_all_wood_of_a_row_lies_between_its_outermost_lines_and_its_clear_ones_cross_none(drum: Drum) -> None:
    drawn = outline(drum)
    for tongue, shape in zip(drum.tongues, drawn.tongues, strict=True):
        row = tongue.row or 1
        _, low, _, high = shape.bounds
        front, back = drawn.layout.outermost_mm(row)
        assert front - 1e-6 <= low and high <= back + 1e-6
        inner = drawn.layout.clear_mm(row)
        assert front <= inner[0] < inner[1] <= back
        assert box(shape.bounds[0], inner[0], shape.bounds[2], inner[1]).difference(shape).area < 0.01
