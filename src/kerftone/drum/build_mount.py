"""From the keys of a drum file that say how top and bottom sit in the box to plain values, or a refusal.

Each mount has keys of its own; a key that the chosen mount does not know is refused rather than lost. The bounds are
our own judgement: they keep wood to saw and to glue, and promise no strength (that is for the checks of the shop).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from kerftone.drum.build_shop import Refuse
from kerftone.drum.design import Box, Glued, Top
from kerftone.drum.file_keys import usual_of
from kerftone.drum.values import Table
from kerftone.units import Units, format_length, least_length, most_length

LEAST_SEAT_MM = 2.0
"""The least that ledges and lips reach, that stays of a wall beside them, and that lips are thick."""
LEAST_STEP_MM = 1.0
"""A rabbet round a top or bottom takes this much of its thickness at least."""

_GLUED: dict[str, tuple[Glued, ...]] = {
    "on walls": (),
    "in ledge": ("ledge", "ledge and edges"),
    "on a lip": ("lip",),
}


def mount_of(whole: Table, refuse: Refuse) -> dict[str, Any]:
    """Ledge, clearance and glue of the box, by the names in `Box`."""
    table, units = whole.box, whole.units
    if table.mount == "in ledge":
        _check_ledge(table, units, refuse)
    given = table.clearance is not None
    clearance = table.clearance if given else usual_of(Box, "clearance", units)
    return {
        "clearance_mm": clearance,
        "glued": _glued(table, refuse, gap=given and clearance > 0.0),
    }


def _glued(table: Table, refuse: Refuse, *, gap: bool) -> Glued:
    """Where the top holds: on a ledge its edges too, unless it was given a gap."""
    allowed = _GLUED[table.mount]
    if table.glued is None:
        return "lip" if table.mount == "on a lip" else "ledge" if gap and allowed else "ledge and edges"
    if table.glued not in allowed:
        words = " or ".join(f'"{one}"' for one in allowed)
        other = "in ledge" if table.glued != "lip" else "on a lip"
        mend = f"write {words}" if allowed else "take glued out"
        refuse(
            ("box", "glued"),
            f'glued in [box] is "{table.glued}", but the top is "{table.mount}". '
            + (f"There it can be glued at {words} only: " if allowed else "There all that meets is glued: ")
            + f'{mend}, or write mount = "{other}".',
        )
    glued: Glued = table.glued
    return glued


def _check_ledge(table: Table, units: Units, refuse: Refuse) -> None:
    ledge = table.ledge
    least, most = LEAST_SEAT_MM, table.wall - LEAST_SEAT_MM
    if least <= ledge <= most:
        return
    words = [format_length(ledge, units), least_length(least, units), most_length(most, units)]
    words.append(format_length(table.wall, units))
    given = f"is {words[0]}" if "ledge" in table.model_fields_set else "is missing"
    refuse(
        ("box", "ledge"),
        f"The ledge {given}. A top let in on a ledge needs {words[1]} of it at least, and {words[1]} of the "
        f"{words[3]} wall must stay beside it: write a ledge from {words[1]} to {words[2]}, or "
        'mount = "on walls".'
        if most >= least
        else f"The wall is {words[3]}. A top let in on a ledge needs a wall of "
        f'{least_length(2.0 * LEAST_SEAT_MM, units)} at least: write that, or mount = "on walls".',
    )


@dataclass(frozen=True)
class _Place:
    """What bounds a lip: the units to say it in, the most it may reach, if it counts, and the key that makes it."""

    units: Units
    most_mm: float
    here: bool
    made_by: str


def with_lip(top: Top, whole: Table, refuse: Refuse) -> Top:
    """The top with the lip that the file gives it; the same on other mounts.

    Parameters
    ----------
    top : Top
        Without its lip.
    whole : Table
        The keys of the file, lengths in mm.
    refuse : Refuse
        Raises the refusal of the file at one of its keys.
    """
    here = whole.box.mount == "on a lip"
    place = _Place(whole.units, whole.box.wall, here, 'mount = "on a lip"')
    lip = _lip(whole.top, "top", place, refuse)
    return replace(top, lip_mm=lip["lip_mm"], lip_thickness_mm=lip["lip_thickness_mm"]) if lip else top


def lip_of_bottom(whole: Table, refuse: Refuse) -> dict[str, float]:
    """The lip of the bottom, by the names in `Bottom`; none for other fits."""
    bottom = whole.bottom
    if bottom is None:
        return {}
    most = whole.box.wall - LEAST_SEAT_MM - bottom.clearance
    place = _Place(whole.units, most, bottom.fit == "on a lip", 'fit = "on a lip"')
    found = _lip(bottom, "bottom", place, refuse)
    if found:
        _check_rise(whole, bottom.thickness - found["lip_thickness_mm"], refuse)
    return found


def _lip(table: Table, name: str, place: _Place, refuse: Refuse) -> dict[str, float]:
    """Width and thickness of a lip within their bounds."""
    bounds = {
        "lip": (place.most_mm, "reaches over the walls"),
        "lip_thickness": (table.thickness - LEAST_STEP_MM, "is thick"),
    }
    found: dict[str, float] = {}
    for key, (high, does) in bounds.items():
        value: float | None = getattr(table, key) if key in table.model_fields_set else None
        if place.here:
            _check_lip((name, key), value, (high, does), place.units, refuse)
            found[f"{key}_mm"] = value or 0.0
        elif value is not None:
            refuse(
                (name, key),
                f"{key} in [{name}] is {format_length(value, place.units)}, but the {name} is not on a lip. The key "
                f"counts only there: write {place.made_by}, or take {key} out.",
            )
    return found


def _check_lip(
    at: tuple[str, str], value: float | None, bound: tuple[float, str], units: Units, refuse: Refuse
) -> None:
    """Refuse a width or thickness of a lip that is missing or out of bounds."""
    (name, key), (high, does), low = at, bound, LEAST_SEAT_MM
    if value is not None and low - 1e-9 <= value <= high + 1e-9:
        return
    given = "is missing" if value is None else f"is {format_length(value, units)}"
    least, most = least_length(low, units), most_length(high, units)
    if high < low:
        refuse(
            at,
            f"{key} in [{name}] {given}. A lip {does} {least} at least, and there is no room for that: make the "
            f"{'wall' if key == 'lip' else name} thicker, or leave the lip out.",
        )
    nearest = least if value is not None and value < low else most
    refuse(
        at,
        f"{key} in [{name}] {given}. A lip {does} {least} at least and {most} at most here: write {nearest}.",
    )


def _check_rise(whole: Table, rise: float, refuse: Refuse) -> None:
    """The body of a bottom on a lip stands up into the box: it must leave room there, and clear the root bars."""
    box, units = whole.box, whole.units
    top_drop = whole.top.thickness - whole.top.lip_thickness if box.mount == "on a lip" else 0.0
    room = box.height - top_drop - box.root_bar_height
    least = 0.0 if box.root_bar else 0.5 * box.height
    if rise > room - least:
        what = "root bars" if box.root_bar else "top"
        refuse(
            ("bottom", "lip_thickness"),
            f"The bottom stands {format_length(rise, units)} up into the box, and "
            f"{format_length(max(room - least, 0.0), units)} are left to it under the {what}: make lip_thickness "
            f"larger, the bottom thinner or the walls higher by {least_length(rise - room + least, units)}.",
        )
