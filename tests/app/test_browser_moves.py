"""The drum in motion: three dimensions where the browser can, else a still picture; loaded only when shown."""

from __future__ import annotations

from typing import Any

import pytest

from .browsing import tab, until

pytestmark = [pytest.mark.browser, pytest.mark.needs("chromium")]

NO_WEBGL = """
(() => {
  const get = HTMLCanvasElement.prototype.getContext;
  HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
    return kind.startsWith("webgl") ? null : get.call(this, kind, ...more);
  };
})()
"""

LOADED = """() => performance.getEntriesByType("resource").some((one) => one.name.endsWith("three.js"))"""


def picture(page: Any) -> bytes:
    return bytes(page.locator(".stage canvas").screenshot())


def colours(png: bytes) -> int:
    """How many colours a picture has: an empty one has a single one."""
    import io

    from PIL import Image

    return len(Image.open(io.BytesIO(png)).convert("RGB").getcolors(1 << 24) or [])


def test_a_note_moves_and_is_held_and_turned_by_key_and_mouse(browser: Any, address: str) -> None:
    with tab(browser) as page:
        page.goto(f"{address}/drum/Wren")
        page.get_by_text("Confirmed by a solve").wait_for()
        assert not page.evaluate(LOADED)
        page.get_by_role("link", name="Moves").click()
        page.get_by_role("button", name="Hold it still").wait_for()
        page.wait_for_function(LOADED)
        first = picture(page)
        until(lambda: picture(page) != first)
        page.get_by_role("button", name="Hold it still").click()
        page.wait_for_timeout(200)
        held = picture(page)
        page.wait_for_timeout(300)
        assert picture(page) == held and colours(held) > 3
        page.locator(".stage").focus()
        page.keyboard.press("ArrowLeft")
        turned = picture(page)
        assert turned != held
        box = page.locator(".stage canvas").bounding_box()
        page.mouse.move(box["x"] + 200, box["y"] + 150)
        page.mouse.down()
        page.mouse.move(box["x"] + 320, box["y"] + 190, steps=4)
        page.mouse.up()
        assert picture(page) != turned
        page.get_by_role("button", name="From above").click()
        above = picture(page)
        page.get_by_role("button", name="Bb4").click()
        page.get_by_text("With it move D4 by 40 % of it, the other way").wait_for()
        assert page.locator(".still polyline").count() == 1
        page.get_by_label("How far it is shown to move").fill("0")
        until(lambda: picture(page) != above)


def test_it_keeps_still_for_those_who_want_it_calm(browser: Any, address: str) -> None:
    with tab(browser, reduced_motion="reduce") as page:
        page.goto(f"{address}/drum/Wren#moves")
        page.get_by_role("button", name="Let it move").wait_for()
        until(lambda: colours(picture(page)) > 3)
        first = picture(page)
        page.wait_for_timeout(300)
        assert picture(page) == first


def test_without_webgl_there_is_a_still_picture(browser: Any, address: str) -> None:
    with tab(browser, "phone") as page:
        page.add_init_script(NO_WEBGL)
        page.goto(f"{address}/drum/Wren#moves")
        page.get_by_text("still picture").wait_for()
        until(lambda: colours(picture(page)) > 3)
        still = picture(page)
        page.get_by_label("How far it is shown to move").fill("1")
        until(lambda: picture(page) != still)
