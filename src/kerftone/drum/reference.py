"""`python -m kerftone.drum.reference`: every key of a drum file, from the declarations themselves.

Written to docs/drum-file.md by `make docs`; a test compares the two. Bounds and defaults are those that reading uses.
"""

from __future__ import annotations

import sys
from dataclasses import MISSING
from typing import Any, Literal, get_args, get_origin

from kerftone.drum.design import Drum
from kerftone.drum.file_keys import Declared, flat_keys, tables
from kerftone.drum.own_wood import ABOUT, CONSTANTS
from kerftone.units import format_length, inch_fraction, to_mm

HEAD = """# The drum file

Written by `make docs` from what the program reads; do not edit by hand.

`drum.toml` is plain text in [TOML](https://toml.io): tables in brackets, under each its keys. Lengths are in the
units that the file names, mm or inches: `16`, `12,5`, `5/8`, `1 1/4`, `12 mm`. In inches the program writes lengths
on the rule, and where a length is on no mark the exact one in brackets behind it, `9 1/16 (9.068)`: the exact one
counts. To change such a length, write the new one alone. Bounds are told in mm. They catch a slipped decimal point,
not a bold design. What must fit together, a tongue in its row or a bore in its wood, is checked besides. A key that
is not listed here is refused, so that a slip of the pen is not lost. [The shop](shop.md) says what the tables below
[bottom] are for.
"""

ENDS = """### The end of a tongue

`tongue_end` in [slots] is the end of every tongue, `end` under one [[tongues]] is the end of that tongue alone; it
needs its row and side, for it is drawn for one place. Either is a name or a list of points
`[along, across]`, from the front edge of the tongue to its back edge: `across` is 0 on the tongue's centre line and
grows towards the back, `along` is 0 at the furthest point and negative towards the root. On both sides of the drum
the front edge is the one towards you.

- A plain point is a corner: straight lines run from corner to corner.
- A point with `"arc"` third lies on an arc of a circle, from the corner before it to the corner after it.
- Points with `"smooth"` third lie on one smooth curve, as a batten held there would take it, from the corner before
them to
  the corner after them.

```toml
[slots]
tongue_end = [[-16.0, -21.5], [0.0, 0.0, "arc"], [-16.0, 21.5]]

[[tongues]]
end = [[-26, -21.5], [-20, -23, "smooth"], [0, -6, "smooth"], [-6, 12, "smooth"], [-18, 21.5]]
```

The first and the last point meet the tongue's edges; up to 0.5 mm they are stretched to it. **The tip**, whatever the
shape: the length is measured from the root line to the furthest point of the end, so the shape stays as it is while
`fit` moves the length. The blow falls on the centre line, 15 mm back from where that line first leaves the wood,
going out from the root: in a fork that is at the bottom of the notch, and what lies beyond a notch does not count.
Where less than 30 mm are left it falls half way.

An end may be wider than its tongue or reach past the tip line of the tongue that faces it, so that a nose lies in a
notch, or two slants are parted by one sawn line, as long as a saw cut stays between any two tongues. A saw cut is
made round it wherever it meets other wood. No neck may be narrower than 8 mm, and no end may reach back further
than 80 % of its tongue.
"""


BOWS = """### Slots that bow

`bow` in [slots] has one length for each slot from front to back, one more than there are rows: how far the middle of
that slot lies off the straight line between its two ends, towards the back where it is positive, towards the front
where it is negative, 0 for a straight slot. The ends stay on the root lines, where the straight slot has them, and
between them the slot is one arc of a circle, a kerf wide all along:

```toml
[slots]
bow = [4, -3, 3, -4]     # three rows: the first and the last narrow towards the middle, the second widens
```

The arc belongs to the slot, not to a tongue: it stays where it is while `fit` moves the lengths, and a slot that ends
beside a tongue alone in its row follows the arc as far as it goes. A tongue's end is drawn as wide as the tongue is
where it begins and finishes; your own points are drawn for the width at straight slots and are stretched across to
meet the edges. The blow falls half way between the edges. Distances from a tongue's front edge are measured at the
place that is meant. What is kept: 10 mm of tongue at the narrowest between its slots, 2 mm of free wood beside an
outer slot, and a bow is at most an eighth of the slot's length. Ends are not read from a drawing while slots bow.
"""

PLIES = """### Plywood and laminated boards

`plies` in [top] or [bottom] lists the layers from the upper face down, each with its thickness, which way its grain
runs and, where it is not the board's `wood`, its own wood:

```toml
[top]
wood = "birch, yellow"
thickness = 12
plies = [[4, "along"], [4, "across"], [4, "along", "maple, sugar"]]
```

"along" and "across" are told from the length; a number is degrees from it, counter-clockwise from above. The plies
make up the thickness within 5 % (pressing and sanding take some) and are taken in proportion. Count them and measure
them at the edge: nothing else tells the program how stiff the sheet is. `cut` is "flatsawn" for peeled veneer. What
the board is then called in parts and [[stock]] is its upper wood with "plywood" behind it, or "laminate" where all
grain runs one way. Constants of your own and a tapped board do not go with plies.
"""


def reference() -> str:
    """The whole page, as Markdown."""
    parts = [HEAD, "## Above all tables\n\n" + _keys(Drum)]
    for path, one in tables(Drum).items():
        assert one.table is not None
        parts.append(f"## {_header(path, one)}\n\n{_about(one)}\n\n{_keys(one.table)}")
        if path == ("top",):
            parts.append(PLIES)
        if path == ("slots",):
            parts.append(BOWS)
        if path == ("tongues",):
            parts.append(ENDS)
    rows = [
        _row(key, constant.about, constant.within.bounds("mm"), "the species' own")
        for key, constant in CONSTANTS.items()
    ]
    parts.append(
        f"## [top.elastic], [box.elastic], [bottom.elastic]\n\n{_sentence(ABOUT)} With no species, "
        f"or one of your own, all ten are needed.\n\n{_table(rows)}"
    )
    return "\n".join(parts)


def _header(path: tuple[str, ...], one: Declared) -> str:
    return f"[[{'.'.join(path)}]]" if one.many else f"[{'.'.join(path)}]"


def _about(one: Declared) -> str:
    """What the table is for, and what it means to leave it out."""
    words = _sentence(" ".join(one.how.about.split()))
    return words if one.required else f"{words} May be left out."


def _sentence(words: str) -> str:
    return words[0].upper() + words[1:].removesuffix(".") + "."


def _keys(kind: type) -> str:
    """The keys of one table, but for the tables in it."""
    plain = [one for one in flat_keys(kind) if one.table is None and one.key != "elastic"]
    return _table([_row(one.key, one.how.about, _may_be(one), _left_out(one)) for one in plain])


def _table(rows: list[str]) -> str:
    return "\n".join(["| key | what it is | what it may be | left out |", "|---|---|---|---|", *rows]) + "\n"


def _row(key: str, about: str, may_be: str, left_out: str) -> str:
    return f"| `{key}` | {about} | {may_be} | {left_out} |"


def _may_be(one: Declared) -> str:
    """The bounds or the choices of one key, in words."""
    if one.rule is not None:
        return one.rule.bounds("mm")
    kinds = get_args(one.kind) if get_origin(one.kind) is not Literal else (one.kind,)
    for kind in kinds or (one.kind,):
        if get_origin(kind) is Literal:
            return ", ".join(_stated(choice) for choice in get_args(kind))
    return "a whole number" if int in (one.kind, *kinds) else "text"


def _left_out(one: Declared) -> str:
    """What it is when the file does not state it."""
    if one.required:
        return "must be there"
    if one.default is None or one.default is MISSING:
        return ""
    words = _stated(one.default, length=one.is_length)
    if one.how.inch is None:
        return words
    inches = one.how.inch if isinstance(one.how.inch, tuple) else (one.how.inch,)
    return f"{words}; with inches {', '.join(inch_fraction(to_mm(inch, 'in')) for inch in inches)}"


def _stated(value: Any, *, length: bool = False) -> str:
    """A value in words."""
    if isinstance(value, tuple):
        return ", ".join(_stated(item, length=length) for item in value)
    if isinstance(value, str):
        return f'`"{value}"`'
    return format_length(value, "mm") if length else f"{value:g}"


if __name__ == "__main__":
    sys.stdout.write(reference())
