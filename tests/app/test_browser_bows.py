"""Slots that bow on the page: the plan is drawn as the drawings are."""

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
