"""The shop booklet, `build.pdf`: what a maker has beside the saw.

Takes a ShopPlan and sets it in pages: first what the drum is and what to mend, then parts, settings, walls,
boards, the order of work with its cautions, moving wood, pickup, what to buy. Large type, dark ink, a box to tick
at each step; nothing in it is to scale, and each picture says so. Drawings at full size are another file.

Pages are Letter for drums in inches and A4 for others, unless the file names the paper.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    Flowable,
    HRFlowable,
    KeepTogether,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from kerftone.draw.booklet_pictures import board_picture, pickup_picture, wall_picture, wiring_picture
from kerftone.draw.style import INK, RUST, SEA, SLATE, WOOD
from kerftone.draw.svg import plain
from kerftone.shop.cautions import CAUTIONS, FIRST
from kerftone.shop.check import Check
from kerftone.shop.measure import Measure, measure_of
from kerftone.shop.plan import ShopPlan
from kerftone.shop.steps import Step

MARGIN = 16 * mm
PAGES = {"a4": A4, "letter": LETTER}

_BODY = ParagraphStyle(
    "body", fontName="Helvetica", fontSize=10.5, leading=14, textColor=colors.HexColor(INK), spaceAfter=4
)
_SMALL = ParagraphStyle("small", parent=_BODY, fontSize=9, leading=11.5, spaceAfter=2)
_CELL = ParagraphStyle("cell", parent=_BODY, fontSize=9.5, leading=12, spaceAfter=0)
_HEAD = ParagraphStyle("head", parent=_CELL, fontName="Helvetica-Bold", textColor=colors.white)
_TITLE = ParagraphStyle(
    "title", parent=_BODY, fontName="Helvetica-Bold", fontSize=26, leading=31, spaceAfter=2
)
_SECTION = ParagraphStyle(
    "section", parent=_BODY, fontName="Helvetica-Bold", fontSize=15, leading=19, spaceBefore=10, spaceAfter=4
)
_STEP = ParagraphStyle("step", parent=_BODY, fontName="Helvetica-Bold", fontSize=12, leading=15, spaceAfter=2)
_CAUTION = ParagraphStyle("caution", parent=_SMALL, textColor=colors.HexColor(RUST), leftIndent=10)


def booklet_pdf(plan: ShopPlan, *, made_by: str) -> bytes:
    """The booklet as the bytes of a PDF. Held by tests/draw/test_booklet.py, which reads its pages back."""
    paper = plan.drum.shop.paper or ("letter" if plan.drum.units == "in" else "a4")
    stream = io.BytesIO()
    name = plain(plan.drum.name) or "A tongue drum"
    document = SimpleDocTemplate(
        stream,
        pagesize=PAGES[paper],
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN + 4 * mm,
        title=f"{name}: shop plan",
        author=made_by,
        invariant=1,
    )
    width = PAGES[paper][0] - 2 * MARGIN - 12.0  # the frame's own padding, 6 points a side
    words = measure_of(plan.drum)
    story: list[Flowable] = [
        *_front(plan, words, width),
        PageBreak(),
        *_parts(plan, words, width),
        *_walls(plan, words, width),
        PageBreak(),
        *_boards(plan, words, width),
        PageBreak(),
        *_order(plan, width),
        PageBreak(),
        *_moving(plan, words, width),
        *_pickup(plan, words, width),
        *_bought(plan, width),
        *_closing(),
    ]

    def foot(canvas: Canvas, _: object) -> None:
        canvas.saveState()
        canvas.setFont("Helvetica", 8.5)
        canvas.setFillColor(colors.HexColor(SLATE))
        canvas.drawString(MARGIN, 11 * mm, _short(f"{name}, shop plan. {made_by}.", width - 60))
        canvas.drawRightString(MARGIN + width, 11 * mm, f"page {canvas.getPageNumber()}")
        canvas.restoreState()

    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return stream.getvalue()


def _short(words: str, width: float) -> str:
    """These words cut to fit one line of the foot."""
    while stringWidth(words, "Helvetica", 8.5) > width and len(words) > 4:
        words = words[:-4] + "..."
    return words


def _p(words: str, style: ParagraphStyle = _BODY) -> Paragraph:
    return Paragraph(escape(plain(words)), style)


def _table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float], width: float
) -> Table:
    """A table that breaks over pages and repeats its head."""
    data = [[_p(head, _HEAD) for head in heads], *([_p(cell, _CELL) for cell in row] for row in rows)]
    whole = sum(shares)
    table = Table(data, colWidths=[width * share / whole for share in shares], repeatRows=1)
    table.setStyle(
        TableStyle(
            [
                ("BACKGROUND", (0, 0), (-1, 0), colors.HexColor(SEA)),
                ("ROWBACKGROUNDS", (0, 1), (-1, -1), [colors.white, colors.HexColor(WOOD)]),
                ("LINEBELOW", (0, 1), (-1, -1), 0.4, colors.HexColor(SLATE)),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 5),
                ("RIGHTPADDING", (0, 0), (-1, -1), 5),
                ("TOPPADDING", (0, 0), (-1, -1), 3),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
            ]
        )
    )
    return table


def _front(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    drum, box = plan.drum, plan.box
    facts = [
        ("Notes", ", ".join(tongue.note for tongue in drum.tongues)),
        ("Outside", words.size(box.length_mm, box.width_mm, box.whole_height_mm) + ", without feet"),
        ("Top", f"{drum.top.wood}, {drum.top.cut}, {words(drum.top.thickness_mm)}, {drum.box.mount}"),
        ("Walls", f"{drum.box.wood}, {words(drum.box.wall_mm)}, {drum.box.joint}"),
    ]
    if drum.bottom is not None:
        facts.append(("Bottom", f"{drum.bottom.wood}, {words(drum.bottom.thickness_mm)}, {drum.bottom.fit}"))
    facts.append(
        (
            "Weight",
            "known when the tongues have lengths"
            if plan.weight_g is None
            else f"about {plan.weight_g / 1000.0:.1f} kg of wood ({plan.weight_g / 453.592:.1f} lb); "
            "one board may be "
            "a tenth off",
        )
    )
    missing = [t.note for t in drum.tongues if t.length_mm is None]
    note = (
        [
            _p(
                f"Tongues without a length yet: {', '.join(missing)}. Run `kerftone fit` before you saw.",
                _CAUTION,
            )
        ]
        if missing
        else []
    )
    return [
        _p("Shop plan of a tongue drum", _SMALL),
        _p(drum.name or "A tongue drum", _TITLE),
        HRFlowable(width=width, thickness=2, color=colors.HexColor(INK), spaceAfter=6),
        _facts(facts, width),
        *note,
        Spacer(1, 4),
        _p("Before the first cut", _SECTION),
        *_checks(plan.checks, width),
        Spacer(1, 6),
        _p(FIRST, _CAUTION),
    ]


def _facts(facts: Sequence[tuple[str, str]], width: float) -> Table:
    bold = ParagraphStyle("bold", parent=_CELL, fontName="Helvetica-Bold")
    table = Table(
        [[_p(key, bold), _p(value, _CELL)] for key, value in facts], colWidths=[0.14 * width, 0.86 * width]
    )
    table.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)]))
    return table


def _checks(checks: Sequence[Check], width: float) -> list[Flowable]:
    marks = {"good": "good", "mind": "MIND THIS", "mend": "MEND FIRST"}
    ranked = sorted(checks, key=lambda check: ("mend", "mind", "good").index(check.verdict))
    rows = [
        (marks[c.verdict], c.name, c.numbers + "." + (f" {c.mend[:1].upper()}{c.mend[1:]}" if c.mend else ""))
        for c in ranked
    ]
    return [_table(("", "Check", "Numbers, and what to do"), rows, (1.1, 1.8, 5.6), width)]


def _parts(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    rows = []
    for part in plan.parts:
        finished = words.size(*part.size_mm)
        if part.short_mm is not None:
            finished += f"; {words(part.short_mm)} from short point to short point"
        note = f" {part.note[:1].upper()}{part.note[1:]}." if part.note else ""
        rows.append(
            (
                str(part.count),
                part.name,
                f"{part.wood}, grain {part.grain}.{note}",
                finished,
                words.size(*part.rough_mm),
            )
        )
    settings = [(s.part, s.cut, s.settings) for s in plan.settings]
    return [
        _p("Parts", _SECTION),
        _p(
            "Length × width × thickness; length is along the grain. Saw to the rough size first, let "
            "it rest, then bring it "
            "to the finished size."
        ),
        _table(("No.", "Part", "Wood and grain", "Finished", "Rough"), rows, (0.6, 1.7, 3, 2.6, 2.2), width),
        _p("Settings for the joints", _SECTION),
        _p(
            "Set the tool to scrap of the same thickness and try each cut before the wood that "
            "counts. Inside faces towards "
            "the cutter for rabbets."
        ),
        _table(("Part", "Cut", "Set to"), settings, (1.3, 1.9, 4.6), width),
    ]


def _walls(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    shown = [(("front", "back"), plan.box.wall("front")), (("left", "right"), plan.box.wall("left"))]
    found: list[Flowable] = [_p("The walls, from inside and from above", _SECTION)]
    for names, wall in shown:
        title = f"{names[0].title()} and {names[1]} wall. Not to scale; measure by the figures."
        found.append(KeepTogether([_p(title, _SMALL), wall_picture(wall, words, width=width), Spacer(1, 6)]))
    return found


def _boards(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    cutting = plan.cutting
    found: list[Flowable] = [_p("Boards", _SECTION)]
    if cutting.boards:
        share = cutting.yield_share or 0.0
        cost = "" if cutting.cost is None else f" The boards used cost {cutting.cost:.2f}."
        found.append(
            _p(
                f"Rough parts on the boards on hand, grain along the board, {words(cutting.kerf_mm)} "
                "of kerf between. "
                f"{share:.0%} of these boards becomes parts.{cost} Cut around knots: shift a piece "
                "along its strip rather "
                "than across."
            )
        )
    for number, board in enumerate(cutting.boards, start=1):
        size = words.size(board.stock.length_mm, board.stock.width_mm, board.stock.thickness_mm)
        title = f"Board {number}: {board.stock.wood}, {size}, {board.yield_share:.0%} used. Not to scale."
        found.append(
            KeepTogether([_p(title, _SMALL), board_picture(board, words, width=width), Spacer(1, 8)])
        )
    if cutting.buy:
        rows = [
            (
                buy.wood,
                ", ".join(f"{n} {name}" for name, n in _counted(buy.parts)),
                f"{words(buy.thick_mm)} or thicker, {words(buy.longest_mm)} long, "
                f"{words(buy.widest_mm)} wide",
                f"{buy.board_feet:.1f} board feet, {buy.volume_m3 * 1000.0:.1f} litres "
                f"({buy.volume_m3:.4f} m³)",
            )
            for buy in cutting.buy
        ]
        found += [
            _p("To buy" if not cutting.boards else "Still to buy", _SECTION),
            _p(
                "With three tenths added for knots, ends and test cuts. Where no single board is "
                "wide enough, glue the part "
                "up from two with the grain the same way, before it is brought to size."
            ),
            _table(("Wood", "For", "At least", "Amount"), rows, (1.4, 2.4, 2.6, 2.2), width),
        ]
    return found


def _counted(names: Sequence[str]) -> list[tuple[str, int]]:
    return [(name, names.count(name)) for name in dict.fromkeys(names)]


def _order(plan: ShopPlan, width: float) -> list[Flowable]:
    found: list[Flowable] = [
        _p("Order of work", _SECTION),
        _p(
            "Each step needs those before it; tick as you go. Waiting times are common practice: the "
            "label of your glue or "
            "finish comes first."
        ),
    ]
    for number, step in enumerate(plan.steps, start=1):
        found.append(KeepTogether(_step(number, step, width)))
    return found


def _step(number: int, step: Step, width: float) -> list[Flowable]:
    lines = [_p(f"{number}. {step.title}", _STEP), _p(step.words)]
    lines.append(_p(f"Tools: {', '.join(step.tools)}.", _SMALL))
    if step.wait_hours:
        days = f"{step.wait_hours / 24.0:g} days" if step.wait_hours > 36.0 else f"{step.wait_hours:g} hours"
        lines.append(_p(f"Then wait {days} for {step.wait_for}.", _SMALL))
    lines += [_p(CAUTIONS[name], _CAUTION) for name in step.cautions]
    table = Table([[_Tick(), lines]], colWidths=[11 * mm, width - 11 * mm])
    table.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("LINEABOVE", (0, 0), (-1, 0), 0.4, colors.HexColor(SLATE)),
            ]
        )
    )
    return [table]


class _Tick(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """A box to tick with a carpenter's pencil."""

    def wrap(self, *_: float) -> tuple[float, float]:
        """Its size."""
        return 7 * mm, 7 * mm

    def draw(self) -> None:
        """A square."""
        self.canv.setLineWidth(1.2)
        self.canv.setStrokeColor(colors.HexColor(INK))
        self.canv.rect(0, 0, 6 * mm, 6 * mm)


def _signed(value: float, words: Measure) -> str:
    text = words(abs(value))
    return f"{'+' if value >= 0 else chr(0x2212)}{text}"


def _moving(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    air, climate = plan.air, plan.drum.making.climate
    beyond = (
        " Part of that lies outside 6 to 14 %, where the law is only a rough guess." if air.beyond else ""
    )
    rows = [
        (m.part, words(m.across_mm), _signed(m.dry_mm, words), _signed(m.damp_mm, words), m.words)
        for m in plan.moves
    ]
    return [
        _p("Moving wood", _SECTION),
        _p(
            f"In the shop at {climate.shop_rh_pct:g} % humidity wood comes to {air.shop_pct:.1f} % "
            "moisture; at home to "
            f"{air.dry_pct:.1f} % in the dry season ({climate.home_dry_rh_pct:g} %) and "
            f"{air.damp_pct:.1f} % in the damp "
            f"({climate.home_damp_rh_pct:g} %).{beyond} Changes of width by the Wood Handbook's "
            "equation 13-2."
        ),
        _table(
            ("Part", "Across", "Dry season", "Damp season", "What it means"),
            rows,
            (1.6, 1.4, 1.3, 1.3, 4),
            width,
        ),
    ]


def _pickup(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    pickup, bass, places = plan.drum.making.pickup, plan.bass, plan.places
    if pickup is None or bass is None:
        return []
    found: list[Flowable] = [PageBreak(), _p("Pickup", _SECTION)]
    found.append(
        _p(
            f"A disc of {bass.capacitance_nf[0]:.0f} to {bass.capacitance_nf[1]:.0f} nF (from memory) into "
            f"{bass.load_kohm:g} kOhm loses the bass below {bass.corner_hz[0]:.0f} to "
            f"{bass.corner_hz[1]:.0f} Hz; the "
            f"lowest note, {bass.lowest_hz:.0f} Hz, loses {bass.loss_db[0]:.1f} to "
            f"{bass.loss_db[1]:.1f} dB. The load is "
            "the volume control and the amplifier's input together: a plain line input is often far lower."
        )
    )
    if places is not None and places.best is not None and places.worst is not None:
        best, worst = (places.points_mm[i] for i in (places.best, places.worst))
        found += [
            _p(
                "Best place for the middle of the disc, seen from above from the left front corner: "
                f"{words(best[0])} along "
                f"and {words(best[1])} across; there the weakest note has "
                f"{places.even[places.best]:.0%} of what it has at "
                f"its own best place. Worst: {words(worst[0])} along, {words(worst[1])} across, "
                f"{places.even[places.worst]:.0%}. From below, left and right change over. The disc "
                "goes on the underside."
            ),
            pickup_picture(plan, width=width),
            _p(
                "Seen from above, not to scale. The darker a spot, the more evenly all notes are "
                "heard there; only where the "
                "disc fits on whole wood near the roots. Filled ring: best. Cross: worst.",
                _SMALL,
            ),
        ]
    elif places is not None:
        found.append(
            _p("No place on the top has room for this disc: use a smaller one, or wider margins.", _CAUTION)
        )
    found += [
        KeepTogether([_p("Wiring", _STEP), wiring_picture(width=width)]),
        _p(
            "Keep leads short and screened, the screen to the jack's sleeve. What rattles: loose "
            "leads, a dry solder joint, "
            "a disc with air under it, a nut that works loose, a bottom not yet glued. Handling "
            "noise comes through the "
            "feet and the cable: soft feet, and the cable tied once inside (common practice, no source)."
        ),
    ]
    return found


def _bought(plan: ShopPlan, width: float) -> list[Flowable]:
    if not plan.bought:
        return []
    rows = [(str(one.count), one.what, one.note) for one in plan.bought]
    return [
        _p("Also to buy", _SECTION),
        _table(("No.", "What", "Note"), rows, (0.6, 5, 2.4), width),
        Spacer(1, 4),
        _p("Threads from memory: measure the part in hand before you bore for it.", _SMALL),
    ]


def _closing() -> list[Flowable]:
    return [
        Spacer(1, 10),
        KeepTogether(
            [
                _p("Cautions", _SECTION),
                _p(FIRST),
                _p(CAUTIONS["rags"]),
                _p(CAUTIONS["dust"]),
                _p(CAUTIONS["small parts"]),
            ]
        ),
    ]
