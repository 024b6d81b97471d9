"""Tops cut from a larger board, so that its knots fall beside them or into what is sawn out.

A board in hand is taken whole as long as that can be done. Where its knots do not let it, smaller tops are tried: as
short as their notes need, as narrow as their rows need, or both; each may lie anywhere on the board. Lengths in mm.

Held by tests/tune/test_cut_top.py.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from kerftone.drum.design import Drum, Units
from kerftone.drum.knots import Knot
from kerftone.errors import NoteError
from kerftone.tune.begin import USUAL, Sizes, Wishes
from kerftone.tune.off_knots import Corner, corners_on
from kerftone.units import format_length

MOST_TOPS = 6
"""So many tops are tried at most, each a rough solve: own judgement."""
LEAST_LESS_MM = 5.0
"""A top is cut smaller by so much at least: less moves it off no knot. Own judgement."""


@dataclass(frozen=True, kw_only=True)
class Plan:
    """A drum to be tried. free_height: whether the height of its box is the program's. corners_mm: where its top may
    be cut from the board that its knots are measured on; none where it begins at that board's own corner."""

    drum: Drum
    free_height: bool = True
    corners_mm: tuple[Corner, ...] = ()


def cut_tops(
    make: Callable[[Wishes, Sizes], Drum], sizes: Sequence[Sizes], wishes: Wishes, units: Units
) -> list[Plan]:
    """Drums on tops smaller than the board in hand, each once; none where no board is in hand.

    Parameters
    ----------
    make : Callable[[Wishes, Sizes], Drum]
        A drum on a board in hand or, where none is, of the size it needs; raises NoteError where it does not fit.
    sizes : Sequence[Sizes]
        Of walls and tongues, in the order of trying.
    wishes : Wishes
        What the maker has decided already, with the board and its knots.
    units : Units
        Of the drum file.
    """
    if wishes.board_mm is None:
        return []
    length, width, thick = wishes.board_mm
    plans: list[Plan] = []
    for one in sizes:
        for top in _tops(make, one, wishes):
            try:
                drum = make(replace(wishes, board_mm=(*top, thick), knots=()), one)
            except NoteError:
                continue
            drum = replace(drum, top=replace(drum.top, knots_mm=wishes.knots))
            if all(drum != plan.drum for plan in plans):
                corners = corners_on((length, width), top, pencil_step_mm(units))
                plans.append(Plan(drum=drum, corners_mm=tuple(corners)))
    return plans[:MOST_TOPS]


def _tops(
    make: Callable[[Wishes, Sizes], Drum], sizes: Sizes, wishes: Wishes
) -> Iterator[tuple[float, float]]:
    """Length and width of tops that fit on the board and are smaller: shorter, shorter and narrower, narrower."""
    assert wishes.board_mm is not None
    length, width, thick = wishes.board_mm
    try:
        need = make(replace(wishes, board_mm=None, thickness_mm=thick, knots=()), sizes).top
    except NoteError:
        return
    shorter, narrower = (
        whole - least >= LEAST_LESS_MM for whole, least in ((length, need.length_mm), (width, need.width_mm))
    )
    if shorter:
        yield need.length_mm, width
    if shorter and narrower:
        yield need.length_mm, need.width_mm
    if narrower:
        yield length, need.width_mm


def pencil_step_mm(units: Units) -> float:
    """As a pencil is set on a rule: 1 mm or 1/16 in."""
    return 1.0 if units == "mm" else USUAL[units].mm / 16.0


def knot_words(knots: Sequence[Knot], number: int, units: Units) -> str:
    """A knot by its number, counted from 0, with its size and its place on the board.

    Parameters
    ----------
    knots : Sequence[Knot]
        As they were given.
    number : int
        Which of them.
    units : Units
        To say lengths in.
    """
    knot = knots[number]
    x, y, wide = (format_length(mm, units) for mm in knot)
    return f"knot {number + 1} ({wide} wide, {x} from the left end and {y} from the front edge)"
