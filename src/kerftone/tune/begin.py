"""A first drum: a board in which the wanted notes fit.

Sizes are worked out from the notes, the wood and the thickness: tongues by the bar rule of `lengths.py`
with a short set-back (so rather too long), long ones facing short ones; `kerftone fit` then gives the
true lengths. Margins, walls and tongue width are our own choice, common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from kerftone.drum.design import Bottom, Box, Cut, Drum, Slots, Tongue, Top, Tuning, Units
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
ROW_MM, BOX_HEIGHT_MM = 46.0, 95.0


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """What the maker has already decided: None where the program is to choose. All in mm.

    `board_mm` is the board in hand as length, width and thickness; `tongue_width_mm` is the wood between two
    saw cuts; `box_height_mm` is the height of the walls below the top's underside.
    """

    thickness_mm: float | None = None
    board_mm: tuple[float, float, float] | None = None
    tongue_width_mm: float | None = None
    box_height_mm: float | None = None


def first_drum(
    name: str,
    notes: Sequence[str],
    wood: str,
    *,
    wishes: Wishes = Wishes(),
    units: Units = "mm",
    cut: Cut = "flatsawn",
) -> Drum:
    """A drum for these notes with a board of the right size, or on the board in hand, and no lengths yet.

    The bottom is on and the drum stands free, as it will when it is finished. Raises SpeciesError and
    NoteError, the latter when no sensible board holds the notes, or the board in hand does not.
    """
    species = find_species(wood)
    grid = 5.0 if units == "mm" else MM_PER_INCH / 4.0
    rows = math.ceil(len(notes) / 2)
    plain = Drum(
        name=name,
        units=units,
        tuning=Tuning(),
        top=_top(species, wishes, cut, units=units, width_mm=_width_mm(rows, wishes, grid)),
        slots=Slots(
            kerf_mm=KERF_MM, end_margin_mm=END_MARGIN_MM, side_margin_mm=_side_margin_mm(rows, wishes)
        ),
        tongues=tuple(Tongue(note=note) for note in notes),
        box=_box(wishes),
        bottom=_bottom(),
    )
    return _long_enough(plain, grid, given=wishes.board_mm is not None)


def _width_mm(rows: int, wishes: Wishes, grid_mm: float) -> float:
    """How wide the board is: as wished, or wide enough for this many rows."""
    if wishes.board_mm is not None:
        return wishes.board_mm[1]
    pitch = ROW_MM if wishes.tongue_width_mm is None else wishes.tongue_width_mm + KERF_MM
    return _up(rows * pitch + 2 * SIDE_MARGIN_MM, grid_mm)


def _side_margin_mm(rows: int, wishes: Wishes) -> float:
    """The usual margin, or what tongues of the width wished for leave of the board in hand."""
    if wishes.board_mm is None or wishes.tongue_width_mm is None:
        return SIDE_MARGIN_MM
    return 0.5 * (wishes.board_mm[1] - rows * (wishes.tongue_width_mm + KERF_MM))


def _top(species: Species, wishes: Wishes, cut: Cut, *, units: Units, width_mm: float) -> Top:
    usual = 16.0 if units == "mm" else 0.625 * MM_PER_INCH
    board = wishes.board_mm
    chosen = board[2] if board is not None else wishes.thickness_mm
    return Top(
        wood=species.name,
        length_mm=board[0] if board is not None else 1.0,
        width_mm=width_mm,
        thickness_mm=usual if chosen is None else chosen,
        elastic=species.elastic(),
        cut=cut,
        scatter=species.scatter(),
    )


def _box(wishes: Wishes) -> Box:
    ash = find_species(BOX_WOOD)
    return Box(
        wood=ash.name,
        elastic=ash.elastic(),
        scatter=ash.scatter(),
        wall_mm=WALL_MM,
        height_mm=BOX_HEIGHT_MM if wishes.box_height_mm is None else wishes.box_height_mm,
        stands="free",
    )


def _bottom() -> Bottom:
    ash = find_species(BOX_WOOD)
    return Bottom(wood=ash.name, elastic=ash.elastic(), scatter=ash.scatter(), thickness_mm=9.0)


def _up(mm: float, grid_mm: float) -> float:
    return math.ceil(mm / grid_mm - 1e-9) * grid_mm


def _long_enough(drum: Drum, grid_mm: float, *, given: bool) -> Drum:
    """The same drum on a board long enough for its notes; refused where the board in hand is not."""
    lengths = sorted(
        max(SHORTEST_TONGUE_MM, guess_length_mm(drum.top, hz, set_back=SHORT_SET_BACK))
        for hz in aims_hz(drum)
    )
    if len(lengths) % 2:
        lengths = [0.0, *lengths]
    pairs = [short + long for short, long in zip(lengths, reversed(lengths), strict=True)]
    board = _up(max(pairs) + KERF_MM + 2 * END_MARGIN_MM, grid_mm)
    longest = drum.top.length_mm if given else LONGEST_MM
    if board > longest:
        lowest = min(drum.tongues, key=lambda tongue: targets_hz((tongue.note,))[0])
        thinner = drum.top.thickness_mm * (longest / board) ** 2
        limit = "The board in hand is" if given else "The longest we plan for is"
        raise NoteError(
            f"{lowest.note} and the rest on a top {format_length(drum.top.thickness_mm, drum.units)} thick need a "
            f"board about {format_length(board, drum.units)} long. {limit} "
            f"{format_length(longest, drum.units)}: take higher notes, or a top about "
            f"{format_length(thinner, drum.units)} thick.",
            given=board,
            limit=longest,
            nearest=thinner,
        )
    return drum if given else replace(drum, top=replace(drum.top, length_mm=board))
