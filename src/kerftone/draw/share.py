"""One PDF to give away: a drum's picture and notes, what to buy, what to do, and its templates at full size.

The first page is a poster; then parts, shopping list, cautions, order of work, a tuning sheet to write on, and the
templates as `kerftone draw` prints them. Pages are upright, the templates as they come.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib import colors
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Frame

from kerftone.draw.booklet_style import p
from kerftone.draw.fonts import BOLD_FONT, HEAD_FONT, SLANTED_FONT, WORDS_FONT, printable, use_fonts
from kerftone.draw.ink import draw_layers
from kerftone.draw.pdf import draw_pages
from kerftone.draw.printing import printing
from kerftone.draw.share_pages import Kept, cautions_page, order_page, parts_page, shopping_page, tuning_page
from kerftone.draw.share_style import BODY, LEAD, MARGIN, Section
from kerftone.draw.sheet import Sheet
from kerftone.draw.style import INK, RUST, SLATE
from kerftone.drum.paper import PAPERS_MM
from kerftone.drum.shop import Paper
from kerftone.shop.measure import Measure, measure_of
from kerftone.shop.shop_plan import ShopPlan
from kerftone.shop.shopping import Want
from kerftone.units import format_mass

_INK, _RUST, _SLATE, _LINE = (colors.HexColor(one) for one in (INK, RUST, SLATE, "#cfc4ae"))
GUTTER = 9 * mm
"""Between two columns; own judgement."""
SECTION_ROOM = 70 * mm
"""A section begins on a page that has something on it only with this much room left."""
COUNTS = [
    "None",
    "One",
    "Two",
    "Three",
    "Four",
    "Five",
    "Six",
    "Seven",
    "Eight",
    "Nine",
    "Ten",
    "Eleven",
    "Twelve",
]


@dataclass(frozen=True, kw_only=True)
class Shared:
    """What goes into it: the plan of the shop, the list to shop by, the picture, the templates, and their paper."""

    plan: ShopPlan
    wants: tuple[Want, ...]
    picture: Sheet
    templates: tuple[Sheet, ...]
    paper: Paper
    made_by: str


def share_pdf(shared: Shared) -> bytes:
    """The PDF. The same drum gives the same bytes. Held by tests/draw/test_share.py, which reads its pages back."""
    use_fonts()
    pages = printing(shared.templates, shared.paper)
    count = _Book(shared, len(pages), Canvas(io.BytesIO())).written(0)
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1, initialFontName=WORDS_FONT)
    name = shared.plan.drum.name
    canvas.setTitle(printable(f"{name}: a wooden tongue drum"))
    canvas.setCreator("Kerftone")
    canvas.setViewerPreference("PrintScaling", "None")
    before = _Book(shared, len(pages), canvas).written(count)
    draw_pages(canvas, pages, title=f"{name}: templates at full size", before=before)
    canvas.save()
    return stream.getvalue()


class _Book:
    """The pages before the templates, while they are set."""

    def __init__(self, shared: Shared, after: int, canvas: Any) -> None:
        self.shared, self.after, self.canvas = shared, after, canvas
        self.page = tuple(side * mm for side in PAPERS_MM[shared.paper])
        self.width = self.page[0] - 2.0 * MARGIN
        self.words: Measure = measure_of(shared.plan.drum)
        self.number, self.count = 0, 0
        self.begins: dict[str, int] = {}

    def written(self, count: int) -> int:
        """Set all pages; how many they are. `count`: how many they will be, 0 while that is not known."""
        self.count = count
        plan, width = self.shared.plan, self.width
        self._poster(self._contents(count))
        first = [
            *parts_page(plan, self.words, width),
            *shopping_page(self.shared.wants, width),
            *cautions_page(plan.steps, width),
        ]
        self._set(first)
        half = 0.5 * (width - GUTTER)
        lead = (
            "Each step needs those before it. Waiting times are common practice; the labels of glue and finish come "
            "first. Read the cautions that a step names before you begin it."
        )
        self._set(order_page(plan.steps, half), columns=2, head=("Order of work", lead))
        self._set(tuning_page(plan, width))
        return self.number

    def _contents(self, count: int) -> list[tuple[str, int]]:
        """What is where; found by setting the pages once without."""
        if not count:
            return []
        draft = _Book(self.shared, self.after, Canvas(io.BytesIO()))
        draft.written(0)
        return [*draft.begins.items(), ("Templates at full size", count + 1)]

    def _set(self, story: Sequence[Kept], *, columns: int = 1, head: tuple[str, str] | None = None) -> None:
        """Fill pages with this, in one column or two under a heading; which section begins where is kept."""
        left, high = list(story), self.page[1] - 22 * mm
        title = "" if head is None else head[0]
        while left:
            self._begin()
            top = high
            if head is not None and title not in self.begins:
                self.begins[title] = self.number
                top = self._head(title, head[1], high)
            wide = (self.width - GUTTER * (columns - 1)) / columns
            for column in range(columns):
                tall = top - 20 * mm
                if columns > 1 and not column:
                    tall = min(tall, _half(left, wide))
                frame = Frame(MARGIN + column * (wide + GUTTER), top - tall, wide, tall, 0, 0, 0, 0)
                for section in _fill(frame, left, self.canvas):
                    self.begins.setdefault(section, self.number)
            self._foot(title or next(reversed(self.begins)))
            self.canvas.showPage()

    def _head(self, title: str, lead: str, high: float) -> float:
        frame = Frame(MARGIN, high - 34 * mm, self.width, 34 * mm, 0, 0, 0, 0)
        frame.addFromList([Section(title), p(lead, BODY)], self.canvas)
        return float(high - 28 * mm)

    def _begin(self) -> None:
        self.number += 1
        self.canvas.setPageSize(self.page)

    def _foot(self, title: str) -> None:
        """The drum's name and the page's, over a hairline at the head; the number at the foot."""
        canvas, right = self.canvas, MARGIN + self.width
        canvas.setStrokeColor(_LINE)
        canvas.setLineWidth(0.5)
        canvas.line(MARGIN, self.page[1] - 16 * mm, right, self.page[1] - 16 * mm)
        canvas.setFillColor(_SLATE)
        canvas.setFont(SLANTED_FONT, 9)
        canvas.drawString(MARGIN, self.page[1] - 13.6 * mm, printable(self.shared.plan.drum.name)[:60])
        canvas.setFont(WORDS_FONT, 8)
        canvas.drawRightString(right, self.page[1] - 13.6 * mm, title)
        canvas.drawString(MARGIN, 11 * mm, self.shared.made_by)
        canvas.drawRightString(right, 11 * mm, f"{self.number} of {self.count + self.after}")

    def _poster(self, contents: Sequence[tuple[str, int]]) -> None:
        """The first page: name, picture, notes, what it is made of, what else is in here."""
        self._begin()
        canvas, plan, (wide, high) = self.canvas, self.shared.plan, self.page
        drum = plan.drum
        canvas.setFillColor(_RUST)
        canvas.rect(MARGIN, high - 20 * mm, self.width, 1.4 * mm, stroke=0, fill=1)
        canvas.setFont(BOLD_FONT, 9)
        canvas.drawString(MARGIN, high - 27 * mm, "A WOODEN TONGUE DRUM", charSpace=1.6)
        name = printable(drum.name) or "A tongue drum"
        size = min(40.0, 40.0 * self.width / max(1.0, canvas.stringWidth(name, HEAD_FONT, 40.0)))
        canvas.setFillColor(_INK)
        canvas.setFont(HEAD_FONT, size)
        canvas.drawString(MARGIN, high - 30 * mm - 0.85 * size, name)
        top = high - 30 * mm - 1.15 * size
        frame = Frame(MARGIN, top - 16 * mm, self.width, 16 * mm, 0, 0, 0, 0)
        frame.addFromList([p(self._about(), LEAD)], canvas)
        low = 97 * mm
        self._picture((MARGIN, low, self.width, top - 16 * mm - low))
        self._notes(low - 4 * mm)
        self._facts(low - 29 * mm)
        self._inside(contents)
        canvas.setFillColor(_SLATE)
        canvas.setFont(WORDS_FONT, 8)
        canvas.drawString(MARGIN, 11 * mm, self.shared.made_by)
        canvas.drawRightString(wide - MARGIN, 11 * mm, f"1 of {self.count + self.after}")
        canvas.showPage()

    def _about(self) -> str:
        drum = self.shared.plan.drum
        order = sorted(range(len(drum.tongues)), key=lambda n: drum.targets_hz[n])
        low, high = drum.tongues[order[0]].note, drum.tongues[order[-1]].note
        count = len(order)
        many = COUNTS[count] if count < len(COUNTS) else f"{count}"
        named = f"{many} notes from {low} to {high}" if count > 1 else f"One note, {low}"
        return f"{named}, sawn in {spoken(drum.top.wood)}, on a box of {spoken(drum.box.wood)}."

    def _picture(self, area: tuple[float, float, float, float]) -> None:
        """The picture in the middle of this area, as large as fits."""
        x, y, wide, high = area
        sheet, canvas = self.shared.picture, self.canvas
        scale = min(wide / sheet.width_mm, high / sheet.height_mm)
        canvas.saveState()
        canvas.translate(
            x + 0.5 * (wide - scale * sheet.width_mm), y + 0.5 * (high - scale * sheet.height_mm)
        )
        canvas.scale(scale, scale)
        canvas.translate(-sheet.left_mm, -sheet.bottom_mm)
        draw_layers(canvas, sheet.layers)
        canvas.restoreState()

    def _notes(self, top: float) -> None:
        """The notes from low to high, each with its tongue and its pitch."""
        drum, canvas = self.shared.plan.drum, self.canvas
        order = sorted(range(len(drum.tongues)), key=lambda n: drum.targets_hz[n])
        step = self.width / len(order)
        size = min(17.0, 0.36 * step)
        for number, which in enumerate(order):
            tongue, hz = drum.tongues[which], drum.targets_hz[which]
            x = MARGIN + (number + 0.5) * step
            if number:
                canvas.setStrokeColor(_LINE)
                canvas.setLineWidth(0.6)
                canvas.line(x - 0.5 * step, top - 16 * mm, x - 0.5 * step, top - 3 * mm)
            canvas.setFillColor(_INK)
            canvas.setFont(HEAD_FONT, size)
            canvas.drawCentredString(x, top - 8.5 * mm, printable(tongue.note))
            canvas.setFillColor(_SLATE)
            canvas.setFont(WORDS_FONT, 8)
            pitch = f"{hz:.1f} Hz" if step > 16 * mm else f"{hz:.0f}"
            canvas.drawCentredString(x, top - 12.6 * mm, pitch)
            canvas.drawCentredString(x, top - 16 * mm, tongue.place)

    def _facts(self, top: float) -> None:
        """What it is made of, in two columns."""
        canvas, facts = self.canvas, facts_of(self.shared.plan, self.words)
        half = -(-len(facts) // 2)
        for number, (name, words) in enumerate(facts):
            column, row = divmod(number, half)
            x, y = MARGIN + column * 0.53 * self.width, top - row * 5.6 * mm
            canvas.setFillColor(_RUST)
            canvas.setFont(BOLD_FONT, 8.5)
            canvas.drawString(x, y, name)
            canvas.setFillColor(_INK)
            canvas.setFont(WORDS_FONT, 8.5)
            canvas.drawString(x + 19 * mm, y, _cut(canvas, words, 0.47 * self.width - 19 * mm))

    def _inside(self, contents: Sequence[tuple[str, int]]) -> None:
        """What else is in here and on which page."""
        canvas, y = self.canvas, 26 * mm
        canvas.setStrokeColor(_LINE)
        canvas.line(MARGIN, y + 7 * mm, MARGIN + self.width, y + 7 * mm)
        wides = [canvas.stringWidth(title, HEAD_FONT, 8.5) for title, _ in contents]
        gap = (self.width - sum(wides)) / max(1, len(contents) - 1)
        x = MARGIN
        for (title, page), wide in zip(contents, wides, strict=True):
            canvas.setFillColor(_INK)
            canvas.setFont(HEAD_FONT, 8.5)
            canvas.drawString(x, y + 1.5 * mm, title)
            canvas.setFillColor(_SLATE)
            canvas.setFont(WORDS_FONT, 8)
            canvas.drawString(x, y - 2.5 * mm, f"page {page}")
            x += wide + gap


def _half(story: Sequence[Kept], wide: float) -> float:
    """How tall the first of two columns must be for both to end about level."""
    heights = [one.wrap(wide, 1e4)[1] for one in story]
    return float(0.5 * sum(heights) + 0.5 * max(heights))


def _fill(frame: Frame, left: list[Kept], canvas: Any) -> list[str]:
    """Put what fits into a frame, from the front of the list; the sections that begin there.

    What is kept together is parted only on a fresh page, a section begins only with room for some of it.
    """
    begun: list[str] = []
    while left:
        group = left[0] if isinstance(left[0], list) else [left[0]]
        room = frame._y - frame._y1p
        need = sum(one.getSpaceBefore() + one.wrap(frame._aW, room)[1] + one.getSpaceAfter() for one in group)
        if isinstance(group[0], Section) and not frame._atTop:
            need = max(need, SECTION_ROOM)
        if need <= room + 1e-6:
            begun += [one.title for one in group if isinstance(one, Section)]
            for one in group:
                frame.add(one, canvas)
            del left[0]
        elif not frame._atTop:
            return begun
        elif len(group) > 1:
            left[:1] = group
        else:
            first, *rest = frame.split(group[0], canvas)
            frame.add(first, canvas)
            left[:1] = rest
            return begun
    return begun


def spoken(wood: str) -> str:
    """A species as it is said, not as a table sorts it.

    >>> spoken("walnut, black"), spoken("teak")
    ('black walnut', 'teak')
    >>> spoken("birch, yellow plywood")
    'yellow birch plywood'
    """
    name, kind = wood, ""
    for ending in (" plywood", " laminate"):
        if wood.endswith(ending):
            name, kind = wood.removesuffix(ending), ending
    return " ".join(reversed(name.split(", "))) + kind


def facts_of(plan: ShopPlan, words: Measure) -> list[tuple[str, str]]:
    """Short pairs of name and value for the poster."""
    drum, box = plan.drum, plan.box
    bottom = drum.bottom
    facts = [
        ("Outside", words.size(box.length_mm, box.width_mm, box.whole_height_mm)),
        ("Top", f"{spoken(drum.top.wood)}, {words(drum.top.thickness_mm)}"),
        ("Walls", f"{spoken(drum.box.wood)}, {words(drum.box.wall_mm)}, {drum.box.joint}"),
        ("Bottom", "none" if bottom is None else f"{spoken(bottom.wood)}, {words(bottom.thickness_mm)}"),
        ("Saw cut", f"{words(drum.slots.kerf_mm)} wide"),
        ("Tuning", f"{drum.tuning.temperament}, A4 = {drum.tuning.reference_hz:g} Hz"),
        ("Finish", f"{drum.making.finish.kind}, {drum.making.finish.coats} coats"),
    ]
    if plan.weight_g is not None:
        facts.append(("Weight", f"about {format_mass(plan.weight_g, words.units)} of wood"))
    return facts


def _cut(canvas: Any, words: str, room: float) -> str:
    """These words cut to fit."""
    said = printable(words)
    while canvas.stringWidth(said, WORDS_FONT, 8.5) > room and len(said) > 4:
        said = said[:-2].rstrip() + "…"
    return said
