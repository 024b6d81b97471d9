"""The shape of a drum file: which keys there are, what may stand in them, and how big is absurd.

Each table of `drum.toml` is one model here. Lengths are read in the file's own units and come out in
millimetres. The bounds are wide: they catch a slipped decimal point or a wrong unit, not a bold design,
and are our own judgement. What must fit together (tongues in rows, bores in wood) is not judged here:
see `build.py` for the file as a whole and `outline.py` for the shape of the top.

A wrong value becomes a message in words; `file.py` puts the name of the key and its line before it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from kerftone.drum.design import Path, Shop
from kerftone.errors import LengthError
from kerftone.units import Units, format_length, parse_length

BAD_VALUE = "bad_value"
"""The error type whose message is already in our words."""


def shown(value: object) -> str:
    """A value as a message may show it: as typed, cut short when long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and abs(value) >= 10**15:
        return "a very large number"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else text[:37] + "..."


def _bad(text: str, **numbers: object) -> PydanticCustomError:
    return PydanticCustomError(BAD_VALUE, "{text}", {"text": text, **numbers})


def _number(value: object, example: str) -> float:
    """A finite number out of what TOML gave, or a refusal; the value itself is not judged yet."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _bad(f"is {shown(value)}. It must be a number: write {example}.", given=shown(value))
    if isinstance(value, int) and abs(value) >= 10**15:
        raise _bad(f"is a very large number. It must be a sensible size: write {example}.")
    if not math.isfinite(value):
        raise _bad(f"is {value}. It must be a number with an end: write {example}.", given=value)
    return float(value)


@dataclass(frozen=True)
class Within:
    """A number from `low` to `high`; the unit "length" means the file's own units, bounds in mm."""

    low: float
    high: float
    unit: str

    def words(self, value: float, units: Units) -> str:
        """One bound or value with its unit, as the file would write it."""
        if self.unit == "length":
            return format_length(value, units, digits=None if abs(value) >= 0.1 else 4)
        return f"{value:g} {self.unit}".strip()

    def check(self, value: object, info: ValidationInfo) -> float:
        """The number in the program's units, or a refusal in three beats."""
        units: Units = info.context["units"] if info.context else "mm"
        middle = math.sqrt(self.low * self.high) if self.low > 0 else 0.5 * (self.low + self.high)
        example = self.words(float(f"{middle:.2g}"), units).split(" ")[0]
        if self.unit == "length" and isinstance(value, str):
            try:
                number = parse_length(value, units)
            except LengthError as error:
                raise _bad(f"cannot be read. {error.message}", given=value) from error
        else:
            number = _number(value, example)
            if self.unit == "length":
                number = parse_length(number, units)
        if not self.low <= number <= self.high:
            near = self.nearest(number)
            raise _bad(
                f"is {self.words(number, units)}. It must be from {self.words(self.low, units)} to "
                f"{self.words(self.high, units)}: the nearest that works is {self.words(near, units)}.",
                given=number,
                limit=near,
                nearest=near,
            )
        return number

    def nearest(self, number: float) -> float:
        """The number inside the bounds that is nearest to this one."""
        return min(max(number, self.low), self.high)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """How pydantic runs this check in place of its own reading of a float."""
        return core_schema.with_info_plain_validator_function(self.check)


def _point(pair: object, at: int, units: Units) -> tuple[float, float]:
    if not isinstance(pair, list) or len(pair) != 2:
        raise _bad(
            f"has {shown(pair)} as point {at}. Each point is [along, across], two lengths: "
            "write [0.0, -10.0]."
        )
    lengths = []
    for value in pair:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise _bad(f"has {shown(value)} in point {at}. Lengths are numbers: write [0.0, -10.0].")
        try:
            mm = parse_length(value if isinstance(value, str) else _number(value, "0.0"), units)
        except LengthError as error:
            raise _bad(f"has a bad point {at}. {error.message}") from error
        if abs(mm) > 500.0:
            raise _bad(
                f"has {format_length(mm, units)} in point {at}. A tongue's end stays within "
                f"{format_length(500.0, units)} of its tip: check the units."
            )
        lengths.append(mm)
    return lengths[0], lengths[1]


def _end_path(value: list[object], units: Units) -> Path:
    """The maker's own tongue end, front edge first, or a refusal."""
    if not 2 <= len(value) <= 500:
        raise _bad(
            f"has {len(value)} points. A path has 2 to 500 of them, from one edge of the tongue to the "
            "other: write [[0.0, -10.0], [0.0, 10.0]]."
        )
    points = [_point(pair, at, units) for at, pair in enumerate(value, start=1)]
    if points[0][1] > points[-1][1]:
        points.reverse()
    for at, ((_, before), (_, after)) in enumerate(pairwise(points), start=1):
        if after <= before:
            raise _bad(
                f"turns back between points {at} and {at + 1} ({before:g} then {after:g} mm across). A path "
                "goes across the tongue from edge to edge: let `across` grow from point to point."
            )
    furthest = max(along for along, _ in points)
    if abs(furthest) > 0.01:
        raise _bad(
            f"reaches {furthest:g} mm along at its furthest. The furthest point is the tip line, 0, and the "
            f"rest lies behind it: take {furthest:g} off every `along`.",
            given=furthest,
            limit=0.0,
            nearest=0.0,
        )
    return tuple(points)


_SHAPES = ("square", "round", "slant", "curve")


@dataclass(frozen=True)
class EndValue:
    """The end of the tongues: one of the named shapes, or a path of (along, across) points."""

    def check(self, value: object, info: ValidationInfo) -> str | Path:
        """The name, or the path in mm."""
        if isinstance(value, str) and value in _SHAPES:
            return value
        if isinstance(value, list):
            return _end_path(value, info.context["units"] if info.context else "mm")
        raise _bad(
            f"is {shown(value)}. A tongue's end is a shape or a list of points: write "
            '"square", "round", "slant", "curve" or [[-3.0, -10.0], [0.0, 0.0], [-3.0, 10.0]].'
        )

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """How pydantic runs this check."""
        return core_schema.with_info_plain_validator_function(self.check)


@dataclass(frozen=True)
class BitsValue:
    """The bits that the shop has: a list of diameters, each a length, told from small to large, once each."""

    one: Within = Within(2.0, 100.0, "length")

    def check(self, value: object, info: ValidationInfo) -> tuple[float, ...]:
        """The diameters in mm."""
        if not isinstance(value, list) or not 1 <= len(value) <= 50:
            raise _bad(
                f"is {shown(value)}. It is a list of 1 to 50 diameters: write [10.0, 15.0, 20.0], or leave "
                "the key out."
            )
        return tuple(sorted({self._diameter(bit, info) for bit in value}))

    def _diameter(self, bit: object, info: ValidationInfo) -> float:
        try:
            return self.one.check(bit, info)
        except PydanticCustomError as error:
            numbers = {key: number for key, number in (error.context or {}).items() if key != "text"}
            raise _bad(f"has a bit that {error.message()}", **numbers) from error

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """How pydantic runs this check."""
        return core_schema.with_info_plain_validator_function(self.check)


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class TuningTable(_Table):
    """[tuning]."""

    reference_hz: Annotated[float, Within(380.0, 500.0, "Hz")] = 440.0
    temperament: Literal["equal", "just"] = "equal"
    tolerance_cents: Annotated[float, Within(0.1, 100.0, "cents")] = 5.0
    aim_cents: Annotated[float, Within(-200.0, 200.0, "cents")] = -30.0


class ElasticTable(_Table):
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


class TopTable(_Table):
    """[top]."""

    wood: str | None = None
    length: Annotated[float, Within(100.0, 2000.0, "length")]
    width: Annotated[float, Within(40.0, 1000.0, "length")]
    thickness: Annotated[float, Within(4.0, 60.0, "length")]
    cut: Literal["flatsawn", "quartersawn"] = "flatsawn"
    grain_angle_deg: Annotated[float, Within(-90.0, 90.0, "degrees")] = 0.0
    elastic: ElasticTable | None = None


class SlotsTable(_Table):
    """[slots]."""

    kerf: Annotated[float, Within(0.3, 12.0, "length")]
    end_margin: Annotated[float, Within(5.0, 500.0, "length")]
    side_margin: Annotated[float, Within(5.0, 500.0, "length")]
    stop_hole: Annotated[float, Within(0.0, 40.0, "length")] = 0.0
    tongue_end: Annotated[Any, EndValue()] = "square"


class TongueTable(_Table):
    """One [[tongues]]."""

    note: str
    row: int | None = None
    side: Literal["left", "right"] | None = None
    length: Annotated[float | None, Within(30.0, 1500.0, "length")] = None


class BoreTable(_Table):
    """One [[bores]]."""

    x: Annotated[float, Within(0.0, 2000.0, "length")]
    y: Annotated[float, Within(0.0, 1000.0, "length")]
    diameter: Annotated[float, Within(2.0, 100.0, "length")]
    depth: Annotated[float, Within(0.1, 60.0, "length")]


class BoxTable(_Table):
    """[box]."""

    wood: str | None = None
    wall: Annotated[float, Within(3.0, 60.0, "length")]
    height: Annotated[float, Within(5.0, 600.0, "length")]
    mount: Literal["on walls", "in ledge"] = "on walls"
    ledge: Annotated[float | None, Within(0.0, 60.0, "length")] = None
    stands: Literal["held", "free"] = "held"
    elastic: ElasticTable | None = None


class BottomTable(_Table):
    """[bottom]."""

    wood: str | None = None
    thickness: Annotated[float, Within(2.0, 60.0, "length")]
    elastic: ElasticTable | None = None


_USUAL = Shop()


class ShopTable(_Table):
    """[shop]. What is left out is as usual."""

    bits: Annotated[Any, BitsValue()] = _USUAL.bits_mm
    depth_step: Annotated[float, Within(0.05, 10.0, "length")] = _USUAL.depth_step_mm
    depth_error: Annotated[float, Within(0.01, 5.0, "length")] = _USUAL.depth_error_mm
    place_error: Annotated[float, Within(0.01, 20.0, "length")] = _USUAL.place_error_mm
    min_left: Annotated[float, Within(1.0, 50.0, "length")] = _USUAL.min_left_mm
    min_web: Annotated[float, Within(0.5, 50.0, "length")] = _USUAL.min_web_mm


class DrumTable(_Table):
    """The whole file."""

    name: str
    units: Literal["mm", "in"] = "mm"
    tuning: TuningTable = TuningTable()
    top: TopTable
    slots: SlotsTable
    tongues: list[TongueTable]
    bores: list[BoreTable] = []
    box: BoxTable
    bottom: BottomTable | None = None
    shop: ShopTable = ShopTable()


TABLES: dict[str, type[_Table]] = {
    "tuning": TuningTable,
    "top": TopTable,
    "slots": SlotsTable,
    "tongues": TongueTable,
    "bores": BoreTable,
    "box": BoxTable,
    "bottom": BottomTable,
    "shop": ShopTable,
    "elastic": ElasticTable,
}
"""The model of each table, by the last name in its header."""
