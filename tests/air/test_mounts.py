"""Air in and round drums whose top or bottom leaves gaps: everything that is read lies in wood."""

from __future__ import annotations

import pytest

from kerftone.air.answer import in_air
from kerftone.air.notes_in_air import tongues_in_air
from kerftone.air.place import BottomState, place_of
from kerftone.drum import parse_drum
from kerftone.modal.plan import Fineness
from kerftone.modal.solve import solve
from kerftone.pitch import cents

from ..drums import REED

LEDGE = REED.replace("height = 90.0", 'height = 90.0\nmount = "in ledge"\nledge = 7.0\nclearance = 0.8')
LIP = REED.replace("thickness = 14.0", "thickness = 14.0\nlip = 6.0\nlip_thickness = 8.0").replace(
    "height = 90.0", 'height = 96.0\nmount = "on a lip"\nclearance = 0.5'
)
BOTTOM = LIP + 'fit = "on a lip"\nlip = 6.0\nlip_thickness = 4.0\nclearance = 0.75\nrecess = 3.0\n'
NEAR_SHARE = 0.08
"""Nearer to the breathing than this a note is parted in two by it, and may be pushed up."""

CLEAR = 0.8
"""A note that shares its tongue with no other tone to speak of."""


def test_the_room_is_as_high_as_what_hangs_and_stands_in_it_leaves_it() -> None:
    plain, lip, bottom = (place_of(parse_drum(text), BottomState.GLUED) for text in (REED, LIP, BOTTOM))
    # walls of 96 less 6 that the top hangs down; a bottom 8 thick with a lip of 4 stands 4 up into the box
    assert plain.room.height == pytest.approx(0.090)
    assert lip.room.height == pytest.approx(0.090)
    assert bottom.room.height == pytest.approx(0.086)
    assert lip.room.length == pytest.approx(0.388)  # 400 less two lips of 6
    # below the top's underside: walls 90, the bottom's lip 4, its recess 3
    assert bottom.shell.middles[:, 2].min() == pytest.approx(-0.097)


@pytest.mark.slow
@pytest.mark.parametrize("text", [LEDGE, LIP, BOTTOM])
def test_all_that_the_air_reads_lies_in_wood_and_air_lowers_notes_away_from_the_breathing(text: str) -> None:
    # a place in a gap, above a lip or under a recessed bottom would be refused by the solver
    drum = parse_drum(text)
    solution = solve(drum, fineness=Fineness(order=2))
    air = in_air(solution, BottomState.GLUED)
    breathing = air.modes.hz[air.breathing]
    told = tongues_in_air(drum, solution.modes(), air)
    # the same drum without gaps moves by 5 to 18 cents; this one is softer at its edges
    moved = [(cents(one.heard.hz, one.in_vacuo_hz), one.in_vacuo_hz / breathing, one) for one in told]
    assert all(abs(by) < 60.0 for by, _, _ in moved)
    # a note shared with a tone of the box goes with that tone, which may be pushed up
    alone = [(by, ratio) for by, ratio, one in moved if one.heard.clarity > CLEAR]
    apart = [by for by, ratio in alone if abs(ratio - 1.0) > NEAR_SHARE]
    assert len(apart) >= 2
    assert all(by < 0.0 for by in apart), moved
