"""The disc's bass and its place."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import signal

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.shop import Pickup
from kerftone.errors import ShopError
from kerftone.shop.measure import Measure
from kerftone.shop.pickup import (
    Places,
    bass_of,
    check_disc,
    corner_hz,
    loss_db,
    place_check,
    places_of,
    sample_points,
)
from kerftone.shop.plan import Heard, shop_plan

from .conftest import reed


@pytest.mark.outside
def test_the_corner_is_where_a_circuit_solver_has_three_decibels() -> None:
    # 20 nF into 500 kOhm as a high pass, by scipy's analogue frequency response
    corner = corner_hz(capacitance_nf=20.0, load_kohm=500.0)
    rc = 20e-9 * 500e3
    for hz in (5.0, corner, 60.0):
        _, response = signal.freqs([rc, 0.0], [rc, 1.0], worN=[2.0 * np.pi * hz])
        assert loss_db(hz=hz, corner=corner) == pytest.approx(-20.0 * np.log10(abs(response[0])), abs=1e-9)
    assert loss_db(hz=corner, corner=corner) == pytest.approx(3.01, abs=0.01)
    assert loss_db(hz=corner, corner=1.1 * corner) != pytest.approx(3.01, abs=0.01)


def test_a_heavier_load_or_a_smaller_disc_loses_more_bass() -> None:
    usual = bass_of(disc_mm=27.0, load_kohm=500.0, lowest_hz=147.0)
    assert bass_of(disc_mm=27.0, load_kohm=47.0, lowest_hz=147.0).loss_db[1] > usual.loss_db[1]
    assert bass_of(disc_mm=15.0, load_kohm=500.0, lowest_hz=147.0).corner_hz[1] > usual.corner_hz[1]
    assert usual.corner_hz[0] < usual.corner_hz[1]


def test_the_best_place_is_where_the_weakest_note_is_least_weak() -> None:
    drawn = outline(reed())
    points = sample_points(drawn)
    x = points[:, 0]
    # made-up motions: one note lives at the left root, one at the right, one at both
    strain = np.stack(
        [np.exp(-(((x - 60) / 50) ** 2)), np.exp(-(((x - 340) / 50) ** 2)) + 0.05, np.ones_like(x)], 1
    )
    found = places_of(drawn, points_mm=points, strain=strain, notes=("a", "b", "c"), disc_mm=12.0)
    assert found.best is not None and found.worst is not None
    allowed = found.even[found.allowed]
    assert found.even[found.best] == allowed.max() and found.even[found.worst] == allowed.min()
    assert found.even[found.best] > found.even[found.worst]


def test_strains_of_opposite_sign_under_one_disc_cancel() -> None:
    drawn = outline(reed())
    points = sample_points(drawn, step_mm=4.0)
    line = float(np.median(points[:, 0]))
    flip = np.sign(points[:, 0] - line)[:, None]
    found = places_of(drawn, points_mm=points, strain=flip, notes=("a",), disc_mm=24.0)
    near, far = abs(points[:, 0] - line) < 3.0, abs(points[:, 0] - line) > 20.0
    assert np.median(found.even[near]) < 0.3 and found.even[far].min() == pytest.approx(1.0)


def test_a_disc_never_lies_over_a_slot_a_wall_a_bore_or_the_outer_tongue() -> None:
    drawn = outline(reed())
    points = sample_points(drawn)
    ones = np.ones((len(points), 1))
    clear = places_of(drawn, points_mm=points, strain=ones, notes=("a",), disc_mm=14.0)
    wood = drawn.top.intersection(drawn.box_inner)
    from shapely.geometry import Point

    for x, y in points[clear.allowed]:
        assert wood.buffer(1e-6).contains(Point(x, y).buffer(7.0))
        assert all(Point(x, y).distance(Point(*p)) > 20.0 for p in drawn.strike_points)
    x, y = points[clear.allowed][0]
    bored = places_of(
        drawn, points_mm=points, strain=ones, notes=("a",), disc_mm=14.0, bores=[(float(x), float(y), 10.0)]
    )
    assert clear.allowed[clear.allowed].sum() > bored.allowed.sum()


def test_a_disc_too_large_for_any_place_finds_none() -> None:
    drawn = outline(reed())
    points = sample_points(drawn)
    found = places_of(drawn, points_mm=points, strain=np.ones((len(points), 1)), notes=("a",), disc_mm=60.0)
    assert found.best is None and found.worst is None


def placed(x: float, y: float, disc: float = 14.0) -> Drum:
    drum = reed()
    return replace(drum, making=replace(drum.making, pickup=Pickup(x_mm=x, y_mm=y, disc_mm=disc)))


@pytest.mark.refusal
def test_a_place_off_whole_wood_is_refused_with_the_nearest_that_works() -> None:
    # the tip of the tongue in row 1, left: root at 45, 150 long
    drum = placed(185.0, 60.0)
    with pytest.raises(ShopError, match="the outer part of a tongue") as caught:
        check_disc(drum, outline(drum))
    near = caught.value.nearest
    assert isinstance(near, tuple)
    check_disc(placed(*near), outline(drum))
    # and it is near: on that tongue, at three tenths of its length from the root
    assert near[0] == pytest.approx(45.0 + 0.3 * 150.0, abs=1.0) and near[1] == pytest.approx(60.0, abs=1.0)
    with pytest.raises(ShopError, match="take a smaller one"):
        check_disc(placed(60.0, 60.0, disc=60.0), outline(drum))


def test_a_place_on_whole_wood_is_kept_and_judged() -> None:
    drum = placed(60.0, 60.0)
    drawn = outline(drum)
    check_disc(drum, drawn)
    points = sample_points(drawn, given_mm=(60.0, 60.0))
    assert tuple(points[-1]) == (60.0, 60.0)
    strain = np.outer(400.0 - points[:, 0], np.ones(4))  # INVENTED: stronger towards the left end
    plan = shop_plan(drum, Heard(contact_ms=1.0, points_mm=points, strain=strain))
    assert plan.places is not None and plan.places.given == len(points) - 1
    assert 0.8 < plan.places.even[plan.places.given] <= 1.0


def _places(shares: list[list[float]], given: int | None = None) -> Places:
    """INVENTED: places in a row with these shares of two notes."""
    all_shares = np.array(shares)
    even = all_shares.min(axis=1)
    return Places(
        points_mm=np.column_stack([50.0 + 10.0 * np.arange(len(even)), np.full(len(even), 40.0)]),
        even=even,
        allowed=np.ones(len(even), dtype=bool),
        shares=all_shares,
        best=int(np.argmax(even)),
        worst=int(np.argmin(even)),
        notes=("D4", "A4"),
        given=given,
    )


def test_a_place_where_one_note_is_heard_at_an_eighth_of_its_best_is_a_warning_that_names_it() -> None:
    check = place_check(_places([[1.0, 0.12], [0.5, 0.6]], given=0), Measure())
    assert check is not None and check.verdict == "mind"
    assert "A4 is heard at 12%" in check.numbers and "your drum file" in check.numbers
    assert "60 mm along" in check.mend and "50%" in check.mend


def test_where_no_place_hears_all_notes_the_way_out_is_another_disc() -> None:
    check = place_check(_places([[0.9, 0.12], [0.1, 0.9]]), Measure())
    assert check is not None and check.verdict == "mind" and "second one" in check.mend


def test_a_place_that_hears_all_notes_is_good_and_none_without_room_is_not_judged() -> None:
    check = place_check(_places([[0.9, 0.7], [0.1, 0.9]]), Measure())
    assert check is not None and (check.verdict, check.mend) == ("good", "")
    assert place_check(replace(_places([[0.9, 0.7]]), best=None), Measure()) is None
