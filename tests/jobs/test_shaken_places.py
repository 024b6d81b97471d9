"""Where a drum is looked at for buzzing, and what a blow does there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.jobs.progress import Progress
from kerftone.jobs.shaken_places import CORNERS, FLOOR, places_mm, shakes_of
from kerftone.jobs.solved_once import SolvedOnce
from kerftone.modal.shelf import shelf_beside

from ..drums import REED, WREN
from ..solving import solve_once


def test_the_places_lie_under_the_corners_on_the_floor_and_in_the_walls() -> None:
    drum = parse_drum(REED)  # walls 16 thick and 90 high, 400 x 180, bottom 8
    places, ways = places_mm(drum)
    assert len(places) == len(ways)
    corners, floor, walls = np.split(places, [CORNERS, CORNERS + FLOOR])
    assert corners[:, 2] == pytest.approx(-98.0, abs=0.1)
    assert set(corners[:, 0].round()) == {8.0, 392.0}
    assert floor[:, 2] == pytest.approx(-90.0, abs=0.1)
    assert floor[:, 0].min() > 16.0
    assert walls[:, 2] == pytest.approx(-45.0)
    assert ways[-1].tolist() == [0.0, 1.0, 0.0]


def test_what_a_blow_shakes_is_solved_once_and_then_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drum = replace(parse_drum(WREN), box=replace(parse_drum(WREN).box, stands="free"))
    solved = solve_once(drum)
    monkeypatch.setattr("kerftone.modal.solve.solve", lambda *_: solved)
    shelf = shelf_beside(tmp_path / "drum.toml")
    found = shakes_of(SolvedOnce(drum, 20), Progress(), shelf)
    for told in (found.corners_mm, found.rim_m_s2, found.floor_m_s2, found.walls_m_s2):
        assert len(told) == 2
        assert all(one > 0.0 for one in told)
    # a blow of 0.02 N s on a drum of some 0.5 kg: corners move by hundredths of a mm, shaken by several g
    assert 0.001 < max(found.corners_mm) < 0.2
    assert 5.0 < max(found.rim_m_s2) < 1000.0
    monkeypatch.setattr("kerftone.modal.solve.solve", lambda *_: pytest.fail("solved again"))
    assert shakes_of(SolvedOnce(drum, 20), Progress(), shelf) == found
    assert shakes_of(SolvedOnce(drum, 64, solved), Progress()) == found, "however many modes were solved for"
