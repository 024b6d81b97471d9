from __future__ import annotations

from kerftone.drum.design import Tongue


def test_a_place_is_the_side_of_the_root_and_the_row_from_the_front() -> None:
    assert Tongue(note="D3", row=1, side="left").place == "L1"
    assert Tongue(note="F3", row=3, side="right").place == "R3"
    assert Tongue(note="D3").place == "D3"
