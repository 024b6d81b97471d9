"""Parts lie on boards without overlap, kerf and grain kept; what is missing is bought; the drum is weighed."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from shapely.geometry import box as rectangle

from kerftone.drum.shop import FootRelief, Stock
from kerftone.shop.box import box_of
from kerftone.shop.cutlist import Cutting, board_feet, cutting_of, wall_volumes_mm3, weight_g
from kerftone.shop.parts import Part, parts_of

from .conftest import reed
from .test_box import assembled

CHERRY = Stock(wood="cherry, black", length_mm=900.0, width_mm=200.0, thickness_mm=18.0, price=40.0)
ASH = Stock(wood="ash, white", length_mm=1200.0, width_mm=220.0, thickness_mm=20.0, price=30.0)
THIN = Stock(wood="ash, white", length_mm=500.0, width_mm=200.0, thickness_mm=12.0, price=12.0)


def cutting(stock: tuple[Stock, ...], kerf: float = 3.2) -> Cutting:
    drum = reed()
    return cutting_of(parts_of(drum, box_of(drum)), stock, kerf_mm=kerf)


@pytest.mark.parametrize("kerf", [0.8, 3.2, 5.0])
def test_pieces_keep_a_kerf_apart_and_stay_on_their_board(kerf: float) -> None:
    plan = cutting((CHERRY, ASH, THIN), kerf)
    assert not plan.buy
    for board in plan.boards:
        areas = [rectangle(p.x_mm, p.y_mm, p.x_mm + p.length_mm, p.y_mm + p.width_mm) for p in board.pieces]
        whole = rectangle(0.0, 0.0, board.stock.length_mm, board.stock.width_mm).buffer(1e-6)
        assert all(whole.contains(area) for area in areas)
        for one, two in combinations(areas, 2):
            assert (
                one.buffer(0.5 * kerf, join_style="mitre")
                .intersection(two.buffer(0.5 * kerf, join_style="mitre"))
                .area
                < 1e-3
            )


def test_every_part_is_cut_once_from_its_wood_and_never_turned_across_the_grain() -> None:
    drum = reed()
    parts = parts_of(drum, box_of(drum))
    plan = cutting((CHERRY, ASH, THIN))
    placed = [(piece.part, board.stock.wood) for board in plan.boards for piece in board.pieces]
    assert sorted(placed) == sorted((p.name, p.wood) for p in parts for _ in range(p.count))
    by_name = {part.name: part for part in parts}
    for board in plan.boards:
        for piece in board.pieces:
            assert (piece.length_mm, piece.width_mm) == by_name[piece.part].rough_mm[:2]
            assert board.stock.thickness_mm >= piece.thick_mm


def test_cost_is_of_the_boards_used_and_unknown_when_a_price_is() -> None:
    assert cutting((CHERRY, ASH, THIN)).cost == pytest.approx(82.0)
    assert cutting((CHERRY, ASH, replace(THIN, price=None))).cost is None
    spare = replace(CHERRY, count=3)
    assert cutting((spare, ASH, THIN)).cost == pytest.approx(82.0)


def test_a_board_too_thin_or_of_another_wood_is_not_used() -> None:
    thin = replace(CHERRY, thickness_mm=13.0)
    other = replace(CHERRY, wood="walnut, black")
    plan = cutting((thin, other, ASH, THIN))
    assert [buy.parts for buy in plan.buy] == [("Top",)]
    assert plan.buy[0].wood == "cherry, black"


def test_with_no_boards_everything_is_to_be_bought_and_the_yield_is_none() -> None:
    plan = cutting(())
    assert plan.yield_share is None and plan.cost is None
    assert sum(len(buy.parts) for buy in plan.buy) == 6


@pytest.mark.outside
def test_a_board_foot_is_a_foot_square_and_an_inch_thick() -> None:
    # common definition of the board foot: 144 cubic inches, thickness by quarters of an inch as sold
    assert board_feet(face_mm2=304.8**2, thick_mm=25.4) == pytest.approx(1.0)
    assert board_feet(face_mm2=304.8**2, thick_mm=12.0) == pytest.approx(1.0)
    assert board_feet(face_mm2=304.8**2, thick_mm=31.75) == pytest.approx(1.25)
    assert board_feet(face_mm2=304.8**2, thick_mm=32.5) == pytest.approx(1.5)


@pytest.mark.outside
@pytest.mark.parametrize("joint", ["mitre", "butt", "finger", "rabbet"])
@pytest.mark.parametrize("mount", ["on walls", "in ledge"])
@pytest.mark.parametrize(
    "relief", [None, *(FootRelief(shape=s, rise_mm=5.0, inset_mm=50.0) for s in ("straight", "arch"))]
)
def test_the_walls_weigh_what_their_solids_weigh(joint: str, mount: str, relief: FootRelief | None) -> None:
    drum = reed(joint=joint, mount=mount, fit="let in", recess=6.0)
    drum = replace(drum, box=replace(drum.box, foot_relief=relief))
    box, parts = assembled(drum)
    solid = sum(part.mass for name, part in parts.items() if name.startswith("wall"))
    assert sum(wall_volumes_mm3(box)) == pytest.approx(solid, rel=1e-6)


def test_the_whole_drum_weighs_its_wood() -> None:
    drum = reed()
    box, parts = assembled(drum)
    top = 400.0 * 180.0
    kilograms = 1e-9 * (
        parts["top"].mass * drum.top.elastic.density_kg_m3
        + sum(part.mass for name, part in parts.items() if name != "top") * drum.box.elastic.density_kg_m3
    )
    assert weight_g(drum, box, top_mm2=top) == pytest.approx(1000.0 * kilograms, rel=1e-6)


@pytest.mark.parametrize("inches", [(16.75, 7.25), (17.5, 7.125), (19.3125, 8.0), (20.1, 9.9)])
def test_a_board_of_exactly_the_rough_size_gives_its_part(inches: tuple[float, float]) -> None:
    """8 in is 203.2 mm, a little less in binary: that must not cost the maker an eighth of an inch."""
    long, wide = (25.4 * one for one in inches)
    part = Part(
        name="top",
        wood="cherry, black",
        count=1,
        grain="along",
        size_mm=(long, wide, 16.0),
        rough_mm=(long, wide, 18.0),
    )
    board = Stock(wood="cherry, black", length_mm=long, width_mm=wide, thickness_mm=18.0)
    assert not cutting_of([part], [board], kerf_mm=3.175).buy
    narrower = replace(board, width_mm=wide - 0.02)
    assert cutting_of([part], [narrower], kerf_mm=3.175).buy
