"""`kerftone build` in words: parts in short, checks in full."""

from __future__ import annotations

from kerftone.cli.make import show_files
from kerftone.cli.screen import Column, show, show_table
from kerftone.jobs.plan_shop import ShopPlanned
from kerftone.shop.measure import measure_of
from kerftone.shop.parts import Part
from kerftone.shop.shop_plan import ShopPlan
from kerftone.units import GRAMS

MARKS = {"mend": "MEND", "mind": "MIND", "good": "good"}
"""How a check ended: the worst are shown first."""


def show_shop_plan(done: ShopPlanned) -> None:
    """The plan, and the files written."""
    _show(done.plan)
    show("")
    if done.accepted is not None:
        show(f"The pickup's place is written into {done.accepted}.")
    elif done.proposed_mm is not None:
        x, y = map(measure_of(done.plan.drum), done.proposed_mm)
        show(
            f"Proposed for the pickup: {done.proposed_on}, its middle {x} along and {y} across. `--accept pickup` "
            "writes this into the drum file.",
            wrap=True,
        )
    show_files(done.written)


def _show(plan: ShopPlan) -> None:
    words, grams = measure_of(plan.drum), plan.weight_g
    outside = words.size(plan.box.length_mm, plan.box.width_mm, plan.box.whole_height_mm)
    weight = ""
    if grams is not None:
        heavy = f"{grams / GRAMS['lb']:.1f} lb" if plan.drum.units == "in" else f"{grams / 1000.0:.2f} kg"
        weight = f", {heavy} of wood"
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
    for check in sorted(plan.checks, key=lambda one: list(MARKS).index(one.verdict)):
        mend = f" {check.mend[:1].upper()}{check.mend[1:]}" if check.mend else ""
        show(f"{MARKS[check.verdict]}  {check.name}: {check.numbers}.{mend}", wrap=True)
    left = sum(len(buy.parts) for buy in plan.cutting.buy)
    if plan.drum.making.stock and left:
        show("")
        finds = "1 part finds" if left == 1 else f"{left} parts find"
        show(f"{finds} no place on the boards on hand: the booklet says what to buy.")
