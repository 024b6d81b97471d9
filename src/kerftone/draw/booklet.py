"""The shop booklet, `build.pdf`: what a maker has beside the saw.

Takes a ShopPlan and sets it in pages: first what the drum is and what to mend, then parts, settings, walls,
boards, the order of work with its cautions, moving wood, pickup, what to buy. Large type, dark ink, a box to tick
at each step; nothing in it is to scale, and each picture says so. Drawings at full size are another file.

Pages are Letter for drums in inches and A4 for others, unless the file names the paper.
"""

from __future__ import annotations

import io
from collections.abc import Sequence

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    HRFlowable,
    KeepTogether,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from kerftone.draw.booklet_notes import bought, moving, pickup_pages
from kerftone.draw.booklet_pictures import board_picture, wall_picture
from kerftone.draw.booklet_style import CAUTION, CELL, FACE, SECTION, SMALL, STEP, TITLE, Tick, p, table
from kerftone.draw.bow_words import bow_words
from kerftone.draw.fonts import BOLD_FONT, WORDS_FONT, printable, use_fonts
from kerftone.draw.style import INK, SLATE
from kerftone.drum.paper import PAPERS_MM, paper_of
from kerftone.drum.plan_lines import layout
from kerftone.shop.measure import Measure, measure_of
from kerftone.shop.shop_plan import ShopPlan, fitted
from kerftone.shop.step import Step
from kerftone.shop.step_cautions import CAUTIONS, FIRST
from kerftone.shop.verdict import Check
from kerftone.units import Units, format_mass

MARGIN = 16 * mm
"""Own judgement; printers reach within 5 mm of the edge (from memory)."""


def booklet_pdf(plan: ShopPlan, *, made_by: str) -> bytes:
    """The booklet as the bytes of a PDF. Held by tests/draw/test_booklet.py, which reads its pages back."""
    page = tuple(side * mm for side in PAPERS_MM[paper_of(plan.drum)])
    use_fonts()
    stream = io.BytesIO()
    name = printable(plan.drum.name) or "A tongue drum"
    document = SimpleDocTemplate(
        stream,
        pagesize=page,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN + 4 * mm,
        title=f"{name}: shop plan",
        author=made_by,
        invariant=1,
        initialFontName=WORDS_FONT,  # or every page would begin with a font that is not in the file
    )
    width = page[0] - 2 * MARGIN - 12.0  # the frame's own padding, 6 points a side
    words = measure_of(plan.drum)
    story: list[Flowable] = [
        *_front(plan, words, width),
        *_parts(plan, words, width),
        *_walls(plan, words, width),
        *_tongues(plan, words, width),
        *_boards(plan, words, width),
        *pickup_pages(plan, words, width),
        CondPageBreak(90 * mm),
        *_order(plan, width),
        *moving(plan, words, width),
        *bought(plan, width),
    ]

    def foot(canvas: Canvas, _: object) -> None:
        canvas.saveState()
        canvas.setFont(WORDS_FONT, 8.5)
        canvas.setFillColor(colors.HexColor(SLATE))
        canvas.drawString(MARGIN, 11 * mm, _short(f"{name}, shop plan. {made_by}.", width - 60))
        canvas.drawRightString(MARGIN + width, 11 * mm, f"page {canvas.getPageNumber()}")
        canvas.restoreState()

    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return stream.getvalue()


def _short(words: str, width: float) -> str:
    """These words cut to fit one line of the foot."""
    while stringWidth(words, WORDS_FONT, 8.5) > width and len(words) > 4:
        words = words[:-4] + "..."
    return words


def _front(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    drum, box = plan.drum, plan.box
    facts = [
        ("Notes", ", ".join(tongue.note for tongue in drum.tongues)),
        ("Outside", words.size(box.length_mm, box.width_mm, box.whole_height_mm) + ", without feet"),
        ("Top", f"{drum.top.wood}, {drum.top.cut}, {words(drum.top.thickness_mm)}, {drum.box.mount}"),
        ("Walls", f"{drum.box.wood}, {words(drum.box.wall_mm)}, {drum.box.joint}"),
    ]
    if drum.box.root_bar_mm:
        bars = f"{words(drum.box.root_bar_mm)} wide, {words(drum.box.root_bar_height_mm)} high, inside the end walls"
        facts.append(("Root bars", bars))
    if drum.bottom is not None:
        facts.append(("Bottom", f"{drum.bottom.wood}, {words(drum.bottom.thickness_mm)}, {drum.bottom.fit}"))
    facts.append(
        (
            "Weight",
            "known when the tongues have lengths"
            if plan.weight_g is None
            else f"about {_weight_words(plan.weight_g, drum.units)} of wood; one board may be a tenth off",
        )
    )
    missing = [t.note for t in drum.tongues if t.length_mm is None]
    note = (
        [
            p(
                f"Tongues without a length yet: {', '.join(missing)}. Have them found before you saw.",
                CAUTION,
            )
        ]
        if missing
        else []
    )
    return [
        p("Shop plan of a tongue drum", SMALL),
        p(drum.name or "A tongue drum", TITLE),
        HRFlowable(width=width, thickness=2, color=colors.HexColor(INK), spaceAfter=6),
        _facts(facts, width),
        *note,
        Spacer(1, 4),
        p("Before the first cut", SECTION),
        *_checks(plan.checks, width),
        Spacer(1, 6),
        p(FIRST, CAUTION),
    ]


def _weight_words(grams: float, units: Units) -> str:
    """A weight as it is bought there, and in the other unit."""
    other: Units = "mm" if units == "in" else "in"
    return f"{format_mass(grams, units)} ({format_mass(grams, other)})"


def _facts(facts: Sequence[tuple[str, str]], width: float) -> Table:
    bold = ParagraphStyle("bold", parent=CELL, fontName=BOLD_FONT)
    found = Table(
        [[p(key, bold), p(value, CELL)] for key, value in facts], colWidths=[0.14 * width, 0.86 * width]
    )
    found.setStyle(
        TableStyle([FACE, ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)])
    )
    return found


def _checks(checks: Sequence[Check], width: float) -> list[Flowable]:
    marks = {"good": "good", "mind": "MIND THIS", "mend": "MEND FIRST"}
    ranked = sorted(checks, key=lambda check: ("mend", "mind", "good").index(check.verdict))
    rows = [
        (marks[c.verdict], c.name, c.numbers + "." + (f" {c.mend[:1].upper()}{c.mend[1:]}" if c.mend else ""))
        for c in ranked
    ]
    return [table(("", "Check", "Numbers, and what to do"), rows, (1.1, 1.8, 5.6), width)]


def _parts(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    rows = [
        (str(part.count), part.name, part.described, part.finished(words), words.size(*part.rough_mm))
        for part in plan.parts
    ]
    settings = [(s.part, s.cut, s.settings) for s in plan.settings]
    listed = [
        p("Parts", SECTION),
        p(
            "Length × width × thickness; length is along the grain. Saw to the rough size first, let "
            "it rest, then bring it "
            "to the finished size."
        ),
        table(("No.", "Part", "Wood and grain", "Finished", "Rough"), rows, (0.6, 1.7, 3, 2.6, 2.2), width),
    ]
    set_to = [
        p("Settings for the joints", SECTION),
        p(
            "Set the tool to scrap of the same thickness and try each cut before the wood that "
            "counts. Inside faces towards "
            "the cutter for rabbets."
        ),
        table(("Part", "Cut", "Set to"), settings, (1.3, 1.9, 4.6), width),
    ]
    return [KeepTogether(listed), KeepTogether(set_to)]


def _walls(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    shown = [(("front", "back"), plan.box.wall("front")), (("left", "right"), plan.box.wall("left"))]
    head: list[Flowable] = [p("The walls, from inside and from above", SECTION)]
    found: list[Flowable] = []
    for names, wall in shown:
        title = f"{names[0].title()} and {names[1]} wall. Not to scale; measure by the figures."
        picture = wall_picture(wall, words, width=width)
        found.append(KeepTogether([*head, p(title, SMALL), picture, Spacer(1, 6)]))
        head = []
    return found


def _tongues(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    """Where the saw goes in the top, in figures; the full-size drawing says the same."""
    drum = plan.drum
    if not fitted(drum):
        return []
    lines = layout(drum)
    ys = ", ".join(words(y) for y in lines.slot_ys_mm)
    bowed = f"Slots that bow: {bow_words(lines.bows_mm, words)}. " if lines.bows_mm else ""
    rows = [
        (tongue.note, f"row {tongue.row}, root {tongue.side}", words.sawn(tongue.length_mm or 0.0))
        for tongue in drum.tongues
    ]
    return [
        KeepTogether(
            [
                p("Slots in the top", SECTION),
                p(
                    f"Root lines {words(drum.slots.end_margin_mm)} from both ends. Middles of the "
                    "long slots from the "
                    f"front edge: {ys}. The saw cut is {words(drum.slots.kerf_mm)} wide, half of it "
                    "on either side of "
                    "these lines. In a row with two tongues all the wood between their tips goes. "
                    "Rows count from the "
                    f"front edge. {bowed}Mark out from the full-size drawing and check it with these."
                ),
                table(("Note", "Place", "From root line to tip"), rows, (1, 2, 2), 0.7 * width),
            ]
        )
    ]


def _boards(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    cutting = plan.cutting
    head: list[Flowable] = []
    found: list[Flowable] = []
    if cutting.boards:
        share = cutting.yield_share or 0.0
        cost = "" if cutting.cost is None else f" The boards used cost {cutting.cost:.2f}."
        head = [
            p("Boards", SECTION),
            p(
                f"Rough parts on the boards on hand, grain along the board, {words(cutting.kerf_mm)} "
                "of kerf between. "
                f"{share:.0%} of these boards becomes parts.{cost} Cut around knots: shift a piece "
                "along its strip rather "
                "than across."
            ),
        ]
    longest = max((board.stock.length_mm for board in cutting.boards), default=1.0)
    for number, board in enumerate(cutting.boards, start=1):
        size = words.size(board.stock.length_mm, board.stock.width_mm, board.stock.thickness_mm)
        pieces = ", ".join(f"{n} {name}" for name, n in _counted([piece.part for piece in board.pieces]))
        title = f"Board {number}: {board.stock.wood}, {size}, {board.yield_share:.0%} used, for {pieces}. "
        title += "Not to scale."
        picture = board_picture(board, words, width=width, longest_mm=longest)
        found.append(KeepTogether([*head, p(title, SMALL), picture, Spacer(1, 8)]))
        head = []
    if cutting.buy:
        rows = [
            (
                buy.wood,
                ", ".join(f"{n} {name}" for name, n in _counted(buy.parts)),
                f"{words(buy.thick_mm)} or thicker, {words(buy.longest_mm)} long, "
                f"{words(buy.widest_mm)} wide",
                f"{buy.board_feet:.1f} board feet"
                if words.units == "in"
                else f"{buy.volume_m3 * 1000.0:.1f} litres ({buy.volume_m3:.4f} m³)",
            )
            for buy in cutting.buy
        ]
        listed = [
            p("Boards to buy" if not cutting.boards else "Still to buy", SECTION),
            p(
                "With three tenths added for knots, ends and test cuts. Where no single board is "
                "wide enough, glue the part "
                "up from two with the grain the same way, before it is brought to size."
            ),
            table(("Wood", "For", "At least", "Amount"), rows, (1.4, 2.4, 2.6, 2.2), width),
        ]
        found.append(KeepTogether(listed))
    return found


def _counted(names: Sequence[str]) -> list[tuple[str, int]]:
    return [(name, names.count(name)) for name in dict.fromkeys(names)]


def _order(plan: ShopPlan, width: float) -> list[Flowable]:
    found: list[Flowable] = [
        p("Order of work", SECTION),
        p(
            "Each step needs those before it; tick as you go. Waiting times are common practice: the "
            "label of your glue or "
            "finish comes first."
        ),
    ]
    for number, step in enumerate(plan.steps, start=1):
        found.append(KeepTogether(_step(number, step, width)))
    return found


def _step(number: int, step: Step, width: float) -> list[Flowable]:
    lines = [p(f"{number}. {step.title}", STEP), p(step.words)]
    lines.append(p(f"Tools: {', '.join(step.tools)}.", SMALL))
    if step.wait_hours:
        days = f"{step.wait_hours / 24.0:g} days" if step.wait_hours > 36.0 else f"{step.wait_hours:g} hours"
        lines.append(p(f"Then wait {days} for {step.wait_for}.", SMALL))
    lines += [p(CAUTIONS[name], CAUTION) for name in step.cautions]
    box = Table([[Tick(), lines]], colWidths=[11 * mm, width - 11 * mm])
    box.setStyle(
        TableStyle(
            [
                FACE,
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("LINEABOVE", (0, 0), (-1, 0), 0.4, colors.HexColor(SLATE)),
            ]
        )
    )
    return [box]
