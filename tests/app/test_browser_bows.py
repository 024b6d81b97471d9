"""Slots that bow, and knots, on the page: the plan is drawn as the drawings are."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import Polygon

from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline

from .browsing import tab, until

pytestmark = [pytest.mark.browser, pytest.mark.needs("chromium")]


def test_the_plan_shows_each_tongue_as_it_is_sawn_between_bowed_slots(
    browser: Any, address: str, drums: Path
) -> None:
    """The polygons of the picture against the outline's, by shapely: the picture's edges have 24 straight pieces."""
    file = drums / "Wren" / "drum.toml"
    file.write_text(file.read_text().replace("[slots]", "[slots]\nbow = [5, -3]"))
    drawn = outline(read_drum(file))
    with tab(browser) as page:
        page.goto(f"{address}/drum/Wren")
        until(lambda: page.locator("polygon.tongue").count() == 2)
        shown = [
            [tuple(map(float, spot.split(","))) for spot in points.split()]
            for points in page.locator("polygon.tongue").evaluate_all(
                "all => all.map((p) => p.getAttribute('points'))"
            )
        ]
    for points, tongue in zip(shown, drawn.tongues, strict=True):
        assert Polygon(points).symmetric_difference(tongue).area < 1e-3 * tongue.area
        assert len(points) > 40


def test_the_plan_shows_the_knots_of_the_board_where_the_file_has_them(
    browser: Any, address: str, drums: Path
) -> None:
    file = drums / "Wren" / "drum.toml"
    file.write_text(file.read_text().replace("[top]", "[top]\nknots = [[30, 12, 8], [60, 15, 5]]"))
    with tab(browser) as page:
        page.goto(f"{address}/drum/Wren")
        until(lambda: page.locator("circle.knot").count() == 2)
        shown = page.locator("circle.knot").evaluate_all(
            "all => all.map((c) => ['cx', 'cy', 'r'].map((name) => Number(c.getAttribute(name))))"
        )
    assert shown == [[30, 12, 4], [60, 15, 2.5]]
