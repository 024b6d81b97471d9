"""How top and bottom sit in the box: what lies on the walls, what is glued there, and what hangs free.

Three mounts. "on walls": the top lies on the walls' upper edges, its edge flush with their outer faces. "in ledge":
it is let into a rabbet in the walls. "on a lip": it has a rabbet of its own all round its underside, so that a
thinner lip lies on the walls' upper edge and the body hangs in the opening. A bottom on a lip is the same upside
down, its lip in a rabbet of the walls. All in mm, inwards from the top's edge.

The gap of a clearance is air, in the vibration model too, unless the edges are glued as well.
"""

from __future__ import annotations

from dataclasses import replace

from kerftone.drum.design import Bottom, Drum

SKIN_MM = 0.02
"""So far inside the wood a face is read, by the air and by who strikes or shakes it."""
LEAST_OPEN_MM = 0.05
"""A gap that is not glued is this wide in the model at least: what only touches carries nothing. Own judgement."""
BITE_SHARE = 0.5
"""A bottom is let in this share of the wall: common practice, no source."""


PRESSED_MM = 0.2
"""Where the top is only clamped, so much of the wood under it stands in for the two dry faces that press on each
other: thin, so that nothing but its springs counts. Own judgement."""


def clamped(drum: Drum) -> Drum:
    """The same drum with its top held down by clamps all round, not glued: no glue in a gap either."""
    glued = "ledge" if drum.box.mount == "in ledge" else drum.box.glued
    return replace(drum, box=replace(drum.box, clamped=True, glued=glued))


def pressed_mm(drum: Drum) -> float:
    """How thick that layer under the top is, in mm; 0 where the top is glued."""
    return PRESSED_MM if drum.box.clamped else 0.0


def over_mm(drum: Drum) -> float:
    """How far the top reaches over the walls, in mm: to their inner faces."""
    box = drum.box
    return {"on walls": box.wall_mm, "in ledge": box.ledge_mm, "on a lip": drum.top.lip_mm}[box.mount]


def gap_mm(drum: Drum) -> float:
    """How wide the open gap is round the edge of a top on a ledge, or the body of one on a lip, in mm; 0: none."""
    box = drum.box
    free = box.mount == "on a lip" or (box.mount == "in ledge" and box.glued == "ledge")
    return max(box.clearance_mm, LEAST_OPEN_MM) if free else 0.0


def bottom_gap_mm(drum: Drum) -> float:
    """How wide the gap is round the lip of a bottom, and round its body, in mm; 0 for any other bottom."""
    bottom = drum.bottom
    return max(bottom.clearance_mm, LEAST_OPEN_MM) if bottom is not None and bottom.fit == "on a lip" else 0.0


def seat_mm(drum: Drum) -> float:
    """How wide a band of the top's underside is not free along its sides, in mm: wall, ledge, or lip and gap."""
    return over_mm(drum) + (gap_mm(drum) if drum.box.mount == "on a lip" else 0.0)


def end_seat_mm(drum: Drum) -> float:
    """The same at its ends, in mm: a root bar counts too."""
    bar = drum.box.root_bar_mm
    return over_mm(drum) + bar if bar > 0.0 else seat_mm(drum)


def drop_mm(drum: Drum) -> float:
    """How far the body of a top on a lip hangs below the face that carries it, in mm; 0 on other mounts."""
    return drum.top.thickness_mm - drum.top.lip_thickness_mm if drum.box.mount == "on a lip" else 0.0


def beside_mm(drum: Drum) -> float:
    """How far the walls' outer faces stand out beyond the top's edge, in mm."""
    return drum.box.wall_mm - over_mm(drum)


def seat_name(drum: Drum) -> str:
    """What the top lies on, or with, in a word."""
    return {"on walls": "wall", "in ledge": "ledge", "on a lip": "lip"}[drum.box.mount]


def let_in(bottom: Bottom | None) -> bool:
    """Whether there is a bottom in a rabbet of the walls, with a lip or without."""
    return bottom is not None and bottom.fit != "under"


def bite_mm(drum: Drum) -> float:
    """How far the rabbet of a bottom goes into the walls, in mm; 0 for none."""
    bottom = drum.bottom
    if bottom is None or bottom.fit == "under":
        return 0.0
    if bottom.fit == "let in":
        return BITE_SHARE * drum.box.wall_mm
    return bottom.lip_mm + bottom.clearance_mm


def below_mm(drum: Drum) -> float:
    """How far the walls reach below the face that the bottom is glued to, in mm."""
    bottom = drum.bottom
    if bottom is None or bottom.fit == "under":
        return 0.0
    return (bottom.lip_thickness_mm if bottom.fit == "on a lip" else bottom.thickness_mm) + bottom.recess_mm


def rise_mm(drum: Drum) -> float:
    """How far a bottom on a lip stands up into the box, in mm; 0 for any other."""
    bottom = drum.bottom
    if bottom is None or bottom.fit != "on a lip":
        return 0.0
    return bottom.thickness_mm - bottom.lip_thickness_mm


def inside_mm(drum: Drum) -> float:
    """How high the room in the box is, from its floor up to the top's underside, in mm."""
    return drum.box.height_mm - drop_mm(drum) - rise_mm(drum)


def depth_mm(drum: Drum) -> float:
    """How far the lowest face lies below the top's underside, in mm: of the walls or of a bottom under them.

    A bottom let in counts as one under the walls, as in the vibration model.
    """
    walls, bottom = drum.box.height_mm - drop_mm(drum), drum.bottom
    if bottom is not None and bottom.fit != "on a lip":
        return walls + bottom.thickness_mm
    return walls + below_mm(drum)
