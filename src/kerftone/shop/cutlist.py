"""Which part comes from which board on hand, what is left to buy, what it costs and what the drum weighs.

Parts are laid on boards with the kerf between them and the grain along the board; none is turned. The laying
out is done by rectpack. Sizes in mm; a board foot is 144 cubic inches of board as sold, so the thickness
counts as the next quarter of an inch up and never less than one inch (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import rectpack

from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box, LipStep
from kerftone.drum.shop import Stock
from kerftone.shop.parts import Part
from kerftone.units import MM_PER_INCH

WASTE = 1.3
"""Buy this many times what the parts hold: knots, ends and test cuts. Common practice, no source."""
GRID_MM, NOISE = 1e-6, 1e-3
"""rectpack counts in whole numbers, here of millionths of a millimetre: every 64th of an inch is a whole number of
them, so that a board of exactly a part's size gives it. NOISE: what binary fractions leave over, in these."""


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One part on a board: from its left end and lower edge; `thick_mm` is what it is planed to."""

    part: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    thick_mm: float


@dataclass(frozen=True, kw_only=True)
class Board:
    """One board on hand and what is cut from it. `yield_share` is the share of its face that becomes parts."""

    stock: Stock
    pieces: tuple[Piece, ...]

    @property
    def yield_share(self) -> float:
        """How much of the board's face becomes parts, from 0 to 1."""
        used = sum(piece.length_mm * piece.width_mm for piece in self.pieces)
        return used / (self.stock.length_mm * self.stock.width_mm)


@dataclass(frozen=True, kw_only=True)
class Buy:
    """What is still to be bought of one wood in one thickness.

    `volume_m3` and `board_feet` include the waste; `widest_mm`, `longest_mm` say what the boards must give.
    """

    wood: str
    thick_mm: float
    parts: tuple[str, ...]
    widest_mm: float
    longest_mm: float
    volume_m3: float
    board_feet: float


@dataclass(frozen=True, kw_only=True)
class Cutting:
    """The whole plan of cutting. `cost` is of the boards used, None when a price is missing."""

    boards: tuple[Board, ...]
    buy: tuple[Buy, ...]
    cost: float | None
    kerf_mm: float

    @property
    def yield_share(self) -> float | None:
        """How much of the boards used becomes parts; None when none is used."""
        face = sum(b.stock.length_mm * b.stock.width_mm for b in self.boards)
        used = sum(b.stock.length_mm * b.stock.width_mm * b.yield_share for b in self.boards)
        return used / face if face else None


def cutting_of(parts: Sequence[Part], stock: Sequence[Stock], *, kerf_mm: float) -> Cutting:
    """Where each part is cut from, and what is to be bought. Held by tests/shop/test_cutlist.py.

    Parameters
    ----------
    parts : Sequence[Part]
        Parts to be sawn, sizes in mm.
    stock : Sequence[Stock]
        Boards on hand, sizes in mm.
    kerf_mm : float
        What a saw takes between two parts, in mm.
    """
    boards, missing = _laid(parts, stock, kerf_mm)
    prices = [board.stock.price for board in boards]
    known = [price for price in prices if price is not None]
    return Cutting(
        boards=boards,
        buy=_to_buy(missing),
        cost=sum(known) if boards and len(known) == len(prices) else None,
        kerf_mm=kerf_mm,
    )


def _laid(
    parts: Sequence[Part], stock: Sequence[Stock], kerf_mm: float
) -> tuple[tuple[Board, ...], list[Part]]:
    """Lay the parts of each wood and thickness on the boards that can give them, thickest parts first."""
    free = [board for board in stock for _ in range(board.count)]
    free.sort(key=lambda b: (b.thickness_mm, b.length_mm * b.width_mm))
    boards: list[Board] = []
    missing: list[Part] = []
    for wood, thick in sorted({(p.wood, p.size_mm[2]) for p in parts}, key=lambda pair: (pair[0], -pair[1])):
        wanted = [p for p in parts if (p.wood, p.size_mm[2]) == (wood, thick)]
        fit = [b for b in free if b.wood == wood and b.thickness_mm >= thick - 1e-6]
        laid, left = _pack(wanted, fit, kerf_mm)
        for board in laid:
            free.remove(board.stock)
        boards += laid
        missing += left
    return tuple(boards), missing


def _pack(wanted: list[Part], fit: list[Stock], kerf_mm: float) -> tuple[list[Board], list[Part]]:
    """One wood and thickness: pieces on boards, and what found no place. Keeps the order of boards tried."""
    kerf = math.ceil(kerf_mm / GRID_MM - NOISE)

    def up(mm: float) -> int:
        return math.ceil(mm / GRID_MM - NOISE)

    def down(mm: float) -> int:
        return math.floor(mm / GRID_MM + NOISE)

    packer = rectpack.newPacker(rotation=False)
    pieces = [part for part in wanted for _ in range(part.count)]
    for at, part in enumerate(pieces):
        packer.add_rect(up(_length(part)) + kerf, up(_width(part)) + kerf, rid=at)
    for at, board in enumerate(fit):
        packer.add_bin(down(board.length_mm) + kerf, down(board.width_mm) + kerf, bid=at)
    placed: dict[int, list[Piece]] = {}
    if fit:
        packer.pack()
    for board, x, y, _, _, rid in packer.rect_list() if fit else []:
        part = pieces[rid]
        placed.setdefault(packer[board].bid, []).append(
            Piece(
                part=part.name,
                x_mm=x * GRID_MM,
                y_mm=y * GRID_MM,
                length_mm=_length(part),
                width_mm=_width(part),
                thick_mm=part.size_mm[2],
            )
        )
    done = {rid for *_, rid in (packer.rect_list() if fit else [])}
    left = [part for at, part in enumerate(pieces) if at not in done]
    return [Board(stock=fit[at], pieces=tuple(found)) for at, found in sorted(placed.items())], left


def _length(part: Part) -> float:
    return part.rough_mm[0]


def _width(part: Part) -> float:
    return part.rough_mm[1]


def _to_buy(missing: Sequence[Part]) -> tuple[Buy, ...]:
    """The pieces that found no board, by wood and thickness."""
    found = []
    for wood, thick in sorted({(p.wood, p.rough_mm[2]) for p in missing}):
        pieces = [p for p in missing if (p.wood, p.rough_mm[2]) == (wood, thick)]
        face_mm2 = WASTE * sum(_length(p) * _width(p) for p in pieces)
        found.append(
            Buy(
                wood=wood,
                thick_mm=thick,
                parts=tuple(p.name for p in pieces),
                widest_mm=max(map(_width, pieces)),
                longest_mm=max(map(_length, pieces)),
                volume_m3=face_mm2 * thick * 1e-9,
                board_feet=board_feet(face_mm2=face_mm2, thick_mm=thick),
            )
        )
    return tuple(found)


def board_feet(*, face_mm2: float, thick_mm: float) -> float:
    """How many board feet this face of board is, as sold.

    >>> board_feet(face_mm2=304.8 * 304.8, thick_mm=25.4)
    1.0
    """
    quarters = max(4, math.ceil(thick_mm / MM_PER_INCH * 4 - 1e-6))
    return round(face_mm2 / MM_PER_INCH**2 * quarters / 4 / 144.0, 9)


def weight_g(drum: Drum, box: Box, *, top_mm2: float) -> float:
    """What the finished drum weighs, in g: top less its slots and bores, walls less their cuts, root bars, bottom.

    Feet, hardware, glue and finish are not in it. Densities are those the
    drum's woods have at 12 % moisture, and one board may be a tenth off.

    Parameters
    ----------
    drum : Drum
        With its woods and bores.
    box : Box
        The box under its top.
    top_mm2 : float
        The face of the sawn top, in mm².
    """
    bored = sum(math.pi / 4.0 * b.diameter_mm**2 * b.depth_mm for b in drum.bores)
    top = (top_mm2 * drum.top.thickness_mm - bored) * drum.top.elastic.density_kg_m3
    top -= lip_cut_mm3(box.top_step, drum.top.length_mm, drum.top.width_mm) * drum.top.elastic.density_kg_m3
    walls = sum(wall_volumes_mm3(box)) * drum.box.elastic.density_kg_m3
    bottom = 0.0
    if drum.bottom is not None and box.bottom_mm is not None:
        whole = math.prod(box.bottom_mm) - lip_cut_mm3(box.bottom_step, *box.bottom_mm[:2])
        bottom = whole * drum.bottom.elastic.density_kg_m3
    bars = (
        0.0
        if box.root_bar is None
        else 2.0 * math.prod(box.root_bar.size_mm) * drum.box.elastic.density_kg_m3
    )
    return (top + walls + bars + bottom) * 1e-6


def lip_cut_mm3(step: LipStep | None, length_mm: float, width_mm: float) -> float:
    """The wood that the rabbet round a top or bottom on a lip takes, in mm3; 0 for none.

    Parameters
    ----------
    step : LipStep | None
        The rabbet, in mm; None for none.
    length_mm : float
        Of the board, in mm.
    width_mm : float
        Of the board, in mm.
    """
    if step is None:
        return 0.0
    inside = (length_mm - 2.0 * step.width_mm) * (width_mm - 2.0 * step.width_mm)
    return (length_mm * width_mm - inside) * step.depth_mm


def wall_volumes_mm3(box: Box) -> tuple[float, float]:
    """The wood of all four walls, and (negative) what the steps and the relief take from it.

    Whatever the joint, the walls fill the ring between the outside and the inside: keys are part of it.
    """
    t = box.wall_mm
    ring = box.length_mm * box.width_mm - (box.length_mm - 2 * t) * (box.width_mm - 2 * t)
    less = 0.0
    for rabbet in box.walls[0].rabbets:
        lip = t - rabbet.width_mm
        outer = (box.length_mm - 2 * lip) * (box.width_mm - 2 * lip)
        less += (outer - (box.length_mm - 2 * t) * (box.width_mm - 2 * t)) * rabbet.depth_mm
    lower = [r.width_mm for r in box.walls[0].rabbets if r.edge == "lower"]
    reliefs = [path for wall in box.walls if (path := wall.relief_path()) is not None]
    less += sum(path.area_mm2() for path in reliefs) * (t - (lower[0] if lower else 0.0))
    return ring * box.wall_height_mm, -less
