"""From the plies a drum file states to those the drum has: woods looked up, thicknesses made to fill the board.

A board of plies needs no constants of its own: they follow from its plies (`wood/laminate.py`).
"""

from __future__ import annotations

from typing import Any

from kerftone.drum.build_shop import Refuse
from kerftone.drum.values import Table
from kerftone.errors import SpeciesError
from kerftone.units import Units, format_length
from kerftone.wood.laminate import Ply, as_one, board_name
from kerftone.wood.species import Scatter, Species, find_species

NEAR_SHARE = 0.05
"""The plies may add up to this much more or less than the board: pressing and sanding take some. Own judgement."""


def plies_of(part: Table, table: str, units: Units, refuse: Refuse) -> dict[str, Any]:
    """The fields that the plies of [top] or [bottom] fill: name, plies, constants and scatter; none without plies.

    Parameters
    ----------
    part : Table
        The keys of that table, lengths in mm.
    table : str
        Its name.
    units : Units
        Of the file.
    refuse : Refuse
        Raises the refusal of the file at one of its keys.
    """
    if part.plies is None:
        return {}
    for other in ("board", "elastic"):
        if getattr(part, other, None) is not None:
            refuse(
                (table, other),
                f"[{table}] has both plies and {other}. What plies are as one board follows from their woods: take "
                f"{other} out, or take plies out.",
            )
    if getattr(part, "grain_dive_deg", 0.0):
        refuse(
            (table, "grain_dive_deg"),
            f"[{table}] has both plies and grain_dive_deg. Veneer is taken to lie in its own plane: take "
            "grain_dive_deg out.",
        )
    whole = sum(ply.thickness_mm for ply in part.plies)
    if abs(whole - part.thickness) > NEAR_SHARE * part.thickness:
        refuse(
            (table, "plies"),
            f"The plies of [{table}] are {format_length(whole, units)} together, and its thickness is "
            f"{format_length(part.thickness, units)}. They make up the board, within {100 * NEAR_SHARE:.0f} %: "
            f"measure the plies at the edge, or write thickness = {format_length(whole, units)}.",
        )
    woods = [_wood(ply.wood or part.wood, table, refuse) for ply in part.plies]
    plies = tuple(
        Ply(
            wood=wood.name,
            elastic=wood.elastic(),
            thickness_mm=read.thickness_mm * part.thickness / whole,
            turn_deg=read.turn_deg,
        )
        for wood, read in zip(woods, part.plies, strict=True)
    )
    elastic = as_one(plies, part.cut, glue_g_m2=part.glue_g_m2, thickness_mm=part.thickness)
    return {"wood": board_name(plies), "plies": plies, "elastic": elastic, "scatter": _scatter(woods)}


def _wood(name: str | None, table: str, refuse: Refuse) -> Species:
    if name is None:
        refuse(
            (table, "plies"),
            f'[{table}] names no wood for some of its plies. Write wood = "birch, yellow" in [{table}], or a wood '
            "third in each ply.",
        )
    try:
        return find_species(name)
    except SpeciesError as error:
        message = error.message.replace(", or give all ten constants in the elastic table", "")
        refuse((table, "plies"), message, error)


def _scatter(woods: list[Species]) -> Scatter:
    """As for one board of the wood that is known least: sheets of one log scatter together."""
    own: dict[str, float] = {}
    for wood in woods:
        for name, cv in wood.scatter().own:
            own[name] = max(own.get(name, 0.0), cv)
    return Scatter(own=tuple(own.items()))
