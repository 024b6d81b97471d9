"""What a maker types for a new drum: notes or a scale, a board, lengths, the wood.

Everything is read here into plain values, in mm, and refused in three beats where it cannot be. Sizes
are held to the bounds of the drum file, so that what is accepted can be written. Nothing is chosen here: that is
`kerftone.tune.begin`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from kerftone.drum.build import HIGHEST_HZ, LOWEST_HZ
from kerftone.drum.check import MIN_TONGUE_WIDTH_MM
from kerftone.drum.design import Box, Cut, Mount, Top
from kerftone.drum.file_keys import bounds
from kerftone.drum.knots import DIAMETER, Knot
from kerftone.drum.knots import MOST as MOST_KNOTS
from kerftone.drum.values import Within
from kerftone.errors import KerftoneError, LengthError, NoteError, Remedy, ScaleError, SpeciesError
from kerftone.pitch import equal_hz, note_number, note_spelled
from kerftone.scales import read_key, scale_notes
from kerftone.units import Units, format_length, parse_length
from kerftone.wood.names import plain
from kerftone.wood.species import find_species

COUNT = 6
"""How many notes of a scale a drum has unless the maker says: the size most are made in. Own judgement."""
WIDEST_TONGUE_MM = 200.0
"""Wider is a slip of the finger; own judgement."""
MOUNTS: dict[Mount, tuple[str, ...]] = {
    "on walls": ("walls", "on the walls", "on top"),
    "in ledge": ("ledge", "in a ledge", "on a ledge", "on ledge", "let in", "rabbet", "in a rabbet"),
    "on a lip": ("lip", "on lip", "hung in"),
}
"""How the top sits in the box, and what else it is called."""
_INCHES = re.compile(r'(?:\d\s*/\s*\d|["″”]|\d\s*in(?:ch|ches)?\b)', re.IGNORECASE)
_FRACTION = re.compile(r"\d\s*/\s*\d+\s*$", re.ASCII)
_UNIT = re.compile(r'(mm|cm|in|inch|inches|"|″|”|“)$', re.IGNORECASE)
_BY = re.compile(r"\s*(?:[x×*]|\bby\b)\s*", re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class LengthsTyped:
    """The lengths asked for, as typed; None where one was not."""

    board: str | None = None
    thickness: str | None = None
    tongue_width: str | None = None
    box_height: str | None = None
    knots: tuple[str, ...] = ()

    def units(self) -> Units:
        """The units of a drum whose maker names none: inches where a length is typed in inches."""
        typed = (self.board, self.thickness, self.tongue_width, self.box_height, *self.knots)
        return "in" if any(text is not None and _INCHES.search(text) for text in typed) else "mm"


@dataclass(frozen=True, kw_only=True)
class Board:
    """A board in hand, in mm, and whether it was typed the other way round, thickness first."""

    length_mm: float
    width_mm: float
    thickness_mm: float
    turned: bool = False

    @property
    def sizes_mm(self) -> tuple[float, float, float]:
        """Length, width, thickness."""
        return self.length_mm, self.width_mm, self.thickness_mm


def read_notes(typed: str) -> tuple[str, ...]:
    """The notes, between spaces or commas, in one form; each must be readable. Raises NoteError."""
    notes = tuple(re.split(r"[\s,;]+", typed.strip(" ,;\t\n")))
    if notes == ("",):
        raise NoteError(
            "No notes are given. A drum needs one at least, such as D3.",
            given=typed,
            remedy=Remedy.GIVE_NOTES,
        )
    return tuple(note_spelled(note) for note in notes)


def read_scale(typed: str, *, count: str | None, first: str | None) -> tuple[str, ...]:
    """The notes of a scale, such as 6 of "D minor pentatonic"; each within what a wooden tongue can sound.

    Raises ScaleError and NoteError.

    Parameters
    ----------
    typed : str
        The scale's name.
    count : str | None
        How many notes, as typed; None for the usual number.
    first : str | None
        The lowest note or its octave, as typed; None for the tonic.
    """
    many = _count(count)
    name = read_key(typed).name
    notes = scale_notes(typed, count=many, first=first)
    heard = [LOWEST_HZ <= equal_hz(note_number(note)) <= HIGHEST_HZ for note in notes]
    if all(heard):
        return notes
    bounds = f"Wooden tongues sound from {LOWEST_HZ:g} to {HIGHEST_HZ:g} Hz"
    asked = f"{many} note{'s' * (many != 1)} of {name} from {notes[0]}"
    if heard[0]:
        most = heard.index(False)
        raise ScaleError(
            f"{asked} go up to {notes[-1]}, {equal_hz(note_number(notes[-1])):.0f} Hz. {bounds}: take {most} notes "
            "or fewer, or begin lower.",
            given=many,
            limit=HIGHEST_HZ,
            nearest=most,
        )
    nearest = _octave_that_sounds(notes[0])
    raise ScaleError(
        f"{asked} begin at {equal_hz(note_number(notes[0])):.4g} Hz. {bounds}: begin on {nearest}.",
        given=first,
        limit=LOWEST_HZ,
        nearest=nearest,
    )


def _octave_that_sounds(note: str) -> str:
    """The same note in the nearest octave that a wooden tongue can sound."""
    name, number = note.rstrip("-0123456789"), note_number(note)
    step = 12 if equal_hz(number) < LOWEST_HZ else -12
    while not LOWEST_HZ <= equal_hz(number) <= HIGHEST_HZ:
        number += step
    return f"{name}{number // 12 - 1}"


def _count(typed: str | None) -> int:
    """How many notes, from 1."""
    if typed is None:
        return COUNT
    if re.fullmatch(r"\s*\d{1,3}\s*", typed, re.ASCII) and int(typed) > 0:
        return int(typed)
    raise NoteError(
        f"The count of notes is {typed[:20]!r}. It is a whole number, one at least: write {COUNT}.",
        given=typed,
        limit=1,
        nearest=COUNT,
    )


def read_board(typed: str, units: Units) -> Board:
    """The board in hand, "20 x 8 x 5/8" or "500 x 200 x 16 mm": length, width, thickness.

    Lengths are in `units` unless they say otherwise; a unit after the last alone is meant for all three. With the
    thickness first, as yards write it, the board is turned round. Raises LengthError.
    """
    parts = _BY.split(typed.strip())
    if len(parts) != 3 or not all(parts):
        example = "20 x 8 x 5/8" if units == "in" else "500 x 200 x 16"
        raise LengthError(
            f"The board {_shown(typed)} cannot be read. It is length, width and thickness with x between: write "
            f"'{example}'.",
            given=typed,
            nearest=example,
        )
    first, second, third = (parse_length(part, units) for part in _of_one_unit(parts))
    turned = first < second < third
    if turned:
        first, third = third, first
    return Board(
        length_mm=_held(first, units, "board's length", bounds(Top, "length")),
        width_mm=_held(second, units, "board's width", bounds(Top, "width")),
        thickness_mm=_held(third, units, "board's thickness", bounds(Top, "thickness")),
        turned=turned,
    )


def _of_one_unit(parts: list[str]) -> list[str]:
    """Three lengths, a unit after the last alone put to all three; all inches where one is a fraction."""
    unit = _UNIT.search(parts[2].strip())
    if unit is not None and not any(_UNIT.search(part.strip()) for part in parts[:2]):
        parts = [part if _FRACTION.search(part) else f"{part} {unit[1]}" for part in parts[:2]] + parts[2:]
    elif unit is None and any(_INCHES.search(part) for part in parts):  # a fraction: all three are inches
        parts = [part if _UNIT.search(part.strip()) else f"{part} in" for part in parts]
    return parts


def read_thickness(typed: str, units: Units) -> float:
    """The thickness of the top in mm, within what a drum file may say. Raises LengthError."""
    return _held(parse_length(typed, units), units, "thickness", bounds(Top, "thickness"))


def read_tongue_width(typed: str, units: Units) -> float:
    """The width of a tongue between its two saw cuts in mm. Raises LengthError."""
    allowed = Within(MIN_TONGUE_WIDTH_MM, WIDEST_TONGUE_MM, "length")
    return _held(parse_length(typed, units), units, "tongue width", allowed)


def read_box_height(typed: str, units: Units) -> float:
    """The height of the box's walls below the top in mm, within what a drum file may say. Raises LengthError."""
    return _held(parse_length(typed, units), units, "box height", bounds(Box, "height"))


def read_knots(typed: tuple[str, ...], board: Board | None, units: Units) -> tuple[Knot, ...]:
    """The knots of the board, each "120 x 45 x 8": from its left end, from its front edge, diameter; ; parts several.

    Raises LengthError for one that cannot be read or lies beyond the board.

    Parameters
    ----------
    typed : tuple[str, ...]
        As typed.
    board : Board | None
        The board in hand, if there is one.
    units : Units
        Of lengths that name none.
    """
    words = [one.strip() for text in typed for one in text.split(";") if one.strip()]
    if len(words) > MOST_KNOTS:
        raise LengthError(
            f"{len(words)} knots are given. A board for a drum has {MOST_KNOTS} at most: take a clearer one.",
            given=len(words),
            limit=MOST_KNOTS,
            nearest=MOST_KNOTS,
        )
    return tuple(_knot(one, number, board, units) for number, one in enumerate(words, start=1))


def _knot(typed: str, number: int, board: Board | None, units: Units) -> Knot:
    parts = _BY.split(typed)
    if len(parts) == 1:
        parts = re.split(r",\s+", typed) if re.search(r",\s", typed) else typed.split(",")
    if len(parts) != 3 or not all(part.strip() for part in parts):
        example = "4 3/4 x 1 3/4 x 5/16" if units == "in" else "120 x 45 x 8"
        raise LengthError(
            f"Knot {number}, {_shown(typed)}, cannot be read. It is how far its middle lies from the left end of the "
            f"board and from its front edge, and its diameter: write '{example}'.",
            given=typed,
            nearest=example,
        )
    x, y, wide = (parse_length(part, units) for part in _of_one_unit(parts))
    ends = (bounds(Top, "length").high, bounds(Top, "width").high)
    long, across = ends if board is None else board.sizes_mm[:2]
    return Knot(
        _held(x, units, f"place of knot {number} from the left end", Within(0.0, long, "length")),
        _held(y, units, f"place of knot {number} from the front edge", Within(0.0, across, "length")),
        _held(wide, units, f"diameter of knot {number}", DIAMETER),
    )


def check_one_thickness(board: Board | None, thickness_mm: float | None, units: Units) -> None:
    """Refuse a thickness beside a board that has another. Raises LengthError.

    Parameters
    ----------
    board : Board | None
        The board in hand, if there is one.
    thickness_mm : float | None
        What the top is to be, in mm; None where it was not said.
    units : Units
        The drum's units of length.
    """
    if board is None or thickness_mm is None or abs(board.thickness_mm - thickness_mm) < 0.01:
        return
    raise LengthError(
        f"The thickness is {format_length(thickness_mm, units)}, but the board is "
        f"{format_length(board.thickness_mm, units)} thick. A board has one thickness: leave the thickness out, or "
        "write what it will be planed to as the last size of the board.",
        given=thickness_mm,
        limit=board.thickness_mm,
        nearest=board.thickness_mm,
    )


def check_one_choice(notes: str | None, scale: str | None, *, count: str | None, first: str | None) -> None:
    """Refuse notes and a scale together, neither of them, or what belongs to a scale without one.

    Parameters
    ----------
    notes : str | None
        As typed; None where it was not said.
    scale : str | None
        As typed; None where it was not said.
    count : str | None
        As typed; None where it was not said.
    first : str | None
        As typed; None where it was not said.
    """
    if notes is not None and scale is not None:
        raise KerftoneError(
            "Both notes and a scale are given. A drum's notes come from one of them: leave one out.",
            given=(notes, scale),
        )
    if notes is None and scale is None:
        raise NoteError(
            "No notes are given. A drum needs one at least, such as D3, or a scale.",
            remedy=(Remedy.GIVE_NOTES, Remedy.LIST_SCALES),
        )
    stray = [name for name, value in (("A count", count), ("A beginning", first)) if value is not None]
    if scale is None and stray:
        raise KerftoneError(
            f"{' and '.join(stray).capitalize()} {'are' if len(stray) > 1 else 'is'} given beside notes, but only a "
            f"scale has them: leave {'them' if len(stray) > 1 else 'it'} out, or name a scale in place of the notes.",
            given=tuple(stray),
        )


def read_units(typed: str) -> Units:
    """The units of the file. Raises LengthError."""
    word = typed.strip().casefold()
    if word in ("mm", "millimetre", "millimetres", "millimeter", "millimeters"):
        return "mm"
    if word in ("in", '"', "inch", "inches"):
        return "in"
    raise LengthError(
        f"The units are {_shown(typed)}. A drum file is in millimetres or in inches: write mm or in.",
        given=typed,
        nearest=("mm", "in"),
    )


def read_mount(typed: str) -> Mount:
    """How the top sits in the box, by its name. Raises KerftoneError."""
    words = " ".join(typed.casefold().split())
    for mount, also in MOUNTS.items():
        if words in (mount, *also):
            return mount
    raise KerftoneError(
        f"The mount is {_shown(typed)}. A top sits in one of three ways: write 'on walls' (glued onto them), "
        "'in ledge' (let into a rabbet in them) or 'on a lip' (its own thinned edge on them, its body hung in).",
        given=typed,
        nearest=tuple(MOUNTS),
    )


def read_cut(typed: str) -> Cut:
    """How the board is sawn, by any of its names. Raises KerftoneError."""
    word = re.sub(r"[\s-]|sawn?", "", typed.casefold())
    if word in ("flat", "plain"):
        return "flatsawn"
    if word == "quarter":
        return "quartersawn"
    raise KerftoneError(
        f"The cut is {_shown(typed)}. The rings in the end grain lie flat or stand upright: write flatsawn or "
        "quartersawn, whichever is nearer (45 degrees lies between).",
        given=typed,
        nearest=("flatsawn", "quartersawn"),
    )


def read_wood(typed: str | None) -> str:
    """The wood's name as typed. Raises SpeciesError when there is none, or none that is known."""
    if typed is not None and typed.strip():
        try:
            find_species(typed)
        except SpeciesError as error:
            words = error.message.replace(", or give all ten constants in the elastic table", "")
            raise SpeciesError(words, given=typed, nearest=error.nearest, remedy=error.remedies) from None
        return typed
    raise SpeciesError(
        "No wood is given. How long a tongue must be depends on it: name one, such as walnut.",
        given=typed,
        remedy=Remedy.LIST_WOODS,
    )


def taken_as(typed: str, name: str) -> str | None:
    """How a wood typed under another name was understood, in words; None where it is the table's own."""
    if plain(typed) == plain(name):
        return None
    return f"Wood: {typed.strip()} is taken as {name} ({find_species(name).botanical})."


def _held(mm: float, units: Units, what: str, allowed: Within) -> float:
    """The same length, if it is within its allowed."""
    if allowed.low <= mm <= allowed.high:
        return mm
    near = allowed.nearest(mm)
    raise LengthError(
        f"The {what} is {allowed.words(mm, units)}. It must be {allowed.bounds(units)}: the nearest "
        f"that works is {allowed.near_words(mm, near, units)}.",
        given=mm,
        limit=near,
        nearest=near,
    )


def _shown(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")
