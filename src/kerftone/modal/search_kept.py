"""A search model as plain arrays, so that it can be kept beside the drum file (`shelf.py`), and back.

What is read back answers as what was kept, to the last digit: held by tests/modal/test_search_kept.py.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.modal.search import Place, SearchModel
from kerftone.modal.seats import SEAT_ARRAYS, Seat
from kerftone.modal.table import RootFace, Table

SIDES = ("left", "right")
TABLE_ARRAYS = ("lifts", "nodes", *SEAT_ARRAYS)


def places_array(places: tuple[Place, ...]) -> Array:
    """Rows and sides (t, 2), a side by its number in SIDES."""
    return np.array([(row, SIDES.index(side)) for row, side in places], dtype=float).reshape(-1, 2)


def places_of(array: Array) -> tuple[Place, ...]:
    """The places in such an array."""
    return tuple((int(row), "right" if side else "left") for row, side in array)


def model_arrays(model: SearchModel) -> dict[str, Array]:
    """All of a search model but the drum, by name."""
    tables = list({id(seat.table): seat.table for seat in model.seats.values()}.values())
    number = {id(table): n for n, table in enumerate(tables)}
    arrays = {
        "push": model.push,
        "top": np.array(model.top),
        "places": places_array(tuple(model.seats)),
        "tables": np.array([number[id(seat.table)] for seat in model.seats.values()]),
    }
    arrays |= {f"stiffness {part}": square for part, square in model.stiffness.items()}
    arrays |= {f"mass {part}": square for part, square in model.mass.items()}
    for n, seat in enumerate(model.seats.values()):
        arrays |= {f"seat {n} {name}": getattr(seat, name) for name in SEAT_ARRAYS}
    for n, table in enumerate(tables):
        arrays |= {f"table {n} {name}": getattr(table, name) for name in TABLE_ARRAYS}
        arrays[f"table {n} reach"] = np.array([table.low_mm, table.high_mm])
        arrays[f"table {n} marks"] = np.array(table.face.marks_mm)
        arrays[f"table {n} face"] = np.array([table.face.thickness_mm, table.face.order])
    return arrays


def model_of(drum: Drum, arrays: Mapping[str, Array]) -> SearchModel:
    """The search model of this drum in such arrays. Raises KeyError and ValueError where they are others'."""

    def by_part(start: str) -> dict[str, Array]:
        return {name.removeprefix(start): array for name, array in arrays.items() if name.startswith(start)}

    numbers = [int(n) for n in arrays["tables"]]
    tables = [_table(n, arrays) for n in range(max(numbers) + 1)]
    seats = {
        place: Seat(table=tables[at], **{name: arrays[f"seat {n} {name}"] for name in SEAT_ARRAYS})
        for n, (place, at) in enumerate(zip(places_of(arrays["places"]), numbers, strict=True))
    }
    stiff, dense = (float(factor) for factor in arrays["top"])
    return SearchModel(
        drum=drum,
        stiffness=by_part("stiffness "),
        mass=by_part("mass "),
        push=arrays["push"],
        seats=seats,
        top=(stiff, dense),
    )


def _table(number: int, arrays: Mapping[str, Array]) -> Table:
    start = f"table {number} "
    low, high = (float(mm) for mm in arrays[start + "reach"])
    thick, order = arrays[start + "face"]
    marks = tuple(float(mm) for mm in arrays[start + "marks"])
    face = RootFace(marks_mm=marks, thickness_mm=float(thick), order=int(order))
    return Table(face=face, low_mm=low, high_mm=high, **{name: arrays[start + name] for name in TABLE_ARRAYS})
