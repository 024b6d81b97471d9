"""One list to shop by: everything that the steps use stands on it."""

from dataclasses import replace

from tests.draw.twenty import drum_named

from kerftone.drum.shop import Finish, Mallets, Pickup
from kerftone.shop.measure import measure_of
from kerftone.shop.shop_plan import shop_plan
from kerftone.shop.shopping import FINISH_M2_PER_LITRE, shopping_of


def _list(drum, **more):
    wants = shopping_of(shop_plan(drum), measure_of(drum), **({"paper": "A4", "sheets": 9} | more))
    return {f"{want.group}: {want.what}": want for want in wants}


def test_a_plain_drum_needs_wood_for_every_part_glue_finish_mallets_bits_and_paper():
    drum = drum_named("Plain")
    wants = _list(drum)
    groups = {want.group for want in wants.values()}
    assert groups == {"Wood", "Glue and finish", "Feet", "Mallets", "Bits and blades", "To work with"}
    wood = " ".join(want.note for want in wants.values() if want.group == "Wood")
    assert all(part.name.lower() in wood for part in shop_plan(drum).parts)
    assert wants["To work with: sheets of A4 for the templates"].amount == "9"


def test_what_a_drum_has_not_got_is_not_bought():
    drum = drum_named("Plain")
    bare = replace(drum, making=replace(drum.making, mallets=Mallets(count=0), finish=Finish(coats=0)))
    said = " ".join(_list(bare, sheets=None))
    assert "Mallets" not in said and "oil" not in said and "sheets of" not in said


def test_a_pickup_brings_its_parts_and_the_bit_for_its_holes():
    drum = drum_named("Plain")
    said = " ".join(_list(replace(drum, making=replace(drum.making, pickup=Pickup()))))
    for words in ("contact disc", "panel jack", "volume control", "solder", "bit 9.9 mm"):
        assert words in said


def test_stop_holes_bring_their_bit():
    assert any("brad-point bit 8 mm" in what for what in _list(drum_named("Stop holes")))


def test_the_finish_is_enough_for_all_coats_and_no_more_than_a_small_bottle_over():
    drum = drum_named("Plain")
    drum = replace(drum, making=replace(drum.making, finish=Finish(kind="oil", coats=6)))
    plan = shop_plan(drum)
    (oil,) = [want for want in _list(drum).values() if want.what == "oil"]
    long, wide, high = plan.box.length_mm, plan.box.width_mm, plan.box.whole_height_mm
    outside_m2 = 2.0 * (long * wide + long * high + wide * high) * 1e-6  # all six faces of a closed box
    need_ml = 6.0 * outside_m2 / FINISH_M2_PER_LITRE * 1000.0
    assert need_ml <= float(oil.amount.split()[0]) <= need_ml + 50.0
