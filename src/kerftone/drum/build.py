"""From a read drum file to the Drum it means: woods looked up, places and notes checked.

What one value alone can tell is judged in `schema.py`; here is what needs two values of the file, or the
species table: who stands where, whether a note can be sounded by wood of this size, whether a set of
elastic constants can exist. The shape of the top is judged by `outline.py`.
"""

from __future__ import annotations

from dataclasses import replace

from kerftone.drum.build_shop import Refuse, filled, foot_relief_of, keys_of, making_of, shop_of
from kerftone.drum.design import Bore, Bottom, Box, Drum, Slots, Tongue, Top, Tuning
from kerftone.drum.lines import KeyPath
from kerftone.drum.schema import (
    ROOT_BAR_HEIGHT,
    BottomTable,
    BoxTable,
    DrumTable,
    ElasticTable,
    TongueTable,
    TopTable,
    TuningTable,
)
from kerftone.drum.shop import Feet
from kerftone.errors import KerftoneError, NoteError, Remedy, SpeciesError
from kerftone.pitch import equal_hz, note_name, note_number, note_spelled
from kerftone.units import Units, format_length
from kerftone.wood import Elastic, Scatter, find_species
from kerftone.wood.board import Board

LOWEST_HZ = 50.0
HIGHEST_HZ = 2500.0
"""Between these a wooden tongue of a size one can saw and strike can sound: our own judgement."""

MOST_TONGUES = 64
MOST_ROWS = 32
UNPLANED_MM = 0.05
"""A top whose thickness is within this of its board's has not been planed since it was tapped."""
OWN_WOOD = "own values"
"""The name of a wood given only by its constants."""

_FIELDS = {
    "e_l": "e_l_gpa",
    "e_r": "e_r_gpa",
    "e_t": "e_t_gpa",
    "g_lr": "g_lr_gpa",
    "g_lt": "g_lt_gpa",
    "g_rt": "g_rt_gpa",
    "nu_lr": "nu_lr",
    "nu_lt": "nu_lt",
    "nu_rt": "nu_rt",
    "density": "density_kg_m3",
}
"""The names of the constants in the file and in `Elastic`."""


def elastic_keys(elastic: Elastic) -> dict[str, float]:
    """The ten constants under the names the file uses."""
    return {key: getattr(elastic, name) for key, name in _FIELDS.items()}


def _wood(
    wood: str | None, own: ElasticTable | None, table: str, refuse: Refuse
) -> tuple[str, Elastic, Scatter]:
    """The wood of one part: its name, its constants, its scatter."""
    given = own.model_dump(exclude_none=True) if own is not None else {}
    missing = [key for key in _FIELDS if key not in given]
    if wood is None and own is None:
        refuse(
            (table,),
            f'[{table}] names no wood. The model needs one: write wood = "cherry, black", or all ten '
            f"constants in [{table}.elastic].",
        )
    if wood is None and missing:
        refuse(
            (table, "elastic"),
            f"[{table}.elastic] lacks {', '.join(missing)}. Without a species all ten constants are needed: "
            f'write them all, or add wood = "cherry, black" to [{table}] to take the rest from.',
        )
    renamed = {_FIELDS[key]: value for key, value in given.items()}
    try:
        species = None if wood is None else find_species(wood)
    except SpeciesError as error:
        if missing:
            refuse((table, "wood"), error.message.replace("the elastic table", f"[{table}.elastic]"), error)
        species = None  # a wood of the maker's own, named as they like and known by its constants
    if species is None:
        name, scatter, elastic = wood or OWN_WOOD, Scatter(), Elastic(**renamed)
    else:
        name, scatter, elastic = species.name, species.scatter(), replace(species.elastic(), **renamed)
    why = elastic.why_unstable()
    if why is not None:
        refuse((table, "elastic"), f"The elastic constants of [{table}] cannot be those of a solid. {why}")
    return name, elastic, scatter.without(frozenset(given))


def _check_note(note: str, at: KeyPath, tuning: TuningTable, refuse: Refuse) -> str:
    """The note's name in its one form, if it can be read and a wooden tongue can sound it."""
    try:
        number = note_number(note)
    except NoteError as error:
        refuse(at, error.message, error)
    hz = equal_hz(number, reference_hz=tuning.reference_hz)
    if not LOWEST_HZ <= hz <= HIGHEST_HZ:
        near = number
        while equal_hz(near, reference_hz=tuning.reference_hz) < LOWEST_HZ:
            near += 12
        while equal_hz(near, reference_hz=tuning.reference_hz) > HIGHEST_HZ:
            near -= 12
        refuse(
            at,
            f"The note {note_spelled(note)} is {hz:.4g} Hz. Wooden tongues sound from {LOWEST_HZ:g} to "
            f"{HIGHEST_HZ:g} Hz: the nearest octave that works is {note_name(near, flats='b' in note[1:])}.",
        )
    return note_spelled(note)


def _check_place(tongue: TongueTable, index: int, refuse: Refuse) -> None:
    at: KeyPath = ("tongues", index)
    if tongue.row is not None and not 1 <= tongue.row <= MOST_ROWS:
        refuse(
            (*at, "row"),
            f"The row of tongue {index + 1} ({tongue.note}) is {tongue.row}. Rows count from the front "
            f"edge, 1 to {MOST_ROWS}: write row = {min(max(tongue.row, 1), MOST_ROWS)}.",
        )
    if (tongue.row is None) != (tongue.side is None):
        has, lacks = ("row", "side") if tongue.side is None else ("side", "row")
        refuse(
            (*at, has),
            f"Tongue {index + 1} ({tongue.note}) has a {has} but no {lacks}. A place needs both: add the "
            f"{lacks}, or leave both out to have them chosen.",
        )


def _check_places(tongues: list[TongueTable], refuse: Refuse) -> None:
    """Refuse two tongues in one place, and rows that leave a number out."""
    if not tongues:
        refuse(
            ("tongues",),
            'There are no tongues. A drum needs one at least: write [[tongues]] with note = "D3".',
        )
    if len(tongues) > MOST_TONGUES:
        refuse(
            ("tongues", MOST_TONGUES),
            f"There are {len(tongues)} tongues. The program takes {MOST_TONGUES} at most: leave out "
            f"{len(tongues) - MOST_TONGUES}.",
        )
    taken: dict[tuple[int, str], int] = {}
    for index, tongue in enumerate(tongues):
        _check_place(tongue, index, refuse)
        if tongue.row is None or tongue.side is None:
            continue
        place = (tongue.row, tongue.side)
        if place in taken:
            first = taken[place]
            refuse(
                ("tongues", index, "row"),
                f"Tongue {index + 1} ({tongue.note}) is in row {tongue.row}, {tongue.side}, where tongue "
                f"{first + 1} ({tongues[first].note}) already is. A place holds one tongue: "
                f"{_free_place(tongues)}.",
            )
        taken[place] = index
    rows = {row for row, _ in taken}
    gaps = sorted(set(range(1, max(rows, default=0) + 1)) - rows)
    if gaps and len(taken) == len(tongues):
        culprit = next(
            i for i, tongue in enumerate(tongues) if tongue.row == min(r for r in rows if r > gaps[0])
        )
        refuse(
            ("tongues", culprit, "row"),
            f"Tongue {culprit + 1} ({tongues[culprit].note}) is in row {tongues[culprit].row}, but row "
            f"{gaps[0]} has no tongue. Rows are counted without gaps: write row = {gaps[0]}.",
        )


def _free_place(tongues: list[TongueTable]) -> str:
    taken = {(tongue.row, tongue.side) for tongue in tongues}
    row = 1
    while True:
        for side in ("left", "right"):
            if (row, side) not in taken:
                return f'the nearest free one is row {row}, side = "{side}"'
        row += 1


def _check_root_bar(table: BoxTable, units: Units, refuse: Refuse) -> None:
    """A root bar has a width and a height, and ends at the walls' lower edge at the lowest."""
    wide, high = table.root_bar, table.root_bar_height
    if (wide > 0.0) != (high > 0.0):
        has, mm = ("root_bar", wide) if wide > 0.0 else ("root_bar_height", high)
        lacks = "root_bar_height" if wide > 0.0 else "root_bar"
        refuse(
            ("box", has),
            f"{has} in [box] is {format_length(mm, units)}, but there is no {lacks}. A root bar needs both, its "
            f"width along the tongues and its height: add {lacks}, or take {has} out for a drum without bars.",
        )
    if high > table.height + 1e-6:
        given, most = format_length(high, units), format_length(table.height, units)
        least = ROOT_BAR_HEIGHT.low
        refuse(
            ("box", "root_bar_height"),
            f"root_bar_height in [box] is {given}, but the walls are {most} high. A root bar hangs under the top "
            + (
                f"and is no higher than the walls: write {most} or less."
                if table.height >= least
                else f"and is {format_length(least, units)} high at least: make the walls as high, or take root_bar "
                "and root_bar_height out."
            ),
        )


def _box(table: BoxTable, units_of: DrumTable, refuse: Refuse) -> Box:
    name, elastic, scatter = _wood(table.wood, table.elastic, "box", refuse)
    _check_root_bar(table, units_of.units, refuse)
    ledge = table.ledge or 0.0
    if table.mount == "in ledge":
        least, most = 2.0, table.wall - 2.0
        if not least <= ledge <= most:
            words = [format_length(mm, units_of.units) for mm in (ledge, least, most, table.wall)]
            given = "is missing" if table.ledge is None else f"is {words[0]}"
            refuse(
                ("box", "ledge"),
                f"The ledge {given}. A top let in on a ledge needs {words[1]} of it at least, and "
                f"{words[1]} of "
                f"the {words[3]} wall must stay beside it: write a ledge from {words[1]} to {words[2]}, or "
                'mount = "on walls".'
                if most >= least
                else f"The wall is {words[3]}. A top let in on a ledge needs a wall of "
                f'{format_length(4.0, units_of.units)} at least: write that, or mount = "on walls".',
            )
    return filled(
        Box,
        table,
        wood=name,
        elastic=elastic,
        scatter=scatter,
        ledge_mm=ledge,
        keys=keys_of(table),
        foot_relief=foot_relief_of(table),
        feet=filled(Feet, table.feet),
    )


def _measured(table: TopTable, board: Board, refuse: Refuse) -> Top:
    """A top sawn from a board that was tapped."""
    for other in ("wood", "elastic"):
        if getattr(table, other) is not None:
            refuse(
                ("top", other),
                f"[top] has both board and {other}. The board's own taps say what it is made of: take {other} out, "
                "or take board out.",
            )
    if board.found is None:
        message = (
            f"The board {table.board} has not been evaluated yet. Its taps must be turned into constants first: fit "
            "it."
        )
        refuse(("top", "board"), message, KerftoneError(message, remedy=Remedy.FIT_BOARD))
    if table.cut is not None and table.cut != board.cut:
        refuse(
            ("top", "cut"),
            f"cut in [top] is {table.cut}, but the board {table.board} is {board.cut}. They are the same wood: "
            f'write cut = "{board.cut}", or mend the board\'s file.',
        )
    as_thick = abs(table.thickness - board.thickness_mm) <= UNPLANED_MM
    return Top(
        wood=board.species.name,
        elastic=board.found.elastic,
        scatter=board.found.scatter(as_thick=as_thick),
        length_mm=table.length,
        width_mm=table.width,
        thickness_mm=table.thickness,
        cut=board.cut,
        grain_angle_deg=table.grain_angle_deg,
        board=table.board,
        moisture_pct=board.moisture_pct,
        untested=board.species.scatter(),
    )


def _top(table: TopTable, board: Board | None, refuse: Refuse) -> Top:
    if board is not None:
        return _measured(table, board, refuse)
    name, elastic, scatter = _wood(table.wood, table.elastic, "top", refuse)
    return Top(
        wood=name,
        elastic=elastic,
        scatter=scatter,
        length_mm=table.length,
        width_mm=table.width,
        thickness_mm=table.thickness,
        cut=table.cut or "flatsawn",
        grain_angle_deg=table.grain_angle_deg,
    )


def _bottom(table: BottomTable | None, refuse: Refuse) -> Bottom | None:
    if table is None:
        return None
    name, elastic, scatter = _wood(table.wood, table.elastic, "bottom", refuse)
    return filled(Bottom, table, wood=name, elastic=elastic, scatter=scatter)


def build_drum(table: DrumTable, refuse: Refuse, *, board: Board | None = None) -> Drum:
    """The drum this file means, or a refusal at the key that is wrong. `board`: the one that [top] names."""
    _check_places(table.tongues, refuse)
    notes = [
        _check_note(tongue.note, ("tongues", index, "note"), table.tuning, refuse)
        for index, tongue in enumerate(table.tongues)
    ]
    return Drum(
        name=table.name,
        units=table.units,
        tuning=filled(Tuning, table.tuning),
        top=_top(table.top, board, refuse),
        slots=filled(Slots, table.slots),
        tongues=tuple(
            filled(Tongue, tongue, note=note) for note, tongue in zip(notes, table.tongues, strict=True)
        ),
        bores=tuple(filled(Bore, bore) for bore in table.bores),
        box=_box(table.box, table, refuse),
        bottom=_bottom(table.bottom, refuse),
        making=making_of(table, refuse),
        shop=shop_of(table.shop),
    )
