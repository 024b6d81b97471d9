"""The booklet says what the plan says, on the paper asked for, and stays whole whatever the maker wrote."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import pytest

from kerftone.draw.booklet import booklet_pdf
from kerftone.drum import parse_drum
from kerftone.drum.design import Drum
from kerftone.drum.shop import Pickup, Stock
from kerftone.shop.plan import Heard, shop_plan

pdfium = pytest.importorskip("pypdfium2")

REED = """\
# INVENTED: never built
name = "Reed"
[top]
wood = "cherry, black"
length = 400.0
width = 180.0
thickness = 14.0
[slots]
kerf = 3.0
end_margin = 45.0
side_margin = 32.0
[[tongues]]
note = "D4"
row = 1
side = "left"
length = 150.0
[[tongues]]
note = "A4"
row = 1
side = "right"
length = 110.0
[box]
wood = "ash, white"
wall = 16.0
height = 90.0
joint = "finger"
[bottom]
wood = "ash, white"
thickness = 8.0
"""


def pages(data: bytes) -> Any:
    return pdfium.PdfDocument(io.BytesIO(data))


def text_of(drum: Drum) -> str:
    document = pages(booklet_pdf(shop_plan(drum, Heard(contact_ms=1.2)), made_by="Kerftone"))
    return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)


def test_every_part_setting_step_and_check_is_in_it() -> None:
    drum = parse_drum(REED)
    plan = shop_plan(drum, Heard(contact_ms=1.2))
    text = text_of(drum).replace(" ", "")
    for words in (
        *(part.name for part in plan.parts),
        *(setting.cut for setting in plan.settings),
        *(step.title for step in plan.steps),
        *(check.name for check in plan.checks),
        *(one.what for one in plan.bought),
    ):
        assert words.replace(" ", "") in text, words
    assert (
        text.index("Putittogetherdry")
        < text.index("Gluethefourwalls")
        < text.index("Gluethebottom,lastofall")
    )


@pytest.mark.outside
@pytest.mark.parametrize("paper, size", [(None, (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_pages_are_iso_or_ansi_paper(paper: Any, size: tuple[float, float]) -> None:
    # ISO 216 A4; ANSI Y14.1 A (Letter)
    drum = parse_drum(REED)
    drum = replace(drum, shop=replace(drum.shop, paper=paper))
    for page in pages(booklet_pdf(shop_plan(drum), made_by="Kerftone")):
        assert [side / 72.0 * 25.4 for side in page.get_size()] == pytest.approx(size, abs=0.1)


def test_a_drum_in_inches_is_set_in_inches_on_letter() -> None:
    drum = replace(parse_drum(REED), units="in")
    assert "15 3/4" in text_of(drum) and " mm" not in text_of(drum).split("Moving wood")[0].split("Parts")[1]
    assert pages(booklet_pdf(shop_plan(drum), made_by="x"))[0].get_size()[0] == pytest.approx(612.0, abs=0.5)


def test_it_is_made_without_lengths_and_says_so() -> None:
    bare = "\n".join(line for line in REED.splitlines() if line not in ("length = 150.0", "length = 110.0"))
    text = text_of(parse_drum(bare))
    assert "Tongues without a length yet: D4, A4" in text and "known when the tongues have lengths" in text


@pytest.mark.parametrize("joint", ["mitre", "mitre with keys", "butt", "finger", "rabbet"])
@pytest.mark.parametrize("mount", ["on walls", "in ledge"])
def test_every_joint_and_mount_can_be_set(joint: Any, mount: Any) -> None:
    drum = parse_drum(REED)
    ledge = 7.0 if mount == "in ledge" else 0.0
    drum = replace(drum, box=replace(drum.box, joint=joint, mount=mount, ledge_mm=ledge))
    assert pages(booklet_pdf(shop_plan(drum), made_by="x"))


def test_whatever_the_maker_named_it_the_pages_stay_whole() -> None:
    drum = replace(parse_drum(REED), name="<b>& \x00</para> " + "long " * 60)
    stock = (Stock(wood="cherry, black", length_mm=900.0, width_mm=200.0, thickness_mm=18.0),)
    drum = replace(drum, making=replace(drum.making, stock=stock, pickup=Pickup()))
    assert "<b>&" in text_of(drum)


def test_the_same_plan_gives_the_same_bytes() -> None:
    plan = shop_plan(parse_drum(REED))
    assert booklet_pdf(plan, made_by="x") == booklet_pdf(plan, made_by="x")
