"""Where to hold a board and where to tap it, in words.

A free bar bending in its lowest tone stands still at 0.224 of its length from either end (Fletcher and Rossing,
The Physics of Musical Instruments, from memory). A board that twists stands still on both its middle lines.
"""

from __future__ import annotations

from kerftone.draw.hold import NODE
from kerftone.units import MM_PER_INCH, format_length
from kerftone.wood.board import Board, Motion


def tell_how(board: Board, motion: Motion) -> str:
    """How to hold and tap the board for this motion, with the lengths to measure off."""
    along, across = (_marked(NODE * mm, board) for mm in (board.length_mm, board.width_mm))
    if motion == "twisting":
        return (
            "Twisting: hold it at its very middle, where both middle lines cross, or lay it on a cross of soft foam "
            "strips along them. Tap a corner."
        )
    if motion == "across":
        return (
            f"Bending across: hold or lay it on soft strips {across} from either long edge "
            f"({NODE} of the width). Tap the middle of a long edge."
        )
    return (
        f"Bending along: hold or lay it on soft strips {along} from either end ({NODE} of the length). Tap "
        "the middle of an end, or the very middle of the board."
    )


def _marked(mm: float, board: Board) -> str:
    """A length to lay a strip by: to whole millimetres, or eighths of an inch."""
    step = 1.0 if board.units == "mm" else MM_PER_INCH / 8.0
    return format_length(round(mm / step) * step, board.units)


def tell_symmetry(board: Board, symmetry: tuple[int, int, int]) -> str:
    """How to hold and tap for a motion that is even (0) or odd (1) about the middle, along and across.

    A motion that is odd about a middle line stands still on it; a free board moves most at its corners.
    """
    odd_along, odd_across = bool(symmetry[0]), bool(symmetry[1])
    if odd_along and odd_across:
        where = "Hold it at its very middle"
    elif odd_along:
        where = "Rest it on one soft strip across its middle"
    elif odd_across:
        where = "Rest it on one soft strip along its middle line"
    else:
        where = f"Rest it on two soft strips {_marked(NODE * board.length_mm, board)} from either end"
    return f"{where}, tap a corner, and listen for that pitch among the others."
