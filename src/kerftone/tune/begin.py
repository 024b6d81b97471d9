"""A first drum: a board in which the wanted notes fit.

Sizes are worked out from the notes, the wood and the thickness: tongues by the bar rule of `lengths.py`
with a short set-back (so rather too long), long ones facing short ones; `kerftone fit` then gives the
true lengths. Margins, walls and tongue width are our own choice, common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from kerftone.drum.check import MIN_ROOT_STRIP_MM, MIN_SIDE_STRIP_MM, MIN_TONGUE_WIDTH_MM
from kerftone.drum.design import Bottom, Box, Cut, Drum, Slots, Tongue, Top, Tuning, Units
from kerftone.errors import NoteError
from kerftone.pitch import targets_hz
from kerftone.tune.fit import aims_hz
from kerftone.tune.lengths import SET_BACK, guess_length_mm
from kerftone.units import MM_PER_INCH, format_length
from kerftone.wood.species import Species, find_species

BOX_WOOD = "ash, white"
SHORT_SET_BACK = 2.0
LONGEST_MM = 1200.0
SHORTEST_TONGUE_MM = 50.0
KERF_MM, END_MARGIN_MM, SIDE_MARGIN_MM, WALL_MM = 3.0, 45.0, 32.0, 18.0
ROW_MM, WIDEST_ROW_MM, BOX_HEIGHT_MM = 46.0, 70.0, 95.0


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
            kerf_mm=KERF_MM, end_margin_mm=END_MARGIN_MM, side_margin_mm=_side_margin_mm(rows, wishes, units)
        ),
        tongues=tuple(Tongue(note=note) for note in notes),
        box=_box(wishes),
        bottom=_bottom(),
    )
    return _long_enough(plain, grid) if wishes.board_mm is None else _on_board_in_hand(plain, grid)


def _width_mm(rows: int, wishes: Wishes, grid_mm: float) -> float:
    """How wide the board is: as wished, or wide enough for this many rows."""
    if wishes.board_mm is not None:
        return wishes.board_mm[1]
    pitch = ROW_MM if wishes.tongue_width_mm is None else wishes.tongue_width_mm + KERF_MM
    return _up(rows * pitch + 2 * SIDE_MARGIN_MM, grid_mm)


def _side_margin_mm(rows: int, wishes: Wishes, units: Units) -> float:
    """The usual margin, or on the board in hand what the tongues leave; refused where that is too little.

    Tongues of no stated width get the usual margins, then narrower ones, and are no wider than
    `WIDEST_ROW_MM` lets them be.
    """
    if wishes.board_mm is None:
        return SIDE_MARGIN_MM
    width, least = wishes.board_mm[1], WALL_MM + 0.5 * KERF_MM + MIN_SIDE_STRIP_MM
    wished = wishes.tongue_width_mm
    if wished is None:
        margin = min(SIDE_MARGIN_MM, 0.5 * (width - rows * ROW_MM))
        margin = max(margin, least, 0.5 * (width - rows * WIDEST_ROW_MM))
    else:
        margin = 0.5 * (width - rows * (wished + KERF_MM))
    narrowest = MIN_TONGUE_WIDTH_MM if wished is None else wished
    if margin >= least - 1e-9 and (width - 2.0 * margin) / rows >= narrowest + KERF_MM - 1e-9:
        return margin
    need = rows * (narrowest + KERF_MM) + 2.0 * least
    room = (width - 2.0 * least) / rows - KERF_MM
    mend = (
        f" or tongues {format_length(room, units)} wide"
        if room >= MIN_TONGUE_WIDTH_MM
        else ", or fewer notes"
    )
    raise NoteError(
        f"{rows} row{'s' * (rows != 1)} of tongues {format_length(narrowest, units)} wide do not fit on a board "
        f"{format_length(width, units)} wide, between the walls. Take a board {format_length(need, units)} "
        f"wide{mend}.",
        given=width,
        limit=need,
        nearest=need,
    )


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


def _needed_mm(drum: Drum, set_back: float) -> float:
    """How long the notes' tongues and their kerf are about, long ones facing short ones, without margins."""
    lengths = sorted(
        max(SHORTEST_TONGUE_MM, guess_length_mm(drum.top, hz, set_back=set_back)) for hz in aims_hz(drum)
    )
    if len(lengths) % 2:
        lengths = [0.0, *lengths]
    return max(short + long for short, long in zip(lengths, reversed(lengths), strict=True)) + KERF_MM


def _long_enough(drum: Drum, grid_mm: float) -> Drum:
    """The same drum on a board long enough for its notes."""
    board = _up(_needed_mm(drum, SHORT_SET_BACK) + 2 * END_MARGIN_MM, grid_mm)
    if board > LONGEST_MM:
        raise _too_long(drum, board, LONGEST_MM, "The longest we plan for is")
    return replace(drum, top=replace(drum.top, length_mm=board))


def _on_board_in_hand(drum: Drum, grid_mm: float) -> Drum:
    """The same drum with end margins that leave its tongues room; refused where the board is too short."""
    step = 1.0 if drum.units == "mm" else MM_PER_INCH / 16.0
    least, board = _up(WALL_MM + MIN_ROOT_STRIP_MM, step), drum.top.length_mm
    need = _needed_mm(drum, SET_BACK) + 2 * least
    if need > board:
        raise _too_long(drum, _up(need, grid_mm), board, "The board in hand is")
    room = math.floor(0.5 * (board - _needed_mm(drum, SHORT_SET_BACK)) / step) * step
    margin = min(END_MARGIN_MM, max(least, room))
    return replace(drum, slots=replace(drum.slots, end_margin_mm=margin))


def _too_long(drum: Drum, board_mm: float, longest_mm: float, limit: str) -> NoteError:
    lowest = min(drum.tongues, key=lambda tongue: targets_hz((tongue.note,))[0])
    thinner = drum.top.thickness_mm * (longest_mm / board_mm) ** 2
    return NoteError(
        f"{lowest.note} and the rest on a top {format_length(drum.top.thickness_mm, drum.units)} thick need a "
        f"board about {format_length(board_mm, drum.units)} long. {limit} "
        f"{format_length(longest_mm, drum.units)}: take higher notes, or a top about "
        f"{format_length(thinner, drum.units)} thick.",
        given=board_mm,
        limit=longest_mm,
        nearest=thinner,
    )
