"""The same drum after long in other air: stiffer and lighter when dry, limper and heavier when damp.

Stiffness, density and the thickness of the top follow the moisture of the wood (`wood/moisture.py`); every
part is taken to have the air's moisture right through. The box and the bottom are reckoned from 12 % (species
means), the top from the moisture its constants hold for. What is left out: the top's change of width, which moves
no note by a cent, and the strain of a top that is held by its walls from moving.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from kerftone.drum.design import Bottom, Drum, Top
from kerftone.errors import SpeciesError
from kerftone.wood.board import USUAL_C_R, USUAL_C_T
from kerftone.wood.elastic import Elastic
from kerftone.wood.laminate import as_one
from kerftone.wood.moisture import dried
from kerftone.wood.species import find_species

Part = TypeVar("Part", Top, Bottom)
SPECIES_PCT = 12.0
"""The moisture at which the species' constants hold (Wood Handbook, FPL-GTR-282, ch. 5)."""


def in_air(drum: Drum, moisture_pct: float) -> Drum:
    """This drum with all its wood at this moisture. Raises MoistureError outside 4 to 22 %."""
    top = drum.top
    c_r, c_t = _movement(top.plies[0].wood if top.plies else top.wood)
    through = c_r if top.cut == "flatsawn" else c_t
    thicker = 1.0 + through * (moisture_pct - top.moisture_pct)
    thick_mm = top.thickness_mm * thicker
    five = tuple(one * thicker for one in top.thickness_at_mm)
    top = replace(_part_at(top, top.moisture_pct, moisture_pct), thickness_mm=thick_mm, thickness_at_mm=five)
    box = replace(drum.box, elastic=_at(drum.box.elastic, drum.box.wood, SPECIES_PCT, moisture_pct))
    bottom = drum.bottom
    if bottom is not None:
        bottom = _part_at(bottom, SPECIES_PCT, moisture_pct)
    return replace(drum, top=top, box=box, bottom=bottom)


def _part_at(part: Part, from_pct: float, to_pct: float) -> Part:
    """A top or a bottom of solid wood or of plies."""
    if not part.plies:
        return replace(part, elastic=_at(part.elastic, part.wood, from_pct, to_pct))
    plies = tuple(replace(ply, elastic=_at(ply.elastic, ply.wood, from_pct, to_pct)) for ply in part.plies)
    glue, thick = part.glue_g_m2, part.thickness_mm
    return replace(part, plies=plies, elastic=as_one(plies, part.cut, glue_g_m2=glue, thickness_mm=thick))


def _at(elastic: Elastic, wood: str, from_pct: float, to_pct: float) -> Elastic:
    return dried(elastic, from_pct=from_pct, to_pct=to_pct, movement_pct=100.0 * sum(_movement(wood)))


def _movement(wood: str) -> tuple[float, float]:
    """How a wood grows per percent of moisture, radially and tangentially; usual values for one not in the table."""
    try:
        species = find_species(wood)
    except SpeciesError:
        return USUAL_C_R, USUAL_C_T
    return species.c_r or USUAL_C_R, species.c_t or USUAL_C_T
