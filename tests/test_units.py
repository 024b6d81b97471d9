"""Lengths in millimetres and inches. One inch is 25.4 mm (international agreement of 1959)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerftone.errors import LengthError
from kerftone.units import (
    Units,
    format_length,
    inch_fraction,
    least_length,
    most_length,
    parse_grams,
    parse_length,
    to_mm,
    written_length,
)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("5/8", 0.625),
        ("1 1/4", 1.25),
        ("1-1/4", 1.25),
        ("0.625", 0.625),
        ("16", 16.0),
        (' 3/4" ', 0.75),
        ("7 1/2 in", 7.5),
        ("-1/8", -0.125),
        (".5", 0.5),
        ("½", 0.5),
        ("7½", 7.5),
        ("5/8”", 0.625),
        ("2 in.", 2.0),
        ("0,625", 0.625),
    ],
)
def test_inches_are_read_as_a_maker_writes_them(text: str, inches: float) -> None:
    assert parse_length(text, "in") == pytest.approx(inches * 25.4, abs=1e-12)


@pytest.mark.refusal
@pytest.mark.parametrize("text", ["", "five", "1/0", "1//2", "1 2 3", "1e3", "nan", "5/8 mm", "1,200", "٣"])
def test_what_is_not_a_length_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(LengthError, match=r"5/8|without the comma"):
        parse_length(text, "in")


@pytest.mark.parametrize(
    ("typed", "units", "mm"),
    [
        ("20", "mm", 20.0),
        (" 3.5 mm", "mm", 3.5),
        ("5/8", "in", 15.875),
        ("20 mm", "in", 20.0),
        ('5/8"', "mm", 15.875),
        ("1-1/4 inch", "mm", 31.75),
        ("5/8", "mm", 15.875),
        ("18.5 cm", "in", 185.0),
        ("16,5", "mm", 16.5),
    ],
)
def test_a_typed_length_may_say_its_own_unit(typed: str, units: Units, mm: float) -> None:
    assert parse_length(typed, units) == pytest.approx(mm, abs=1e-12)


@pytest.mark.refusal
@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("typed", ["", "x", "5/8 mm", "3 km", "nan", "1e400", "10 mm in"])
def test_what_is_typed_and_is_no_length_is_refused(typed: str, units: Units) -> None:
    with pytest.raises(LengthError):
        parse_length(typed, units)


@pytest.mark.outside
def test_an_inch_is_25_4_millimetres() -> None:
    assert to_mm(10.0, "in") == 254.0
    assert parse_length("5/8", "in") == pytest.approx(15.875, abs=1e-12)


@pytest.mark.roundtrip
@given(st.integers(min_value=0, max_value=64 * 40))
def test_every_sixty_fourth_on_the_rule_reads_back(sixty_fourths: int) -> None:
    mm = sixty_fourths / 64 * 25.4
    assert parse_length(inch_fraction(mm), "in") == pytest.approx(mm, abs=1e-9)


def test_lengths_are_shown_without_idle_zeros() -> None:
    assert format_length(150.0) == "150 mm"
    assert format_length(12.34) == "12.3 mm"
    assert format_length(31.75, "in") == "1 1/4 in"
    assert format_length(-0.01) == "0 mm"


@pytest.mark.roundtrip
@given(st.floats(min_value=0.05, max_value=2500.0), st.sampled_from(["mm", "in"]))
def test_a_limit_as_it_is_told_can_be_typed_and_still_works(mm: float, units: Units) -> None:
    step = 0.1 if units == "mm" else 25.4 / 32.0
    least, most = (parse_length(told(mm, units), units) for told in (least_length, most_length))
    assert mm - 1e-4 <= least <= mm + step + 1e-4
    assert mm - step - 1e-4 <= most <= mm + 1e-4


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (25.4, "1 in"),
        (25.4 * 5 / 64, "5/64 in"),
        (208.2, "8 3/16 in (8.197)"),  # 8.1969, and 8 3/16 is 8.1875
        (0.1, "0.004 in"),
        (-15.875, "-5/8 in"),
    ],
)
def test_a_length_in_inches_is_told_as_it_is_found_on_the_rule(mm: float, words: str) -> None:
    assert format_length(mm, "in") == words


@pytest.mark.outside
@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("742", 742.0),
        ("742 g", 742.0),
        ("0,742 kg", 742.0),
        ("8 lb 3 oz", 8 * 453.59237 + 3 * 28.349523125),
        ("2 lbs., 4 oz.", 2 * 453.59237 + 4 * 28.349523125),
        ("26 ounces", 26 * 28.349523125),
    ],
)
def test_a_mass_is_read_in_grams_pounds_and_ounces(text: str, grams: float) -> None:
    """The pound is 453.59237 g, the ounce a sixteenth of it (international agreement of 1959)."""
    assert parse_grams(text) == pytest.approx(grams, rel=1e-12)


@pytest.mark.parametrize("text", ["", "heavy", "0", "-3 g", "3 lb 4", "3 stone", "1 2", "g"])
def test_what_is_no_mass_is_not_read(text: str) -> None:
    assert parse_grams(text) is None


@pytest.mark.roundtrip
@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("parts", [16, 32, 64])
def test_what_is_written_is_read_to_the_same_length_and_written_so_again(units: Units, parts: int) -> None:
    for mm in np.geomspace(0.1, 1200.0, 400):
        words = written_length(float(mm), units, parts=parts)
        stated = parse_length(words, units)
        assert abs(stated - mm) <= (0.005001 if units == "mm" else 0.001 * 25.4)
        assert written_length(stated, units, parts=parts) == words


def test_of_a_mark_and_an_exact_length_the_exact_one_counts() -> None:
    assert parse_length("9 1/16 (9.068)", "in") == pytest.approx(9.068 * 25.4)
    assert parse_length("9 1/16 in (9.068)", "mm") == pytest.approx(9.068 * 25.4)
    assert parse_length("9 1/16 (9.068) in", "mm") == pytest.approx(9.068 * 25.4)
    assert parse_length("237.5 mm (237.66)", "mm") == 237.66
    assert parse_length("-1/8 (-0.130)", "in") == pytest.approx(-0.13 * 25.4)


@pytest.mark.refusal
def test_a_mark_and_an_exact_length_that_differ_are_refused_with_both() -> None:
    with pytest.raises(
        LengthError, match=r"says 9 1/8 and 9.068, which are two lengths.*write 9 1/8 or 9.068 alone"
    ):
        parse_length("9 1/8 (9.068)", "in")
    for text in ("(9.068)", "9 ()", "9 1/16 (long)"):
        with pytest.raises(LengthError, match="cannot be read"):
            parse_length(text, "in")
