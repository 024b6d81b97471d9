"""The tables of a drum file that only the shop reads: keys, feet, finish, mallets, pickup, boards, order.

All of them may be left out. Bounds are wide, our own judgement, and catch a slipped decimal point.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from kerftone.drum.shop import USUAL_SHOP
from kerftone.drum.values import BitsValue, Table, Whole, Within


class KeysTable(Table):
    """[box.keys]."""

    count: Annotated[int, Whole(1, 12)] = 3
    thickness: Annotated[float, Within(1.0, 12.0, "length")] = 3.0
    wood: str | None = None


class FootReliefTable(Table):
    """[box.foot_relief]."""

    shape: Literal["arch", "straight"] = "arch"
    rise: Annotated[float, Within(2.0, 200.0, "length")]
    inset: Annotated[float, Within(10.0, 500.0, "length")]


class FeetTable(Table):
    """[box.feet]."""

    kind: Literal["rubber", "wood", "none"] = "rubber"
    diameter: Annotated[float, Within(5.0, 100.0, "length")] = 15.0
    height: Annotated[float, Within(1.0, 100.0, "length")] = 8.0


class FinishTable(Table):
    """[finish]."""

    kind: str = "drying oil"
    when: Literal["before glue-up", "after glue-up"] = "after glue-up"
    coats: Annotated[int, Whole(0, 20)] = 3
    hours_between: Annotated[float, Within(0.0, 1000.0, "hours")] = 24.0


class MalletsTable(Table):
    """[mallets]."""

    count: Annotated[int, Whole(0, 12)] = 2
    ball: Literal["soft rubber", "hard rubber", "wood"] = "hard rubber"
    diameter: Annotated[float, Within(10.0, 80.0, "length")] = 25.0
    dowel: Annotated[float, Within(3.0, 20.0, "length")] = 8.0
    length: Annotated[float, Within(80.0, 600.0, "length")] = 240.0


class PickupTable(Table):
    """[pickup]."""

    disc: Annotated[float, Within(8.0, 60.0, "length")] = 27.0
    x: Annotated[float | None, Within(0.0, 2000.0, "length")] = None
    y: Annotated[float | None, Within(0.0, 1000.0, "length")] = None
    recess: Annotated[float, Within(0.0, 2.0, "length")] = 0.0
    wall: Literal["front", "back", "left", "right"] = "back"
    jack_along: Annotated[float | None, Within(0.0, 2000.0, "length")] = None
    jack_up: Annotated[float | None, Within(0.0, 500.0, "length")] = None
    pot_along: Annotated[float | None, Within(0.0, 2000.0, "length")] = None
    pot_up: Annotated[float | None, Within(0.0, 500.0, "length")] = None
    jack_thread: Annotated[float, Within(2.0, 60.0, "length")] = 9.5
    pot_thread: Annotated[float, Within(2.0, 60.0, "length")] = 9.5
    bushing: Annotated[float, Within(3.0, 25.0, "length")] = 9.525
    body_depth: Annotated[float, Within(3.0, 100.0, "length")] = 30.0
    load_kohm: Annotated[float, Within(1.0, 100000.0, "kOhm")] = 500.0
    bored: Literal["before glue-up", "after glue-up"] = "before glue-up"


class StockTable(Table):
    """One [[stock]]."""

    wood: str
    length: Annotated[float, Within(50.0, 6000.0, "length")]
    width: Annotated[float, Within(20.0, 1500.0, "length")]
    thickness: Annotated[float, Within(2.0, 150.0, "length")]
    count: Annotated[int, Whole(1, 99)] = 1
    price: Annotated[float | None, Within(0.0, 1e6, "")] = None


class ClimateTable(Table):
    """[climate]."""

    temperature_c: Annotated[float, Within(-10.0, 45.0, "degrees C")] = 20.0
    shop_rh_pct: Annotated[float, Within(5.0, 95.0, "%")] = 50.0
    home_dry_rh_pct: Annotated[float, Within(5.0, 95.0, "%")] = 30.0
    home_damp_rh_pct: Annotated[float, Within(5.0, 95.0, "%")] = 65.0


class ShopTable(Table):
    """[shop]: the saw, the paper, the finest fraction on the rule, the bits, how exactly they bore."""

    saw_kerf: Annotated[float, Within(0.3, 12.0, "length")] = 3.2
    paper: Literal["a4", "letter"] | None = None
    fraction: Literal[16, 32, 64] = 32
    bits: Annotated[Any, BitsValue()] = USUAL_SHOP.bits_mm
    depth_step: Annotated[float, Within(0.05, 10.0, "length")] = USUAL_SHOP.depth_step_mm
    depth_error: Annotated[float, Within(0.01, 5.0, "length")] = USUAL_SHOP.depth_error_mm
    place_error: Annotated[float, Within(0.01, 20.0, "length")] = USUAL_SHOP.place_error_mm
    min_left: Annotated[float, Within(1.0, 50.0, "length")] = USUAL_SHOP.min_left_mm
    min_web: Annotated[float, Within(0.5, 50.0, "length")] = USUAL_SHOP.min_web_mm


class OrderTable(Table):
    """One [[order]]."""

    do: str
    before: str
