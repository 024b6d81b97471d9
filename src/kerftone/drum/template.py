"""The text of a first `drum.toml`, with a word beside each number for someone new to it.

Given a whole Drum (whoever calls has chosen the sizes) and the units to write in, the text reads back to
the same drum: to the last digit in mm, and to 0.0001 in when it is written in inches.
"""

from __future__ import annotations

from kerftone.drum.build import OWN_WOOD, elastic_keys
from kerftone.drum.design import Bore, Bottom, Box, Drum, Slots, Tongue, Top, Tuning
from kerftone.drum.template_shop import bottom_lines, box_lines, shop_tables
from kerftone.drum.writer import Writer, number, text
from kerftone.errors import SpeciesError
from kerftone.pitch import TEMPERAMENTS
from kerftone.units import Units
from kerftone.wood import Elastic, find_species


def drum_text(drum: Drum, *, units: Units | None = None) -> str:
    """The drum file for this drum, commented for a newcomer; in the drum's own units unless told.

    Held by tests/drum/test_template.py, which reads the text back.
    """
    write = Writer(units or drum.units)
    write.line(
        "# A drum for Kerftone: what you intend, in plain numbers. Change any of them and run a command"
    )
    write.line("# again. Everything after a # is a note to you; the program keeps your notes when it writes.")
    write.line("")
    write.pair("name", text(drum.name), "whatever you call this drum")
    write.pair(
        "units", text(write.units), 'of all lengths here: "mm" or "in"; inches may be "5/8" or "1 1/4"'
    )
    _tuning(write, drum.tuning)
    _top(write, drum.top)
    _slots(write, drum.slots)
    _tongues(write, drum.tongues)
    _bores(write, drum.bores)
    _box(write, drum.box)
    _bottom(write, drum.bottom)
    shop_tables(write, drum)
    return "\n".join(write.lines) + "\n"


def _tuning(write: Writer, tuning: Tuning) -> None:
    write.table("[tuning]", "")
    write.pair("reference_hz", number(tuning.reference_hz), "the A above middle C, A4")
    write.pair(
        "temperament",
        text(tuning.temperament),
        ", or ".join(
            f'"{name}": {one.words}' if one.words else f'"{name}"' for name, one in TEMPERAMENTS.items()
        ),
    )
    write.pair(
        "tolerance_cents",
        number(tuning.tolerance_cents),
        "how near counts as in tune; 100 cents are a semitone",
    )
    write.pair(
        "aim_cents",
        number(tuning.aim_cents),
        "cut this much flat; the pitch is raised at the bench by boring",
    )
    if tuning.overtone is not None:
        write.pair(
            "overtone", number(tuning.overtone), "how many times its note a tongue's first overtone should be"
        )


def _wood_line(write: Writer, wood: str, about: str) -> None:
    if wood != OWN_WOOD:
        write.pair("wood", text(wood), about)


def _own_constants(write: Writer, table: str, wood: str, elastic: Elastic) -> None:
    """The constants that differ from the species' own, or all ten when there is no species."""
    base: dict[str, float] = {}
    if wood != OWN_WOOD:
        try:
            base = elastic_keys(find_species(wood).elastic())
        except SpeciesError:
            base = {}
    own = {key: value for key, value in elastic_keys(elastic).items() if base.get(key) != value}
    if not own:
        return
    write.table(f"[{table}.elastic]", "this very wood, in place of the species' mean: GPa, no unit, kg/m3")
    for key, value in own.items():
        write.pair(key, number(value))


def _top(write: Writer, top: Top) -> None:
    write.table("[top]", "the board that is sawn into tongues")
    _wood_line(write, top.wood, "the species; its published mean stands in until you tap the board")
    write.pair("length", write.length(top.length_mm), "along the tongues")
    write.pair("width", write.length(top.width_mm))
    write.pair("thickness", write.length(top.thickness_mm), "as planed, everywhere the same")
    write.pair("cut", text(top.cut), '"flatsawn": rings flat in the end grain; "quartersawn": rings upright')
    write.pair(
        "grain_angle_deg",
        number(top.grain_angle_deg),
        "of the grain to the length, from above, counter-clockwise",
    )
    _own_constants(write, "top", top.wood, top.elastic)


def _slots(write: Writer, slots: Slots) -> None:
    write.table("[slots]", "where the saw goes")
    write.pair("kerf", write.length(slots.kerf_mm), "width of your saw cut: measure one in scrap")
    write.pair(
        "end_margin", write.length(slots.end_margin_mm), "from the board's end to the roots of the tongues"
    )
    write.pair(
        "side_margin",
        write.length(slots.side_margin_mm),
        "from the board's edge to the middle of the outer slots",
    )
    write.pair(
        "stop_hole", write.length(slots.stop_hole_mm), "diameter of a hole at each slot end, 0 for none"
    )
    if isinstance(slots.tongue_end, str):
        write.pair(
            "tongue_end", text(slots.tongue_end), '"square", "round", "slant", "curve", or your own points'
        )
    else:
        points = ", ".join(f"[{write.length(a)}, {write.length(b)}]" for a, b in slots.tongue_end)
        write.line("# your own end of the tongues: [along, across] from the middle of the tip line")
        write.pair("tongue_end", f"[{points}]")


def _tongues(write: Writer, tongues: tuple[Tongue, ...]) -> None:
    write.line("")
    write.line(
        "# One [[tongues]] for each note. `kerftone fit` finds the lengths, and the places you leave out."
    )
    write.line("# row: counted from the front edge; side: where the root is; length: from root to tip.")
    for tongue in tongues:
        write.table("[[tongues]]", "")
        write.pair("note", text(tongue.note))
        if tongue.row is not None:
            write.pair("row", str(tongue.row))
        if tongue.side is not None:
            write.pair("side", text(tongue.side))
        if tongue.length_mm is not None:
            write.pair("length", write.length(tongue.length_mm))


def _bores(write: Writer, bores: tuple[Bore, ...]) -> None:
    if bores:
        write.line("")
        write.line("# Bores in the underside, seen from above, measured from the left front corner.")
    for bore in bores:
        write.table("[[bores]]", "")
        write.pair("x", write.length(bore.x_mm))
        write.pair("y", write.length(bore.y_mm))
        write.pair("diameter", write.length(bore.diameter_mm))
        write.pair("depth", write.length(bore.depth_mm))


def _box(write: Writer, box: Box) -> None:
    write.table("[box]", "the four walls; they move with the top and count in the pitch")
    _wood_line(write, box.wood, "")
    write.pair("wall", write.length(box.wall_mm), "thickness of the walls")
    write.pair("height", write.length(box.height_mm), "of the walls below the top's underside")
    write.pair("mount", text(box.mount), '"on walls": glued on top; "in ledge": let in, flush, on a ledge')
    if box.mount == "in ledge" or box.ledge_mm:
        write.pair("ledge", write.length(box.ledge_mm), "width of that ledge")
    if box.root_bar_mm:
        write.pair(
            "root_bar", write.length(box.root_bar_mm), "a bar inside each end wall: width along the tongues"
        )
        write.pair(
            "root_bar_height", write.length(box.root_bar_height_mm), "of those bars, down from the top"
        )
    write.pair("stands", text(box.stands), '"held": underside held still, as in a vice; "free": on soft feet')
    box_lines(write, box)
    _own_constants(write, "box", box.wood, box.elastic)


def _bottom(write: Writer, bottom: Bottom | None) -> None:
    if bottom is None:
        return
    write.table("[bottom]", "glued under the walls; take this table out for a box open below")
    _wood_line(write, bottom.wood, "")
    write.pair("thickness", write.length(bottom.thickness_mm))
    bottom_lines(write, bottom)
    _own_constants(write, "bottom", bottom.wood, bottom.elastic)
