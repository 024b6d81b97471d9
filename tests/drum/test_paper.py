"""One rule says which paper is printed on: the flag, then the drum file, then what the drum is measured in."""

from dataclasses import replace

import pytest

from kerftone.drum import parse_drum
from kerftone.drum.paper import PAPERS_MM, paper_of


@pytest.mark.parametrize(
    "units, in_file, asked, wanted",
    [
        ("mm", None, None, "a4"),
        ("in", None, None, "letter"),
        ("mm", "letter", None, "letter"),
        ("in", "a4", None, "a4"),
        ("mm", "letter", "a4", "a4"),
        ("in", None, "a4", "a4"),
    ],
)
def test_a_flag_comes_before_the_file_and_the_file_before_the_units(w1, units, in_file, asked, wanted):
    drum = parse_drum(w1)
    drum = replace(drum, units=units, shop=replace(drum.shop, paper=in_file))
    assert paper_of(drum, asked) == wanted


@pytest.mark.outside
def test_the_papers_are_the_standards_sizes():
    # ISO 216: an A4 is a sixteenth of a square metre, its sides as one to the root of two, to the millimetre.
    short, long = PAPERS_MM["a4"]
    assert short * long == pytest.approx(1e6 / 16, rel=3e-3)
    assert long / short == pytest.approx(2.0**0.5, rel=3e-3)
    # ANSI/ASME Y14.1 size A, from memory: 8.5 by 11 inches.
    assert PAPERS_MM["letter"] == pytest.approx((8.5 * 25.4, 11.0 * 25.4))
