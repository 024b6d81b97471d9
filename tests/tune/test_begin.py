from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.outline import layout
from kerftone.errors import NoteError, SpeciesError
from kerftone.tune.begin import Wishes, first_drum
from kerftone.tune.fit import fit


def test_lower_notes_get_a_longer_board_and_thicker_wood_too() -> None:
    high, low = (first_drum("T", notes, "cherry, black") for notes in (("A3", "C4"), ("A2", "C3")))
    thick = first_drum("T", ("A3", "C4"), "cherry, black", wishes=Wishes(thickness_mm=22.0))
    assert low.top.length_mm > high.top.length_mm and thick.top.length_mm > high.top.length_mm
    for drum in (high, low, thick):
        check_outline(drum)


def test_inch_drums_come_in_quarter_inches() -> None:
    drum = first_drum("T", ("D3", "A3", "D4"), "walnut, black", units="in")
    for mm in (drum.top.length_mm, drum.top.width_mm):
        assert (mm / 6.35) == pytest.approx(round(mm / 6.35))


def test_what_the_maker_has_decided_is_kept() -> None:
    wishes = Wishes(board_mm=(520.0, 210.0, 15.0), tongue_width_mm=40.0, box_height_mm=80.0)
    drum = first_drum("T", ("D4", "F4", "A4", "C5"), "cherry, black", wishes=wishes, cut="quartersawn")
    assert (drum.top.length_mm, drum.top.width_mm, drum.top.thickness_mm) == (520.0, 210.0, 15.0)
    assert drum.top.cut == "quartersawn" and drum.box.height_mm == 80.0
    placed = replace(
        drum,
        tongues=tuple(
            replace(tongue, row=1 + at // 2, side="left" if at % 2 else "right")
            for at, tongue in enumerate(drum.tongues)
        ),
    )
    assert layout(placed).tongue_width_mm == pytest.approx(40.0)


@pytest.mark.refusal
def test_a_board_in_hand_too_short_for_the_notes_is_refused_with_its_length() -> None:
    with pytest.raises(NoteError, match=r"board in hand is 300 mm.*higher notes"):
        first_drum("T", ("D3", "A3"), "cherry, black", wishes=Wishes(board_mm=(300.0, 200.0, 16.0)))


@pytest.mark.slow
def test_what_it_proposes_can_be_fitted_with_the_places_free() -> None:
    drum = first_drum("T", ("E3", "A3", "B3", "E4"), "walnut, black")
    result = fit(drum)
    assert all(tongue.row and tongue.side for tongue in result.drum.tongues)
    assert result.clarity_worst is not None and result.clarity_reached >= result.clarity_worst


@pytest.mark.refusal
def test_a_board_longer_than_anyone_planes_is_refused_with_a_thickness() -> None:
    with pytest.raises(NoteError, match=r"longest we plan for is 1200.*thick"):
        first_drum("T", ("B1", "B1"), "cherry, black", wishes=Wishes(thickness_mm=50.0))


@pytest.mark.refusal
def test_a_misspelt_wood_is_offered_its_neighbours() -> None:
    with pytest.raises(SpeciesError, match="cherry, black"):
        first_drum("T", ("D3",), "chery, black")
