"""Lengths as makers write them: millimetres, inches and fractions of an inch.

Everything inside the program is in millimetres. This module turns what is written ("5/8", "7 1/4 in", "12,5",
"½", 16.0) into millimetres and millimetres back into words. One inch is 25.4 mm exactly
(international yard and pound agreement of 1959).

It knows nothing of sensible sizes: bounds belong to whoever reads the length.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction
from typing import Literal

from kerftone.errors import LengthError

Units = Literal["mm", "in"]
MM_PER_INCH = 25.4
"""By definition of the inch."""

_LENGTH = re.compile(
    r"""(?P<sign>[-+]?)\s*
    (?: (?P<whole>\d{1,6}) (?:\s+|\s*-\s*) (?P<top>\d{1,6}) \s*/\s* (?P<under>\d{1,6})
      | (?P<top2>\d{1,6}) \s*/\s* (?P<under2>\d{1,6})
      | (?P<plain>\d{1,6}(?:[.,]\d{0,12})?|[.,]\d{1,12}) )
    \s*(?P<unit>"|''|in\.?|inch|inches|mm|millimet(?:er|re)s?|cm|centimet(?:er|re)s?)?""",
    re.VERBOSE | re.ASCII | re.IGNORECASE,
)
_INCH_SIGNS = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "„": '"', "’": "'", "‘": "'", "′": "'", "⁄": "/", "−": "-"}
)
_EXACT = re.compile(r"(?P<rule>[^()]+?)\s*\(\s*(?P<exact>[^()]+?)\s*\)\s*(?P<unit>[^\s()\d]*)", re.ASCII)
"""A length on the rule with the exact one in brackets behind it, as it is printed: 9 1/16 (9.068)."""
COARSEST_MARK_IN = 1 / 16
"""No rule in a shop has coarser marks: an exact length is never further than half of this from the mark beside it."""
_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}(?!\d)", re.ASCII)


def plain_digits(text: str) -> str:
    """A length's text with the signs of a keyboard: straight quotes, and ½ as 1/2."""
    spelled = "".join(
        f" {Fraction(unicodedata.numeric(char)).limit_denominator(99)} "
        if unicodedata.category(char) == "No" and "FRACTION" in unicodedata.name(char, "")
        else char
        for char in text
    )
    return spelled.translate(_INCH_SIGNS).strip()


def parse_length(value: float | str, units: Units) -> float:
    """How many millimetres are written here, where lengths are in `units` unless they say otherwise.

    A unit after the number says otherwise: mm, cm, in or ". A fraction is always of an inch, for nobody writes one
    of a millimetre; a comma before the decimals is a point. Of a mark on the rule with the exact length in brackets
    behind it the exact one counts, if the two are of one length. Raises LengthError.

    >>> [parse_length(text, "in") for text in ("5/8", "12 mm", "2-1/2")], parse_length("12,5", "mm")
    ([15.875, 12.0, 63.5], 12.5)
    >>> parse_length("9 1/16 (9.07)", "in") == 9.07 * 25.4
    True
    """
    if not isinstance(value, str):
        if not math.isfinite(value):
            raise LengthError(
                f"The length {value} is not a size. Write a plain number such as 150.0.", given=value
            )
        return to_mm(value, units)
    text = plain_digits(value)
    both = _EXACT.fullmatch(text)
    if both is not None:
        return _exact_length(value, both, units)
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise _unreadable(value, units)
    sign = -1.0 if match["sign"] == "-" else 1.0
    unit = (match["unit"] or "").casefold()
    metric = unit.startswith(("m", "c"))
    if match["plain"] is not None:
        if _THOUSANDS.fullmatch(match["plain"]):
            point, none = match["plain"].replace(",", "."), match["plain"].replace(",", "")
            raise LengthError(
                f"The length {_shown(value)} has a comma before three digits, which may be {point} or {none}. "
                f"Write one of them, without the comma.",
                given=value,
            )
        number = float(match["plain"].replace(",", "."))
        if unit.startswith("c"):
            return sign * 10.0 * number
        inches = units == "in" if not unit else not metric
        return sign * to_mm(number, "in" if inches else "mm")
    under = int(match["under"] or match["under2"])
    if under == 0 or metric:
        trouble = "divides by zero" if under == 0 else "is a fraction of a millimetre, which no rule has"
        raise LengthError(
            f"The length {_shown(value)} {trouble}. A fraction is of an inch: write 5/8 in or 1 1/4 in, or a "
            "plain number of mm.",
            given=value,
        )
    fraction = Fraction(int(match["top"] or match["top2"]), under) + int(match["whole"] or 0)
    return sign * to_mm(float(fraction), "in")


def _exact_length(value: str, both: re.Match[str], units: Units) -> float:
    """The exact one of two lengths, mm, where the other is the nearest mark of a rule to it."""
    rule, exact = both["rule"], both["exact"]
    named = re.search(r"[^\d\s./-]+\.?$", rule) if not both["unit"] else None
    unit = both["unit"] or (named[0] if named else "in" if "/" in rule else "")
    mark = parse_length(rule if named else f"{rule} {unit}", units)
    mm = parse_length(f"{exact} {unit}", units)
    if abs(mark - mm) > (0.5 * COARSEST_MARK_IN + 0.0005) * MM_PER_INCH:
        raise LengthError(
            f"The length {_shown(value)} says {rule} and {exact}, which are two lengths. In brackets stands the "
            f"exact length, and before them the nearest mark of the rule: write {rule} or {exact} alone.",
            given=value,
        )
    return mm


def _unreadable(text: str, units: Units) -> LengthError:
    example = "0.625, 5/8 or 1 1/4" if units == "in" else "16, 12.5 or 5/8 in"
    own = "inches" if units == "in" else "millimetres"
    return LengthError(
        f"The length {_shown(text)} cannot be read. A length is one number, in {own} unless it names a unit itself: "
        f"write {example}.",
        given=text,
    )


def _shown(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")


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


def written_length(
    mm: float, units: Units, *, parts: int = 32, digits: int | None = None
) -> float | int | str:
    """A length as the program writes it into a file: to 0.01 mm; in inches on the rule, the exact decimals behind.

    What it writes, `parse_length` reads: a mark with decimals in brackets as those decimals. Decimals alone below
    the finest mark.

    Parameters
    ----------
    mm : float
        The length, in mm.
    units : Units
        Of the file.
    parts : int, optional
        The finest part of an inch on the maker's rule. A length on a 64th is a fraction all the same.
    digits : int, optional
        So many decimals instead of two, in inches of three.

    Examples
    --------
    >>> [written_length(mm, "in") for mm in (15.875, 50.8, 230.33, 0.1)], written_length(230.333, "mm")
    (['5/8', 2, '9 1/16 (9.068)', 0.004], 230.33)
    """
    if units == "mm":
        return round(mm, 2 if digits is None else digits)
    places = 3 if digits is None else digits
    inches = round(mm / MM_PER_INCH, places)
    exact = abs(round(inches * 64.0) / 64.0 - inches) <= 0.5 * 10.0**-places + 1e-9
    if not exact and abs(inches) < 1.0 / parts:
        return inches
    mark = inch_fraction(inches * MM_PER_INCH, parts=64 if exact else parts)
    if not exact:
        return f"{mark} ({inches:.{places}f})"
    return mark if "/" in mark else int(mark)


GRAMS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
"""The avoirdupois pound is 453.59237 g exactly (international yard and pound agreement of 1959), its ounce a 16th."""
_MASS_WORDS = {
    "lbs": "lb",
    "#": "lb",
    "pound": "lb",
    "pounds": "lb",
    "ounce": "oz",
    "ounces": "oz",
    "gram": "g",
}
_MASS_WORDS |= {"grams": "g", "gr": "g", "kilo": "kg", "kilos": "kg", "ozs": "oz"}
_MASS_PART = re.compile(r"(\d{1,9}(?:[.,]\d{0,9})?|[.,]\d{1,9})\s*([a-z#]*)\.?[\s,]*", re.ASCII)


def parse_grams(text: str) -> float | None:
    """How many grams are written here, a plain number being grams; None where that cannot be read, or is nothing.

    >>> parse_grams("742"), parse_grams("0.742 kg"), round(parse_grams("8 lb 3 oz"), 1), parse_grams("heavy")
    (742.0, 742.0, 3713.8, None)
    """
    left, total, parts = text.strip().casefold(), 0.0, 0
    while left:
        match = _MASS_PART.match(left)
        unit = "" if match is None else _MASS_WORDS.get(match[2], match[2])
        alone = match is not None and not unit and not parts and match.end() == len(left)
        if match is None or (unit not in GRAMS and not alone):
            return None
        total += float(match[1].replace(",", ".")) * GRAMS.get(unit, 1.0)
        left, parts = left[match.end() :], parts + 1
    return total if total > 0.0 else None


def format_mass(grams: float, units: Units) -> str:
    """A weight as a shop of these units weighs it: g and kg, or ounces and pounds.

    >>> format_mass(949.0, "mm"), format_mass(4893.0, "mm"), format_mass(949.0, "in"), format_mass(60.0, "in")
    ('949 g', '4.9 kg', '2.1 lb', '2.1 oz')
    """
    if units == "mm":
        return f"{grams:.0f} g" if grams < 1000.0 else f"{grams / 1000.0:.1f} kg"
    unit = "oz" if grams < GRAMS["lb"] else "lb"
    return f"{grams / GRAMS[unit]:.1f} {unit}"


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
    """A length to be set on a tool, or found with callipers: to 0.1 mm; in inches as the nearest 64th, with the
    decimals behind it where it is none, and as decimals alone below a 64th.

    >>> tool_length(6.0, "mm"), tool_length(6.35, "in"), tool_length(3.0, "in"), tool_length(0.1, "in")
    ('6.0 mm', '1/4 in', '1/8 in (0.118)', '0.004 in')
    """
    if units == "mm":
        return f"{mm:.1f} mm"
    if _is_64th(mm):
        return f"{inch_fraction(mm)} in"
    decimals = f"{mm / MM_PER_INCH:.3f}"
    return f"{decimals} in" if abs(mm) < MM_PER_INCH / 64.0 else f"{inch_fraction(mm)} in ({decimals})"


def tool_figure(mm: float, units: Units) -> str:
    """The same as a figure on a drawing: no unit, and the nearest 64th alone.

    >>> tool_figure(6.0, "mm"), tool_figure(3.0, "in")
    ('6.0', '1/8')
    """
    return tool_length(mm, units).partition(" mm")[0].partition(" in")[0]


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
    """A length in words with its unit: millimetres to 0.1 mm; inches as on a common rule, the decimals behind.

    On a 32nd or a 64th of an inch the fraction says it all; off them the nearest 32nd is told with its decimals, and
    below a 64th the decimals alone. Trailing zeros are dropped.

    Parameters
    ----------
    mm : float
        The length, in mm.
    units : Units, optional
        In which it is told.
    digits : int, optional
        Ask for so many decimals instead.

    Examples
    --------
    >>> format_length(150.0), format_length(15.875, "in"), format_length(30.0, "in"), format_length(0.3, "in")
    ('150 mm', '5/8 in', '1 3/16 in (1.181)', '0.012 in')
    """
    if units == "in" and digits is None and abs(mm) >= MM_PER_INCH / 64.0 - 1e-9:
        return _rule_words(mm)
    places = digits if digits is not None else (3 if units == "in" else 1)
    text = f"{from_mm(mm, units):.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} {units}"


def _rule_words(mm: float) -> str:
    exact = _is_64th(abs(mm))
    parts = 64 if exact or abs(mm) < MM_PER_INCH / 8.0 else 32
    words = f"{inch_fraction(mm, parts=parts)} in"
    return words if exact else f"{words} ({mm / MM_PER_INCH:.3f})"


HALF_MM = 0.5
"""The finest mark of a metric rule: common practice, no source."""


def nearest_mark(mm: float, units: Units, *, parts: int = 32) -> float:
    """The nearest mark of a rule to this length, mm: half millimetres, or so many parts of an inch.

    Parameters
    ----------
    mm : float
        The length, in mm.
    units : Units
        Of the rule.
    parts : int, optional
        Of an inch, the finest that the rule has.

    Examples
    --------
    >>> nearest_mark(11.2, "mm"), nearest_mark(12.6, "in")
    (11.0, 12.7)
    """
    step = HALF_MM if units == "mm" else MM_PER_INCH / parts
    return round(mm / step) * step


def least_mm(mm: float, units: Units) -> float:
    """The least length from here on that is set without trouble, mm: a tenth of a mm, or a 32nd of an inch; for thin
    things thousandths.

    >>> least_mm(12.34, "mm"), least_mm(12.34, "in"), least_mm(12.7, "in")
    (12.4, 12.7, 12.7)
    """
    return _stepped(mm, units, math.ceil, -1e-6)


def most_mm(mm: float, units: Units) -> float:
    """The same of lengths up to here.

    >>> most_mm(12.38, "mm"), most_mm(12.8, "in")
    (12.3, 12.7)
    """
    return _stepped(mm, units, math.floor, 1e-6)


def least_length(mm: float, units: Units) -> str:
    """A length of at least this, as one would set it: the tenth of a mm, or the 32nd of an inch, at or above it.

    >>> least_length(30.01, "mm"), least_length(30.0, "in"), least_length(0.3, "in")
    ('30.1 mm', '1 3/16 in', '0.012 in')
    """
    return format_length(least_mm(mm, units), units)


def most_length(mm: float, units: Units) -> str:
    """A length of at most this, as one would set it: the tenth of a mm, or the 32nd of an inch, at or below it.

    >>> most_length(30.07, "mm"), most_length(384.2, "in"), most_length(0.3, "in")
    ('30 mm', '15 1/8 in', '0.011 in')
    """
    return format_length(most_mm(mm, units), units)


def _stepped(mm: float, units: Units, towards: Callable[[float], int], slack: float) -> float:
    """The nearest step on one side, mm; in inches thousandths where a length is below four 32nds, for thin things."""
    if units == "mm":
        return round(towards(mm / 0.1 + slack) * 0.1, 6)
    inches = mm / MM_PER_INCH
    if abs(inches) < 0.125 - 1e-6:
        exact = abs(inches * 64.0 - round(inches * 64.0)) < 1e-4
        return mm if exact else towards(inches / 0.001 + slack) * 0.001 * MM_PER_INCH
    return towards(inches * 32.0 + slack * 32.0) / 32.0 * MM_PER_INCH
