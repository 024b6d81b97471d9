"""What a mark of the rule costs in cents, beside full solves of the whole drum."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.file import parse_drum
from kerftone.shop.measure import mark_cents, mark_words

from ..drums import REED

LENGTHS_MM = (230.327, 208.636, 195.859, 183.286, 166.116, 154.762)
"""Of an invented drum of six tongues in padauk, 5/8 in thick."""


@pytest.mark.parametrize(
    ("units", "parts", "solved_cents"),
    [("in", 32, 3.93), ("in", 64, 3.10), ("mm", 32, 4.47)],
)
def test_the_cost_of_a_mark_is_what_full_solves_of_the_whole_drum_say(
    units: str, parts: int, solved_cents: float
) -> None:
    # Solved once as it is and once with every length on its nearest mark: the note that moved most.
    reed = parse_drum(REED)
    tongues = tuple(replace(reed.tongues[0], length_mm=mm) for mm in LENGTHS_MM)
    top = replace(reed.top, thickness_mm=15.875)
    drum = replace(reed, units=units, tongues=tongues, top=top, shop=replace(reed.shop, fraction=parts))
    assert mark_cents(drum) == pytest.approx(solved_cents, rel=0.1)
    assert f"up to {mark_cents(drum):.0f} cents off" in mark_words(drum)


def test_lengths_on_the_marks_cost_nothing() -> None:
    assert mark_words(parse_drum(REED)) == "" and mark_cents(parse_drum(REED)) == 0.0
