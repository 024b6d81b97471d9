"""From a read drum file to the Drum it means: woods looked up, places and notes checked.

What one value alone can tell is judged by its key's rule; here is what needs two values of the file, or the
species table: who stands where, whether a note can be sounded by wood of this size, whether a set of
elastic constants can exist. The shape of the top is judged by `outline.py`.
"""

from __future__ import annotations

from dataclasses import replace

from kerftone.drum.build_mount import lip_of_bottom, mount_of, with_lip
from kerftone.drum.build_plies import plies_of
from kerftone.drum.build_shop import Refuse, making_of, with_known_wood
from kerftone.drum.design import Bottom, Box, Drum, Tongue, Top, Tuning
from kerftone.drum.file_keys import bounds, filled
from kerftone.drum.lines import KeyPath
from kerftone.drum.own_wood import CONSTANTS, OWN_WOOD
from kerftone.drum.shared_end import with_shared_ends
from kerftone.drum.sound_holes import check_sound_holes
from kerftone.drum.values import Table
from kerftone.errors import KerftoneError, NoteError, Remedy, SpeciesError
from kerftone.pitch import equal_hz, note_name, note_number, note_spelled
from kerftone.units import Units, format_length
from kerftone.wood import Elastic, Scatter, find_species
from kerftone.wood.board import Board

# Lowest and highest: see below.
LOWEST_HZ = 50.0
HIGHEST_HZ = 2500.0
"""Between these a wooden tongue of a size one can saw and strike can sound: our own judgement."""

MOST_TONGUES = 64
"""More is a slip of the pen, and would take a computer hours: own judgement."""
MOST_ROWS = 32
"""Two tongues a row make MOST_TONGUES."""
UNPLANED_MM = 0.05
"""A top whose thickness is within this of its board's has not been planed since it was tapped."""


def _wood(part: Table, table: str, refuse: Refuse) -> tuple[str, Elastic, Scatter]:
    """The wood of one part: its name, its constants, its scatter."""
    wood, own = part.wood, part.elastic
    given = own.model_dump(exclude_none=True) if own is not None else {}
    missing = [key for key in CONSTANTS if key not in given]
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
    renamed = {CONSTANTS[key].field: value for key, value in given.items()}
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


def _check_note(note: str, at: KeyPath, tuning: Tuning, refuse: Refuse) -> str:
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


def _check_place(tongue: Tongue, index: int, refuse: Refuse) -> None:
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


def _check_end(tongue: Tongue, index: int, refuse: Refuse) -> None:
    """An end of its own is drawn for one place: which wood lies round it depends on where the tongue is."""
    if tongue.end is not None and tongue.row is None:
        refuse(
            ("tongues", index, "end"),
            f"Tongue {index + 1} ({tongue.note}) has an end of its own but no place yet. Such an end is drawn for "
            "one place on the board: write its row and side too, or leave its end out until the places are found.",
        )


def _check_places(tongues: tuple[Tongue, ...], refuse: Refuse) -> None:
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
        _check_end(tongue, index, refuse)
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


def _free_place(tongues: tuple[Tongue, ...]) -> str:
    taken = {(tongue.row, tongue.side) for tongue in tongues}
    row = 1
    while True:
        for side in ("left", "right"):
            if (row, side) not in taken:
                return f'the nearest free one is row {row}, side = "{side}"'
        row += 1


def _check_root_bar(box: Box, units: Units, refuse: Refuse) -> None:
    """A root bar has a width and a height, and ends at the walls' lower edge at the lowest."""
    wide, high = box.root_bar_mm, box.root_bar_height_mm
    if (wide > 0.0) != (high > 0.0):
        has, mm = ("root_bar", wide) if wide > 0.0 else ("root_bar_height", high)
        lacks = "root_bar_height" if wide > 0.0 else "root_bar"
        refuse(
            ("box", has),
            f"{has} in [box] is {format_length(mm, units)}, but there is no {lacks}. A root bar needs both, its "
            f"width along the tongues and its height: add {lacks}, or take {has} out for a drum without bars.",
        )
    if high > box.height_mm + 1e-6:
        given, most = format_length(high, units), format_length(box.height_mm, units)
        least = bounds(Box, "root_bar_height").low
        refuse(
            ("box", "root_bar_height"),
            f"root_bar_height in [box] is {given}, but the walls are {most} high. A root bar hangs under the top "
            + (
                f"and is no higher than the walls: write {most} or less."
                if box.height_mm >= least
                else f"and is {format_length(least, units)} high at least: make the walls as high, or take root_bar "
                "and root_bar_height out."
            ),
        )


def _box(whole: Table, refuse: Refuse) -> Box:
    table = whole.box
    name, elastic, scatter = _wood(table, "box", refuse)
    own = mount_of(whole, refuse)
    box = filled(Box, table, wood=name, elastic=elastic, scatter=scatter, **own)
    _check_root_bar(box, whole.units, refuse)
    return replace(box, keys=with_known_wood(box.keys))


def _measured(table: Table, board: Board, refuse: Refuse) -> Top:
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
    if "cut" in table.model_fields_set and table.cut != board.cut:
        refuse(
            ("top", "cut"),
            f"cut in [top] is {table.cut}, but the board {table.board} is {board.cut}. They are the same wood: "
            f'write cut = "{board.cut}", or mend the board\'s file.',
        )
    as_thick = abs(table.thickness - board.thickness_mm) <= UNPLANED_MM
    return filled(
        Top,
        table,
        wood=board.species.name,
        elastic=board.found.elastic,
        scatter=board.found.scatter(as_thick=as_thick),
        cut=board.cut,
        moisture_pct=board.moisture_pct,
        untested=board.species.scatter(),
    )


def _top(whole: Table, board: Board | None, refuse: Refuse) -> Top:
    table = whole.top
    plies = plies_of(table, "top", whole.units, refuse)
    if plies:
        return filled(Top, table, **plies)
    if board is not None:
        return _measured(table, board, refuse)
    name, elastic, scatter = _wood(table, "top", refuse)
    return filled(Top, table, wood=name, elastic=elastic, scatter=scatter)


def _bottom(whole: Table, refuse: Refuse) -> Bottom | None:
    table = whole.bottom
    if table is None:
        return None
    own = plies_of(table, "bottom", whole.units, refuse)
    if not own:
        name, elastic, scatter = _wood(table, "bottom", refuse)
        own = {"wood": name, "elastic": elastic, "scatter": scatter}
    return filled(Bottom, table, **own, **lip_of_bottom(whole, refuse))


def build_drum(table: Table, refuse: Refuse, *, board: Board | None = None) -> Drum:
    """The drum this file means, or a refusal at the key that is wrong.

    Parameters
    ----------
    table : Table
        The keys of the file, lengths in mm.
    refuse : Refuse
        Raises the refusal of the file at one of its keys.
    board : Board, optional
        The one that [top] names.
    """
    tuning = filled(Tuning, table.tuning)
    tongues = tuple(filled(Tongue, tongue) for tongue in table.tongues)
    _check_places(tongues, refuse)
    notes = [
        _check_note(tongue.note, ("tongues", index, "note"), tuning, refuse)
        for index, tongue in enumerate(tongues)
    ]
    drum = filled(
        Drum,
        table,
        tuning=tuning,
        tongues=tuple(replace(tongue, note=note) for note, tongue in zip(notes, tongues, strict=True)),
        top=with_lip(_top(table, board, refuse), table, refuse),
        box=_box(table, refuse),
        bottom=_bottom(table, refuse),
        making=making_of(table, refuse),
    )
    return check_sound_holes(with_shared_ends(drum, refuse), refuse)
