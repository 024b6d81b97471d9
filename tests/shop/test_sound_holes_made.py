"""Sound holes in the shop: the parts, the order of work, the sheets, the solids."""

from __future__ import annotations

import math

import pytest

from kerftone.draw.box_sheets import box_cuts, box_sheets
from kerftone.draw.sheet import Outlined
from kerftone.drum.file import parse_drum
from kerftone.errors import ShopError
from kerftone.modal.box_solids import box_solids
from kerftone.shop.box import box_of
from kerftone.shop.checks import checks_of
from kerftone.shop.measure import measure_of
from kerftone.shop.order import order_of
from kerftone.shop.parts import parts_of

from ..drums import REED

HOLES = """
[[sound_holes]]
part = "back"
diameter = 30.0
along = 100.0
[[sound_holes]]
part = "bottom"
diameter = 12.0
length = 80.0
"""
DRUM, PLAIN = parse_drum(REED + HOLES), parse_drum(REED)
SLOT_MM2 = 68.0 * 12.0 + 36.0 * math.pi


def test_the_solids_lose_what_the_holes_take() -> None:
    whole, holed = (box_solids(box_of(drum)) for drum in (PLAIN, DRUM))
    lost = {name: (whole[name].mass - holed[name].mass) for name in whole}
    assert lost["wall back"] == pytest.approx(225.0 * math.pi * 16.0, rel=1e-6)
    assert lost["bottom"] == pytest.approx(SLOT_MM2 * 8.0, rel=1e-6)
    assert lost["wall front"] == lost["wall left"] == 0.0


def test_the_parts_say_which_wall_has_one() -> None:
    notes = {part.name: part.note for part in parts_of(DRUM, box_of(DRUM))}
    assert notes["Front and back wall"].endswith("sound hole in the back wall")
    assert "sound hole" not in notes["Left and right wall"]
    assert notes["Bottom"] == "sound hole in it"


def test_they_are_cut_in_loose_parts_at_the_places_that_lie_up() -> None:
    steps = {step.name: (at, step) for at, step in enumerate(order_of(DRUM, box_of(DRUM)))}
    at, step = steps["sound holes"]
    assert steps["joints"][0] < at < steps["sand inside"][0] < steps["glue box"][0]
    # 100 mm from the left end seen from outside is 300 mm of 400 seen from inside
    assert "Back wall: 30 mm across, its middle 300 mm from the left end and 45 mm up." in step.words
    assert "Bottom: a slot 12 mm wide and 80 mm long, its middle 200 mm from the left end" in step.words
    assert "sound holes" not in {one.name for one in order_of(PLAIN, box_of(PLAIN))}


def test_a_holed_wall_has_a_sheet_of_its_own_with_the_hole_at_full_size() -> None:
    sheets = box_sheets(DRUM)
    assert {"wall-front", "wall-back", "walls-left-right", "bottom"} <= set(sheets)
    (edge,) = [one for one in sheets["wall-back"].layer("sound holes").shapes if isinstance(one, Outlined)]
    assert edge.path.area_mm2() == pytest.approx(225.0 * math.pi)
    xs = [x for x, _ in edge.path.points]
    assert 0.5 * (min(xs) + max(xs)) == pytest.approx(300.0)
    assert any("30 mm across, its middle 300 mm" in note for note in sheets["wall-back"].notes)
    assert any("a slot 12 mm wide and 80 mm long" in note for note in sheets["bottom"].notes)
    (cut,) = box_cuts(DRUM)["bottom"].layer("sound holes").shapes
    assert isinstance(cut, Outlined)
    assert cut.path.area_mm2() == pytest.approx(SLOT_MM2)


@pytest.mark.refusal
def test_one_that_meets_the_jack_is_refused_with_the_nearest_place() -> None:
    drum = parse_drum(f"{REED}{HOLES}[pickup]\njack_along = 110.0\npot_along = 300.0\n")
    with pytest.raises(ShopError, match=r"meets the jack.*nearest that works along is 1"):
        box_of(drum)


def test_a_high_hole_in_an_end_wall_has_a_catch_and_one_in_a_long_wall_has_none() -> None:
    def checks(part: str, diameter: float) -> list[str]:
        drum = parse_drum(f'{REED}[[sound_holes]]\npart = "{part}"\ndiameter = {diameter}\n')
        found = checks_of(drum, box_of(drum), measure_of(drum))
        return [one.verdict for one in found if one.name.startswith("Sound hole")]

    assert checks("left", 30.0) == ["mind"]
    assert checks("right", 10.0) == ["good"]
    assert checks("back", 30.0) == []
