"""A first drum: a board in which the wanted notes fit.

Sizes are worked out from the notes, the wood and the thickness: tongues by the bar rule of `lengths.py`
with a short set-back (so rather too long), long ones facing short ones; `kerftone fit` then gives the
true lengths. Margins, walls and tongue width are our own choice, common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from kerftone.drum.design import Bottom, Box, Drum, Slots, Tongue, Top, Tuning, Units
from kerftone.errors import NoteError
from kerftone.pitch import targets_hz
from kerftone.tune.fit import aims_hz
from kerftone.tune.lengths import guess_length_mm
from kerftone.units import MM_PER_INCH, format_length
from kerftone.wood.species import Species, find_species

BOX_WOOD = "ash, white"
SHORT_SET_BACK = 2.0
LONGEST_MM = 1200.0
SHORTEST_TONGUE_MM = 50.0
KERF_MM, END_MARGIN_MM, SIDE_MARGIN_MM, WALL_MM = 3.0, 45.0, 32.0, 18.0
ROW_MM = 46.0


def first_drum(
    name: str,
    notes: Sequence[str],
    wood: str,
    *,
    thickness_mm: float | None = None,
    units: Units = "mm",
) -> Drum:
    """A drum for these notes with a board of the right size and no lengths yet.

    The bottom is on and the drum stands free, as it will when it is finished. Raises SpeciesError and
    NoteError, the latter when no sensible board holds the notes.
    """
    species = find_species(wood)
    grid = 5.0 if units == "mm" else MM_PER_INCH / 4.0
    thickness = thickness_mm if thickness_mm is not None else (16.0 if units == "mm" else 0.625 * MM_PER_INCH)
    rows = math.ceil(len(notes) / 2)
    tuning = Tuning()
    top = _top(species, thickness, width_mm=_up(rows * ROW_MM + 2 * SIDE_MARGIN_MM, grid))
    plain = Drum(
        name=name,
        units=units,
        tuning=tuning,
        top=top,
        slots=Slots(kerf_mm=KERF_MM, end_margin_mm=END_MARGIN_MM, side_margin_mm=SIDE_MARGIN_MM),
        tongues=tuple(Tongue(note=note) for note in notes),
        box=_box(),
        bottom=_bottom(),
    )
    return _long_enough(plain, grid)


def _top(species: Species, thickness_mm: float, *, width_mm: float) -> Top:
    return Top(
        wood=species.name,
        length_mm=1.0,
        width_mm=width_mm,
        thickness_mm=thickness_mm,
        elastic=species.elastic(),
        scatter=species.scatter(),
    )


def _box() -> Box:
    ash = find_species(BOX_WOOD)
    return Box(
        wood=ash.name,
        elastic=ash.elastic(),
        scatter=ash.scatter(),
        wall_mm=WALL_MM,
        height_mm=95.0,
        stands="free",
    )


def _bottom() -> Bottom:
    ash = find_species(BOX_WOOD)
    return Bottom(wood=ash.name, elastic=ash.elastic(), scatter=ash.scatter(), thickness_mm=9.0)


def _up(mm: float, grid_mm: float) -> float:
    return math.ceil(mm / grid_mm - 1e-9) * grid_mm


def _long_enough(drum: Drum, grid_mm: float) -> Drum:
    """The same drum on a board long enough for its notes."""
    lengths = sorted(
        max(SHORTEST_TONGUE_MM, guess_length_mm(drum.top, hz, set_back=SHORT_SET_BACK))
        for hz in aims_hz(drum)
    )
    if len(lengths) % 2:
        lengths = [0.0, *lengths]
    pairs = [short + long for short, long in zip(lengths, reversed(lengths), strict=True)]
    board = _up(max(pairs) + KERF_MM + 2 * END_MARGIN_MM, grid_mm)
    if board > LONGEST_MM:
        lowest = min(drum.tongues, key=lambda tongue: targets_hz((tongue.note,))[0])
        thinner = drum.top.thickness_mm * (LONGEST_MM / board) ** 2
        raise NoteError(
            f"{lowest.note} and the rest on a top {format_length(drum.top.thickness_mm, drum.units)} thick need a "
            f"board about {format_length(board, drum.units)} long. The longest we plan for is "
            f"{format_length(LONGEST_MM, drum.units)}: take higher notes, or a top about "
            f"{format_length(thinner, drum.units)} thick.",
            given=board,
            limit=LONGEST_MM,
            nearest=thinner,
        )
    return replace(drum, top=replace(drum.top, length_mm=board))
