"""An end by name or by own points, of all tongues or of one, is written so that the drum has that very end."""

from __future__ import annotations

from typing import Any

import pytest
from shapely.geometry import Polygon

from kerftone.app.wishes import WishError, changes_of
from kerftone.drum.edit import edited
from kerftone.drum.ends import end_curve
from kerftone.drum.file import parse_drum
from kerftone.drum.plan_lines import layout

from ..drums import REED


def done(text: str, **wish: Any) -> str:
    return edited(text, changes_of(parse_drum(text), [{"do": "end", **wish}])[0])


def inside(text: str, number: int = 0) -> float:
    """The area between the end of this tongue and a line across it 100 mm behind its tip, in mm²."""
    drum = parse_drum(text)
    tongue, half = drum.tongues[number], 0.5 * layout(drum).tongue_width_mm
    curve = end_curve(
        drum.end_of(tongue),
        width_mm=2 * half,
        length_mm=1000.0,
        side=tongue.side or "left",
        tolerance_mm=0.01,
    )
    return float(Polygon([(-100.0, -half), *curve, (-100.0, half)]).area)


@pytest.mark.parametrize("shape", ["square", "round", "slant", "curve"])
@pytest.mark.parametrize("number", [None, 0, 1])
def test_own_points_begin_where_the_end_lay(shape: str, number: int | None) -> None:
    named = done(REED, tongue=number, shape=shape)
    own = done(named, tongue=number, shape="own")
    assert not isinstance(parse_drum(own).end_of(parse_drum(own).tongues[number or 0]), str)
    assert inside(own, number or 0) == pytest.approx(inside(named, number or 0), rel=1e-3)


def test_one_tongue_alone_has_an_end_of_its_own_and_gives_it_up_again() -> None:
    own = done(REED, tongue=2, shape="round")
    ends = [drum.end_of(tongue) for drum in [parse_drum(own)] for tongue in drum.tongues]
    assert ends == ["square", "square", "round", "square"]
    assert parse_drum(done(own, tongue=2, shape="as all")) == parse_drum(REED)


def test_points_are_stated_in_the_files_units_with_the_tip_on_its_line() -> None:
    half = 0.5 * layout(parse_drum(REED)).tongue_width_mm
    moved = done(REED, tongue=None, points=[[-3.0, -half], [5.0, 0.0], [-3.0, half]])
    along = [point[0] for point in parse_drum(moved).slots.tongue_end]
    assert along == pytest.approx([-8.0, 0.0, -8.0])
    smooth = done(REED, tongue=1, points=[[-9.0, -half], [-2.0, 0.0, "smooth"], [-6.0, half]])
    assert parse_drum(smooth).tongues[1].end[1] == (-2.0, 0.0, "smooth")  # type: ignore[index]


@pytest.mark.refusal
@pytest.mark.parametrize(
    "wish",
    [
        {"tongue": 9, "shape": "round"},
        {"tongue": None, "shape": "as all"},
        {"tongue": 0, "shape": "pointed"},
        {"tongue": 0, "points": [[0.0, 0.0]]},
        {"tongue": 0, "points": [[0.0, -5.0], [0.0, 0.0, "bent"], [0.0, 5.0]]},
        {"tongue": 0, "points": "many"},
    ],
)
def test_what_is_no_end_is_refused(wish: dict[str, Any]) -> None:
    with pytest.raises(WishError, match="cannot be read"):
        done(REED, **wish)
