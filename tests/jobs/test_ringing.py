"""How long notes ring, in words and numbers."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from kerftone.drum.file import parse_drum
from kerftone.jobs.ringing import finish_words, ringing_words, rings

from ..drums import WREN


def told(text: str, q: float | None = None) -> Any:
    """Wren's two notes as if they had been solved."""
    drum = parse_drum(text)
    tongues = [
        SimpleNamespace(
            tongue=tongue,
            heard=SimpleNamespace(hz=hz),
            in_air=None if q is None else SimpleNamespace(radiation_q=q),
        )
        for tongue, hz in zip(drum.tongues, (290.0, 460.0), strict=True)
    ]
    return SimpleNamespace(drum=drum, tongues=tongues)


def test_padauk_rings_longer_than_cherry_and_both_say_how_sure_that_is() -> None:
    cherry, padauk = told(WREN), told(WREN.replace("cherry, black", "padauk, African"))
    for one, other in zip(rings(cherry), rings(padauk), strict=True):
        assert other.t60_s > 1.15 * one.t60_s
    assert "No figure is known to us for what cherry, black loses" in ringing_words(cherry)
    assert "±25 %" in ringing_words(cherry) and "±20 %" in ringing_words(padauk)
    assert "from memory" in ringing_words(padauk)


def test_what_is_sent_out_shortens_it_and_is_surer() -> None:
    still, loud = rings(told(WREN))[0], rings(told(WREN, q=100.0))[0]
    assert loud.t60_s < 0.6 * still.t60_s
    assert loud.plus_minus_pct < 0.6 * still.plus_minus_pct


def test_a_measured_loss_is_taken() -> None:
    own = told(WREN)
    own.drum = replace(own.drum, top=replace(own.drum.top, loss=0.02))
    assert rings(own)[0].t60_s == pytest.approx(2.2 / (290.0 * 0.02), rel=0.01)
    assert "your own measurement" in ringing_words(own)


def test_what_a_finish_does_is_told_where_its_weight_is_stated() -> None:
    bare = told(WREN)
    assert finish_words(bare) == ""
    film = told(WREN + '[finish]\nkind = "shellac"\ndry_g_m2 = 60\n')
    for tongue, cents in zip(film.tongues, (-7.4, -5.6), strict=True):
        tongue.finish_cents = cents
    assert "Shellac, 60 g/m² outside, lowers the notes by 6 to 7 cents" in finish_words(film)
    assert "3 % shorter" in finish_words(film)
    assert rings(film)[0].t60_s < rings(bare)[0].t60_s
    oil = told(WREN + "[finish]\ndry_g_m2 = 60\n")
    for tongue in oil.tongues:
        tongue.finish_cents = -7.0
    assert "left out: oil" in finish_words(oil)
