"""The booklet says what the plan says, on the paper asked for, and stays whole whatever the maker wrote."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import pytest

from kerftone.draw.booklet import booklet_pdf
from kerftone.drum.design import Drum
from kerftone.drum.shop import Pickup, Stock
from kerftone.shop.shop_plan import Heard, shop_plan

from ..shop.conftest import reed

pdfium = pytest.importorskip("pypdfium2")


def pages(data: bytes) -> Any:
    return pdfium.PdfDocument(io.BytesIO(data))


def text_of(drum: Drum) -> str:
    document = pages(booklet_pdf(shop_plan(drum, Heard(contact_ms=1.2)), made_by="Kerftone"))
    return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)


def test_every_part_setting_step_and_check_is_in_it() -> None:
    drum = reed(joint="finger")
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
    drum = reed(joint="finger")
    drum = replace(drum, shop=replace(drum.shop, paper=paper))
    for page in pages(booklet_pdf(shop_plan(drum), made_by="Kerftone")):
        assert [side / 72.0 * 25.4 for side in page.get_size()] == pytest.approx(size, abs=0.1)


def test_a_drum_in_inches_is_set_in_inches_on_letter() -> None:
    drum = replace(reed(joint="finger"), units="in")
    assert "15 3/4" in text_of(drum) and " mm" not in text_of(drum).split("Moving wood")[0].split("Parts")[1]
    assert pages(booklet_pdf(shop_plan(drum), made_by="x"))[0].get_size()[0] == pytest.approx(612.0, abs=0.5)


def test_it_is_made_without_lengths_and_says_so() -> None:
    drum = reed()
    bare = replace(drum, tongues=tuple(replace(tongue, length_mm=None) for tongue in drum.tongues))
    text = text_of(bare)
    assert (
        "Tongues without a length yet: D4, A4, F4, C5" in text
        and "known when the tongues have lengths" in text
    )


@pytest.mark.parametrize("joint", ["mitre", "mitre with keys", "butt", "finger", "rabbet"])
@pytest.mark.parametrize("mount", ["on walls", "in ledge"])
def test_every_joint_and_mount_can_be_set(joint: Any, mount: Any) -> None:
    drum = reed(joint="finger")
    ledge = 7.0 if mount == "in ledge" else 0.0
    drum = replace(drum, box=replace(drum.box, joint=joint, mount=mount, ledge_mm=ledge))
    assert pages(booklet_pdf(shop_plan(drum), made_by="x"))


def test_whatever_the_maker_named_it_the_pages_stay_whole() -> None:
    drum = replace(reed(joint="finger"), name="<b>& \x00</para> " + "long " * 60)
    stock = (Stock(wood="cherry, black", length_mm=900.0, width_mm=200.0, thickness_mm=18.0),)
    drum = replace(drum, making=replace(drum.making, stock=stock, pickup=Pickup()))
    assert "<b>&" in text_of(drum)


def test_the_pickup_is_decided_before_anything_is_glued() -> None:
    drum = reed(joint="finger")
    text = text_of(replace(drum, making=replace(drum.making, pickup=Pickup())))
    assert (
        text.index("Pickup: decide before you glue") < text.index("Order of work") < text.index("Moving wood")
    )


def test_the_same_plan_gives_the_same_bytes() -> None:
    plan = shop_plan(reed(joint="finger"))
    assert booklet_pdf(plan, made_by="x") == booklet_pdf(plan, made_by="x")


def test_root_bars_stand_in_the_facts_the_parts_the_pictures_and_the_order() -> None:
    drum = reed()
    barred = replace(
        drum,
        slots=replace(drum.slots, end_margin_mm=60.0),
        box=replace(drum.box, root_bar_mm=30.0, root_bar_height_mm=45.0),
    )
    text = text_of(barred)
    for words in (
        "30 mm wide, 45 mm high, inside the end walls",
        "148 × 45 × 30 mm",
        "root bar, 45 mm high, 30 mm wide",
        "Glue the root bars to the end walls",
        "Room between the root bars",
    ):
        assert words in text, words
    assert "root bar" not in text_of(drum).lower()
