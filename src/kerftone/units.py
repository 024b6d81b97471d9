"""Lengths as makers write them: millimetres, inches and fractions of an inch.

Everything inside the program is in millimetres. This module turns what is written ("5/8", "1 1/4",
0.625, 16.0) into millimetres and millimetres back into words. One inch is 25.4 mm exactly
(international yard and pound agreement of 1959).

It knows nothing of sensible sizes: bounds belong to whoever reads the length.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal

from kerftone.errors import LengthError

Units = Literal["mm", "in"]
MM_PER_INCH = 25.4

_FRACTION = re.compile(
    r"""(?P<sign>[-+]?)\s*
    (?: (?P<whole>\d{1,6}) (?:\s+|\s*-\s*) (?P<top>\d{1,6}) \s*/\s* (?P<under>\d{1,6})
      | (?P<top2>\d{1,6}) \s*/\s* (?P<under2>\d{1,6})
      | (?P<plain>\d{1,6}(?:\.\d{0,12})?|\.\d{1,12}) )
    \s*(?:"|in|inch|inches)?""",
    re.VERBOSE | re.ASCII,
)


def parse_inches(text: str) -> float:
    """How many inches are written here, such as "5/8", "1 1/4", "1-1/4" or "0.625".

    A trailing " or in is allowed. Raises LengthError for anything else.

    >>> parse_inches("1 1/4")
    1.25
    """
    match = _FRACTION.fullmatch(text.strip())
    if match is None:
        shown = repr(text if len(text) <= 40 else text[:37] + "...")
        raise LengthError(
            f'The length {shown} cannot be read. Inches are a number or a fraction: write 0.625, "5/8" '
            'or "1 1/4".',
            given=text,
        )
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["plain"] is not None:
        return sign * float(match["plain"])
    under = int(match["under"] or match["under2"])
    if under == 0:
        raise LengthError(
            f'The length {text!r} divides by zero. Inches are a number or a fraction: write 0.625, "5/8" '
            'or "1 1/4".',
            given=text,
        )
    fraction = Fraction(int(match["top"] or match["top2"]), under) + int(match["whole"] or 0)
    return sign * float(fraction)


def to_mm(value: float, units: Units) -> float:
    """How many millimetres this many `units` are.

    >>> to_mm(2.0, "in")
    50.8
    """
    return value * MM_PER_INCH if units == "in" else float(value)


def from_mm(mm: float, units: Units) -> float:
    """How many `units` this many millimetres are.

    >>> from_mm(50.8, "in")
    2.0
    """
    return mm / MM_PER_INCH if units == "in" else float(mm)


def parse_length(value: float | str, units: Units) -> float:
    """How many millimetres are written here, in a file whose lengths are in `units`.

    With "in" a string may hold a fraction; with "mm" a string is refused, for "150" with quotes is
    more often a slip than a wish. Raises LengthError.

    >>> parse_length("5/8", "in")
    15.875
    """
    if isinstance(value, str):
        if units == "mm":
            raise LengthError(
                f"The length {value[:40]!r} is text. Millimetres are plain numbers: write 150.0, without "
                'quotes, or set units = "in" for fractions of an inch.',
                given=value,
            )
        return to_mm(parse_inches(value), units)
    if not math.isfinite(value):
        raise LengthError(
            f"The length {value} is not a size. Write a plain number such as 150.0.", given=value
        )
    return to_mm(value, units)


def typed_length(text: str, units: Units) -> float:
    """How many millimetres are typed here, on a command line whose lengths are in `units` unless they say otherwise.

    A trailing mm, or in or ", says otherwise. Raises LengthError.

    >>> typed_length("20", "mm"), typed_length("20 mm", "in"), typed_length('5/8"', "mm")
    (20.0, 20.0, 15.875)
    """
    bare = text.strip()
    if bare.endswith(("in", "inch", "inches", '"')) or (units == "in" and not bare.endswith("mm")):
        return parse_length(bare, "in")
    try:
        return parse_length(float(bare.removesuffix("mm")), "mm")
    except ValueError:
        shown = repr(text if len(text) <= 40 else text[:37] + "...")
        raise LengthError(
            f"The length {shown} cannot be read. Write a number of millimetres, such as 3.5, or inches with their "
            'unit, such as "5/8 in".',
            given=text,
        ) from None


def inch_fraction(mm: float, *, parts: int = 64) -> str:
    """What to look for on an inch rule: the nearest fraction in `parts` of an inch, in lowest terms.

    >>> inch_fraction(31.75), inch_fraction(15.875), inch_fraction(50.8)
    ('1 1/4', '5/8', '2')
    """
    nearest = Fraction(round(abs(mm) / MM_PER_INCH * parts), parts)
    whole, rest = divmod(nearest.numerator, nearest.denominator)
    sign = "-" if mm < 0 and nearest else ""
    if rest == 0:
        return f"{sign}{whole}"
    part = f"{rest}/{nearest.denominator}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def tool_length(mm: float, units: Units) -> str:
    """A length to be set on a tool, or found with callipers: 6.0 mm; 1/4 in; what is no 64th of an inch, as 0.004 in.

    >>> tool_length(6.0, "mm"), tool_length(6.35, "in"), tool_length(0.1, "in")
    ('6.0 mm', '1/4 in', '0.004 in')
    """
    if units == "mm":
        return f"{mm:.1f} mm"
    return f"{inch_fraction(mm)} in" if _is_64th(mm) else format_length(mm, "in")


def bit_width(mm: float, units: Units) -> str:
    """How wide a bit is, by the name it is bought under: a metric bit stays metric in a shop that measures inches.

    >>> bit_width(20.0, "mm"), bit_width(19.05, "in"), bit_width(20.0, "in")
    ('20 mm', '3/4 in', '20 mm')
    """
    return f"{inch_fraction(mm)} in" if units == "in" and _is_64th(mm) else format_length(mm, "mm")


def _is_64th(mm: float) -> bool:
    """Whether this is a whole number of 64ths of an inch, one at least, to the third decimal of an inch."""
    step = MM_PER_INCH / 64.0
    return round(mm / step) > 0 and abs(mm - round(mm / step) * step) <= 0.0005 * MM_PER_INCH


def format_length(mm: float, units: Units = "mm", *, digits: int | None = None) -> str:
    """A length in words with its unit: millimetres to 0.1 mm, inches to 0.001 in.

    Trailing zeros are dropped. `digits` overrides the number of decimals.

    >>> format_length(150.0), format_length(15.875, "in")
    ('150 mm', '0.625 in')
    """
    places = digits if digits is not None else (3 if units == "in" else 1)
    text = f"{from_mm(mm, units):.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} {units}"
