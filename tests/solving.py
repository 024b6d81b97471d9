"""Each drum is solved once in a worker, whichever tests ask for it.

A solution is alive (it holds meshes and factors), so it cannot go from one worker to another: tests that start from
one drum are sent to one worker, see `TOGETHER` in conftest.py.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kerftone.drum.design import Drum
    from kerftone.modal.plan import Fineness
    from kerftone.modal.solve import Solution

MOST_KEPT = 6
"""How many solutions a worker keeps, those last asked for: a drum of six tongues takes 150 to 300 MB."""
_SOLVED: dict[tuple[Any, ...], Solution] = {}


def solve_once(
    drum: Drum, count: int = 20, *, layered: bool | None = None, fineness: Fineness | None = None
) -> Solution:
    """What `solve` says of this drum, worked out at the first asking and only shared after: nobody may change it.

    Drums that differ by name alone are one. A test may have set how finely bottoms are cut: that is another solution.
    """
    from kerftone.modal import floor
    from kerftone.modal.frame_files import fingerprint
    from kerftone.modal.notes import enough_modes
    from kerftone.modal.solve import solve

    in_layers = bool(drum.bores) if layered is None else layered
    named = fingerprint(replace(drum, name=""))
    key = (named, enough_modes(drum, count), in_layers, fineness, floor.BOTTOM_MESH_MM)
    found = _SOLVED.pop(key, None) or solve(drum, count, layered=in_layers, fineness=fineness)
    _SOLVED[key] = found  # the latest asked for stands last
    while len(_SOLVED) > MOST_KEPT:
        del _SOLVED[next(iter(_SOLVED))]
    return found
