"""An end in one word that is the other side of the facing tongue's."""

from __future__ import annotations

import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.file import parse_drum
from kerftone.drum.outline import outline
from kerftone.errors import DrumFileError

from ..drums import REED, WREN

NOSE = '[[-9.0, -13.5], [-3.0, -6.0, "smooth"], [0.0, 2.0, "smooth"], [-7.0, 9.0, "smooth"], [-4.0, 13.5]]'


def wren(left: str, right: str) -> str:
    """Wren with these ends, its tongues nearly touching."""
    return WREN.replace("length = 140.0", f"length = 152.0\nend = {left}").replace(
        "length = 105.0", f"length = 105.0\nend = {right}"
    )


@pytest.mark.parametrize("shape", [NOSE, '"round"', '"curve"', '"slant"', '"square"'])
@pytest.mark.parametrize("first", [True, False])
def test_two_facing_tongues_that_share_a_curve_leave_a_strip_of_one_width_between_them(
    shape: str, first: bool
) -> None:
    """The gap along the tongues is the same all across: 268 mm between the roots, less both lengths, by hand.

    What the one has forward the other has back, so the lengths overlap by the depth of the curve.
    """
    drum = parse_drum(wren(*((shape, '"facing"') if first else ('"facing"', shape))))
    left, right = outline(drum, tolerance_mm=0.001).tongues
    gaps = []
    for across in (-12.0, -5.0, 0.0, 5.0, 12.0):
        y = 35.0 + across
        ends = [
            max(x for x, _ in _crossings(left, y)),
            min(x for x, _ in _crossings(right, y)),
        ]
        gaps.append(ends[1] - ends[0])
    assert max(gaps) - min(gaps) < 0.01
    check_outline(drum)


def _crossings(shape, y: float) -> list[tuple[float, float]]:
    from shapely.geometry import LineString

    cut = shape.intersection(LineString([(0.0, y), (400.0, y)]))
    return list(cut.coords)


@pytest.mark.refusal
def test_an_end_that_follows_nothing_is_refused_with_what_to_write() -> None:
    with pytest.raises(
        DrumFileError, match=r'tongue 1 \(D4\) is "facing", but .* is "facing" too.*write a shape'
    ):
        parse_drum(wren('"facing"', '"facing"'))
    alone = REED.replace('row = 2\nside = "right"', 'row = 3\nside = "right"\nend = "facing"')
    with pytest.raises(DrumFileError, match=r'\(C5\) is "facing", but no tongue faces it'):
        parse_drum(alone)
    with pytest.raises(DrumFileError, match="tongue_end"):
        parse_drum(WREN.replace("kerf = 3.0", 'kerf = 3.0\ntongue_end = "facing"'))
