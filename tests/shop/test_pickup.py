"""The disc's bass and its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from scipy import signal

from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline, outline
from kerftone.drum.shop import Pickup
from kerftone.errors import ShopError
from kerftone.shop.measure import Measure
from kerftone.shop.pickup import (
    Array,
    Places,
    Signal,
    better,
    check_disc,
    place_check,
    places_of,
    sample_points,
)
from kerftone.shop.pickup_bass import bass_of, corner_hz, loss_db
from kerftone.shop.shop_plan import Heard, shop_plan

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


def heard(
    drawn: Outline, signal: Array, *, disc: float, bores: Sequence[tuple[float, float, float]] = ()
) -> Places:
    """Places under the top for these made-up signals of notes called a, b, c..."""
    points = sample_points(drawn)
    face = Signal(on="top", points_mm=points, signal=signal)
    return places_of(drawn, face, notes="abcdef"[: signal.shape[1]], disc_mm=disc, bores=bores)


def test_the_best_place_is_where_the_weakest_note_is_strong_and_the_others_not_far_over_it() -> None:
    drawn = outline(reed())
    x = sample_points(drawn)[:, 0]
    # made-up motions: one note lives at the left root, one at the right, one at both
    signal = np.stack(
        [np.exp(-(((x - 60) / 50) ** 2)), np.exp(-(((x - 340) / 50) ** 2)) + 0.05, np.ones_like(x)], 1
    )
    found = heard(drawn, signal, disc=12.0)
    assert found.best is not None and found.worst is not None
    worth = found.worth_db[found.allowed]
    assert found.worth_db[found.best] == worth.max() and found.worth_db[found.worst] == worth.min()
    expected = found.level_db.min(axis=1) - 0.5 * np.ptp(found.level_db, axis=1)
    assert found.worth_db == pytest.approx(expected)
    assert found.apart_db(found.best) < found.apart_db(found.worst)


def test_of_two_faces_the_one_that_is_weaker_but_even_is_better() -> None:
    drawn = outline(reed())
    top = heard(drawn, np.tile([1.0, 0.01], (len(sample_points(drawn)), 1)), disc=12.0)
    points = sample_points(drawn, on="bottom")
    face = Signal(on="bottom", points_mm=points, signal=np.full((len(points), 2), 0.009))
    bottom = places_of(drawn, face, notes=("a", "b"), disc_mm=12.0)
    assert better(top, bottom) is bottom and better(bottom, top) is bottom
    assert better(top, replace(bottom, best=None)) is top and better(replace(bottom, best=None), top) is top


def test_all_of_the_bottom_inside_the_walls_has_room() -> None:
    drawn = outline(reed())
    points = sample_points(drawn, on="bottom")
    face = Signal(on="bottom", points_mm=points, signal=np.ones((len(points), 1)))
    found = places_of(drawn, face, notes=("a",), disc_mm=14.0, bores=[(*points[len(points) // 2], 10.0)])
    x0, y0, x1, y1 = drawn.wall_inner.bounds
    inside = (points >= (x0 + 8.5, y0 + 8.5)).all(axis=1) & (points <= (x1 - 8.5, y1 - 8.5)).all(axis=1)
    assert (found.allowed == inside).all() and inside.sum() > 100


def test_strains_of_opposite_sign_under_one_disc_cancel() -> None:
    drawn = outline(reed())
    points = sample_points(drawn)
    line = float(np.median(points[:, 0]))
    found = heard(drawn, np.sign(points[:, 0] - line + 0.1)[:, None], disc=24.0)
    near, far = abs(points[:, 0] - line) < 4.0, abs(points[:, 0] - line) > 20.0
    assert np.median(found.level_db[near]) < -10.0 and found.level_db[far].min() == pytest.approx(0.0)


def test_a_disc_never_lies_over_a_slot_a_wall_a_bore_or_the_outer_tongue() -> None:
    drawn = outline(reed())
    points = sample_points(drawn)
    ones = np.ones((len(points), 1))
    clear = heard(drawn, ones, disc=14.0)
    wood = drawn.top.intersection(drawn.box_inner)
    from shapely.geometry import Point

    for x, y in points[clear.allowed]:
        assert wood.buffer(1e-6).contains(Point(x, y).buffer(7.0))
        assert all(Point(x, y).distance(Point(*p)) > 20.0 for p in drawn.strike_points)
    x, y = points[clear.allowed][0]
    bored = heard(drawn, ones, disc=14.0, bores=[(float(x), float(y), 10.0)])
    assert clear.allowed.sum() > bored.allowed.sum()


def test_a_disc_too_large_for_any_place_finds_none() -> None:
    drawn = outline(reed())
    found = heard(drawn, np.ones((len(sample_points(drawn)), 1)), disc=60.0)
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
    signal = np.outer(400.0 - points[:, 0], np.ones(4))  # INVENTED: stronger towards the left end
    face = Signal(on="top", points_mm=points, signal=signal)
    plan = shop_plan(drum, Heard(contact_ms=1.0, faces=(face,)))
    assert plan.places is not None and plan.places.given == len(points) - 1
    assert plan.places.apart_db(plan.places.given) == pytest.approx(0.0, abs=1e-9)


def test_without_a_place_the_best_face_is_proposed_and_a_face_that_is_asked_for_is_kept() -> None:
    drum = reed()
    drawn = outline(drum)
    faces = tuple(
        Signal(on=on, points_mm=points, signal=np.tile(levels, (len(points), 1)))
        for on, levels in (("top", [1.0, 0.01, 0.01, 0.01]), ("bottom", [0.02, 0.02, 0.02, 0.02]))
        for points in [sample_points(drawn, on=on)]
    )
    for given, used in (
        (Pickup(disc_mm=14.0), "bottom"),
        (Pickup(disc_mm=14.0, x_mm=60.0, y_mm=60.0), "top"),
    ):
        with_it = replace(drum, making=replace(drum.making, pickup=given))
        plan = shop_plan(with_it, Heard(contact_ms=1.0, faces=faces))
        assert plan.places is not None and plan.places.on == used
        assert plan.best_places is not None and plan.best_places.on == "bottom"
        (check,) = (one for one in plan.checks if one.name == "Pickup's place")
        assert check.verdict == ("good" if used == "bottom" else "mind")
        assert used == "bottom" or "on the inside of the bottom" in check.mend


@pytest.mark.refusal
def test_a_disc_on_a_bottom_that_is_not_there_is_refused() -> None:
    drum = reed()
    bare = replace(drum, bottom=None, making=replace(drum.making, pickup=Pickup(on="bottom")))
    with pytest.raises(ShopError, match="this drum has none") as caught:
        check_disc(bare, outline(bare))
    assert caught.value.nearest == "top"


def _places(levels: list[list[float]], given: int | None = None) -> Places:
    """INVENTED: places in a row with these levels of two notes, in dB."""
    level = np.array(levels)
    worth = level.min(axis=1) - 0.5 * np.ptp(level, axis=1)
    return Places(
        on="top",
        points_mm=np.column_stack([50.0 + 10.0 * np.arange(len(level)), np.full(len(level), 40.0)]),
        level_db=level,
        worth_db=worth,
        allowed=np.ones(len(level), dtype=bool),
        best=int(np.argmax(worth)),
        worst=int(np.argmin(worth)),
        notes=("D4", "A4"),
        given=given,
    )


def test_a_place_where_one_note_is_far_under_the_others_is_a_warning_that_names_it() -> None:
    places = _places([[0.0, -18.0], [-6.0, -4.0]], given=0)
    check = place_check(places, places, Measure())
    assert check is not None and check.verdict == "mind"
    assert "within 18 dB, A4 the weakest" in check.numbers and "your drum file" in check.numbers
    assert "under the top, 60 mm along" in check.mend and "within 2 dB" in check.mend


def test_where_no_place_hears_all_notes_the_way_out_is_another_disc() -> None:
    places = _places([[0.0, -18.0], [-20.0, -1.0]])
    check = place_check(places, places, Measure())
    assert check is not None and check.verdict == "mind" and "second one beside the root of A4" in check.mend


def test_a_place_that_hears_all_notes_is_good_and_none_without_room_is_not_judged() -> None:
    places = _places([[0.0, -3.0], [-20.0, -1.0]])
    check = place_check(places, places, Measure())
    assert check is not None and (check.verdict, check.mend) == ("good", "")
    empty = replace(places, best=None)
    assert place_check(empty, empty, Measure()) is None
