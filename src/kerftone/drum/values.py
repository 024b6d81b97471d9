"""What may stand behind the keys of a drum file: numbers within bounds, lengths, a tongue's end.

Lengths are read in the file's own units and come out in millimetres. A wrong value becomes a message in
words, in three beats; `file.py` puts the name of the key and its line before it. Which keys there are is
declared in `design.py` and `shop.py` (see `file_keys.py`).
"""

from __future__ import annotations

import math
import re
from abc import ABC, abstractmethod
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any, ClassVar, Literal, Protocol, runtime_checkable

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from kerftone.errors import LengthError
from kerftone.units import (
    Units,
    format_length,
    inch_fraction,
    least_length,
    most_length,
    parse_grams,
    parse_length,
)

Bend = Literal["arc", "smooth"]
EndPoint = tuple[float, float] | tuple[float, float, Bend]
Path = tuple[EndPoint, ...]
"""Points one after the other, each two lengths in mm. A plain one is a corner; an "arc" runs from the corner before
through its point to the corner after; a curve runs smoothly through "smooth" points from corner to corner."""
BENDS = ("arc", "smooth")

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


def bad_value(text: str, **numbers: object) -> PydanticCustomError:
    """What a check raises: its words follow the key they are about."""
    return PydanticCustomError(BAD_VALUE, "{text}", {"text": text, **numbers})


def _number(value: object, example: str) -> float:
    """A finite number out of what TOML gave, or a refusal; the value itself is not judged yet."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise bad_value(f"is {shown(value)}. It must be a number: write {example}.", given=shown(value))
    if isinstance(value, int) and abs(value) >= 10**15:
        raise bad_value(f"is a very large number. It must be a sensible size: write {example}.")
    if not math.isfinite(value):
        raise bad_value(f"is {value}. It must be a number with an end: write {example}.", given=value)
    return float(value)


@runtime_checkable
class Rule(Protocol):
    """What may stand behind a key, where its type alone does not say."""

    @property
    def is_length(self) -> bool:
        """Whether its numbers are lengths."""

    def bounds(self, units: Units) -> str:
        """What may stand there, in words."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """How pydantic runs this check."""


class Checked(ABC):
    """A kind of value that its own `check(value, info)` reads, in place of pydantic."""

    @abstractmethod
    def check(self, value: Any, info: ValidationInfo) -> Any:
        """The value as it is meant."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """How pydantic runs this check."""
        return core_schema.with_info_plain_validator_function(self.check)


@dataclass(frozen=True)
class Within(Checked):
    """A number from `low` to `high`; the unit "length" means the file's own units, bounds in mm."""

    low: float
    high: float
    unit: str

    @property
    def is_length(self) -> bool:
        """Whether it is a length."""
        return self.unit == "length"

    def words(self, value: float, units: Units) -> str:
        """One bound or value with its unit, as the file would write it."""
        if self.unit == "length":
            return format_length(value, units, digits=4 if abs(value) < 0.1 else None)
        return f"{value:g} {self.unit}".strip()

    def check(self, value: object, info: ValidationInfo) -> float:
        """The number in the program's units, or a refusal in three beats."""
        units: Units = info.context["units"] if info.context else "mm"
        if self.unit == "length" and isinstance(value, str):
            try:
                number = parse_length(value, units)
            except LengthError as error:
                raise bad_value(f"cannot be read. {error.message}", given=value) from error
        else:
            number = _number(self._without_unit(value), self.example(units))
            if self.unit == "length":
                number = parse_length(number, units)
        near = self.nearest(number)
        if near != number:
            raise bad_value(
                f"is {self.words(number, units)}. It must be {self.bounds(units)}: the nearest that works is "
                f"{self.near_words(number, near, units)}.{self._if_other_units(value, units)}",
                given=number,
                limit=near,
                nearest=near,
            )
        return number

    def near_words(self, number: float, near: float, units: Units) -> str:
        """The nearest that works, rounded to the side that does.

        Parameters
        ----------
        number : float
            What was given, in the unit of the bounds.
        near : float
            The bound that it crosses, in the same.
        units : Units
            Of the drum file.
        """
        if self.unit != "length" or units == "mm":
            return self.words(near, units)
        return least_length(near, units) if near > number else most_length(near, units)

    def example(self, units: Units) -> str:
        """A number in the middle of the bounds, as the file would write it."""
        middle = math.sqrt(self.low * self.high) if self.low > 0 else 0.5 * (self.low + self.high)
        if self.unit == "length" and units == "in":
            return inch_fraction(middle, parts=8)
        return self.words(float(f"{middle:.2g}"), units).split(" ")[0]

    def _without_unit(self, value: object) -> object:
        """The number of a text that is a number and this unit, such as "440 Hz" or "35 %"; else the value itself."""
        if not isinstance(value, str):
            return value
        if self.unit == "g":
            grams = parse_grams(value)
            return value if grams is None else grams
        match = re.fullmatch(r"\s*([-+]?\d{1,9}(?:[.,]\d{1,9})?)\s*(\S.*)?", value.strip(), re.ASCII)
        if match is None or (match[2] or self.unit).casefold().rstrip("s.") != self.unit.casefold().rstrip(
            "s"
        ):
            return value
        return float(match[1].replace(",", "."))

    def _if_other_units(self, value: object, units: Units) -> str:
        """What to do where a plain number would be right in the other unit of length."""
        other: Units = "mm" if units == "in" else "in"
        if self.unit != "length" or not isinstance(value, int | float):
            return ""
        if not self.low <= parse_length(float(value), other) <= self.high:
            return ""
        return f' If {value:g} {other} is meant, write {value:g} {other}, or set units = "{other}".'

    def bounds(self, units: Units) -> str:
        """From where to where it may be, in words."""
        if self.unit == "length" and units == "in":
            return f"from {least_length(self.low, units)} to {most_length(self.high, units)}"
        return f"from {self.words(self.low, units)} to {self.words(self.high, units)}"

    def nearest(self, number: float) -> float:
        """The number inside the bounds that is nearest to this one; the same where it is inside."""
        return min(max(number, self.low), self.high)


@dataclass(frozen=True)
class NoneOr(Within):
    """A size from `low` to `high`, or 0 for none of what it is the size of."""

    def bounds(self, units: Units) -> str:
        """From where to where it may be, in words."""
        return f"0 for none, or {super().bounds(units)}"

    def nearest(self, number: float) -> float:
        """0, or the number inside the bounds, whichever is nearer."""
        return 0.0 if number < 0.5 * self.low else super().nearest(number)


@dataclass(frozen=True)
class Whole:
    """A whole number from `low` to `high`."""

    low: int
    high: int
    is_length: ClassVar[bool] = False

    def check(self, value: object) -> int:
        """The number, or a refusal in three beats."""
        if isinstance(value, bool) or not isinstance(value, int):
            raise bad_value(f"is {shown(value)}. It must be a whole number: write {self.low}.")
        if not self.low <= value <= self.high:
            near = min(max(value, self.low), self.high)
            raise bad_value(
                f"is {shown(value)}. It must be from {self.low} to {self.high}: the nearest that works is "
                f"{near}.",
                given=value,
                limit=near,
                nearest=near,
            )
        return value

    def bounds(self, units: Units) -> str:
        """From where to where it may be, in words."""
        return f"a whole number from {self.low} to {self.high}"

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """How pydantic runs this check in place of its own reading of an int."""
        return core_schema.no_info_plain_validator_function(self.check)


def _point(pair: object, at: int, units: Units) -> EndPoint:
    if not isinstance(pair, list) or len(pair) not in (2, 3):
        raise bad_value(
            f"has {shown(pair)} as point {at}. Each point is [along, across], two lengths: "
            "write [0.0, -10.0]."
        )
    if len(pair) == 3 and pair[2] not in BENDS:
        raise bad_value(
            f'has {shown(pair[2])} in point {at}. After its two lengths a point may have "arc" or "smooth": '
            'write [0.0, -10.0, "smooth"].'
        )
    lengths = []
    for value in pair[:2]:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise bad_value(f"has {shown(value)} in point {at}. Lengths are numbers: write [0.0, -10.0].")
        try:
            mm = parse_length(value if isinstance(value, str) else _number(value, "0.0"), units)
        except LengthError as error:
            raise bad_value(f"has a bad point {at}. {error.message}") from error
        if abs(mm) > 500.0:
            raise bad_value(
                f"has {format_length(mm, units)} in point {at}. A tongue's end stays within "
                f"{format_length(500.0, units)} of its tip: check the units."
            )
        lengths.append(mm)
    return (lengths[0], lengths[1], pair[2]) if len(pair) == 3 else (lengths[0], lengths[1])


def _end_path(value: list[object], units: Units) -> Path:
    """The maker's own tongue end, front edge first, or a refusal."""
    if not 2 <= len(value) <= 500:
        raise bad_value(
            f"has {len(value)} points. A path has 2 to 500 of them, from one edge of the tongue to the "
            "other: write [[0.0, -10.0], [0.0, 10.0]]."
        )
    points = [_point(pair, at, units) for at, pair in enumerate(value, start=1)]
    if points[0][1] > points[-1][1]:
        points.reverse()
    for at, (before, after) in enumerate(pairwise(points), start=1):
        if math.hypot(before[0] - after[0], before[1] - after[1]) < LEAST_STEP_MM:
            raise bad_value(
                f"has points {at} and {at + 1} in one place. A path goes on from point to point: leave one out."
            )
    _check_bends(points)
    furthest = max(point[0] for point in points)
    if abs(furthest) > 0.01 and not any(len(point) == 3 for point in points):
        raise bad_value(
            f"reaches {furthest:g} mm along at its furthest. The furthest point is the tip line, 0, and the "
            f"rest lies behind it: take {furthest:g} off every `along`.",
            given=furthest,
            limit=0.0,
            nearest=0.0,
        )
    return tuple(points)


LEAST_STEP_MM = 0.01
"""Points of an end nearer than this are one: finer than anyone saws."""


def _check_bends(points: list[EndPoint]) -> None:
    """An end begins and ends at a corner, and each arc has a corner on both sides."""
    hows = [point[2] if len(point) == 3 else "" for point in points]
    if hows[0] or hows[-1]:
        at = 1 if hows[0] else len(points)
        raise bad_value(
            f'has "{hows[at - 1]}" in point {at}. The first and the last point are where the end meets the '
            "tongue's edges: write those two without a word."
        )
    for at, how in enumerate(hows):
        if how == "arc" and (hows[at - 1] or hows[at + 1]):
            raise bad_value(
                f'has "arc" in point {at + 1}, which does not lie between two corners. An arc runs from the point '
                "before through this one to the point after: write both of these without a word."
            )


_SHAPES = ("square", "round", "slant", "curve")


FACING = "facing"
"""The end of a tongue that shares its curve with the one across: see `shared_end.py`."""


@dataclass(frozen=True)
class EndValue(Checked):
    """The end of the tongues: one of the named shapes, or a path of (along, across) points.

    own: that of one tongue, which may be the other side of the end of the tongue that faces it.
    """

    own: bool = False
    is_length: ClassVar[bool] = True

    def check(self, value: object, info: ValidationInfo) -> str | Path:
        """The name, or the path in mm."""
        if isinstance(value, str) and value in (*_SHAPES, *([FACING] if self.own else [])):
            return value
        if isinstance(value, list):
            return _end_path(value, info.context["units"] if info.context else "mm")
        raise bad_value(
            f"is {shown(value)}. A tongue's end is a shape or a list of points: write "
            '"square", "round", "slant", "curve" or [[-3.0, -10.0], [0.0, 0.0, "smooth"], [-3.0, 10.0]].'
        )

    def bounds(self, units: Units) -> str:
        """What it may be, in words."""
        return (
            ", ".join(f'"{shape}"' for shape in _SHAPES)
            + (f', "{FACING}": the other side of the curve of the tongue across' if self.own else "")
            + ', or points [along, across] from the middle of the tip line; with "arc" or "smooth" third, a curve '
            "goes through the point"
        )


@dataclass(frozen=True)
class BitsValue(Checked):
    """The bits that the shop has: a list of diameters, each a length, told from small to large, once each."""

    one: Within = Within(2.0, 100.0, "length")
    is_length: ClassVar[bool] = True

    def check(self, value: object, info: ValidationInfo) -> tuple[float, ...]:
        """The diameters in mm."""
        if not isinstance(value, list) or not 1 <= len(value) <= 50:
            raise bad_value(
                f"is {shown(value)}. It is a list of 1 to 50 diameters: write [10.0, 15.0, 20.0], or leave "
                "the key out."
            )
        return tuple(sorted({self._diameter(bit, info) for bit in value}))

    def _diameter(self, bit: object, info: ValidationInfo) -> float:
        try:
            return self.one.check(bit, info)
        except PydanticCustomError as error:
            numbers = {key: number for key, number in (error.context or {}).items() if key != "text"}
            raise bad_value(f"has a bit that {error.message()}", **numbers) from error

    def bounds(self, units: Units) -> str:
        """What it may be, in words."""
        return f"a list of diameters, each {self.one.bounds(units)}"


class Table(BaseModel):
    """One table of the file: known keys only, and each of the right kind."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    if TYPE_CHECKING:  # keys are made from declarations, which a type checker does not read

        def __getattr__(self, name: str) -> Any:
            """What this key says."""
