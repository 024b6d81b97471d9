"""From the tables of the shop in a drum file to plain values: joints, feet, finish, pickup, boards.

What one value alone can tell is judged in `schema.py`, what the parts allow in `kerftone.shop`; here is only
what needs two values of one table, and the names of woods.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any, NoReturn, Protocol, TypeVar

from pydantic import BaseModel

from kerftone.drum.lines import KeyPath
from kerftone.drum.schema import BoxTable, DrumTable
from kerftone.drum.schema_shop import ClimateTable, PickupTable, ShopTable
from kerftone.drum.shop import (
    Climate,
    Finish,
    FootRelief,
    Keys,
    Making,
    Mallets,
    Pickup,
    Shop,
    Stock,
    Wish,
)
from kerftone.errors import KerftoneError, SpeciesError
from kerftone.wood import find_species

T = TypeVar("T")


class Refuse(Protocol):
    """How a refusal is raised: with the key it is about, so that the line can be named."""

    def __call__(self, at: KeyPath, message: str, cause: KerftoneError | None = None) -> NoReturn:
        """Raise a DrumFileError at the line of this key."""


def known_wood(name: str) -> str:
    """The table's own name of this wood, or the maker's name where the table has none."""
    try:
        return find_species(name).name
    except SpeciesError:
        return name


def filled(kind: type[T], table: BaseModel, **own: Any) -> T:
    """A value of this kind from the table's keys of the same names (without the unit); `own` comes before them.

    Lengths stand in a table already in mm under a key without a unit, in a value under a name with `_mm`.
    """
    given = {name: getattr(table, name) for name in type(table).model_fields}
    names = ((field.name, field.name.removesuffix("_mm")) for field in fields(kind))  # type: ignore[arg-type]
    return kind(**({name: given[key] for name, key in names if key in given} | own))


def keys_of(table: BoxTable) -> Keys:
    """The keys of the corners."""
    wood = None if table.keys.wood is None else known_wood(table.keys.wood)
    return filled(Keys, table.keys, wood=wood)


def foot_relief_of(table: BoxTable) -> FootRelief | None:
    """The cut-out between the feet, if there is one."""
    return None if table.foot_relief is None else filled(FootRelief, table.foot_relief)


def _pickup(table: PickupTable | None, refuse: Refuse) -> Pickup | None:
    if table is None:
        return None
    if (table.x is None) != (table.y is None):
        has, lacks = ("x", "y") if table.y is None else ("y", "x")
        refuse(
            ("pickup", has),
            f"[pickup] has {has} but no {lacks}. A place needs both: add {lacks}, or leave both out to have "
            "them chosen.",
        )
    return filled(Pickup, table)


def _climate(table: ClimateTable, refuse: Refuse) -> Climate:
    if table.home_dry_rh_pct > table.home_damp_rh_pct:
        refuse(
            ("climate", "home_dry_rh_pct"),
            f"home_dry_rh_pct is {table.home_dry_rh_pct:g} %, above home_damp_rh_pct, "
            f"{table.home_damp_rh_pct:g} %. The dry season cannot be the damper one: change them over.",
        )
    return filled(Climate, table)


def making_of(table: DrumTable, refuse: Refuse) -> Making:
    """All that the shop needs and the model does not."""
    mallets = table.mallets
    return Making(
        finish=filled(Finish, table.finish),
        mallets=filled(Mallets, mallets, ball_mm=mallets.diameter),
        pickup=_pickup(table.pickup, refuse),
        stock=tuple(filled(Stock, board, wood=known_wood(board.wood)) for board in table.stock),
        climate=_climate(table.climate, refuse),
        order=tuple(filled(Wish, wish) for wish in table.order),
    )


def shop_of(table: ShopTable) -> Shop:
    """The saw, the paper, the rule and the bits."""
    return filled(Shop, table)
