"""The steps and their words: each is used by some drum, and none is left with an empty place in it."""

from __future__ import annotations

import pytest

from kerftone.drum.file import parse_drum
from kerftone.shop.box import box_of
from kerftone.shop.steps import _told, steps_of

from ..drums import REED, WREN

WHOLE = (
    WREN.replace("wall = 10.0", 'wall = 10.0\njoint = "mitre with keys"\nround_over = 3.0').replace(
        "kerf = 3.0", "kerf = 3.0\nstop_hole = 6.0\ncountersink = 10.0\nround_over = 3.0"
    )
    + '[bottom]\nwood = "teak"\nthickness = 6.0\nfit = "let in"\n'
    + "[pickup]\ndisc = 10.0\njack_thread = 9.5\nrecess = 1.0\nx = 60.0\ny = 35.0\n"
)
ARCHED = WREN + '[box.foot_relief]\nrise = 6.0\ninset = 20.0\nshape = "arch"\n'
LIPPED = (
    REED.replace("thickness = 14.0", "thickness = 14.0\nlip = 6.0\nlip_thickness = 8.0").replace(
        "height = 90.0", 'height = 90.0\nmount = "on a lip"'
    )
    + 'fit = "on a lip"\nlip = 6.0\nlip_thickness = 4.0\n'
)
LEDGED = WREN.replace("height = 40.0", 'height = 40.0\nmount = "in ledge"\nledge = 5.0\nclearance = 0.5')
FILLED = LEDGED.replace("clearance = 0.5", 'clearance = 0.5\nglued = "ledge and edges"')
EARLY = REED + '[finish]\ncoats = 2\nwhen = "before glue-up"\n'
HOLED = REED + '[[sound_holes]]\npart = "back"\ndiameter = 30\n'
KINDS = (WREN, REED, WHOLE, ARCHED, EARLY, LIPPED, LEDGED, FILLED, HOLED)


@pytest.mark.parametrize("text", KINDS)
def test_no_words_have_an_empty_place(text: str) -> None:
    drum = parse_drum(text)
    for step in steps_of(drum, box_of(drum)):
        for words in (step.title, step.words):
            assert not {"{", "}"} & set(words) and "  " not in words and words == words.strip(), step
        assert step.tools and bool(step.wait_hours) == bool(step.wait_for), step


def test_every_step_that_is_told_is_one_that_some_drum_needs() -> None:
    drums = [parse_drum(text) for text in KINDS]
    needed = {step.name for drum in drums for step in steps_of(drum, box_of(drum))}
    assert needed == set(_told())
