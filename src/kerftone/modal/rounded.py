"""What rounding over the slots' edges takes from a drum: stiffness and mass of the wood that goes.

A motion u of the drum as meshed, with sharp edges, has the strain energy and the mass of that wood less: with them
taken off, the same motions on the drum as it will be (Ritz; with one motion alone, Rayleigh's quotient). What the new
shape of the edge does to the motion itself is of second order: of a cantilever whose edges a solid modeller cuts, a
quarter of a cent in four. Round the ends of the slots stress has no bound, and there more goes than this says: a
tongue 120 mm long between slots in a plate fell by 4.2 cents with its edges cut and by 1.9 to first order (order 4; a
part of that is the meshes', which are not alike). So take it as good to some 2 cents.
"""

from __future__ import annotations

import ngsolve as ng
import numpy as np
import shapely

from kerftone.drum.design import Drum
from kerftone.drum.edge_wood import EdgeWood, edge_wood
from kerftone.drum.outline import outline
from kerftone.modal.in_mesh import in_mesh
from kerftone.modal.mechanics import strain
from kerftone.modal.result import Array
from kerftone.modal.space import Space

FRAME = -1
"""The number that stands for all wood that is no tongue's."""


def edges_of(drum: Drum, radius_mm: float, tongue: int | None = None) -> EdgeWood:
    """The wood that goes from this drum's top, or from one tongue (from 0) alone.

    Parameters
    ----------
    drum : Drum
        With lengths and places.
    radius_mm : float
        Of the bit, in mm.
    tongue : int, optional
        Which one, or FRAME; without it all of them and the frame.
    """
    drawn = outline(drum)
    found = edge_wood(drawn.top, radius_mm=radius_mm, thickness_mm=drum.top.thickness_mm)
    if tongue is None:
        return found
    plan = shapely.union_all(drawn.tongues) if tongue == FRAME else drawn.tongues[tongue]
    inside = shapely.contains_xy(plan, *found.places_mm[:, :2].T) != (tongue == FRAME)
    return EdgeWood(found.places_mm[inside], found.volume_mm3[inside])


def taken(space: Space, shapes: Array, wood: EdgeWood) -> tuple[Array, Array]:
    """Stiffness and mass of this wood for these motions (n, unknowns): (n, n) each.

    Parameters
    ----------
    space : Space
        The mesh, with the wood still there.
    shapes : Array
        One motion a row.
    wood : EdgeWood
        What goes.
    """
    places = in_mesh(space.mesh, 1e-3 * wood.places_mm)
    field = ng.GridFunction(space.field)
    local = ng.CF((strain(field), field))
    moved = np.empty((len(shapes), len(wood.volume_mm3), 9))
    for row, shape in zip(moved, shapes, strict=True):
        field.vec.FV().NumPy()[:] = shape
        row[:] = local(places)
    volume = 1e-9 * wood.volume_mm3
    elastic = np.asarray(space.c(places)).reshape(-1, 6, 6) * volume[:, None, None]
    heavy = np.asarray(space.rho(places)).ravel() * volume
    strains, motions = moved[..., :6], moved[..., 6:]
    stresses = np.einsum("pij,npj->npi", elastic, strains)
    flat = len(shapes), -1
    # Some weigh less than nothing, where the strips of two edges overlap at a corner.
    weighed = motions * heavy[:, None]
    return strains.reshape(flat) @ stresses.reshape(flat).T, motions.reshape(flat) @ weighed.reshape(flat).T
