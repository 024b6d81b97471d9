"""A lip in the shop: thick and wide enough or not, and what glue in a gap is worth."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.design import Drum
from kerftone.shop.box import box_of
from kerftone.shop.cutlist import weight_g
from kerftone.shop.lip import glue_check, lip_checks
from kerftone.shop.measure import measure_of
from kerftone.shop.movement import moves_of
from kerftone.shop.parts import settings_of

from .conftest import reed


def lipped(**top: float) -> Drum:
    drum = reed(mount="on a lip", fit="on a lip")
    return replace(drum, top=replace(drum.top, **top))


@pytest.mark.parametrize("left, verdict", [(8.0, "good"), (4.5, "mind"), (2.5, "mend")])
def test_a_lip_that_is_too_thin_is_told(left: float, verdict: str) -> None:
    drum = lipped(lip_thickness_mm=left)
    found = {one.name: one for one in lip_checks(drum, box_of(drum), measure_of(drum))}
    assert found["Lip of the top"].verdict == verdict
    assert found["Glue under the lip of the top"].verdict == "good"
    assert verdict == "good" or "make lip_thickness in [top] 5 mm or more" in found["Lip of the top"].mend


def test_the_body_must_have_room_to_swell_between_the_walls() -> None:
    names = {move.part: move for move in moves_of(lipped(), box_of(lipped()))}
    assert names["Top, between the walls"].room_mm == 1.0
    tight = replace(lipped(), box=replace(lipped().box, clearance_mm=0.1))
    assert {m.part: m for m in moves_of(tight, box_of(tight))}["Top, between the walls"].verdict == "mind"


def test_the_settings_say_how_to_cut_both_rabbets() -> None:
    drum = lipped()
    told = {
        row.part: row.settings
        for row in settings_of(drum, box_of(drum), measure_of(drum))
        if "all round" in row.cut
    }
    assert told["Top"].startswith("6.5 mm in from every edge, 6 mm deep")
    assert told["Bottom"].startswith("6.5 mm in from every edge, 4 mm deep")


def test_the_rabbets_wood_is_not_weighed() -> None:
    drum = lipped()
    box, plain = box_of(drum), reed(mount="on walls", fit="on a lip")
    # 400 by 180 less 6.5 all round, 6 mm deep, and the walls' outer size by 10 mm more a side
    cut = (400.0 * 180.0 - 387.0 * 167.0) * 6.0 * drum.top.elastic.density_kg_m3 * 1e-6
    whole = replace(box, top_step=None)
    assert weight_g(drum, whole, top_mm2=6e4) - weight_g(drum, box, top_mm2=6e4) == pytest.approx(cut)
    assert box_of(plain).top_step is None


def test_what_glue_in_the_gap_is_worth_is_minded_where_it_is_heard() -> None:
    drum = reed(mount="in ledge")
    heard = glue_check(drum, (12.0, 30.0, 3.0, 8.0), "glued here")
    assert heard.verdict == "mind" and heard.numbers == "Glued here" and "fill the gap" in heard.mend
    assert glue_check(drum, (1.0, 0.5, 2.0, 1.0), "glued here").verdict == "good"
