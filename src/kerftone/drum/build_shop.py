"""From the tables of the shop in a drum file to plain values: joints, feet, finish, pickup, boards.

What one value alone can tell is judged in `schema.py`, what the parts allow in `kerftone.shop`; here is only
what needs two values of one table, and the names of woods.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NoReturn, Protocol

from kerftone.drum.file_keys import filled
from kerftone.drum.lines import KeyPath
from kerftone.drum.shop import Climate, Keys, Making, Pickup
from kerftone.drum.values import Table
from kerftone.errors import KerftoneError, SpeciesError
from kerftone.wood import find_species


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


def with_known_wood(keys: Keys) -> Keys:
    """These keys of the corners, their wood under the table's own name."""
    return replace(keys, wood=None if keys.wood is None else known_wood(keys.wood))


def _check_pickup(pickup: Pickup | None, refuse: Refuse) -> None:
    if pickup is None or (pickup.x_mm is None) == (pickup.y_mm is None):
        return
    has, lacks = ("x", "y") if pickup.y_mm is None else ("y", "x")
    refuse(
        ("pickup", has),
        f"[pickup] has {has} but no {lacks}. A place needs both: add {lacks}, or leave both out to have "
        "them chosen.",
    )


def _check_climate(climate: Climate, refuse: Refuse) -> None:
    if climate.home_dry_rh_pct > climate.home_damp_rh_pct:
        refuse(
            ("climate", "home_dry_rh_pct"),
            f"home_dry_rh_pct is {climate.home_dry_rh_pct:g} %, above home_damp_rh_pct, "
            f"{climate.home_damp_rh_pct:g} %. The dry season cannot be the damper one: change them over.",
        )


def making_of(table: Table, refuse: Refuse) -> Making:
    """All that the shop needs and the model does not."""
    making = filled(Making, table)
    _check_pickup(making.pickup, refuse)
    _check_climate(making.climate, refuse)
    return replace(making, stock=tuple(replace(board, wood=known_wood(board.wood)) for board in making.stock))
