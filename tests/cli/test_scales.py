"""`kerftone scales`: all of them, those with a word, one on its own note."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from kerftone.scales import scale_table

Run = Callable[..., Any]


def test_all_scales_stand_in_a_table_that_fits_the_screen(run: Run) -> None:
    ran = run("scales")
    assert ran.code == 0 and max(len(line) for line in ran.out.splitlines()) <= 80
    assert [name for name in scale_table() if name not in ran.out] == []
    assert "--scale 'D minor pentatonic'" in ran.err


def test_a_word_picks_out_scales_by_any_of_their_names(run: Run) -> None:
    names = {scale["name"] for scale in run("scales", "blues", "--json").document["scales"]}
    assert names == {"minor blues", "major blues"}
    assert "phrygian dominant" in run("scales", "hijaz").out


def test_a_scale_on_a_note_shows_its_notes(run: Run) -> None:
    assert run("scales", "d minor pentatonic").out == (
        "D minor pentatonic: D F G A C\nFrom D3 up: D3 F3 G3 A3 C4 D4\n"
    )
    one = run("scales", "Bb major", "--json").document["scales"][0]
    assert one["notes"] == ["Bb", "C", "D", "Eb", "F", "G", "A"]


@pytest.mark.refusal
def test_an_unknown_scale_gets_the_nearest(run: Run) -> None:
    ran = run("scales", "pentatonik")
    assert ran.code == 2 and ran.fault is None and "'major pentatonic'" in ran.err
