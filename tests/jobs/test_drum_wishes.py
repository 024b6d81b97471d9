"""What a maker types for a new drum, read into plain values or refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerftone.errors import KerftoneError, LengthError
from kerftone.jobs.drum_wishes import (
    Board,
    LengthsTyped,
    read_board,
    read_cut,
    read_knots,
    read_mount,
    read_notes,
    read_scale,
    read_thickness,
    read_units,
    taken_as,
)
from kerftone.units import Units

INCH = 25.4


@pytest.mark.parametrize(
    ("typed", "units", "sizes_mm"),
    [
        ("20 x 8 x 5/8", "in", (20 * INCH, 8 * INCH, 0.625 * INCH)),
        ("20 x 8 x 5/8", "mm", (20 * INCH, 8 * INCH, 0.625 * INCH)),
        ("500x200x16", "mm", (500, 200, 16)),
        ("500 × 200 × 16 mm", "in", (500, 200, 16)),
        ("50 cm x 20 cm x 16 mm", "in", (500, 200, 16)),
        ("500,5 by 200 BY 16,5", "mm", (500.5, 200, 16.5)),
        ("20 1/2 x 8-1/4 x 3/4 in", "mm", (20.5 * INCH, 8.25 * INCH, 0.75 * INCH)),
        ("20 x 8 x 11/16", "mm", (20 * INCH, 8 * INCH, 0.6875 * INCH)),
        ("20 1/2 x 200 x 16 mm", "in", (20.5 * INCH, 200, 16)),
        ('20" x 8” x 5/8″', "mm", (20 * INCH, 8 * INCH, 0.625 * INCH)),
        ("5/8 x 8 x 20", "in", (20 * INCH, 8 * INCH, 0.625 * INCH)),
    ],
)
def test_a_board_is_read_as_it_may_be_written(
    typed: str, units: Units, sizes_mm: tuple[float, float, float]
) -> None:
    assert read_board(typed, units).sizes_mm == pytest.approx(sizes_mm)


def test_a_fraction_alone_is_inches_in_any_drum() -> None:
    assert read_thickness("11/16", "mm") == pytest.approx(0.6875 * INCH)


def test_a_board_with_its_thickness_first_is_turned_and_one_wider_than_long_is_not() -> None:
    assert read_board("16 x 200 x 500", "mm").turned
    wide = read_board("300 x 400 x 16", "mm")
    assert not wide.turned and wide.length_mm == 300


@pytest.mark.parametrize(
    ("asked", "units"),
    [
        (LengthsTyped(), "mm"),
        (LengthsTyped(board="500 x 200 x 16"), "mm"),
        (LengthsTyped(board="20 x 8 x 5/8"), "in"),
        (LengthsTyped(thickness="5/8"), "in"),
        (LengthsTyped(tongue_width="1.5 in"), "in"),
        (LengthsTyped(box_height="4”"), "in"),
        (LengthsTyped(thickness="16 mm"), "mm"),
    ],
)
def test_the_units_are_those_a_length_is_typed_in(asked: LengthsTyped, units: Units) -> None:
    assert asked.units() == units


def test_notes_come_out_in_one_form() -> None:
    assert read_notes(" g3, b♭3;C♯4  d4 ,") == ("G3", "Bb3", "C#4", "D4")


def test_words_for_how_the_top_sits_are_the_makers_own() -> None:
    assert {read_mount(word) for word in ("on walls", "Walls", "on  top")} == {"on walls"}
    assert {read_mount(word) for word in ("in ledge", "Rabbet", "let in")} == {"in ledge"}
    assert {read_mount(word) for word in ("on a lip", "LIP")} == {"on a lip"}
    with pytest.raises(KerftoneError, match=r"'floating'.*'on walls'.*'in ledge'.*'on a lip'"):
        read_mount("floating")


def test_words_for_the_cut_and_the_units_are_the_makers_own() -> None:
    assert {read_cut(word) for word in ("flatsawn", "Flat-sawn", "plain sawn", "flat")} == {"flatsawn"}
    assert {read_cut(word) for word in ("quartersawn", "quarter sawn", "Quarter")} == {"quartersawn"}
    assert read_units("Inches") == "in" and read_units("MM") == "mm"


def test_a_wood_under_another_name_is_said_and_its_own_is_not() -> None:
    assert taken_as("khaya", "mahogany, African") == "Wood: khaya is taken as mahogany, African (Khaya spp.)."
    assert taken_as("Black Walnut", "walnut, black") is None


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("500 x 200", ["'500 x 200' cannot be read", "length, width and thickness", "'500 x 200 x 16'"]),
        ("500 x 200 x 16 x 3", ["cannot be read"]),
        ("a x b x c", ["'a' cannot be read"]),
        ("500 x 200 x 99", ["board's thickness is 99 mm", "60 mm"]),
        ("50 x 200 x 16", ["board's length is 50 mm", "100 mm"]),
        ("500 x 20 x 16", ["board's width is 20 mm", "40 mm"]),
        ("500 x nan x 16", ["cannot be read"]),
        ("500 x 200 x 5/0", ["divides by zero"]),
    ],
)
def test_a_board_that_cannot_be_is_refused_with_the_nearest(typed: str, words: list[str]) -> None:
    with pytest.raises(LengthError) as caught:
        read_board(typed, "mm")
    assert [word for word in words if word not in str(caught.value)] == [], caught.value


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("count", "first", "words"),
    [
        ("0", None, ["The count of notes is '0'", "one at least"]),
        ("six", None, ["The count of notes is 'six'", "whole number"]),
        ("40", None, ["40 notes of D minor from D3 go up to A8", "2500 Hz", "take 29 notes"]),
        (None, "0", ["D0", "18.35 Hz", "begin on D2"]),
        (None, "9", ["begin on D7"]),
        (None, "F#3", ["F#3 is not a note of D minor", "F3 or G3"]),
    ],
)
def test_a_scale_that_cannot_be_sounded_is_refused_with_one_that_can(
    count: str | None, first: str | None, words: list[str]
) -> None:
    with pytest.raises(KerftoneError) as caught:
        read_scale("D minor", count=count, first=first)
    assert [word for word in words if word not in str(caught.value)] == [], caught.value


def test_the_count_and_the_note_that_are_offered_can_be_had() -> None:
    # 2349 Hz and 73.4 Hz by the printed equal-tempered scale, from memory.
    assert read_scale("D minor", count="29", first=None)[-1] == "D7"
    assert read_scale("D minor", count="1", first="D2") == ("D2",)


@given(st.text(alphabet="0123456789 /x×,.\"”″inmcby-+eE'", max_size=30), st.sampled_from(["mm", "in"]))
def test_whatever_is_typed_for_a_size_is_read_or_refused_in_words(typed: str, units: Units) -> None:
    for read in (read_board, read_thickness):
        try:
            read(typed, units)
        except KerftoneError as error:
            assert len(error.message) < 300


BOARD = Board(length_mm=500.0, width_mm=200.0, thickness_mm=16.0)


@pytest.mark.parametrize(
    ("typed", "units", "knots"),
    [
        (("120 x 45 x 8",), "mm", [(120, 45, 8)]),
        (("120, 45, 8", "300 × 20,5 × 6"), "mm", [(120, 45, 8), (300, 20.5, 6)]),
        (("120,45,8; 300,20,6",), "mm", [(120, 45, 8), (300, 20, 6)]),
        (("120,5, 45, 8",), "mm", [(120.5, 45, 8)]),
        (("4 3/4 x 1 3/4 x 5/16",), "mm", [(4.75 * INCH, 1.75 * INCH, 0.3125 * INCH)]),
        (("4 x 2 x 1/4",), "in", [(4 * INCH, 2 * INCH, 0.25 * INCH)]),
        (("120 x 45 x 8 mm",), "in", [(120, 45, 8)]),
        ((), "mm", []),
    ],
)
def test_knots_are_read_as_they_may_be_written(
    typed: tuple[str, ...], units: Units, knots: list[tuple[float, float, float]]
) -> None:
    found = [tuple(knot) for knot in read_knots(typed, BOARD, units)]
    assert found == [pytest.approx(knot) for knot in knots]


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("120 x 45", "write '120 x 45 x 8'"),
        ("120", "write '120 x 45 x 8'"),
        ("620 x 45 x 8", "the nearest that works is 500 mm"),
        ("120 x 245 x 8", "the nearest that works is 200 mm"),
        ("120 x 45 x 0", "the nearest that works is 1 mm"),
        ("120 x 45 x wide", "wide"),
    ],
)
def test_what_is_no_knot_of_the_board_is_refused_with_what_would_be(typed: str, words: str) -> None:
    with pytest.raises(LengthError, match=words):
        read_knots(("10 x 10 x 5", typed), BOARD, "mm")


@pytest.mark.refusal
def test_a_board_of_knots_is_refused() -> None:
    with pytest.raises(LengthError, match="51 knots are given"):
        read_knots(("; ".join(["10 x 10 x 5"] * 51),), BOARD, "mm")


def test_a_knot_in_inches_makes_a_drum_in_inches() -> None:
    assert LengthsTyped(knots=("4 3/4 x 1 3/4 x 5/16",)).units() == "in"
    assert LengthsTyped(knots=("120 x 45 x 8",)).units() == "mm"
