"""What the pages to give away say: parts, shopping list, cautions, order of work, tuning sheet.

The poster is `share.py`. Each function gives what one page, or more, is filled with. Sizes in points.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Any, TypeAlias

from reportlab.lib import colors
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer, Table, TableStyle

from kerftone.draw.booklet_style import FACE, p
from kerftone.draw.bow_words import bow_words
from kerftone.draw.share_style import (
    BODY,
    CAUTION,
    CELL,
    GROUP,
    HEAD,
    SMALL,
    STEP,
    STEP_WORDS,
    STRONG,
    Box,
    Section,
    plain_table,
)
from kerftone.draw.style import INK, SLATE
from kerftone.drum.plan_lines import layout
from kerftone.shop.measure import Measure
from kerftone.shop.shop_plan import ShopPlan
from kerftone.shop.shopping import Want
from kerftone.shop.step import Step
from kerftone.shop.step_cautions import CAUTIONS, FIRST

MEASURED = (
    "Length × width × thickness, finished; length is along the grain. Measure your wood before you cut."
)
Kept: TypeAlias = Any
"""What is set on a page; a list is kept together where it fits one."""


def parts_page(plan: ShopPlan, words: Measure, width: float) -> list[Kept]:
    """What is sawn, how the tools are set, and where the slots go.

    Parameters
    ----------
    plan : ShopPlan
        Of the drum.
    words : Measure
        Words for lengths in the drum's own units.
    width : float
        Of the column of text, in points.
    """
    rows = [(part.name, str(part.count), part.finished(words), part.described) for part in plan.parts]
    settings = [(one.part, one.cut, one.settings) for one in plan.settings]
    found: list[Kept] = [
        Section("Parts"),
        p(MEASURED),
        plain_table(("Part", "No.", "Finished size", "Wood"), rows, (2.2, 0.6, 3.6, 3.6), width),
    ]
    if settings:
        table = plain_table(("Part", "Cut", "Set to"), settings, (1.6, 2.0, 5.0), width)
        found.append([p("How the tools are set", GROUP), table])
    return [*found, _slots(plan, words, width)]


def _slots(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    drum = plan.drum
    lines = layout(drum)
    ys = ", ".join(words(y) for y in lines.slot_ys_mm)
    bowed = f"Slots that bow: {bow_words(lines.bows_mm, words)}. " if lines.bows_mm else ""
    rows = [
        (
            tongue.place,
            tongue.note,
            words.sawn(tongue.length_mm or 0.0),
            f"row {tongue.row}, root {tongue.side}",
        )
        for tongue in drum.tongues
    ]
    return [
        p("Slots in the top", GROUP),
        p(
            f"Root lines {words(drum.slots.end_margin_mm)} from both ends. Middles of the long slots from the front "
            f"edge: {ys}. The saw cut is {words(drum.slots.kerf_mm)} wide, half of it on either side of these lines. "
            f"{bowed}The templates show the same at full size.",
            BODY,
        ),
        plain_table(("Tongue", "Note", "From root line to tip", "Where"), rows, (1, 1, 2.4, 2.6), width),
    ]


def shopping_page(wants: Sequence[Want], width: float) -> list[Kept]:
    """Everything to buy or find, with boxes to tick."""
    found: list[Kept] = [
        Section("Shopping list"),
        p("Tick what lies ready. Amounts are generous; labels and the wood in hand come first."),
    ]
    order = list(dict.fromkeys(want.group for want in wants))
    listed = sorted(wants, key=lambda want: order.index(want.group))
    for group, some in groupby(listed, key=lambda want: want.group):
        rows = [(Box(), p(one.amount, STRONG), one.what, p(one.note, SMALL)) for one in some]
        found.append([p(group, GROUP), plain_table((), rows, (0.5, 1.6, 5.4, 2.8), width)])
    return found


def order_page(steps: Sequence[Step], width: float) -> list[Kept]:
    """The order of work, each step with a box to tick and the names of its cautions."""
    return [_step(number, step, width) for number, step in enumerate(steps, start=1)]


def _step(number: int, step: Step, width: float) -> Flowable:
    lines: list[Flowable] = [p(f"{number}. {step.title}", STEP), p(step.words, STEP_WORDS)]
    if step.wait_hours:
        days = f"{step.wait_hours / 24.0:g} days" if step.wait_hours > 36.0 else f"{step.wait_hours:g} hours"
        lines.append(p(f"Then wait {days} for {step.wait_for}.", SMALL))
    if step.cautions:
        lines.append(p(f"Cautions: {', '.join(step.cautions)}.", CAUTION))
    block = Table([[Box(), lines]], colWidths=[6.5 * mm, width - 6.5 * mm])
    block.setStyle(
        TableStyle(
            [
                FACE,
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
            ]
        )
    )
    return block


def tuning_page(plan: ShopPlan, width: float) -> list[Kept]:
    """A sheet to write on at the bench: what each tongue is to sound, and room for what it does."""
    tuning = plan.drum.tuning
    aim = tuning.aim_cents
    way = "flat" if aim < 0.0 else "sharp"
    said = (
        f"Each tongue is cut about {abs(aim):g} cents {way} of its note and brought in by boring. "
        if aim
        else ""
    )
    return [
        Section("Tuning sheet"),
        p(
            f"{said}Write what you hear, in Hz or in cents from the note, minus for flat, and bit and depth of each "
            f"bore. In tune is within {tuning.tolerance_cents:g} cents. Tap every tongue again after each bore: "
            "neighbours move too."
        ),
        Spacer(1, 4),
        _to_write_on(plan, width),
        Spacer(1, 10),
        plain_table(
            (),
            [
                ("Temperature and humidity", "", "Finish, and when", ""),
                ("Kerf as measured", "", "Weight of the drum", ""),
                ("Made by", "", "Date", ""),
            ],
            (2.6, 2.6, 1.9, 2.6),
            width,
            tall=26.0,
        ),
    ]


def _to_write_on(plan: ShopPlan, width: float) -> Table:
    """A line for each tongue with its note and pitch, and empty cells."""
    drum = plan.drum
    heads = ("Tongue", "Note", "Hz", "As sawn", "Top glued", "1st bore", "2nd bore", "3rd bore", "Finished")
    rows = [
        [p(t.place, STRONG), p(t.note, STRONG), p(f"{hz:.1f}", CELL), *[""] * 6]
        for t, hz in zip(drum.tongues, drum.targets_hz, strict=True)
    ]
    tall = min(48.0, max(22.0, 400.0 / len(rows)))
    shares = (0.9, 0.8, 1.0, 1.2, 1.2, 1.2, 1.2, 1.2, 1.2)
    sheet = Table(
        [[p(head, HEAD) for head in heads], *rows],
        colWidths=[width * share / sum(shares) for share in shares],
        rowHeights=[20.0, *[tall] * len(rows)],
    )
    sheet.setStyle(
        TableStyle(
            [
                FACE,
                ("GRID", (0, 0), (-1, -1), 0.4, colors.HexColor(SLATE)),
                ("LINEBELOW", (0, 0), (-1, 0), 1.0, colors.HexColor(INK)),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LEFTPADDING", (0, 0), (-1, -1), 4),
                ("RIGHTPADDING", (0, 0), (-1, -1), 2),
            ]
        )
    )
    return sheet


def cautions_page(steps: Sequence[Step], width: float) -> list[Kept]:
    """What can hurt at the steps of this drum, by the words with which the steps point here."""
    needed = list(dict.fromkeys(name for step in steps for name in step.cautions))
    rows = [(name[:1].upper() + name[1:], CAUTIONS[name]) for name in needed]
    return [[Section("Cautions"), p(FIRST), plain_table((), rows, (1.6, 8.0), width)]]
