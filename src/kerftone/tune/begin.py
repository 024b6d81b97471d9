"""A first drum: a board in which the wanted notes fit.

Sizes are worked out from the notes, the wood and the thickness: tongues by the bar rule of `lengths.py` with the
set-back that stiff roots leave, long ones facing short ones; `kerftone fit` then gives the true lengths. Which wall,
root bar and width of tongue a drum needs for its notes to come out clear is tried on the model in `choose.py`; here
are the sizes it has to choose from, stiffer from one to the next. They are our own choice, measured as told in
docs/design-of-a-drum.md.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Unpack

from kerftone.drum.check import MIN_SIDE_STRIP_MM, MIN_TONGUE_WIDTH_MM
from kerftone.drum.design import Bottom, Box, Cut, Drum, Mount, Slots, Tongue, Top, Tuning, Units
from kerftone.drum.file_keys import declared
from kerftone.drum.file_keys import usual as usual_values
from kerftone.drum.knots import Knot
from kerftone.drum.seat import end_seat_mm, seat_mm
from kerftone.drum.shop import Feet, Keys, Making, Mallets, Shop
from kerftone.errors import Behind, NoteError
from kerftone.pitch import targets_hz
from kerftone.tune.before_search import aims_hz
from kerftone.tune.lengths import guess_length_mm
from kerftone.tune.off_knots import cut_at
from kerftone.units import MM_PER_INCH, format_length
from kerftone.wood.species import Species, find_species

BOX_WOOD, MUCH_STIFFER = "ash, white", 1.15
"""What a box is made of where the top is no stiffer than so many times that: a plain, stiff hardwood that is sold
everywhere. Own judgement."""
USUAL_SET_BACK, LEAST_SET_BACK = 1.2, 2.0
"""How much longer than cut a tongue sounds, in thicknesses: on stiff roots 1.3 to 1.6 by the model, so boards come
out a little long; a board in hand is refused only where even soft roots would not do."""
SPARE_SHARE = 1.05
"""Rows are this much longer than their tongues by the bar rule, so that there is a choice of what faces what."""
LONGEST_MM = 1200.0
"""Few benches and boards are longer: own judgement."""
LIP_SHARE = 0.5
"""So much of the top's thickness is left in a lip: common practice, no source."""
FILE_GRID = 0.001
"""Margins are whole numbers of this in the drum's unit, so that none falls short of its limit by being written."""
SHORTEST_TONGUE_MM = 40.0
"""A shorter one is hardly struck clear of its root: own judgement."""
WIDEST_ROW_MM = 70.0
"""On a wide board in hand the rows grow no wider; what is left goes to the sides. Own judgement."""


class DoesNotFit(NoteError):
    """The notes do not fit any board that is planned for, or not the one in hand.

    `fact` says what does not fit; the message says besides what would help on paper.
    """

    def __init__(self, fact: str, offers: str = "", **behind: Unpack[Behind]) -> None:
        """Keep the text, with and without the offers."""
        super().__init__(f"{fact} {offers}".strip(), **behind)
        self.fact = fact


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """What the maker has already decided: None where the program is to choose. All in mm.

    `board_mm` is the board in hand as length, width and thickness; `tongue_width_mm` is the wood between two
    saw cuts; `box_height_mm` is the height of the walls up to the face that carries the top. `cut` is how the board
    is sawn, `mount` how the top sits in the box. `knots` are those of the board, from its left end and front edge.
    """

    thickness_mm: float | None = None
    board_mm: tuple[float, float, float] | None = None
    tongue_width_mm: float | None = None
    box_height_mm: float | None = None
    cut: Cut = "flatsawn"
    mount: Mount = "on walls"
    knots: tuple[Knot, ...] = ()


NO_WISHES = Wishes()


@dataclass(frozen=True, kw_only=True)
class Sizes:
    """What decides how much the tongues feel of each other and of the box, in the drum's own unit."""

    wall: float
    bar: float
    bar_height: float
    tongue: float
    height: float
    bottom: float
    thickness: float


@dataclass(frozen=True, kw_only=True)
class Usual:
    """What all sizes of one unit have in common, in it; the strips are free wood before roots and outer slots.

    grid: of boards to buy; mark: of what is marked out on them with a rule. ledge: its width under a top let in;
    lip: how far one reaches over the walls, half as thick as the top; gap: round either, for what the top swells by
    in damp air. All are common practice, no source.
    """

    mm: float
    grid: float
    mark: float
    kerf: float
    root_strip: float
    side_strip: float
    ledge: float
    lip: float
    gap: float
    sizes: tuple[Sizes, ...]
    slim: tuple[Sizes, ...]
    """For a board in hand, where the others leave too little room: thinner walls."""


def _sizes(*rows: tuple[float, float, float, float, float, float, float]) -> tuple[Sizes, ...]:
    names = ("wall", "bar", "bar_height", "tongue", "height", "bottom", "thickness")
    return tuple(Sizes(**dict(zip(names, row, strict=True))) for row in rows)


USUAL: dict[Units, Usual] = {
    "mm": Usual(
        mm=1.0,
        grid=5.0,
        mark=0.5,
        kerf=3.0,
        root_strip=6.0,
        side_strip=14.0,
        ledge=10.0,
        lip=6.0,
        gap=1.0,
        sizes=_sizes(
            (25, 30, 50, 37, 80, 12, 16),
            (32, 30, 50, 33, 80, 12, 16),
            (32, 45, 60, 29, 80, 12, 16),
            (32, 60, 70, 25, 80, 12, 16),
            (40, 45, 60, 22, 65, 18, 13),
            (32, 45, 60, 25, 70, 15, 13),
            (32, 45, 60, 20, 60, 20, 13),
        ),
        slim=_sizes((18, 20, 40, 33, 80, 12, 16)),
    ),
    "in": Usual(
        mm=MM_PER_INCH,
        grid=0.25,
        mark=1 / 32,
        kerf=0.125,
        root_strip=0.25,
        side_strip=0.5625,
        ledge=0.375,
        lip=0.25,
        gap=1 / 32,
        sizes=_sizes(
            (1, 1.25, 2, 1.5, 3.25, 0.5, 0.625),
            (1.25, 1.25, 2, 1.25, 3.25, 0.5, 0.625),
            (1.25, 1.75, 2.375, 1.125, 3.25, 0.5, 0.625),
            (1.25, 2.375, 2.75, 1, 3.25, 0.5, 0.625),
            (1.5, 1.75, 2.375, 0.875, 2.5, 0.75, 0.5),
            (1.25, 1.75, 2.375, 1, 2.75, 0.625, 0.5),
            (1.25, 1.75, 2.375, 0.8125, 2.375, 0.75, 0.5),
        ),
        slim=_sizes((0.75, 0.75, 1.5, 1.25, 3.25, 0.5, 0.625)),
    ),
}


def first_drum(
    name: str,
    notes: Sequence[str],
    wood: str,
    *,
    wishes: Wishes = NO_WISHES,
    units: Units = "mm",
    sizes: Sizes | None = None,
) -> Drum:
    """A drum for these notes with a board of the right size, or on the board in hand, and no lengths yet.

    It begins at the corner from which the knots are measured; those that lie beyond it are not in it.
    The bottom is on and the drum stands free, as it
    will when it is finished. Raises SpeciesError, and DoesNotFit when no sensible board holds the notes, or the board
    in hand does not.

    Parameters
    ----------
    name : str
        What the drum is called.
    notes : Sequence[str]
        As written, in the maker's order.
    wood : str
        Of the top, by any name it is sold under.
    wishes : Wishes, optional
        Sizes that the maker has asked for, in mm.
    units : Units, optional
        In which usual sizes are round, and in which the file is written.
    sizes : Sizes, optional
        Of walls, tongues and top, in the drum's own unit; without it the first usual ones.
    """
    usual = USUAL[units]
    sizes = sizes or usual.sizes[0]
    species = find_species(wood)
    rows = math.ceil(len(notes) / 2)
    plain = Drum(
        name=name,
        units=units,
        tuning=Tuning(),
        top=_top(species, wishes, thickness_mm=usual.mm * sizes.thickness),
        slots=Slots(kerf_mm=usual.mm * usual.kerf, end_margin_mm=1.0, side_margin_mm=1.0),
        tongues=tuple(Tongue(note=note) for note in notes),
        box=_box(species, wishes, usual, sizes),
        bottom=_bottom(species, usual.mm * sizes.bottom, units),
        making=replace(Making(), mallets=usual_values(Mallets, units)),
        shop=usual_values(Shop, units),
    )
    plain = _mounted(replace(plain, box=_with_usual_joints(plain.box, units)), wishes.mount, usual)
    plain = _wide_enough(plain, rows, wishes, usual, sizes)
    whole = _long_enough(plain, usual) if wishes.board_mm is None else _on_board_in_hand(plain, usual)
    return cut_at(replace(whole, top=replace(whole.top, knots_mm=wishes.knots)), (0.0, 0.0))


def _wide_enough(drum: Drum, rows: int, wishes: Wishes, usual: Usual, sizes: Sizes) -> Drum:
    """The same drum with side margins, on a board wide enough for its rows, or with the rows of the board in hand.

    On a board in hand tongues of no stated width are as wide as usual, or as wide as it leaves them.
    """
    kerf, side = drum.slots.kerf_mm, seat_mm(drum) + usual.mm * usual.side_strip
    wished = wishes.tongue_width_mm
    tongue = usual.mm * sizes.tongue if wished is None else wished
    if wishes.board_mm is None:
        width = _up(rows * (tongue + kerf) + 2.0 * side, usual.mm * usual.grid)
        margin = 0.5 * (width - rows * (tongue + kerf))
    else:
        width = wishes.board_mm[1]
        # Rounded up to what a drum file holds of it.
        least = _up(seat_mm(drum) + 0.5 * kerf + MIN_SIDE_STRIP_MM, usual.mm * FILE_GRID)
        margin = 0.5 * (width - rows * (tongue + kerf))
        if wished is None:
            margin = (
                max(margin, 0.5 * (width - rows * WIDEST_ROW_MM))
                if margin > side
                else max(least, min(side, margin))
            )
            margin = _up(margin, usual.mm * usual.mark)
        _check_wide(drum, rows, width, margin, least, wished)
    return replace(
        drum,
        top=replace(drum.top, width_mm=width),
        slots=replace(drum.slots, side_margin_mm=margin),
    )


def _check_wide(
    drum: Drum, rows: int, width: float, margin: float, least: float, wished: float | None
) -> None:
    """Refuse rows that do not fit on the board in hand."""
    kerf, units = drum.slots.kerf_mm, drum.units
    narrowest = MIN_TONGUE_WIDTH_MM if wished is None else wished
    if margin >= least - 1e-9 and (width - 2.0 * margin) / rows >= narrowest + kerf - 1e-9:
        return
    need = rows * (narrowest + kerf) + 2.0 * least
    room = (width - 2.0 * least) / rows - kerf
    mend = (
        f" or tongues {format_length(room, units)} wide"
        if room >= MIN_TONGUE_WIDTH_MM
        else ", or fewer notes"
    )
    raise DoesNotFit(
        f"{rows} row{'s' * (rows != 1)} of tongues {format_length(narrowest, units)} wide do not fit on a board "
        f"{format_length(width, units)} wide, between the walls.",
        f"Take a board {format_length(need, units)} wide{mend}.",
        given=width,
        limit=need,
        nearest=need,
    )


def _top(species: Species, wishes: Wishes, *, thickness_mm: float) -> Top:
    board = wishes.board_mm
    chosen = board[2] if board is not None else wishes.thickness_mm
    return Top(
        wood=species.name,
        length_mm=board[0] if board is not None else 1.0,
        width_mm=1.0,
        thickness_mm=thickness_mm if chosen is None else chosen,
        elastic=species.elastic(),
        cut=wishes.cut,
        scatter=species.scatter(),
    )


def _with_usual_joints(box: Box, units: Units) -> Box:
    """The same box with what the model takes no notice of in sizes of these units."""
    own = {one.field: one.usual(units) for one in declared(Box) if one.how.inch is not None}
    return replace(box, keys=usual_values(Keys, units), feet=usual_values(Feet, units), **own)


def _mounted(drum: Drum, mount: Mount, usual: Usual) -> Drum:
    """The same drum with its top set into the box so, in usual sizes; a top let in is glued at its edges too."""
    if mount == "on walls":
        return drum
    box, top = replace(drum.box, mount=mount, clearance_mm=usual.mm * usual.gap), drum.top
    if mount == "in ledge":
        return replace(drum, box=replace(box, ledge_mm=usual.mm * usual.ledge))
    thin = LIP_SHARE * top.thickness_mm
    top = replace(top, lip_mm=usual.mm * usual.lip, lip_thickness_mm=thin)
    return replace(drum, top=top, box=replace(box, glued="lip"))


def _box_wood(top: Species) -> Species:
    """Ash, or under a much stiffer top the same wood: soft walls would let its tongues move one another."""
    ash = find_species(BOX_WOOD)
    return top if top.elastic().e_l_gpa > MUCH_STIFFER * ash.elastic().e_l_gpa else ash


def _box(top: Species, wishes: Wishes, usual: Usual, sizes: Sizes) -> Box:
    wood = _box_wood(top)
    height = usual.mm * sizes.height if wishes.box_height_mm is None else wishes.box_height_mm
    return Box(
        wood=wood.name,
        elastic=wood.elastic(),
        scatter=wood.scatter(),
        wall_mm=usual.mm * sizes.wall,
        height_mm=height,
        root_bar_mm=usual.mm * sizes.bar,
        root_bar_height_mm=min(usual.mm * sizes.bar_height, height),
        stands="free",
    )


def _bottom(top: Species, thickness_mm: float, units: Units) -> Bottom:
    wood = _box_wood(top)
    own = {one.field: one.usual(units) for one in declared(Bottom) if one.how.inch is not None}
    return Bottom(
        wood=wood.name, elastic=wood.elastic(), scatter=wood.scatter(), thickness_mm=thickness_mm, **own
    )


def _up(mm: float, grid_mm: float) -> float:
    return math.ceil(mm / grid_mm - 1e-9) * grid_mm


def _needed_mm(drum: Drum, set_back: float) -> float:
    """How long the notes' tongues and their kerf are about, long ones facing short ones, without margins."""
    lengths = sorted(
        max(SHORTEST_TONGUE_MM, guess_length_mm(drum.top, hz, set_back=set_back)) for hz in aims_hz(drum)
    )
    if len(lengths) % 2:
        lengths = [0.0, *lengths]
    pairs = zip(lengths, reversed(lengths), strict=True)
    return max(short + long for short, long in pairs) + drum.slots.kerf_mm


def _long_enough(drum: Drum, usual: Usual) -> Drum:
    """The same drum on a board long enough for its notes."""
    margin = end_seat_mm(drum) + usual.mm * usual.root_strip
    board = _up(SPARE_SHARE * _needed_mm(drum, USUAL_SET_BACK) + 2 * margin, usual.mm * usual.grid)
    if board > LONGEST_MM:
        raise _too_long(drum, board, LONGEST_MM, "The longest we plan for is")
    return replace(
        drum, top=replace(drum.top, length_mm=board), slots=replace(drum.slots, end_margin_mm=margin)
    )


def _on_board_in_hand(drum: Drum, usual: Usual) -> Drum:
    """The same drum with the shortest end margins there can be, without root bars where they leave no room.

    Refused where the board is too short even so.
    """
    board, strip = drum.top.length_mm, usual.mm * usual.root_strip
    for set_back, bar in ((USUAL_SET_BACK, drum.box.root_bar_mm), (LEAST_SET_BACK, 0.0)):
        box = drum.box if bar else replace(drum.box, root_bar_mm=0.0, root_bar_height_mm=0.0)
        tried = replace(drum, box=box)
        margin = end_seat_mm(tried) + strip
        if _needed_mm(drum, set_back) + 2 * margin <= board:
            return replace(tried, slots=replace(drum.slots, end_margin_mm=margin))
    need = _needed_mm(drum, LEAST_SET_BACK) + 2 * (seat_mm(drum) + strip)
    raise _too_long(drum, _up(need, usual.mm * usual.grid), board, "The board in hand is")


def _too_long(drum: Drum, board_mm: float, longest_mm: float, limit: str) -> DoesNotFit:
    lowest = min(drum.tongues, key=lambda tongue: targets_hz((tongue.note,))[0])
    thinner = drum.top.thickness_mm * (longest_mm / board_mm) ** 2
    return DoesNotFit(
        f"{lowest.note} and the rest on a top {format_length(drum.top.thickness_mm, drum.units)} thick need a "
        f"board about {format_length(board_mm, drum.units)} long. {limit} "
        f"{format_length(longest_mm, drum.units)}.",
        f"Take higher notes, or a top about {format_length(thinner, drum.units)} thick.",
        given=board_mm,
        limit=longest_mm,
        nearest=thinner,
    )
