"""`kerftone build` in words: parts in short, checks in full."""

from __future__ import annotations

from kerftone.cli.screen import Column, show, show_table
from kerftone.jobs.plan_shop import BOOKLET, CUTLIST, NUMBERS, ShopPlanned
from kerftone.shop.measure import measure_of
from kerftone.shop.parts import Part
from kerftone.shop.shop_plan import ShopPlan

GRAMS_PER_POUND = 453.592
"""By definition of the pound."""
WHAT = {
    BOOKLET: "the booklet: print it",
    CUTLIST: "the cut list, for a spreadsheet",
    NUMBERS: "the numbers",
}


def show_shop_plan(done: ShopPlanned) -> None:
    """The plan, and the files written."""
    _show(done.plan)
    show("")
    if done.accepted is not None:
        show(f"The pickup's place is written into {done.accepted}.")
    elif done.proposed_mm is not None:
        words = measure_of(done.plan.drum)
        x, y = (words(mm) for mm in done.proposed_mm)
        show(
            f"Proposed for the pickup: {done.proposed_on}, its middle {x} along and {y} across. `--accept pickup` "
            "writes this into the drum file.",
            wrap=True,
        )
    for path in done.written:
        show(f"Wrote {path}: {WHAT[path.name]}.")


def _show(plan: ShopPlan) -> None:
    words = measure_of(plan.drum)
    outside = words.size(plan.box.length_mm, plan.box.width_mm, plan.box.whole_height_mm)
    weight = "" if plan.weight_g is None else f", {plan.weight_g / 1000.0:.2f} kg of wood"
    if plan.weight_g is not None and plan.drum.units == "in":
        weight = f", {plan.weight_g / GRAMS_PER_POUND:.1f} lb of wood"
    show(f"{plan.drum.name}: {outside} outside, {plan.box.joint}{weight}")
    show("")
    columns: list[Column[Part]] = [
        Column("Part", lambda part: part.name),
        Column("Count", lambda part: str(part.count), number=True),
        Column("Finished size", lambda part: words.size(*part.size_mm)),
        Column("Wood", lambda part: part.wood),
    ]
    show_table(columns, plan.parts)
    show("")
    marks = {"good": "good", "mind": "MIND", "mend": "MEND"}
    order = ("mend", "mind", "good")
    for check in sorted(plan.checks, key=lambda one: order.index(one.verdict)):
        mend = f" {check.mend[:1].upper()}{check.mend[1:]}" if check.mend else ""
        show(f"{marks[check.verdict]}  {check.name}: {check.numbers}.{mend}", wrap=True)
    left = sum(len(buy.parts) for buy in plan.cutting.buy)
    if plan.drum.making.stock and left:
        show("")
        finds = "1 part finds" if left == 1 else f"{left} parts find"
        show(f"{finds} no place on the boards on hand: the booklet says what to buy.")
