"""What the page wants changed, turned into changes of the drum's file.

A wish is a small dictionary that the page sends. Lengths come in mm, or as typed with the unit the page shows; they
are written in the file's own units, and as typed where that is how the file would say it. Raises KerftoneError in
three beats for what cannot be read; whether the drum then makes sense is judged when the file is read again.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, get_args

from kerftone.app.measured_boards import board_changes
from kerftone.app.seat_changes import bottom_changes, mount_changes
from kerftone.app.tips import end_changes
from kerftone.drum.design import Drum, HolePart, Side
from kerftone.drum.edit import Change
from kerftone.drum.lines import KeyPath
from kerftone.errors import KerftoneError
from kerftone.jobs.drum_wishes import read_notes
from kerftone.units import Units, parse_length, written_length

MOST_DEEP, MOST_WISHES = 5, 200
"""Keys in one place of the file, and wishes sent at once: more is no page of ours. Own judgement."""
HOLE_MM: dict[Units, float] = {"mm": 30.0, "in": 31.75}
"""How wide a new sound hole is: a common Forstner bit, from where the maker goes on; common practice, no source."""
WORDS = {
    "length": "length",
    "end_margin": "end margin",
    "side_margin": "side margin",
    "stop_hole": "stop hole",
    "countersink": "countersink",
    "tongue_end": "shape of the tips",
    "root_bar": "root bar",
    "root_bar_height": "root bar's height",
    "aim_cents": "how flat it is cut",
    "tolerance_cents": "tolerance",
    "reference_hz": "pitch of A",
    "round_over": "rounding of the edges",
    "bow": "bow of the slots",
    "kind": "kind",
}


class WishError(KerftoneError):
    """The page asked for something that there is not: a fault of the page, or of what was sent in its place."""


def changes_of(drum: Drum, wishes: Any) -> tuple[list[Change], str]:
    """The changes, in their order, and what they are in words for the list of steps."""
    if not isinstance(wishes, list) or not 1 <= len(wishes) <= MOST_WISHES:
        raise _strange("a list of changes")
    try:
        json.dumps(wishes, ensure_ascii=False).encode("utf-8")
    except (
        TypeError,
        ValueError,
        RecursionError,
    ) as error:  # half a letter, as JSON may hold and no file can
        raise _strange("words that a file can hold") from error
    changes: list[Change] = []
    words = ""
    for wish in wishes:
        kind = wish.get("do") if isinstance(wish, dict) else None
        if kind not in _KINDS:
            raise _strange("one of the changes there are")
        try:
            more, words = _KINDS[str(kind)](drum, wish)
        except (KeyError, TypeError, ValueError, IndexError) as error:
            raise _strange("a whole change") from error
        changes += more
    return changes, words


def _strange(wanted: str) -> WishError:
    return WishError(f"What was sent cannot be read. It must be {wanted}: reload the page and try again.")


def _set(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """One key: a length in mm, a length as typed, or any other value."""
    at = _path(wish["at"])
    if "typed" in wish:
        value: object = _typed(str(wish["typed"]), "in" if wish.get("unit") == "in" else "mm", drum.units)
    elif "mm" in wish:
        value = written_length(float(wish["mm"]), drum.units, parts=drum.shop.fraction)
    else:
        value = wish["value"]
    if value is not None and not isinstance(value, str | int | float | bool | list | dict):
        raise _strange("a plain value")
    return [Change(at=at, value=value)], _words(drum, at)


def _path(given: Any) -> KeyPath:
    if not isinstance(given, list) or not 1 <= len(given) <= MOST_DEEP:
        raise _strange("the name of a key")
    for part in given:
        if isinstance(part, bool) or not isinstance(part, str | int) or (isinstance(part, int) and part < 0):
            raise _strange("the name of a key")
    return tuple(given)


def _words(drum: Drum, at: KeyPath) -> str:
    last = at[-1]
    name = WORDS.get(str(last), str(last).replace("_", " "))
    if at[0] == "tongues" and len(at) == 3:
        return f"{name} of {drum.tongues[int(at[1])].note}"
    if len(at) == 1 or isinstance(last, int):
        return str(at[0])
    return f"{name} ({' '.join(str(part) for part in at[:-1])})"


def _typed(text: str, unit: Units, units: Units) -> object:
    """A length as the file states it: inches stay as they were typed."""
    plain = text.strip().replace("″", '"').replace("”", '"').replace(",", ".")
    mm = parse_length(plain, unit)
    bare = plain.removesuffix('"').removesuffix("in").strip()
    if units == "in" and unit == "in" and "/" in bare:
        return bare
    return written_length(mm, units)


def _note(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    number = _tongue(drum, wish["tongue"])
    (note,) = read_notes(str(wish["note"]))
    return [Change(at=("tongues", number, "note"), value=note)], f"{drum.tongues[number].note} becomes {note}"


def _swap(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """Two tongues change their places; each keeps its note and its length."""
    one, other = _tongue(drum, wish["one"]), _tongue(drum, wish["other"])
    places = {one: drum.tongues[other], other: drum.tongues[one]}
    changes = [
        Change(at=("tongues", number, key), value=getattr(place, key))
        for number, place in places.items()
        for key in ("row", "side")
    ]
    return changes, f"{drum.tongues[one].note} and {drum.tongues[other].note} change places"


def _add(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """One more tongue, in the place beside one alone in its row or in a new row."""
    (note,) = read_notes(str(wish["note"]))
    tongue: dict[str, Any] = {"note": note}
    if all(one.row is not None for one in drum.tongues):
        row, side = _free_place(drum)
        tongue |= {"row": row, "side": side}
    return [Change(at=("tongues", len(drum.tongues)), value=tongue)], f"{note} added"


def _free_place(drum: Drum) -> tuple[int, Side]:
    taken = {(tongue.row, tongue.side) for tongue in drum.tongues}
    row = 1
    sides: tuple[Side, Side] = ("left", "right")
    while True:
        for side in sides:
            if (row, side) not in taken:
                return row, side
        row += 1


def _remove(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """One tongue out; where its row is then empty, the rows behind it move up."""
    number = _tongue(drum, wish["tongue"])
    gone = drum.tongues[number]
    rest = [at for at in range(len(drum.tongues)) if at != number]
    if not rest:
        raise WishError(f"{gone.note} is the only tongue. A drum needs one at least: add another first.")
    changes = []
    if not wish.get("free") and gone.row is not None and all(drum.tongues[at].row != gone.row for at in rest):
        for at in rest:
            row = drum.tongues[at].row
            if row is not None and row > gone.row:
                changes.append(Change(at=("tongues", at, "row"), value=row - 1))
    return [*changes, Change(at=("tongues", number), value=None)], f"{gone.note} taken away"


def _free(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """All places left to the program."""
    changes = [
        Change(at=("tongues", number, key), value=None)
        for number in range(len(drum.tongues))
        for key in ("row", "side")
    ]
    return changes, "places left open"


def _pickup(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """A pickup, with everything about it as usual, or none."""
    if wish["on"]:
        return [Change(at=("pickup",), value={"wall": "back"})], "pickup added"
    return [Change(at=("pickup",), value=None)], "pickup taken away"


def _sound_hole(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """A sound hole cut into a part, in the middle of what is free there, or one taken out."""
    holes = drum.sound_holes
    if "number" in wish:
        at = _item("sound_holes", len(holes), wish["number"])
        return [Change(at=at, value=None)], "a sound hole taken out"
    part = wish["part"]
    if part not in get_args(HolePart):
        raise ValueError(part)
    hole = {"part": part, "diameter": written_length(HOLE_MM[drum.units], drum.units)}
    if holes:
        return [Change(at=("sound_holes", len(holes)), value=hole)], "a sound hole put in"
    return [Change(at=("sound_holes",), value=[hole])], "a sound hole put in"


def _item(name: str, count: int, number: object) -> KeyPath:
    """Where to take one item of a list out: the list itself where it is the last of it."""
    if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number < count:
        raise _strange("the number of one on the list")
    return (name,) if count == 1 else (name, number)


def _stock(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """A board on hand put on the list, or one taken off it."""
    if "number" in wish:
        at = _item("stock", len(drum.making.stock), wish["number"])
        return [Change(at=at, value=None)], "a board taken off the list"
    unit: Units = "in" if wish.get("unit") == "in" else "mm"
    table: dict[str, Any] = {"wood": str(wish["wood"])}
    for side in ("length", "width", "thickness"):
        table[side] = _typed(str(wish[side]), unit, drum.units)
    if str(wish.get("count") or "1").strip() != "1":
        table["count"] = int(str(wish["count"]))
    if str(wish.get("price") or "").strip():
        table["price"] = float(str(wish["price"]).replace(",", "."))
    if drum.making.stock:
        return [Change(at=("stock", len(drum.making.stock)), value=table)], "a board put on the list"
    return [Change(at=("stock",), value=[table])], "a board put on the list"


def lengths_changes(drum: Drum, tongues: list[dict[str, Any]]) -> list[Change]:
    """Lengths and places as they were found."""
    return [
        Change(at=("tongues", number, key), value=value)
        for number, one in enumerate(tongues)
        for key, value in (
            ("row", one["row"]),
            ("side", one["side"]),
            ("length", written_length(one["length_mm"], drum.units, parts=drum.shop.fraction)),
        )
    ]


def _tongue(drum: Drum, given: Any) -> int:
    if isinstance(given, bool) or not isinstance(given, int) or not 0 <= given < len(drum.tongues):
        raise _strange("the number of a tongue")
    return given


Reading = Callable[[Drum, dict[str, Any]], tuple[list[Change], str]]
_KINDS: dict[str, Reading] = {
    "set": _set,
    "note": _note,
    "swap": _swap,
    "add": _add,
    "remove": _remove,
    "free": _free,
    "bottom": bottom_changes,
    "mount": mount_changes,
    "end": end_changes,
    "board": board_changes,
    "pickup": _pickup,
    "sound_hole": _sound_hole,
    "stock": _stock,
}
