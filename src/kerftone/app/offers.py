"""What would help a drum whose notes cannot be had, as changes that the page can make with one press.

The model answers with a whole drum that works. Its file is not that drum's text, for the maker's own remarks stand in
it: so what differs is made as single changes, and offered only if these really lead to that drum.
"""

from __future__ import annotations

from typing import Any

from kerftone.app.wishes import changes_of
from kerftone.drum.design import Drum
from kerftone.drum.edit import edited
from kerftone.drum.file import parse_drum
from kerftone.errors import KerftoneError

SIZES = {
    "top": ("length", "width", "thickness"),
    "slots": ("kerf", "end_margin", "side_margin", "stop_hole"),
    "box": ("wall", "height", "root_bar", "root_bar_height", "ledge"),
}
SAME_MM = 0.02
"""The file states sizes to a hundredth of a millimetre or a thousandth of an inch."""


def offer_of(drum: Drum, text: str, path: str, works_with: Drum) -> list[dict[str, Any]] | None:
    """The changes that make this drum the one that works; None where they would not.

    Held by tests/app/test_offers.py.
    """
    wishes = _wishes(drum, works_with)
    if not wishes:
        return None
    try:
        changes, _ = changes_of(drum, wishes)
        made = parse_drum(edited(text, changes), path)
    except KerftoneError:
        return None
    return wishes if _alike(made, works_with) else None


def _wishes(drum: Drum, other: Drum) -> list[dict[str, Any]]:
    wishes: list[dict[str, Any]] = []
    if any(t.row is not None for t in drum.tongues) and all(t.row is None for t in other.tongues):
        wishes.append({"do": "free"})
    for table, keys in SIZES.items():
        for key in keys:
            mm = getattr(getattr(other, table), f"{key}_mm")
            if abs(mm - getattr(getattr(drum, table), f"{key}_mm")) > SAME_MM:
                wishes.append({"do": "set", "at": [table, key], "mm": mm})
    if drum.bores and not other.bores:
        wishes.append({"do": "set", "at": ["bores"], "value": None})
    if other.box.mount != drum.box.mount:
        wishes.insert(0, {"do": "mount", "to": other.box.mount})
    if drum.bottom is not None and other.bottom is not None:
        if abs(drum.bottom.thickness_mm - other.bottom.thickness_mm) > SAME_MM:
            wishes.append({"do": "set", "at": ["bottom", "thickness"], "mm": other.bottom.thickness_mm})
    elif (drum.bottom is None) != (other.bottom is None):
        wishes.append({"do": "bottom", "fit": "none" if other.bottom is None else other.bottom.fit})
    return wishes + _notes(drum, other)


def _notes(drum: Drum, other: Drum) -> list[dict[str, Any]]:
    """Notes changed one for one, or left out; those last, from the last to the first, as numbers move up."""
    mine, wanted = [t.note for t in drum.tongues], [t.note for t in other.tongues]
    if len(mine) == len(wanted):
        pairs = enumerate(zip(mine, wanted, strict=True))
        return [{"do": "note", "tongue": n, "note": new} for n, (old, new) in pairs if new != old]
    gone = [n for n, note in enumerate(mine) if note not in wanted]
    freed = all(t.row is None for t in other.tongues)
    return [{"do": "remove", "tongue": n, "free": freed} for n in reversed(gone)]


def _alike(made: Drum, wanted: Drum) -> bool:
    """Whether the two are the same to the model, whatever their wood's and box's other words."""
    sizes = all(
        abs(getattr(getattr(made, table), f"{key}_mm") - getattr(getattr(wanted, table), f"{key}_mm"))
        <= SAME_MM
        for table, keys in SIZES.items()
        for key in keys
    )
    places = [(t.note, t.row, t.side, t.end) for t in made.tongues] == [
        (t.note, t.row, t.side, t.end) for t in wanted.tongues
    ]
    plain = (
        made.box.mount,
        made.box.wood,
        made.top.wood,
        made.top.cut,
        made.slots.tongue_end,
        bool(made.bores),
    )
    other = (
        *(wanted.box.mount, wanted.box.wood, wanted.top.wood, wanted.top.cut),
        *(wanted.slots.tongue_end, bool(wanted.bores)),
    )
    thick = [None if one.bottom is None else round(one.bottom.thickness_mm, 1) for one in (made, wanted)]
    return sizes and places and plain == other and thick[0] == thick[1]
