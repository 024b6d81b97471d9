"""Diving grain and knots of the board."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.knot_places import clear_shift_mm
from kerftone.drum.knots import Knot
from kerftone.drum.template import drum_text
from kerftone.errors import DrumFileError
from kerftone.shop.board_faults import board_faults
from kerftone.shop.measure import Measure

from ..drums import REED
from .conftest import reed


def with_knots(*knots: tuple[float, float, float]) -> Drum:
    """Reed, its top from a board with these knots."""
    drum = reed()
    return replace(drum, top=replace(drum.top, knots_mm=tuple(Knot(*knot) for knot in knots)))


def told(drum: Drum) -> list[tuple[str, str, str]]:
    """Name, verdict and numbers of each check."""
    return [(one.name, one.verdict, one.numbers) for one in board_faults(drum, Measure())]


def test_a_clear_board_has_no_such_checks() -> None:
    assert told(reed()) == []


def test_grain_that_dives_is_told_with_where_it_runs_out() -> None:
    drum = reed()
    for angle, verdict in ((-20.0, "mend"), (5.0, "mind"), (2.0, "good")):
        name, found, _ = told(replace(drum, top=replace(drum.top, grain_dive_deg=angle)))[0]
        assert (name, found) == ("Grain in the thickness", verdict)
    assert "38.5 mm" in told(replace(drum, top=replace(drum.top, grain_dive_deg=20.0)))[0][2]


def test_a_knot_in_a_tongue_is_named_with_the_tongue() -> None:
    ((_, verdict, numbers),) = told(with_knots((120.0, 60.0, 8.0), (15.0, 90.0, 8.0)))
    assert verdict == "mend" and "knot 1 (8 mm) in L1 D4" in numbers and "knot 2" not in numbers


def test_knots_in_the_frame_are_well() -> None:
    ((_, verdict, numbers),) = told(with_knots((15.0, 90.0, 8.0)))
    assert (verdict, numbers) == ("good", "none of 1 lies in a tongue")


@pytest.mark.parametrize("knot", [(60.0, 60.0, 8.0), (120.0, 120.0, 5.0), (330.0, 40.0, 6.0)])
def test_the_shift_that_is_offered_clears_every_knot(knot: tuple[float, float, float]) -> None:
    drum = with_knots(knot, (8.0, 170.0, 5.0))
    moved = clear_shift_mm(drum)
    assert moved is not None
    there = [(x + moved[0], y + moved[1], d) for x, y, d in drum.top.knots_mm]
    assert told(with_knots(*there))[0][1] == "good"
    nearer = [(x + 0.9 * moved[0], y + 0.9 * moved[1], d) for x, y, d in drum.top.knots_mm]
    assert told(with_knots(*nearer))[0][1] == "mend", "a shorter way does not do"


def test_a_board_full_of_knots_is_refused_without_a_shift() -> None:
    many = with_knots(*((float(x), float(y), 20.0) for x in range(60, 360, 40) for y in range(40, 150, 30)))
    assert clear_shift_mm(many) is None
    (check,) = board_faults(many, Measure())
    assert "another board" in check.mend


@pytest.mark.roundtrip
def test_knots_are_written_and_read_back() -> None:
    drum = parse_drum(
        REED.replace("thickness = 14.0", "thickness = 14.0\nknots = [[120, 45.5, 8], [200, 90, 12]]")
    )
    assert drum.top.knots_mm == (Knot(120.0, 45.5, 8.0), Knot(200.0, 90.0, 12.0))
    assert parse_drum(drum_text(drum)) == drum


@pytest.mark.refusal
@pytest.mark.parametrize("knots", ["12", "[[120, 45]]", '[[120, 45, "big"]]', "[[120, 45, 400]]"])
def test_what_is_no_list_of_knots_is_refused(knots: str) -> None:
    with pytest.raises(DrumFileError, match="knots in"):
        parse_drum(REED.replace("thickness = 14.0", f"thickness = 14.0\nknots = {knots}"))
