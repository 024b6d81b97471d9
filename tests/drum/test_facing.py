"""How near tongues of any shape may come to one another."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely.geometry import box

from kerftone.drum import Drum, parse_drum
from kerftone.drum.check import check_outline
from kerftone.drum.facing import row_spare_mm, tip_gap_mm
from kerftone.drum.outline import outline
from kerftone.drum.plan_lines import layout
from kerftone.errors import OutlineError

from ..drums import WREN
from .conftest import reference_toml

W1 = parse_drum(reference_toml("W1"))
NOSE = ((-20.0, -21.5), (-20.0, -8.0), (0.0, -8.0), (0.0, 8.0), (-20.0, 8.0), (-20.0, 21.5))
NOTCH = ((0.0, -21.5), (0.0, -12.0), (-30.0, -12.0), (-30.0, 12.0), (0.0, 12.0), (0.0, 21.5))
WIDE = ((-25.0, -21.5), (-22.0, -30.0), (0.0, -30.0), (0.0, 30.0), (-22.0, 30.0), (-25.0, 21.5))


def with_ends(drum: Drum, **ends: object) -> Drum:
    """The drum with these ends of its tongues, by number from 1: t2="round"."""
    tongues = list(drum.tongues)
    for name, end in ends.items():
        number = int(name[1:]) - 1
        tongues[number] = replace(tongues[number], end=end)  # type: ignore[arg-type]
    return replace(drum, tongues=tuple(tongues))


def test_plain_ends_keep_a_kerf_between_their_tip_lines() -> None:
    for ends in ({}, {"t1": "round", "t4": "curve"}):
        assert tip_gap_mm(with_ends(W1, **ends), 0, 3) == 3.0


def test_a_nose_may_reach_into_a_notch_as_far_as_a_kerf_stays_all_round() -> None:
    """By hand: the nose is 16 wide and 20 long, the notch 24 wide and 30 deep, so 4 mm stay beside it; what stops it
    is its shoulders, 20 back, against the notch's lips: 20 - 3 mm past the tip line."""
    drum = with_ends(W1, t1=NOSE, t4=NOTCH)
    assert tip_gap_mm(drum, 0, 3) == pytest.approx(-17.0, abs=0.005)
    assert row_spare_mm(drum) == {1: pytest.approx(20.0, abs=0.005)}
    # A notch only 21 wide leaves 2.5 mm beside the nose: it stays outside, a kerf from the lips' corners.
    tight = tuple((x, y / 12.0 * 10.5 if abs(y) == 12.0 else y) for x, y in NOTCH)
    gap = tip_gap_mm(with_ends(W1, t1=NOSE, t4=tight), 0, 3)
    assert gap == pytest.approx(math.sqrt(3.0**2 - 2.5**2), abs=0.005)


def test_two_slants_of_a_facing_pair_may_be_parted_by_one_sawn_line() -> None:
    drum = with_ends(W1, t1="slant", t4="slant")
    gap = tip_gap_mm(drum, 0, 3)
    slope = 0.3  # the share of the width by which the short corner lies back
    assert gap == pytest.approx(3.0 * math.hypot(1.0, slope) - 43.0 * slope, abs=0.005)
    room = 356.0 - gap
    long = drum.with_lengths(
        tuple(room - 170 if n == 0 else t.length_mm or 0 for n, t in enumerate(drum.tongues))
    )
    check_outline(long)
    drawn = outline(long)
    # The wood that goes in that row is the two slots and one kerf along the slant.
    row = box(32.0, 26.0 + 1.5, 388.0, 72.0 - 1.5)
    assert drawn.removed.intersection(row).area == pytest.approx(
        3.0 * 43.0 * math.hypot(1.0, slope), rel=2e-3
    )


@pytest.mark.refusal
def test_a_facing_pair_that_meets_is_told_how_much_is_to_come_off() -> None:
    drum = with_ends(W1, t1=NOSE, t4=NOTCH)
    room = 356.0 - tip_gap_mm(drum, 0, 3)
    fits = drum.with_lengths(
        tuple(room - 170 if n == 0 else t.length_mm or 0 for n, t in enumerate(drum.tongues))
    )
    check_outline(fits)
    over = drum.with_lengths(
        tuple(room - 168 if n == 0 else t.length_mm or 0 for n, t in enumerate(drum.tongues))
    )
    with pytest.raises(
        OutlineError, match=r"overlaps by 19.0 mm. A kerf of 3.0 mm must part them: take 2.0 mm off"
    ):
        check_outline(over)


def test_an_end_wider_than_its_row_takes_a_kerf_from_what_lies_round_it() -> None:
    """Tongue 2 is in the middle row; 1 and 3 beside it, a knob of 60 mm on a tongue of 43 beyond both their tips."""
    drum = with_ends(W1, t2=WIDE).with_lengths((90.0, 190.0, 90.0, 90.0, 100.0, 90.0))
    check_outline(drum)
    drawn = outline(drum)
    knob = drawn.tongues[1]
    assert knob.bounds[3] - knob.bounds[1] == pytest.approx(60.0)
    assert drawn.top.contains(knob.buffer(-1e-3))
    for other in (*drawn.tongues[:1], *drawn.tongues[2:]):
        assert knob.distance(other) >= 3.0 - 1e-6
    assert not any(low < 221.0 < high for low, high, y in drawn.slot_lines if y in (72.0, 118.0))


@pytest.mark.refusal
def test_an_end_that_meets_the_next_row_is_told_at_its_key() -> None:
    drum = with_ends(W1, t2=WIDE).with_lengths((180.0, 190.0, 90.0, 90.0, 100.0, 90.0))
    with pytest.raises(OutlineError, match=r"come within 0.0 mm of each other. A kerf of 3.0 mm") as caught:
        check_outline(drum)
    assert caught.value.at == ("tongues", 1, "end")


@pytest.mark.refusal
def test_an_end_that_reaches_the_wall_or_hangs_on_a_thin_neck_is_told() -> None:
    far = tuple((x, y * 1.5 if abs(y) == 30.0 else y) for x, y in WIDE)
    drum = with_ends(W1, t1=far).with_lengths((190.0, 90.0, 90.0, 90.0, 100.0, 90.0))
    with pytest.raises(OutlineError, match=r"too far towards the wall"):
        check_outline(drum)
    thin = ((-40.0, -21.5), (-40.0, -3.0), (-20.0, -3.0), (-20.0, -15.0), (0.0, -15.0), (0.0, 15.0))
    thin = (*thin, (-20.0, 15.0), (-20.0, 3.0), (-40.0, 3.0), (-40.0, 21.5))
    with pytest.raises(OutlineError, match=r"hangs on less than 8.0 mm of wood"):
        check_outline(with_ends(W1, t1=thin))


@pytest.mark.refusal
def test_an_end_of_its_own_needs_a_place() -> None:
    text = reference_toml("W1").replace(
        'row = 1\nside = "left"\nlength = 150', 'length = 150\nend = "round"', 1
    )
    with pytest.raises(Exception, match=r"end of its own but no place yet") as caught:
        parse_drum(text)
    assert "row and side" in str(caught.value)


def test_the_blow_falls_inside_the_wood_of_any_end() -> None:
    """A fork: the centre line leaves the wood at the bottom of the notch, 30 mm behind the tip line."""
    drawn = outline(with_ends(W1, t1=NOTCH))
    assert drawn.strike_points[0] == pytest.approx((32.0 + 150.0 - 30.0 - 15.0, 49.0))
    hook = ((-40.0, -21.5), (-40.0, 5.0), (-20.0, 5.0), (-20.0, -15.0), (0.0, -15.0), (0.0, 21.5))
    drawn = outline(with_ends(W1, t1=hook))
    assert drawn.strike_points[0] == pytest.approx((32.0 + 150.0 - 40.0 - 15.0, 49.0))


@pytest.mark.parametrize("bows", [(4.0, -4.0), (6.0, 6.0), (-4.0, 3.0)])
@pytest.mark.parametrize("length", [60.0, 140.0])
def test_between_slots_that_bow_two_tips_come_as_near_as_a_kerf_wherever_they_meet(
    bows: tuple[float, float], length: float
) -> None:
    """An end is stretched to the width of its row, another at every length: moved as it is it misses by 0.6 mm."""
    drum = parse_drum(WREN)
    nose = ((-12.0, -13.5), (0.0, 0.0, "smooth"), (-12.0, 13.5))
    notch = ((12.0, -13.5), (0.0, 0.0, "smooth"), (12.0, 13.5))
    for ends in (("slant", "slant"), (nose, notch)):
        pair = [replace(t, length_mm=length, end=end) for t, end in zip(drum.tongues, ends, strict=True)]
        made = replace(drum, tongues=tuple(pair), slots=replace(drum.slots, bow_mm=bows))
        rest = layout(made).span_mm - length - tip_gap_mm(made, 0, 1)
        met = outline(replace(made, tongues=(pair[0], replace(pair[1], length_mm=rest))), tolerance_mm=0.01)
        assert met.tongues[0].distance(met.tongues[1]) == pytest.approx(drum.slots.kerf_mm, abs=0.02)
