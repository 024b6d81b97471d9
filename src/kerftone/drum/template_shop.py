"""The tables of a drum file that only the shop reads, as text: what differs from the defaults, explained.

What is left out reads back as its default, so a first file stays short; a comment says where the rest is
explained.
"""

from __future__ import annotations

from dataclasses import fields

from kerftone.drum.design import Bottom, Box, Drum
from kerftone.drum.shop import Finish, Mallets, Shop
from kerftone.drum.writer import Writer, text

_NAMES = {"ball_mm": "diameter", "dowel_mm": "dowel", "length_mm": "length"}
"""Keys of [mallets] that are not their field's name without the unit."""

_ABOUT = {
    "when": '"before glue-up" or "after glue-up"',
    "wall": "the wall with the jack and the volume control",
    "jack_along": "of the hole's middle from the wall's left end, seen from outside",
    "jack_up": "of the hole's middle over the wall's lower edge",
    "bored": "the holes in that wall",
    "saw_kerf": "of the saw that cuts the boards to size",
    "fraction": "the finest part of an inch on your rule: 16, 32 or 64",
}


def box_lines(write: Writer, box: Box) -> None:
    """The joint, and what else of the box differs from the defaults."""
    write.pair(
        "joint",
        text(box.joint),
        'or "mitre with keys", "butt", "finger", "rabbet"; the pitch is the same',
    )
    if box.clearance_mm != Box.clearance_mm:
        write.pair("clearance", write.length(box.clearance_mm), "gap all round a top let in on a ledge")
    if box.round_over_mm != Box.round_over_mm:
        write.pair("round_over", write.length(box.round_over_mm), "radius of the box's outer edges")
    _table(write, "[box.keys]", box.keys, type(Box.keys)())
    if box.foot_relief is not None:
        write.table("[box.foot_relief]", "a cut-out in the walls' lower edge that leaves feet at the corners")
        write.pair("shape", text(box.foot_relief.shape))
        write.pair("rise", write.length(box.foot_relief.rise_mm))
        write.pair("inset", write.length(box.foot_relief.inset_mm), "from the outer corner")
    _table(write, "[box.feet]", box.feet, type(Box.feet)())


def bottom_lines(write: Writer, bottom: Bottom) -> None:
    """How the bottom is cut and sits, where it differs from the defaults."""
    if bottom.cut != Bottom.cut:
        write.pair("cut", text(bottom.cut), "its growth rings, as of the top")
    if bottom.fit != Bottom.fit:
        write.pair("fit", text(bottom.fit), '"under" the walls, or "let in" to a rabbet in them')
    if bottom.clearance_mm != Bottom.clearance_mm:
        write.pair("clearance", write.length(bottom.clearance_mm), "gap all round a bottom let in")
    if bottom.recess_mm != Bottom.recess_mm:
        write.pair("recess", write.length(bottom.recess_mm), "of a bottom let in, above the walls' edge")


def shop_tables(write: Writer, drum: Drum) -> None:
    """Finish, mallets, pickup, boards, air, shop and order, as far as they differ from the defaults."""
    making = drum.making
    write.line("")
    write.line(
        "# More for the shop, all of it optional: [finish], [mallets], [pickup], [[stock]], [climate],"
    )
    write.line("# [shop] and [[order]]. See docs/shop.md; `kerftone build` makes the booklet.")
    _table(write, "[finish]", making.finish, Finish())
    _table(write, "[mallets]", making.mallets, Mallets())
    if making.pickup is not None:
        _table(write, "[pickup]", making.pickup, None)
    for board in making.stock:
        _table(write, "[[stock]]", board, None)
    _table(write, "[climate]", making.climate, type(making.climate)())
    _table(write, "[shop]", drum.shop, Shop())
    for wish in making.order:
        _table(write, "[[order]]", wish, None)


def _table(write: Writer, header: str, value: object, usual: object) -> None:
    """One flat table; a value like the usual one is left out, and the header too when nothing is left."""
    pairs = []
    for one in fields(value):  # type: ignore[arg-type]  # all of them are dataclasses
        it = getattr(value, one.name)
        if it is None or (usual is not None and it == getattr(usual, one.name)):
            continue
        key = _NAMES.get(one.name) if isinstance(value, Mallets) else None
        pairs.append((key or one.name.removesuffix("_mm"), _written(write, one.name, it)))
    if not pairs:
        return
    write.table(header, "")
    for key, it in pairs:
        write.pair(key, it, _ABOUT.get(key, ""))


def _written(write: Writer, name: str, value: object) -> str:
    if isinstance(value, str):
        return text(value)
    if isinstance(value, tuple):
        return "[" + ", ".join(write.length(one) for one in value) + "]"
    if isinstance(value, float) and name.endswith("_mm"):
        return write.length(value)
    return repr(value)
