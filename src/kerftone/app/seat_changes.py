"""How top and bottom are to sit in the box, as changes of the drum's file.

Each way has keys of its own, and the file refuses those of another: so a new way takes the old one's keys out and
puts its own in, at sizes from which the maker goes on.
"""

from __future__ import annotations

from typing import Any, get_args

from kerftone.drum.build_mount import LEAST_SEAT_MM, LEAST_STEP_MM
from kerftone.drum.design import Drum, Mount
from kerftone.drum.edit import Change
from kerftone.drum.shop import Fit
from kerftone.units import Units, nearest_mark, written_length

USUAL_BOTTOM_MM: dict[Units, float] = {"mm": 9.0, "in": 9.525}
"""Common practice, no source: thin enough to be light, thick enough to be glued and screwed."""
USUAL_SHARE = 0.5
"""A ledge or the lip of a bottom takes half the wall, a lip half its board's thickness: own judgement."""
OF_MOUNTS = (("box", "ledge"), ("box", "glued"), ("top", "lip"), ("top", "lip_thickness"))
OF_LIPS = (("bottom", "lip"), ("bottom", "lip_thickness"))


def mount_changes(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """The top on the walls, let in on a ledge, or hung in on a lip. Raises ValueError for anything else."""
    to = wish["to"]
    if to not in get_args(Mount):
        raise ValueError(to)
    wall, units = drum.box.wall_mm, drum.units
    new: dict[tuple[str, str], object] = {("box", "mount"): to}
    if to == "in ledge":
        new["box", "ledge"] = _half(wall, LEAST_SEAT_MM, units)
    elif to == "on a lip":
        new["top", "lip"] = written_length(wall, units)
        new["top", "lip_thickness"] = _half(drum.top.thickness_mm, LEAST_STEP_MM, units)
    return [*_out(OF_MOUNTS, new), *_in(new)], f"the top {to}"


def bottom_changes(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """A bottom under the walls, let in, or let in on a lip; or none. Raises ValueError for anything else."""
    fit, bottom, units = wish["fit"], drum.bottom, drum.units
    if fit == "none":
        return [Change(at=("bottom",), value=None)], "bottom taken away"
    if fit not in get_args(Fit):
        raise ValueError(fit)
    thick = USUAL_BOTTOM_MM[units] if bottom is None else bottom.thickness_mm
    new: dict[tuple[str, str], object] = {("bottom", "fit"): fit}
    if fit == "on a lip":
        new["bottom", "lip"] = _half(drum.box.wall_mm, LEAST_SEAT_MM, units)
        new["bottom", "lip_thickness"] = _half(thick, LEAST_STEP_MM, units)
    if bottom is None:
        table: dict[str, object] = {"wood": drum.box.wood, "thickness": written_length(thick, units)}
        table |= {key: value for (_, key), value in new.items()}
        return [Change(at=("bottom",), value=table)], "bottom added"
    return [*_out(OF_LIPS, new), *_in(new)], f"the bottom {fit}"


def _half(whole_mm: float, stays_mm: float, units: Units) -> float | int | str:
    """About half of a size as the file states it: on the rule, and so that enough of the size stays."""
    half = nearest_mark(USUAL_SHARE * whole_mm, units)
    return written_length(min(max(LEAST_SEAT_MM, half), whole_mm - stays_mm), units)


def _out(keys: tuple[tuple[str, str], ...], new: dict[tuple[str, str], object]) -> list[Change]:
    return [Change(at=at, value=None) for at in keys if at not in new]


def _in(new: dict[tuple[str, str], object]) -> list[Change]:
    return [Change(at=at, value=value) for at, value in new.items()]
