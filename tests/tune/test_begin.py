from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.check import MIN_ROOT_STRIP_MM, MIN_SIDE_STRIP_MM, check_outline
from kerftone.drum.design import Mount, Units
from kerftone.drum.file import check_drum_text, parse_drum
from kerftone.drum.plan_lines import layout
from kerftone.drum.seat import end_seat_mm, over_mm, seat_mm
from kerftone.drum.template import drum_text
from kerftone.errors import NoteError, SpeciesError
from kerftone.shop.box import box_of
from kerftone.shop.movement import moves_of
from kerftone.tune.before_search import aims_hz, started_drum
from kerftone.tune.begin import USUAL, Wishes, first_drum

POCKETS = ("Top, in its pocket", "Top, between the walls")


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
    wishes = Wishes(
        board_mm=(520.0, 210.0, 15.0), tongue_width_mm=40.0, box_height_mm=80.0, cut="quartersawn"
    )
    drum = first_drum("T", ("D4", "F4", "A4", "C5"), "cherry, black", wishes=wishes)
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


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("number", range(len(USUAL["mm"].sizes)))
def test_every_set_of_sizes_makes_a_drum_that_can_be_sawn(units: Units, number: int) -> None:
    sizes = USUAL[units].sizes[number]
    for notes in (("A4",), ("D3", "A3", "D4"), ("C4", "D4", "E4", "G4", "A4", "C5", "D5")):
        drum = first_drum("T", notes, "cherry, black", units=units, sizes=sizes)
        aims = aims_hz(drum)
        started = started_drum(drum, aims)
        check_outline(started)
        # The bar lies under wood that stays: the root lines are past it.
        assert drum.slots.end_margin_mm > drum.box.wall_mm + drum.box.root_bar_mm
        assert drum.box.root_bar_height_mm <= drum.box.height_mm


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("mount", ["in ledge", "on a lip"])
@pytest.mark.parametrize("thickness_mm", [10.0, 16.0, 25.0])
def test_a_top_let_in_or_hung_by_a_lip_fits_its_box_as_written(
    units: Units, mount: Mount, thickness_mm: float
) -> None:
    wishes = Wishes(mount=mount, thickness_mm=thickness_mm)
    for sizes in USUAL[units].sizes:
        drum = first_drum(
            "T", ("G3", "A3", "C4", "D4"), "cherry, black", wishes=wishes, units=units, sizes=sizes
        )
        assert drum.box.mount == mount
        check_outline(started_drum(drum, aims_hz(drum)))
        check_drum_text(drum_text(drum))
        assert 0.0 < over_mm(drum) < drum.box.wall_mm
        assert drum.slots.end_margin_mm > end_seat_mm(drum) + MIN_ROOT_STRIP_MM
        pocket = next(move for move in moves_of(drum, box_of(drum)) if move.part in POCKETS)
        assert pocket.verdict == "good", pocket.words


def test_the_first_sizes_take_the_least_wood_and_have_the_widest_tongues() -> None:
    for usual in USUAL.values():
        first, *rest = usual.sizes
        assert all(size.wall + size.bar > first.wall + first.bar for size in rest)
        assert all(size.tongue < first.tongue for size in rest)
    assert len(USUAL["mm"].sizes) == len(USUAL["in"].sizes)


def test_a_board_is_as_long_as_the_longest_row_of_tongues_asks() -> None:
    """Low facing high: the lowest of six decides only together with the highest."""
    lengths = [
        first_drum("T", notes, "cherry, black").top.length_mm
        for notes in (("A3", "A3"), ("A3", "A4"), ("A4", "A4"))
    ]
    assert lengths[0] > lengths[1] > lengths[2]
    assert first_drum("T", ("A3", "A4", "A4", "A3"), "cherry, black").top.length_mm == lengths[1]


def test_two_notes_on_a_wide_board_do_not_make_tongues_as_wide_as_it() -> None:
    drum = first_drum("T", ("A3", "E4"), "teak", wishes=Wishes(board_mm=(500.0, 300.0, 16.0)))
    assert drum.top.width_mm - 2 * drum.slots.side_margin_mm < 100.0


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("wishes", "words"),
    [
        (
            Wishes(board_mm=(600.0, 100.0, 16.0), tongue_width_mm=60.0),
            r"60 mm wide do not fit.*board 246 mm wide or tongues 11\.\d mm wide",
        ),
        (
            Wishes(board_mm=(600.0, 100.0, 16.0), tongue_width_mm=20.0),
            r"board 126 mm wide or tongues 11\.\d mm wide",
        ),
        (Wishes(board_mm=(600.0, 70.0, 16.0)), r"10 mm wide do not fit.*board 96 mm wide, or fewer notes"),
    ],
)
def test_tongues_too_wide_for_the_board_in_hand_are_refused(wishes: Wishes, words: str) -> None:
    with pytest.raises(NoteError, match=words):
        first_drum("T", ("A3", "C4", "D4", "E4", "G4", "A4"), "teak", wishes=wishes)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_margins_at_their_limit_survive_being_written(units: Units) -> None:
    """Rows as wide as a narrow board leaves them; rounded to the file's digits the strip must not fall short."""
    wishes = Wishes(board_mm=(508.0, 101.6, 19.05))
    for sizes in (*USUAL[units].sizes[:1], *USUAL[units].slim):
        drum = first_drum(
            "T", ("A3", "C4", "D4", "E4", "G4", "A4"), "cherry", wishes=wishes, units=units, sizes=sizes
        )
        again = parse_drum(drum_text(drum))
        check_outline(again)
        strip = again.slots.side_margin_mm - seat_mm(again) - 0.5 * again.slots.kerf_mm
        assert strip >= MIN_SIDE_STRIP_MM - 1e-9


@pytest.mark.refusal
def test_a_board_longer_than_anyone_planes_is_refused_with_a_thickness() -> None:
    with pytest.raises(NoteError, match=r"longest we plan for is 1200.*thick"):
        first_drum("T", ("B1", "B1"), "cherry, black", wishes=Wishes(thickness_mm=50.0))


@pytest.mark.refusal
def test_a_misspelt_wood_is_offered_its_neighbours() -> None:
    with pytest.raises(SpeciesError, match="cherry, black"):
        first_drum("T", ("D3",), "chery, black")
