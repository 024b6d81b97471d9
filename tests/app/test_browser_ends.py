"""The end of the tongues changed in a browser: by name, of one alone, by points dragged, stepped and typed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from kerftone.drum.file import read_drum

from .browsing import tab, until

pytestmark = [pytest.mark.browser, pytest.mark.needs("chromium")]


def ends(drums: Path) -> list[Any]:
    drum = read_drum(drums / "Reed 2" / "drum.toml")
    return [drum.end_of(tongue) for tongue in drum.tongues]


def standing_still(page: Any, drums: Path) -> tuple[Any, Any]:
    """Point 2 of an end of own points, under the mouse, and where it is: answers that come in above it move it."""
    page.get_by_label("Shape").select_option("own")
    until(lambda: not isinstance(ends(drums)[0], str))
    point = page.get_by_role("button", name="Point 2 of 3")
    point.scroll_into_view_if_needed()
    point.hover()  # waits until it has stood still for two frames
    return point, point.bounding_box()


@pytest.mark.parametrize("size", ["laptop", pytest.param("phone", marks=pytest.mark.slow)])
def test_own_points_are_dragged_stepped_and_typed(browser: Any, address: str, drums: Path, size: str) -> None:
    with tab(browser, size) as page:
        page.goto(f"{address}/drum/Reed%202")
        point, box = standing_still(page, drums)
        assert box["width"] >= 43.5 and box["height"] >= 43.5
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        page.mouse.down()
        page.mouse.move(x - 40, y - 10, steps=3)
        page.mouse.up()
        until(lambda: not isinstance(ends(drums)[0], str) and ends(drums)[0][1][0] < -1.0)
        first = ends(drums)[0]
        assert ends(drums)[3] == first and first[1][1] > 0.0  # upwards on the screen is towards the back
        point.focus()
        page.keyboard.press("Shift+ArrowLeft")
        until(lambda: ends(drums)[0][1][0] == pytest.approx(first[1][0] - 1.0, abs=0.011))
        page.get_by_label("Point 2, back from the tip mm").fill("6.5")
        page.get_by_label("Point 2, back from the tip mm").press("Enter")
        until(lambda: ends(drums)[0][1][0] == -6.5)
        page.get_by_role("button", name="Undo").click()
        until(lambda: ends(drums)[0][1][0] == pytest.approx(first[1][0] - 1.0, abs=0.011))


def test_one_tongue_gets_an_end_of_its_own_with_curves_and_more_points(
    browser: Any, address: str, drums: Path
) -> None:
    with tab(browser) as page:
        page.goto(f"{address}/drum/Reed%202")
        page.get_by_label("This end is of").select_option("one")
        page.get_by_role("heading", name="End of D4 alone").wait_for()
        page.get_by_label("Shape").select_option("round")
        until(lambda: ends(drums) == ["round", "square", "square", "square"])
        page.get_by_label("Shape").select_option("own")
        page.get_by_label("The line there").select_option("smooth")
        until(lambda: not isinstance(ends(drums)[0], str) and ends(drums)[0][1][2:] == ("smooth",))
        page.get_by_role("button", name="Add a point").click()
        until(lambda: len(ends(drums)[0]) == 4)
        page.get_by_role("button", name="Take point 3 away").click()
        until(lambda: len(ends(drums)[0]) == 3)
        page.get_by_label("This end is of").select_option("all")
        until(lambda: ends(drums) == ["square"] * 4)


def test_what_is_typed_while_an_earlier_change_is_on_its_way_is_kept(
    browser: Any, address: str, drums: Path
) -> None:
    """The answer to a drag is held back until the field is typed in: it rounds the number that stood there."""
    with tab(browser) as page:
        page.goto(f"{address}/drum/Reed%202")
        _, box = standing_still(page, drums)
        held: list[Any] = []

        def hold(route: Any) -> None:
            if held:
                route.continue_()
            else:
                held.append((route, route.fetch()))

        page.route("**/change", hold)
        page.mouse.down()
        page.mouse.move(box["x"] - 31, box["y"] + 7, steps=3)
        page.mouse.up()
        for _ in range(200):
            page.wait_for_timeout(50)
            if held:
                break
        field = page.get_by_label("Point 2, back from the tip mm")
        field.fill("6.5")
        route, answer = held[0]
        with page.expect_response("**/change"):
            route.fulfill(response=answer)
        page.wait_for_timeout(300)
        assert field.input_value() == "6.5"
        field.press("Enter")
        until(lambda: ends(drums)[0][1][0] == -6.5)
