"""The root bar in the drum file: read, refused and written back; what it takes of the room under the top."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum import Bore, Drum, check_outline, drum_text, parse_drum
from kerftone.drum.outline import outline
from kerftone.errors import DrumFileError, OutlineError

from .conftest import reference_toml

BARS = "root_bar = 20.0\nroot_bar_height = 40.0\n"
W1 = reference_toml("W1").replace("wall = 12", BARS + "wall = 12")
"""Walls 12 mm thick and 95 high, an end margin of 32."""


def refused(text: str) -> DrumFileError:
    with pytest.raises(DrumFileError) as caught:
        parse_drum(text, "drum.toml")
    return caught.value


def barred(**margins: float) -> Drum:
    drum = parse_drum(W1)
    tongues = tuple(replace(t, length_mm=(t.length_mm or 0.0) - 20.0) for t in drum.tongues)
    return replace(drum, slots=replace(drum.slots, **({"end_margin_mm": 45.0} | margins)), tongues=tongues)


def test_a_file_that_says_nothing_of_bars_has_none() -> None:
    box = parse_drum(reference_toml("W1")).box
    assert (box.root_bar_mm, box.root_bar_height_mm) == (0.0, 0.0)
    none = parse_drum(W1.replace(BARS, "root_bar = 0\nroot_bar_height = 0\n")).box
    assert none == box


def test_width_and_height_are_read_in_the_units_of_the_file() -> None:
    box = parse_drum(W1).box
    assert (box.root_bar_mm, box.root_bar_height_mm) == (20.0, 40.0)
    in_inches = drum_text(parse_drum(W1), units="in").replace('"25/32 (0.7874)"', '"1 1/4"')
    assert parse_drum(in_inches).box.root_bar_mm == 31.75


@pytest.mark.refusal
@pytest.mark.parametrize(
    "old, new, words",
    [
        ("root_bar_height = 40.0\n", "", "root_bar in [box] is 20 mm, but there is no root_bar_height"),
        ("root_bar = 20.0\n", "", "add root_bar, or take root_bar_height out"),
        ("root_bar = 20.0", "root_bar = 0", "but there is no root_bar."),
        ("root_bar = 20.0", "root_bar = 8", "be 0 for none, or from 10 mm to 80 mm: the nearest that works is 10"),
        ("root_bar = 20.0", "root_bar = 200", "the nearest that works is 80 mm"),
        ("root_bar = 20.0", "root_bar = -3", "the nearest that works is 0 mm"),
        (
            "height = 40.0",
            "height = 95.1",
            "A root bar hangs under the top and is no higher than the walls: write 95 mm",
        ),
        ("height = 40.0", "height = 12", "the nearest that works is 15 mm"),
        ("height = 95", "height = 10", "make the walls as high, or take root_bar and root_bar_height out"),
    ],
)  # fmt: skip
def test_a_bar_that_cannot_be_is_refused_at_its_line_with_its_mend(old: str, new: str, words: str) -> None:
    assert old in W1
    error = refused(W1.replace(old, new, 1))
    assert words in str(error)
    assert error.line is not None and "root_bar" in W1.replace(old, new, 1).split("\n")[error.line - 1]


def test_a_bar_as_high_as_the_walls_is_taken() -> None:
    assert (
        parse_drum(W1.replace("root_bar_height = 40.0", "root_bar_height = 95")).box.root_bar_height_mm
        == 95.0
    )


@pytest.mark.roundtrip
def test_bars_read_back_and_are_written_only_where_there_are_any() -> None:
    drum = parse_drum(W1)
    assert parse_drum(drum_text(drum)) == drum
    lines = drum_text(drum).split("\n")
    for key in ("root_bar", "root_bar_height"):
        assert any(line.startswith(f"{key} = ") and "  # " in line for line in lines)
    assert max(map(len, lines)) <= 110
    assert "root_bar" not in drum_text(parse_drum(reference_toml("W1")))
    in_inches = parse_drum(drum_text(drum, units="in")).box
    assert in_inches.root_bar_mm == pytest.approx(20.0, abs=0.0013)
    assert in_inches.root_bar_height_mm == pytest.approx(40.0, abs=0.0013)


def test_the_top_is_free_between_the_bars_and_the_walls_stay_where_they_were() -> None:
    drawn = outline(barred())
    assert drawn.wall_inner.bounds == (12, 12, 408, 178)
    assert drawn.box_inner.bounds == (32, 12, 388, 178)


@pytest.mark.refusal
def test_margins_must_leave_the_root_strip_clear_of_the_bar() -> None:
    check_outline(barred(end_margin_mm=37.0))  # 12 of wall, 20 of bar, 5 of free wood
    with pytest.raises(OutlineError) as caught:
        check_outline(barred(end_margin_mm=36.0))
    words = str(caught.value)
    assert "4.0 mm of free wood between the slots' ends and the wall and root bar (32.0 mm)" in words
    assert "make end_margin 37.0 mm or more" in words
    check_outline(barred(side_margin_mm=18.0))  # along the sides there is no bar


@pytest.mark.refusal
@pytest.mark.parametrize(
    "x, what", [(27.0, "meets the root bar"), (36.0, "meets the root bar"), (15.0, "meets the wall")]
)
def test_a_bore_into_a_bar_is_refused_with_a_place_that_works(x: float, what: str) -> None:
    bored = replace(barred(), bores=(Bore(x_mm=x, y_mm=49.0, diameter_mm=10.0, depth_mm=4.0),))
    with pytest.raises(OutlineError, match=what) as caught:
        check_outline(bored)
    assert caught.value.nearest is not None
    x_mm, y_mm = caught.value.nearest
    check_outline(replace(bored, bores=(replace(bored.bores[0], x_mm=x_mm, y_mm=y_mm),)))
