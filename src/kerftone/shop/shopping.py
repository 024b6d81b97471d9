"""Everything to have before the first cut: wood, glue, finish, hardware, mallets, bits, paper. One list to shop by.

Boards come from the cutting plan, hardware from `hardware.py`; what is used up and which bits are needed is worked
out here. Amounts of glue and finish are common practice, no source; the label comes first. mm, mm².
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from kerftone.shop.measure import Measure
from kerftone.shop.shop_plan import ShopPlan
from kerftone.units import Units, bit_width

GLUE_G_PER_M2 = 200.0
"""Wood glue on one face of a joint (common practice, no source)."""
FINISH_M2_PER_LITRE = 12.0
"""What a litre of oil covers in one coat (common practice, no source)."""
ML_PER_FL_OZ = 29.57
"""The US fluid ounce, a 128th of its gallon of 231 cubic inches."""
LEAST_GLUE_ML, LEAST_FINISH_ML = 50.0, 100.0
"""The smallest bottle worth naming: our own judgement."""


@dataclass(frozen=True, kw_only=True)
class Want:
    """One line of the list: under which heading it stands, how much, what, and a word on it."""

    group: str
    amount: str
    what: str
    note: str = ""


def shopping_of(plan: ShopPlan, words: Measure, *, paper: str, sheets: int | None) -> tuple[Want, ...]:
    """What to buy or have at hand for this drum. Held by tests/shop/test_shopping.py.

    Parameters
    ----------
    plan : ShopPlan
        Of the drum.
    words : Measure
        Words for lengths in the drum's own units.
    paper : str
        What the templates are printed on, by its name.
    sheets : int | None
        How many sheets they take; None while they cannot be drawn.
    """
    return (
        *_wood(plan, words),
        *_used_up(plan, words),
        *_hardware(plan),
        *_bits(plan, words),
        *_aids(plan, paper, sheets),
    )


def _wood(plan: ShopPlan, words: Measure) -> Iterator[Want]:
    for board in plan.cutting.boards:
        stock = board.stock
        size = words.size(stock.length_mm, stock.width_mm, stock.thickness_mm)
        yield Want(group="Wood", amount="1", what=f"{stock.wood}, {size}", note="on hand")
    for buy in plan.cutting.buy:
        counted = ", ".join(dict.fromkeys(buy.parts)).lower()
        size = f"{words(buy.thick_mm)} or thicker, {words(buy.widest_mm)} wide, {words(buy.longest_mm)} long"
        feet = (
            f"{buy.board_feet:.1f} board feet"
            if words.units == "in"
            else f"{1000.0 * buy.volume_m3:.1f} litres"
        )
        yield Want(group="Wood", amount=feet, what=f"{buy.wood}: {size}", note=f"for {counted}")


def _bottle(millilitres: float, units: Units) -> str:
    """So much of a liquid as bottles are sold: 50 ml, or 2 fl oz (US, 29.57 ml), rounded up."""
    return f"{millilitres:.0f} ml" if units == "mm" else f"{math.ceil(millilitres / ML_PER_FL_OZ)} fl oz"


def _used_up(plan: ShopPlan, words: Measure) -> Iterator[Want]:
    box, finish = plan.box, plan.drum.making.finish
    rim = 2.0 * (box.length_mm + box.width_mm) * box.wall_mm
    faces = 2.0 * rim + 8.0 * box.wall_mm * box.wall_height_mm
    bar = box.root_bar
    if bar is not None:
        long, high, thick = bar.size_mm
        faces += 2.0 * long * (high + thick)
    glue = max(LEAST_GLUE_ML, 50.0 * math.ceil(faces * 1e-6 * GLUE_G_PER_M2 / 50.0))
    bottle = _bottle(glue, words.units)
    yield Want(group="Glue and finish", amount=bottle, what="wood glue", note="with time to close the box")
    if finish.coats:
        area = 2.0 * box.length_mm * box.width_mm + 2.0 * (box.length_mm + box.width_mm) * box.whole_height_mm
        need = 1000.0 * area * 1e-6 * finish.coats / FINISH_M2_PER_LITRE
        amount = max(LEAST_FINISH_ML, 50.0 * math.ceil(need / 50.0))
        coats = f"{finish.coats} coat{'s' * (finish.coats != 1)}"
        yield Want(group="Glue and finish", amount=_bottle(amount, words.units), what=finish.kind, note=coats)
        yield Want(
            group="Glue and finish", amount="some", what="rags or a brush", note="oily rags: see the cautions"
        )
    yield Want(group="Glue and finish", amount="some", what="abrasive paper, 120, 180 and 240 grit")


def _hardware(plan: ShopPlan) -> Iterator[Want]:
    for one in plan.bought:
        group = "Feet"
        if any(word in one.what for word in ("balls", "dowels")):
            group = "Mallets"
        elif any(word in one.what for word in ("disc", "jack", "control", "cable")):
            group = "Pickup"
        yield Want(group=group, amount=str(one.count), what=one.what, note=one.note)


def _bits(plan: ShopPlan, words: Measure) -> Iterator[Want]:
    drum, fine = plan.drum, replace(words, parts=64)
    slots, pickup, mallets = drum.slots, drum.making.pickup, drum.making.mallets
    group = "Bits and blades"
    yield Want(
        group=group,
        amount="1",
        what=f"saw blade or router bit that cuts {words(slots.kerf_mm)} wide",
        note="slots",
    )
    if slots.round_over_mm:
        bit = f"round-over bit, radius {fine(slots.round_over_mm)}"
        yield Want(group=group, amount="1", what=bit, note="slots' edges")
    if slots.stop_hole_mm > slots.kerf_mm:
        yield Want(
            group=group, amount="1", what=f"brad-point bit {fine(slots.stop_hole_mm)}", note="stop holes"
        )
    if slots.countersink_mm:
        bit = f"countersink bit, 90 degrees, {fine(slots.countersink_mm)} or wider"
        yield Want(group=group, amount="1", what=bit, note="stop holes")
    listed = ", ".join(bit_width(mm, words.units) for mm in drum.shop.bits_mm)
    yield Want(
        group=group,
        amount="1 or more",
        what=f"Forstner bits: {listed}",
        note="tuning; the log asks for these",
    )
    if pickup is not None:
        wall = plan.box.wall(pickup.wall)
        across = fine(wall.holes[0].diameter_mm) if wall.holes else fine(pickup.bushing_mm)
        yield Want(group=group, amount="1", what=f"bit {across}", note="jack and volume control")
        wide = max((hole.wide_mm for hole in wall.holes if hole.deep_mm), default=0.0)
        if wide:
            yield Want(
                group=group, amount="1", what=f"Forstner bit {fine(wide)}", note="counterbores in the wall"
            )
    cuts = (*(cut for wall in plan.box.walls for cut in wall.sound_holes), *plan.box.bottom_holes)
    for wide in sorted({cut.wide_mm for cut in cuts}):
        yield Want(group=group, amount="1", what=f"bit or hole saw {fine(wide)}", note="sound holes")
    if mallets.count:
        yield Want(group=group, amount="1", what=f"bit {fine(mallets.dowel_mm)}", note="mallet balls")


def _aids(plan: ShopPlan, paper: str, sheets: int | None) -> Iterator[Want]:
    if sheets is not None:
        what = f"sheet{'s' * (sheets != 1)} of {paper} for the templates"
        yield Want(group="To work with", amount=str(sheets), what=what, note="print at 100 %")
    if plan.drum.making.pickup is not None:
        yield Want(group="Pickup", amount="some", what="solder, cable ties, thin glue for the disc")
    yield Want(group="To work with", amount="1", what="band clamp, four clamps, cauls")
    yield Want(group="To work with", amount="1", what="tuner or microphone", note="to tune by")
