"""From the tables of the shop in a drum file to plain values: joints, feet, finish, pickup, boards.

What one value alone can tell is judged in `schema.py`, what the parts allow in `kerftone.shop`; here is only
what needs two values of one table, and the names of woods.
"""

from __future__ import annotations

from typing import NoReturn, Protocol

from kerftone.drum.lines import KeyPath
from kerftone.drum.schema import BoxTable, DrumTable
from kerftone.drum.schema_shop import ClimateTable, PickupTable, ShopTable, StockTable
from kerftone.drum.shop import (
    Climate,
    Feet,
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


def keys_of(table: BoxTable) -> Keys:
    """The keys of the corners."""
    wood = None if table.keys.wood is None else known_wood(table.keys.wood)
    return Keys(count=table.keys.count, thickness_mm=table.keys.thickness, wood=wood)


def foot_relief_of(table: BoxTable) -> FootRelief | None:
    """The cut-out between the feet, if there is one."""
    relief = table.foot_relief
    if relief is None:
        return None
    return FootRelief(shape=relief.shape, rise_mm=relief.rise, inset_mm=relief.inset)


def feet_of(table: BoxTable) -> Feet:
    """The feet."""
    return Feet(kind=table.feet.kind, diameter_mm=table.feet.diameter, height_mm=table.feet.height)


def _pickup(table: PickupTable | None, refuse: Refuse) -> Pickup | None:
    if table is None:
        return None
    if (table.x is None) != (table.y is None):
        has, lacks = ("x", "y") if table.y is None else ("y", "x")
        refuse(
            ("pickup", has),
            f"[pickup] has {has} but no {lacks}. A place needs both: add {lacks}, or leave both out and let "
            "`kerftone build` choose.",
        )
    return Pickup(
        disc_mm=table.disc,
        x_mm=table.x,
        y_mm=table.y,
        recess_mm=table.recess,
        wall=table.wall,
        jack_along_mm=table.jack_along,
        jack_up_mm=table.jack_up,
        pot_along_mm=table.pot_along,
        pot_up_mm=table.pot_up,
        jack_thread_mm=table.jack_thread,
        pot_thread_mm=table.pot_thread,
        bushing_mm=table.bushing,
        body_depth_mm=table.body_depth,
        load_kohm=table.load_kohm,
        bored=table.bored,
    )


def _stock(table: StockTable) -> Stock:
    return Stock(
        wood=known_wood(table.wood),
        length_mm=table.length,
        width_mm=table.width,
        thickness_mm=table.thickness,
        count=table.count,
        price=table.price,
    )


def _climate(table: ClimateTable, refuse: Refuse) -> Climate:
    if table.home_dry_rh_pct > table.home_damp_rh_pct:
        refuse(
            ("climate", "home_dry_rh_pct"),
            f"home_dry_rh_pct is {table.home_dry_rh_pct:g} %, above home_damp_rh_pct, "
            f"{table.home_damp_rh_pct:g} %. The dry season cannot be the damper one: change them over.",
        )
    return Climate(**table.model_dump())


def making_of(table: DrumTable, refuse: Refuse) -> Making:
    """All that the shop needs and the model does not."""
    mallets = table.mallets
    return Making(
        finish=Finish(**table.finish.model_dump()),
        mallets=Mallets(
            count=mallets.count,
            ball=mallets.ball,
            ball_mm=mallets.diameter,
            dowel_mm=mallets.dowel,
            length_mm=mallets.length,
        ),
        pickup=_pickup(table.pickup, refuse),
        stock=tuple(_stock(board) for board in table.stock),
        climate=_climate(table.climate, refuse),
        order=tuple(Wish(do=wish.do, before=wish.before) for wish in table.order),
    )


def shop_of(table: ShopTable) -> Shop:
    """The saw, the paper, the rule and the bits."""
    return Shop(
        saw_kerf_mm=table.saw_kerf,
        paper=table.paper,
        fraction=table.fraction,
        bits_mm=table.bits,
        depth_step_mm=table.depth_step,
        depth_error_mm=table.depth_error,
        place_error_mm=table.place_error,
        min_left_mm=table.min_left,
        min_web_mm=table.min_web,
    )
