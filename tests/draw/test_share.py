"""The PDF to give away, read back: all that a maker needs is in it, where its first page says; nothing runs off."""

from functools import cache

import pypdfium2
import pytest
from pypdfium2 import raw
from tests.draw.twenty import DRUMS, drum_named

from kerftone.draw.portrait import portrait
from kerftone.draw.printing import printing
from kerftone.draw.share import Shared, share_pdf
from kerftone.drum.outline import outline
from kerftone.drum.paper import PAPERS_MM, paper_of
from kerftone.jobs.draw_templates import printed_of
from kerftone.shop.box import box_of
from kerftone.shop.measure import measure_of
from kerftone.shop.shop_plan import shop_plan
from kerftone.shop.shopping import shopping_of
from kerftone.shop.step_cautions import CAUTIONS


@cache
def _made(name):
    return _made_anew(name)


def _made_anew(name):
    drum = drum_named(name)
    templates, plan, paper = printed_of(drum), shop_plan(drum), paper_of(drum)
    sheets = len(printing(templates, paper))
    shared = Shared(
        plan=plan,
        wants=shopping_of(plan, measure_of(drum), paper="A4", sheets=sheets),
        picture=portrait(drum, outline(drum), box_of(drum)),
        templates=templates,
        paper=paper,
        made_by="Made by a test",
    )
    return drum, plan, shared, sheets, share_pdf(shared)


@pytest.mark.parametrize(
    "name", ["Two", "Keys and feet", "Twelve high", "Pickup with a name that is rather long for its paper"]
)
def test_it_holds_all_that_a_maker_needs_and_says_on_which_page(name):
    drum, plan, shared, sheets, data = _made(name)
    document = pypdfium2.PdfDocument(data)
    texts = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    book = texts[: len(texts) - sheets]
    whole = " ".join(book)
    for tongue in drum.tongues:
        assert tongue.note in texts[0] and tongue.place in texts[0]
    for part in plan.parts:
        assert part.name in whole
    for want in shared.wants:
        assert want.what in whole, want
    for number, step in enumerate(plan.steps, start=1):
        assert f"{number}. {step.title}" in whole
        for caution in step.cautions:
            assert CAUTIONS[caution] in whole
    assert "3rd bore" in whole and f"{drum.targets_hz[0]:.1f}" in texts[0] + whole
    for title in ("Parts", "Shopping list", "Cautions", "Order of work", "Tuning sheet"):
        place = next(n for n, text in enumerate(book[1:], start=2) if title in text)
        assert f"page {place}" in texts[0], (title, place)
    assert f"page {len(book) + 1}" in texts[0]
    assert all(f"{n} of {len(texts)}" in text for n, text in enumerate(texts, start=1))


@pytest.mark.outside
@pytest.mark.parametrize("name", DRUMS)
def test_no_words_run_off_a_page_or_over_each_other_on_the_poster(name):
    drum, _, _, sheets, data = _made(name)
    document = pypdfium2.PdfDocument(data)
    wide, high = (side * 72.0 / 25.4 for side in PAPERS_MM[paper_of(drum)])
    for number in range(len(document) - sheets):
        page = document[number]
        assert page.get_size() == pytest.approx((wide, high), abs=0.1)
        boxes = []
        for item in page.get_objects([raw.FPDF_PAGEOBJ_TEXT], max_depth=15):
            west, south, east, north = item.get_bounds() if hasattr(item, "get_bounds") else item.get_pos()
            if east - west < 0.1:
                continue
            assert west > 36.0 and east < wide - 36.0 and south > 20.0 and north < high - 20.0, number
            boxes.append((west, south, east, north))
        for a in range(len(boxes)):
            for b in range(a):
                one, other = boxes[a], boxes[b]
                across = min(one[2], other[2]) - max(one[0], other[0])
                up = min(one[3], other[3]) - max(one[1], other[1])
                assert min(across, up) < 1.2, (number, one, other)


def test_the_same_drum_is_the_same_file():
    assert _made("Two")[4] == _made_anew("Two")[4]
