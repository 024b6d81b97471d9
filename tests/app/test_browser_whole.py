"""From nothing to a saved booklet with the true solver: begun, dragged, heard at the model's pitch, printed."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from kerftone.app.solver import Solver

from .browsing import served, tab
from .test_browser_views import RENDERED

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.needs("chromium")]

LONG_MS = 400_000
"""Solves on a machine that other tests keep busy."""


def pitch_hz(samples: list[float], near_hz: float) -> float:
    """The frequency of the tone near this one: by the turn of its phase between two halves of the sound."""
    import numpy as np

    sound = np.array(samples)[2400:26400]
    time_s = np.arange(len(sound)) / 48000
    turned = sound * np.exp(-2j * math.pi * near_hz * time_s) * np.hanning(len(sound))
    half = len(turned) // 2
    first, second = turned[:half].sum(), turned[half:].sum()
    centres = [
        np.average(time_s[part], weights=abs(turned[part])) for part in (slice(half), slice(half, None))
    ]
    return float(near_hz + np.angle(second / first) / (2 * math.pi * (centres[1] - centres[0])))


def test_a_drum_from_nothing_to_a_booklet(browser: Any, tmp_path: Path) -> None:
    presses = 0
    with served(tmp_path, Solver("kerftone.app.tasks")) as address, tab(browser) as page:
        page.context.set_default_timeout(LONG_MS)
        page.goto(f"{address}/begin")
        page.get_by_label("Wood of the top").fill("cherry")
        for _ in range(4):
            page.get_by_role("button", name="One tongue fewer").click()
        page.get_by_role("button", name="Work it out").click()
        presses += 6
        page.wait_for_url("**/drum/**")
        grip = page.get_by_role("slider", name="Tip of D3")
        page.get_by_text("Confirmed by a solve").wait_for()
        name = page.evaluate("document.getElementById('drum').dataset.address")
        found = page.request.get(f"{address}{name}").json()
        off = [
            1200 * math.log2(hz / t["aim_hz"])
            for hz, t in zip(found["sound"]["hz"], found["drum"]["tongues"], strict=True)
        ]
        assert max(map(abs, off)) < 1.5

        before = grip.get_attribute("aria-valuetext")
        grip.focus()
        for _ in range(5):
            page.keyboard.press("ArrowLeft")
        page.wait_for_function(
            "(was) => document.querySelector('[role=slider]').ariaValueText !== was", arg=before
        )
        page.get_by_role("button", name="Undo").click()
        presses += 6
        page.get_by_text("Confirmed by a solve").wait_for()

        page.get_by_role("link", name="Hear").click()
        page.get_by_text("Sounds made from the model").wait_for()
        hz = page.request.get(f"{address}{name}").json()["sound"]["hz"][0]
        heard = pitch_hz(page.evaluate(RENDERED, [name, 0, 1.6]), hz)
        assert abs(1200 * math.log2(heard / hz)) < 1.0

        page.get_by_role("link", name="Box and plan").click()
        page.get_by_role("button", name="Make it: The booklet").click()
        with page.expect_download() as saved:
            page.get_by_role("link", name="Save build.pdf").click()
        presses += 4
        assert Path(saved.value.path()).read_bytes().startswith(b"%PDF")
    assert presses <= 25
