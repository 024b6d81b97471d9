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


def test_a_board_just_long_enough_gets_short_root_strips() -> None:
    notes, oak = ("D3", "F3", "G3", "A3", "C4", "D4"), "oak, white"
    own = first_drum("T", notes, oak).top.length_mm
    drum = first_drum("T", notes, oak, wishes=Wishes(board_mm=(own - 20.0, 200.0, 16.0)))
    assert drum.slots.end_margin_mm < first_drum("T", notes, oak).slots.end_margin_mm
    check_outline(drum)


def test_two_notes_on_a_wide_board_do_not_make_tongues_as_wide_as_it() -> None:
    drum = first_drum("T", ("A3", "E4"), "teak", wishes=Wishes(board_mm=(500.0, 300.0, 16.0)))
    assert drum.top.width_mm - 2 * drum.slots.side_margin_mm < 100.0


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("wishes", "words"),
    [
        (
            Wishes(board_mm=(600.0, 100.0, 16.0), tongue_width_mm=60.0),
            r"60 mm wide do not fit.*board 232 mm wide",
        ),
        (
            Wishes(board_mm=(600.0, 100.0, 16.0), tongue_width_mm=20.0),
            r"board 112 mm wide or tongues 16\d* mm",
        ),
        (Wishes(board_mm=(600.0, 70.0, 16.0)), r"10 mm wide do not fit.*board 82 mm wide, or fewer notes"),
    ],
)
def test_tongues_too_wide_for_the_board_in_hand_are_refused(wishes: Wishes, words: str) -> None:
    with pytest.raises(NoteError, match=words):
        first_drum("T", ("A3", "C4", "D4", "E4", "G4", "A4"), "teak", wishes=wishes)


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
