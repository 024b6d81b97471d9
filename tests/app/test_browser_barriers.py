"""Every view and every form in both themes and all sizes: it fits, can be pressed, and has no barriers."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kerftone.drum.board_file import save_new
from kerftone.drum.file import read_drum
from kerftone.wood.board import new_board

from .browsing import SIZES, tab, until

pytestmark = [pytest.mark.browser, pytest.mark.needs("chromium")]

AXE = Path(__file__).parents[2] / ".venv" / "node" / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
VIEWS = {
    "drums": ("/", "Begin a new drum"),
    "begin": ("/begin", "Work it out"),
    "top": ("/drum/Reed%202#top", "Confirmed by a solve"),
    "hear": ("/drum/Reed%202#hear", "Sounds made from the model"),
    "moves": ("/drum/Reed%202#moves", "Where it stands still"),
    "wood": ("/drum/Reed%202#wood", "cherry, black"),
    "compare": ("/drum/Reed%202#compare", "No variant is kept yet"),
    "box": ("/drum/Reed%202#box", "Front and back wall"),
}
EACH = [pytest.param(view, marks=() if view == "top" else pytest.mark.slow) for view in VIEWS]


def own_points(page: Any) -> None:
    page.get_by_label("Shape").select_option("own")
    page.get_by_role("button", name="Point 2 of 3").wait_for()


def tapping(page: Any) -> None:
    page.get_by_role("button", name="Tap it: a", exact=True).click()
    form = page.get_by_role("group", name="Tapping a")
    form.get_by_label("Tones heard").fill("251,5")
    form.get_by_role("button", name="Keep the tap").click()
    form.get_by_text("251.5 Hz (along)").wait_for()
    page.get_by_role("button", name="Record taps with the microphone").click()
    page.get_by_text("That is all: hear them").wait_for()


def new_board_form(page: Any) -> None:
    page.get_by_role("button", name="Measure a board").click()
    page.get_by_label("Mass").wait_for()


def refused(page: Any) -> None:
    page.get_by_label("Length of the top").fill("60")
    page.get_by_label("Length of the top").press("Enter")
    page.get_by_role("alert").first.wait_for()


def heard(page: Any) -> None:
    page.get_by_label("Look for a name").fill("teak")
    page.get_by_role("button", name="Fit anew in").first.click()
    page.get_by_role("button", name="Take this wood").wait_for()


def everything_in_the_box(page: Any) -> None:
    for label, value in (
        ("The top sits", "on a lip"),
        ("Bottom", "on a lip"),
        ("Pickup", "yes"),
        ("Root bars", "yes"),
    ):
        page.get_by_label(label, exact=True).select_option(value)
        page.wait_for_function("!document.querySelector('select:disabled')")
    page.get_by_label("Disc, across").wait_for()


FOCUSED = """() => {
  const one = document.activeElement;
  return one.getAttribute("aria-label") ?? one.labels?.[0]?.textContent ?? one.textContent;
}"""
FORMS: dict[str, tuple[str, Callable[[Any], None]]] = {
    "own points of an end": ("top", own_points),
    "what cannot be sawn": ("top", refused),
    "a board being tapped": ("wood", tapping),
    "a board to be measured": ("wood", new_board_form),
    "a wood heard": ("wood", heard),
    "lips, root bars and a pickup": ("box", everything_in_the_box),
}


def misfits(page: Any) -> list[str]:
    """What hangs out of the page, and what is too small to be pressed."""
    found: list[str] = page.evaluate(
        """() => {
        const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
        const small = [...document.querySelectorAll("button, a:not(.skip), input, select, summary, [role=slider]")]
            .map((one) => [one.getBoundingClientRect(), one.outerHTML.slice(0, 90)])
            .filter(([box]) => box.width && (box.height < 43.5 || box.width < 43.5)).map((one) => one[1]);
        return wide > 0 ? [`${wide} px too wide`, ...small] : small;
        }"""
    )
    return found


def barriers(page: Any) -> list[Any]:
    """What axe-core finds wrong."""
    page.evaluate(AXE.read_text("utf-8"))
    found = page.evaluate("(tags) => axe.run({ runOnly: { type: 'tag', values: tags } })", RULES)
    assert len(found["passes"]) > 10
    return [(one["id"], [node["html"][:120] for node in one["nodes"]][:4]) for one in found["violations"]]


@pytest.fixture
def axe() -> None:
    if not AXE.is_file():
        pytest.skip("axe-core is not there: scripts/test-packages fetches it")


@pytest.fixture
def board(drums: Path) -> None:
    """A board to be tapped beside the drums."""
    (drums / "boards").mkdir()
    made = new_board("cherry, black", (600.0, 150.0, 16.0), 806.0, 12.0, "flatsawn")
    save_new(drums / "boards" / "a.toml", made, "mm")


@pytest.mark.parametrize("view", EACH)
def test_a_view_fits_its_screen_and_what_is_pressed_is_large_enough(
    browser: Any, address: str, view: str
) -> None:
    where, there = VIEWS[view]
    for size in SIZES:
        with tab(browser, size) as page:
            page.goto(f"{address}{where}")
            page.get_by_text(there).first.wait_for()
            assert misfits(page) == [], f"{view} at {size}"


@pytest.mark.usefixtures("axe")
@pytest.mark.parametrize("theme", ["light", pytest.param("dark", marks=pytest.mark.slow)])
@pytest.mark.parametrize("view", EACH)
def test_a_view_has_no_barrier_that_a_machine_can_find(
    browser: Any, address: str, view: str, theme: str
) -> None:
    where, there = VIEWS[view]
    for size in ("phone", "laptop"):
        with tab(browser, size, color_scheme=theme, reduced_motion="reduce", bypass_csp=True) as page:
            page.goto(f"{address}{where}")
            page.get_by_text(there).first.wait_for()
            assert barriers(page) == [], f"{view} at {size} in {theme}"


@pytest.mark.slow
@pytest.mark.usefixtures("axe", "board")
@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("size", ["phone", "laptop"])
@pytest.mark.parametrize("form", FORMS)
def test_an_open_form_fits_and_has_no_barrier(
    browser: Any, address: str, form: str, size: str, theme: str
) -> None:
    view, open_it = FORMS[form]
    where, there = VIEWS[view]
    with tab(browser, size, color_scheme=theme, reduced_motion="reduce", bypass_csp=True) as page:
        page.goto(f"{address}{where}")
        page.get_by_text(there).first.wait_for()
        open_it(page)
        assert misfits(page) == []
        assert barriers(page) == []


def test_everything_is_reached_by_keyboard_alone(browser: Any, address: str) -> None:
    with tab(browser) as page:
        page.goto(f"{address}/drum/Wren")
        page.get_by_text("Confirmed by a solve").wait_for()
        reached = set()
        for _ in range(60):
            page.keyboard.press("Tab")
            reached.add(
                page.evaluate(
                    "document.activeElement.getAttribute('aria-label') ?? document.activeElement.textContent"
                )
            )
        assert {"Tip of D4", "Tip of Bb4", "Find the lengths", "The top", "Hear", "mm", "in"} <= reached


@pytest.mark.slow
def test_a_board_is_measured_and_a_note_turned_by_keyboard_alone(
    browser: Any, address: str, drums: Path
) -> None:
    with tab(browser, "phone") as page:

        def go_to(name: str, key: str = "Tab") -> None:
            """Press Tab until what is so called has the focus."""
            for _ in range(90):
                page.keyboard.press(key)
                if page.evaluate(FOCUSED).startswith(name):
                    return
            raise AssertionError(f"{name} is not reached")

        page.goto(f"{address}/drum/Wren#wood")
        page.get_by_role("button", name="Measure a board").wait_for()
        go_to("Measure a board")
        page.keyboard.press("Enter")
        for name, typed in (
            ("What the board is called", "cherry 7"),
            ("Its wood", "cherry"),
            ("Length along", "600"),
            ("Width", "150"),
            ("Thickness", "16"),
            ("Mass", "806 g"),
        ):
            go_to(name)
            page.keyboard.type(typed)
        go_to("Put it down")
        page.keyboard.press("Enter")
        page.get_by_role("group", name="Tapping cherry 7").wait_for()
        go_to("Tones heard")
        page.keyboard.type("251.5")
        page.keyboard.press("Enter")
        page.get_by_text("251.5 Hz (along)").wait_for()
        go_to("Take it for the top: cherry 7", "Shift+Tab")
        page.keyboard.press("Enter")
        until(lambda: read_drum(drums / "Wren" / "drum.toml").top.board == "../boards/cherry 7.toml")
        go_to("Moves", "Shift+Tab")
        page.keyboard.press("Enter")
        page.get_by_role("button", name="Hold it still").wait_for()
        go_to("Bb4")
        page.keyboard.press("Enter")
        page.get_by_text("With it move D4").wait_for()
        go_to("Hold it still")
        page.keyboard.press("Enter")
        page.get_by_role("button", name="Let it move").wait_for()
