"""What a page is given of the drum's motions is the solve's, and can be unpacked again."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from kerftone.jobs.live_pitch import LiveModel
from kerftone.jobs.show_motions import FULL, MotionsRequest, show_motions


@pytest.fixture(scope="module")
def shown(predicted: Any) -> Any:
    live = LiveModel(drum=predicted.drum, prediction=predicted, tables=None, shift_cents=())  # type: ignore[arg-type]
    return show_motions(MotionsRequest(live=live))


def test_its_own_tongue_moves_most_in_each_note(predicted: Any, shown: Any) -> None:
    from kerftone.drum.outline import outline

    for number, polygon in enumerate(outline(predicted.drum).tongues):
        lift = np.linalg.norm(shown.moved[number].astype(float), axis=1)
        assert lift.max() == pytest.approx(FULL, abs=1.0)
        x, y, _ = shown.points_mm[lift.argmax()]
        west, south, east, north = polygon.bounds
        assert west - 1e-3 <= x <= east + 1e-3 and south - 1e-3 <= y <= north + 1e-3


def test_the_parts_take_all_triangles_in_turn(predicted: Any, shown: Any) -> None:
    ends = [part["first"] + part["count"] for part in shown.parts]
    assert [part["first"] for part in shown.parts] == [0, *ends[:-1]] and ends[-1] == len(shown.triangles)
    assert [part["part"] for part in shown.parts][:2] == ["top", "walls"]


def test_neighbours_and_lines_at_rest_are_those_of_the_modes(predicted: Any, shown: Any) -> None:
    strike = predicted.modes.strike
    for number, note in enumerate(shown.notes):
        mode = predicted.tongues[number].heard.mode
        for other in note["with"]:
            ratio = strike[other["tongue"], mode] / strike[number, mode]
            assert abs(ratio) == pytest.approx(other["share"], abs=1e-3)
            assert other["together"] == (ratio > 0)
        assert all(
            0.0 <= x <= predicted.drum.top.length_mm and 0.0 <= y <= predicted.drum.top.width_mm
            for line in note["still"]
            for x, y in line
        )


def test_the_bytes_are_points_triangles_and_motions(shown: Any) -> None:
    data, told = shown.data(), shown.document()
    points, triangles, notes = told["points"], told["triangles"], len(told["notes"])
    assert len(data) == 12 * points + 12 * triangles + 6 * points * notes
    first = np.frombuffer(data, "<f4", 3 * points).reshape(-1, 3)
    assert np.array_equal(first, shown.points_mm)
    trios = np.frombuffer(data, "<u4", 3 * triangles, offset=12 * points)
    assert trios.max() < points
