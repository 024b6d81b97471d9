"""The shape of a drum file: which keys there are, what may stand in them, and how big is absurd.

Each table of `drum.toml` is one model here, those that only the shop reads in `schema_shop.py`. Lengths are
read in the file's own units and come out in millimetres (`values.py`). The bounds are wide: they catch a
slipped decimal point or a wrong unit, not a bold design, and are our own judgement. What must fit together
(tongues in rows, bores in wood) is not judged here: see `build.py` for the file as a whole and `outline.py`
for the shape of the top.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from kerftone.drum.schema_shop import (
    ClimateTable,
    FeetTable,
    FinishTable,
    FootReliefTable,
    KeysTable,
    MalletsTable,
    OrderTable,
    PickupTable,
    ShopTable,
    StockTable,
)
from kerftone.drum.values import BAD_VALUE, EndValue, NoneOr, Table, Within, shown
from kerftone.pitch import Temperament

__all__ = ["BAD_VALUE", "TABLES", "DrumTable", "shown"]


class TuningTable(Table):
    """[tuning]."""

    reference_hz: Annotated[float, Within(380.0, 500.0, "Hz")] = 440.0
    temperament: Temperament = "equal"
    tolerance_cents: Annotated[float, Within(0.1, 100.0, "cents")] = 5.0
    aim_cents: Annotated[float, Within(-200.0, 200.0, "cents")] = -30.0
    overtone: Annotated[float | None, Within(2.5, 9.0, "times the note")] = None


class ElasticTable(Table):
    """[top.elastic], [box.elastic], [bottom.elastic]: the maker's own constants."""

    e_l: Annotated[float | None, Within(0.1, 100.0, "GPa")] = None
    e_r: Annotated[float | None, Within(0.01, 100.0, "GPa")] = None
    e_t: Annotated[float | None, Within(0.01, 100.0, "GPa")] = None
    g_lr: Annotated[float | None, Within(0.001, 50.0, "GPa")] = None
    g_lt: Annotated[float | None, Within(0.001, 50.0, "GPa")] = None
    g_rt: Annotated[float | None, Within(0.001, 50.0, "GPa")] = None
    nu_lr: Annotated[float | None, Within(-1.0, 2.0, "")] = None
    nu_lt: Annotated[float | None, Within(-1.0, 2.0, "")] = None
    nu_rt: Annotated[float | None, Within(-1.0, 2.0, "")] = None
    density: Annotated[float | None, Within(80.0, 3000.0, "kg/m3")] = None


class TopTable(Table):
    """[top]."""

    wood: str | None = None
    board: str | None = None
    length: Annotated[float, Within(100.0, 2000.0, "length")]
    width: Annotated[float, Within(40.0, 1000.0, "length")]
    thickness: Annotated[float, Within(4.0, 60.0, "length")]
    cut: Literal["flatsawn", "quartersawn"] | None = None
    grain_angle_deg: Annotated[float, Within(-90.0, 90.0, "degrees")] = 0.0
    elastic: ElasticTable | None = None


class SlotsTable(Table):
    """[slots]."""

    kerf: Annotated[float, Within(0.3, 12.0, "length")]
    end_margin: Annotated[float, Within(5.0, 500.0, "length")]
    side_margin: Annotated[float, Within(5.0, 500.0, "length")]
    stop_hole: Annotated[float, Within(0.0, 40.0, "length")] = 0.0
    tongue_end: Annotated[Any, EndValue()] = "square"


class TongueTable(Table):
    """One [[tongues]]."""

    note: str
    row: int | None = None
    side: Literal["left", "right"] | None = None
    length: Annotated[float | None, Within(30.0, 1500.0, "length")] = None


class BoreTable(Table):
    """One [[bores]]."""

    x: Annotated[float, Within(0.0, 2000.0, "length")]
    y: Annotated[float, Within(0.0, 1000.0, "length")]
    diameter: Annotated[float, Within(2.0, 100.0, "length")]
    depth: Annotated[float, Within(0.1, 60.0, "length")]


ROOT_BAR_HEIGHT = NoneOr(15.0, 600.0, "length")
"""Lower than this it is a fillet that stiffens nothing; how high the walls are is judged in `build.py`."""


class BoxTable(Table):
    """[box]."""

    wood: str | None = None
    wall: Annotated[float, Within(3.0, 60.0, "length")]
    height: Annotated[float, Within(5.0, 600.0, "length")]
    mount: Literal["on walls", "in ledge"] = "on walls"
    ledge: Annotated[float | None, Within(0.0, 60.0, "length")] = None
    root_bar: Annotated[float, NoneOr(10.0, 80.0, "length")] = 0.0
    root_bar_height: Annotated[float, ROOT_BAR_HEIGHT] = 0.0
    stands: Literal["held", "free"] = "held"
    joint: Literal["mitre with keys", "mitre", "butt", "finger", "rabbet"] = "mitre"
    keys: KeysTable = KeysTable()
    clearance: Annotated[float, Within(0.0, 10.0, "length")] = 0.5
    foot_relief: FootReliefTable | None = None
    round_over: Annotated[float, Within(0.0, 30.0, "length")] = 3.0
    feet: FeetTable = FeetTable()
    elastic: ElasticTable | None = None


class BottomTable(Table):
    """[bottom]."""

    wood: str | None = None
    thickness: Annotated[float, Within(2.0, 60.0, "length")]
    cut: Literal["flatsawn", "quartersawn"] = "flatsawn"
    fit: Literal["under", "let in"] = "under"
    clearance: Annotated[float, Within(0.0, 10.0, "length")] = 0.5
    recess: Annotated[float, Within(0.0, 100.0, "length")] = 0.0
    elastic: ElasticTable | None = None


class DrumTable(Table):
    """The whole file."""

    name: str
    units: Literal["mm", "in"] = "mm"
    tuning: TuningTable = TuningTable()
    top: TopTable
    slots: SlotsTable
    tongues: list[TongueTable]
    bores: list[BoreTable] = Field(default_factory=list)
    box: BoxTable
    bottom: BottomTable | None = None
    finish: FinishTable = FinishTable()
    mallets: MalletsTable = MalletsTable()
    pickup: PickupTable | None = None
    stock: list[StockTable] = Field(default_factory=list)
    climate: ClimateTable = ClimateTable()
    shop: ShopTable = ShopTable()
    order: list[OrderTable] = Field(default_factory=list)


TABLES: dict[str, type[Table]] = {
    "tuning": TuningTable,
    "top": TopTable,
    "slots": SlotsTable,
    "tongues": TongueTable,
    "bores": BoreTable,
    "box": BoxTable,
    "bottom": BottomTable,
    "elastic": ElasticTable,
    "keys": KeysTable,
    "foot_relief": FootReliefTable,
    "feet": FeetTable,
    "finish": FinishTable,
    "mallets": MalletsTable,
    "pickup": PickupTable,
    "stock": StockTable,
    "climate": ClimateTable,
    "shop": ShopTable,
    "order": OrderTable,
}
"""The model of each table, by the last name in its header."""
