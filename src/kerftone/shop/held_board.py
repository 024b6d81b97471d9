"""How much of its shrinking a board carries that is glued all round: the frame gives, and wood yields in a season.

The end walls, with the root bars, run across the board and hold it: along their own grain, pulled at one edge, so
that they shorten and bend. Board and walls are two springs in a row, the walls by an elastic beam's law. Between the
slots the wood is free; held is the strip from the end to the roots (of a bottom, half its width: St. Venant).

What a strain that comes over months leaves is less than its first stress would say. Held at one length in steady air,
wood keeps some 60 to 70 % of its first stress after a few months (Wood Handbook, FPL-GTR-282, ch. 5, "stress
relaxation", from memory); while its moisture changes it yields more (mechano-sorptive creep). `KEPT` is our own
judgement between the two. Hardwoods tear across the grain at 0.4 to 0.6 % of strain when pulled quickly, and from
0.4 % wood begins to yield (both from memory): `movement.py` judges by these.
"""

from __future__ import annotations

from kerftone.drum.design import Drum

KEPT = 0.5
"""The share of its first stress that a held board still carries at the end of a dry season: our own judgement."""


def give_of(drum: Drum, *, bottom: bool) -> float:
    """The share of the board's shrinking across its grain that the end walls follow, 0 to 1.

    Held by tests/shop/test_held_board.py.
    """
    box = drum.box
    board = drum.bottom if bottom else drum.top
    assert board is not None
    across = board.elastic.e_t_gpa if board.cut == "flatsawn" else board.elastic.e_r_gpa
    strip = 0.5 * drum.top.width_mm if bottom else drum.slots.end_margin_mm
    board_n = across * board.thickness_mm * strip
    return board_n / (board_n + box.elastic.e_l_gpa / _edge_compliance(drum, bottom=bottom))


def _edge_compliance(drum: Drum, *, bottom: bool) -> float:
    """How much longer than a bar of 1 mm² and the same wood an end wall gets for a pull at its edge, 1/mm².

    1/A + e²/I: wall and root bar are one section; e is from its middle to the edge at which it is pulled.
    """
    box = drum.box
    parts = [(box.wall_mm, box.height_mm)]
    if box.root_bar_mm:
        parts.append((box.root_bar_mm, box.root_bar_height_mm))
    area = sum(wide * high for wide, high in parts)
    middle = sum(wide * high * 0.5 * high for wide, high in parts) / area  # below the upper edge
    inertia = sum(wide * high**3 / 12.0 + wide * high * (0.5 * high - middle) ** 2 for wide, high in parts)
    off = box.height_mm - middle if bottom else middle
    return 1.0 / area + off**2 / inertia
