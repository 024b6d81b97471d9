"""A top that cannot be sawn, or would not hold, is refused; the value that is offered works."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from kerftone.drum import Bore, Drum, check_outline, parse_drum
from kerftone.errors import OutlineError

from .conftest import reference_toml

W1 = parse_drum(reference_toml("W1"))
W2 = parse_drum(reference_toml("W2"))
W4 = parse_drum(reference_toml("W4"))

Change = Callable[[Drum, float], Drum]


def refused(drum: Drum) -> str:
    with pytest.raises(OutlineError) as caught:
        check_outline(drum)
    return str(caught.value)


def offered(message: str, before: str) -> float:
    """The number that stands after these words."""
    found = re.search(re.escape(before) + r" (-?[\d.]+)", message)
    assert found is not None, message
    return float(found[1])


def slots(name: str) -> Change:
    return lambda drum, mm: replace(drum, slots=replace(drum.slots, **{name: mm}))  # type: ignore[arg-type]


def length_of(number: int) -> Change:
    def change(drum: Drum, mm: float) -> Drum:
        tongues = list(drum.tongues)
        tongues[number - 1] = replace(tongues[number - 1], length_mm=mm)
        return replace(drum, tongues=tuple(tongues))

    return change


def width(drum: Drum, mm: float) -> Drum:
    return replace(drum, top=replace(drum.top, width_mm=mm))


def bore(depth: float = 4.0, **values: float) -> Change:
    def change(drum: Drum, mm: float) -> Drum:
        made = {"x_mm": 160.0, "y_mm": 49.0, "diameter_mm": 20.0, "depth_mm": depth, **values}
        name = next((key for key, value in values.items() if value < 0), "depth_mm")
        return replace(drum, bores=(Bore(**{**made, name: mm}),))

    return change


@pytest.mark.parametrize("drum", [W1, W2, W4], ids=["W1", "W2", "W4"])
def test_the_reference_drums_pass_and_no_tongue_of_theirs_could_be_much_longer(drum: Drum) -> None:
    """Every tongue faces another in its row: grown to the whole length between the margins it must meet it."""
    check_outline(drum)
    whole = drum.top.length_mm - 2.0 * drum.slots.end_margin_mm
    for number in range(1, len(drum.tongues) + 1):
        assert f"{whole:.1f} mm" in refused(length_of(number)(drum, whole)), number


def test_a_drum_not_yet_fitted_passes_as_far_as_it_can_be_judged() -> None:
    bare = replace(W1, tongues=tuple(replace(t, row=None, side=None, length_mm=None) for t in W1.tongues))
    placed = replace(W1, tongues=tuple(replace(t, length_mm=None) for t in W1.tongues))
    for drum in (bare, placed):
        check_outline(drum)
        assert "end_margin" in refused(slots("end_margin_mm")(drum, 13.0))
    assert "Tongue 4" in refused(length_of(4)(placed, 354.0)), "the one length that is known is judged"


CASES = [
    # the drum, how it is changed, a wrong value, words of the message, words before the value that works
    (W1, slots("end_margin_mm"), 15.0, "leaves 3.0 mm of free wood", "make end_margin"),
    (W2, slots("end_margin_mm"), 10.0, "the ledge (6.0 mm)", "make end_margin"),
    (W1, slots("end_margin_mm"), 200.0, "leaves 20.0 mm for tongues", "make end_margin"),
    (W1, slots("side_margin_mm"), 14.0, "leaves 0.5 mm of free wood", "make side_margin"),
    (W1, slots("stop_hole_mm"), 37.0, "leaves 1.5 mm", None),
    (W1, width, 60.0, "tongues 0.0 mm wide", "make the top"),
    (W1, width, 85.0, "tongues 8.0 mm wide", "make the top"),
    (W1, length_of(1), 12.0, "Tongue 1 (C3, row 1, left) is 12.0 mm", "make it"),
    (W1, length_of(5), 354.0, "Tongue 5 (G3, row 2, right)", "make it"),
    (W4, bore(), 12.5, "12.5 mm deep in a 16.0 mm top, leaving 3.5 mm. At least 4.0 mm", "no deeper than"),
]


@pytest.mark.refusal
@pytest.mark.parametrize(("drum", "change", "wrong", "says", "before"), CASES)
def test_a_size_that_cannot_be_is_refused(
    drum: Drum, change: Change, wrong: float, says: str, before: str | None
) -> None:
    assert says in refused(change(drum, wrong))


@pytest.mark.refusal
@pytest.mark.parametrize(("drum", "change", "wrong", "says", "before"), [case for case in CASES if case[4]])
def test_the_size_that_is_offered_works_and_a_tenth_beyond_does_not(
    drum: Drum, change: Change, wrong: float, says: str, before: str
) -> None:
    message = refused(change(drum, wrong))
    value = offered(message, before)
    for offer, works in ((value, True), (value + (0.2 if wrong > value else -0.2), False)):
        try:
            check_outline(change(drum, offer))
            ok = True
        except OutlineError as error:
            # Another limit may come first, such as the facing tongue: that is not this one.
            ok = before not in str(error)
        assert ok == works, (offer, message)


@pytest.mark.refusal
def test_a_top_far_too_short_is_blamed_and_not_a_tongue() -> None:
    """`length = 120` for 420: no row fits, and it is not eight tongues that are wrong."""
    short = replace(W1, top=replace(W1.top, length_mm=120.0))
    message = refused(short)
    assert message.startswith("The top is 120.0 mm long, and 3 of its 3 rows") and "Tongue" not in message
    check_outline(replace(W1, top=replace(W1.top, length_mm=offered(message, "write"))))


@pytest.mark.refusal
def test_facing_tongues_that_overlap_are_refused_with_how_much_must_go() -> None:
    drum = length_of(4)(W1, 220.0)  # 150 + 220 in 356
    message = refused(drum)
    assert "Tongue 1 (C3, row 1, left)" in message and "tongue 4 (F3)" in message
    assert "overlaps by 14.0 mm" in message
    off = offered(message, "take")
    assert off == 17.0
    check_outline(length_of(4)(W1, 220.0 - off))


@pytest.mark.refusal
def test_facing_tongues_nearer_than_a_kerf_are_refused() -> None:
    assert "leaves 2.0 mm between the tips" in refused(length_of(4)(W1, 204.0))
    check_outline(length_of(4)(W1, 203.0))


@pytest.mark.refusal
def test_too_many_rows_are_refused_with_the_number_that_fits() -> None:
    tongues = tuple(replace(W1.tongues[0], row=row) for row in range(1, 13))
    message = refused(replace(W1, tongues=tongues))
    most = int(offered(message, "or use"))
    # by hand: 138 mm between margins of 26 mm; ten rows of 10 mm of wood and a 3 mm saw cut are 130 mm, eleven 143 mm
    assert most == 10
    check_outline(replace(W1, tongues=tongues[:most]))
    refused(replace(W1, tongues=tongues[: most + 1]))


@pytest.mark.refusal
def test_two_slots_in_one_line_that_almost_meet_are_refused() -> None:
    drum = replace(W1, tongues=(W1.tongues[0], W1.tongues[4]))  # ends at 185 and 388 - L - 3
    assert "end 2.0 mm apart" in refused(length_of(2)(drum, 198.0))
    check_outline(length_of(2)(drum, 195.0))
    check_outline(length_of(2)(drum, 200.0))  # they meet and are one


BORES = [
    ({"x_mm": 415.0, "y_mm": 49.0}, "lies partly off the board"),
    ({"x_mm": 900.0, "y_mm": 900.0}, "lies partly off the board"),
    ({"x_mm": 15.0, "y_mm": 95.0}, "meets the wall"),
    ({"x_mm": 160.0, "y_mm": 72.0}, "meets a slot"),
    ({"x_mm": 160.0, "y_mm": 60.0}, "meets a slot"),
    ({"x_mm": 200.0, "y_mm": 49.0}, "meets a slot or the gap"),
    ({"x_mm": 160.0, "y_mm": 49.0, "diameter_mm": 43.0}, "meets a slot"),
]


@pytest.mark.refusal
@pytest.mark.parametrize(("values", "says"), BORES)
def test_a_bore_that_meets_anything_but_wood_is_refused_and_the_place_offered_works(
    values: dict[str, float], says: str
) -> None:
    wrong = Bore(**{"diameter_mm": 20.0, "depth_mm": 4.0, **values})
    fine = W4.bores[0]
    message = refused(replace(W4, bores=(fine, wrong)))
    assert message.startswith("Bore 2") and says in message
    if "diameter_mm" in values:
        mended = replace(wrong, diameter_mm=offered(message, "make it"))
    else:
        x = offered(message, "move it to x")
        mended = replace(wrong, x_mm=x, y_mm=offered(message, f"move it to x {x:.1f} mm, y"))
    check_outline(replace(W4, bores=(fine, mended)))


@pytest.mark.refusal
def test_a_bore_that_fits_nowhere_is_told_to_shrink() -> None:
    message = refused(replace(W1, bores=(Bore(x_mm=100, y_mm=95, diameter_mm=95, depth_mm=3),)))
    assert "make it 41.0 mm across or less" in message
    assert "move it" not in message


@pytest.mark.refusal
def test_a_drum_in_inches_is_told_in_inches() -> None:
    message = refused(replace(slots("end_margin_mm")(W1, 15.0), units="in"))
    assert "make end_margin 11/16 in or more" in message  # 17 / 25.4 = 0.6693, and 21/32 is 0.656: rounded up


@pytest.mark.refusal
def test_a_countersink_needs_a_hole_to_sink_and_wood_under_and_beside_it() -> None:
    drum = parse_drum(reference_toml("W1"))

    def sunk(wide: float, hole: float) -> Drum:
        return replace(drum, slots=replace(drum.slots, stop_hole_mm=hole, countersink_mm=wide))

    for wide, hole, least in ((8.0, 0.0, "5.0"), (6.0, 6.0, "8.0")):
        with pytest.raises(OutlineError, match=rf"Only stop holes wider than the kerf.*{least} mm or more"):
            check_outline(sunk(wide, hole))
    with pytest.raises(OutlineError, match=r"countersink is 50\.0 mm") as refused:
        check_outline(sunk(50.0, 6.0))
    check_outline(sunk(refused.value.nearest, 6.0))
    # At 90 degrees it is as deep as it is wider than its hole, halved.
    assert refused.value.nearest <= 6.0 + drum.top.thickness_mm


@pytest.mark.refusal
def test_a_round_over_that_leaves_no_flat_is_refused_and_the_largest_told() -> None:
    drum = parse_drum(reference_toml("W1"))
    wide = replace(drum, slots=replace(drum.slots, round_over_mm=9.0))
    with pytest.raises(OutlineError, match=r"round_over of the slots is 9\.0 mm.*8\.0 mm or less") as refused:
        check_outline(wide)
    check_outline(replace(drum, slots=replace(drum.slots, round_over_mm=refused.value.nearest)))
