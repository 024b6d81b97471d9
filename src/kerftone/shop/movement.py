"""How the drum's wood moves between the shop's air and the home's, and what holds it back.

Widths in mm, moisture in %, positive when the wood swells. The linear law of the Wood Handbook (FPL-GTR-282,
eq. 13-2), for 6 to 14 % moisture; beyond that the answer is marked as a rough guess. Along the grain wood
hardly moves and is left out. Walls and root bars have T up their height and R through (design.py).

A board glued all round cannot follow its moisture: it carries what the frame does not give and the wood does not
yield (`held_board.py`). How much of that it bears is our own judgement from remembered figures.
"""

from __future__ import annotations

import statistics
from dataclasses import dataclass

from kerftone.drum.design import Bottom, Drum, Top
from kerftone.drum.joinery import Box
from kerftone.drum.seat import let_in, over_mm
from kerftone.drum.shop import Climate
from kerftone.errors import SpeciesError
from kerftone.shop.held_board import KEPT, give_of
from kerftone.shop.measure import Measure, measure_of
from kerftone.shop.verdict import Check, Mend, Verdict
from kerftone.units import format_length, least_mm, most_mm
from kerftone.wood.laminate import swelling
from kerftone.wood.moisture import emc_pct
from kerftone.wood.species import find_species, species_table

VALID_FROM_PCT, VALID_TO_PCT = 6.0, 14.0
"""Where the linear law holds: Wood Handbook (FPL-GTR-282), eq. 13-2."""
# Where a board is in doubt, and where it splits: see below.
MIND_STRAIN = 0.004
SPLIT_STRAIN = 0.006
"""From memory: hardwoods tear across the grain at some 4 to 6 MPa, 0.4 to 0.6 % of strain when pulled quickly. What
they carry after a season is told as the quick strain of the same stress: see `held_board.py`."""

ROOT_BAR = "Root bar, across"
CROSS_GLUE_MM = 0.5
"""What a cross-grain glue joint bears from season to season: our own judgement."""


@dataclass(frozen=True, kw_only=True)
class Air:
    """The moisture wood comes to in the shop, and at home in the dry and the damp season."""

    shop_pct: float
    dry_pct: float
    damp_pct: float

    @property
    def beyond(self) -> bool:
        """Whether any of it lies outside the range of the linear law."""
        low, high = min(self.shop_pct, self.dry_pct), max(self.shop_pct, self.damp_pct)
        return low < VALID_FROM_PCT or high > VALID_TO_PCT


@dataclass(frozen=True, kw_only=True)
class Move:
    """One part's change of width: `dry_mm` in the dry season (negative when it shrinks), `damp_mm` in the damp.

    `coefficient` is per 1 % of moisture; `stand_in` when the species has none and the mean of the table stands in.
    `strain` is what it carries when it is held all round, told as a quick one of the same stress, 0 where it
    is free to move.
    `room_mm` is the gap on both sides together, None where there is none to fill.
    """

    part: str
    across_mm: float
    coefficient: float
    stand_in: bool
    dry_mm: float
    damp_mm: float
    strain: float
    room_mm: float | None
    verdict: Verdict
    words: str


def air_of(climate: Climate) -> Air:
    """What moisture the wood comes to in these airs."""
    t = climate.temperature_c
    return Air(
        shop_pct=emc_pct(humidity_pct=climate.shop_rh_pct, temperature_c=t),
        dry_pct=emc_pct(humidity_pct=climate.home_dry_rh_pct, temperature_c=t),
        damp_pct=emc_pct(humidity_pct=climate.home_damp_rh_pct, temperature_c=t),
    )


def movement_mm(*, width_mm: float, coefficient: float, from_pct: float, to_pct: float) -> float:
    """How much wider (positive) or narrower a board gets when its moisture changes.

    Source: Wood Handbook (FPL-GTR-282), eq. 13-2, linear between 6 and 14 %. Held by
    test_the_handbooks_movement_example_is_met.

    Parameters
    ----------
    width_mm : float
        Across the grain, in mm.
    coefficient : float
        Share of the width per 1 % of moisture, radial or tangential.
    from_pct : float
        Moisture before, in % of the dry mass.
    to_pct : float
        Moisture after, in %.
    """
    return width_mm * coefficient * (to_pct - from_pct)


def coefficient_of(wood: str, *, quartersawn: bool) -> tuple[float, bool]:
    """The change of width per 1 % of moisture, and whether it is only the mean of the table."""
    try:
        species = find_species(wood)
        value = species.c_r if quartersawn else species.c_t
    except SpeciesError:
        value = None
    if value is not None:
        return value, False
    rows = species_table().values()
    known = [c for row in rows if (c := row.c_r if quartersawn else row.c_t) is not None]
    return statistics.fmean(known), True


def moves_of(drum: Drum, box: Box) -> tuple[Move, ...]:
    """How top, bottom and walls move, against their clearances or what holds them."""
    air, words = air_of(drum.making.climate), measure_of(drum)
    top = drum.top
    give = give_of(drum, bottom=False)
    found = [_held("Top, across", top, top.width_mm, air, give=give)]
    if drum.box.mount != "on walls":
        name = "Top, in its pocket" if drum.box.mount == "in ledge" else "Top, between the walls"
        found.append(_gap(name, found[0], words, drum.box.clearance_mm, over_mm(drum)))
    if drum.bottom is not None and box.bottom_mm is not None:
        across = box.bottom_mm[1]
        held = _held("Bottom, across", drum.bottom, across, air, give=give_of(drum, bottom=True))
        found.append(held)
        if let_in(drum.bottom):
            found.append(
                _gap(
                    "Bottom, in its rabbet",
                    held,
                    words,
                    drum.bottom.clearance_mm,
                    box.let_in_mm - drum.bottom.clearance_mm,
                )
            )
    found.append(_free("Walls, in height", drum.box.wood, box.wall_height_mm, air))
    if box.root_bar is not None:
        found.append(_bar(drum.box.wood, box.root_bar.thick_mm, air, words))
    return tuple(found)


def coefficient_of_board(board: Top | Bottom) -> tuple[float, bool]:
    """The same across a top or a bottom, of solid wood or of plies that hold each other."""
    quarter = board.cut == "quartersawn"
    if not board.plies:
        return coefficient_of(board.wood, quartersawn=quarter)
    each = [coefficient_of(ply.wood, quartersawn=quarter) for ply in board.plies]
    _, wide = swelling(board.plies, board.cut, [c for c, _ in each])
    return wide, any(stand_in for _, stand_in in each)


def _change(known: tuple[float, bool], across: float, air: Air) -> tuple[float, bool, float, float]:
    c, stand_in = known
    dry, damp = (
        movement_mm(width_mm=across, coefficient=c, from_pct=air.shop_pct, to_pct=to)
        for to in (air.dry_pct, air.damp_pct)
    )
    return c, stand_in, dry, damp


def _held(part: str, board: Top | Bottom, across: float, air: Air, *, give: float) -> Move:
    """A board glued all round, so wide: shrinking strains it, and that is what splits."""
    c, stand_in, dry, damp = _change(coefficient_of_board(board), across, air)
    free = max(0.0, -dry) / across
    strain = free * (1.0 - give) * KEPT
    verdict: Verdict = "good" if strain < MIND_STRAIN else "mind" if strain < SPLIT_STRAIN else "mend"
    what = (
        f"free it would shrink by {100.0 * free:.2f} % in the dry season; held all round it carries about "
        f"{100.0 * strain:.2f} %, after the frame has given and the wood has yielded"
    )
    if verdict == "good":
        words = f"{what}: it should hold."
    else:
        fate = "near what such wood bears" if verdict == "mind" else "expect a split"
        table = part.split(",")[0].lower()
        quarters = "" if board.cut == "quartersawn" else f"use quartersawn wood ([{table}] cut), "
        narrow = ", or let it in with room and glue only its middle" if table == "bottom" else ""
        words = (
            f"{what}: {fate}. Let the wood come to rest in air as dry as its home before glue-up, {quarters}"
            f"or keep the drum out of heated dry rooms{narrow}."
        )
    return Move(
        part=part,
        across_mm=across,
        coefficient=c,
        stand_in=stand_in,
        dry_mm=dry,
        damp_mm=damp,
        strain=strain,
        room_mm=None,
        verdict=verdict,
        words=words,
    )


def _gap(part: str, board: Move, words: Measure, clearance: float, bearing: float) -> Move:
    """The same board against the gap round it: swelling must not push the walls apart."""
    room = 2.0 * clearance
    enough = board.damp_mm <= room
    told = (
        "the gap takes up its swelling."
        if enough
        else "it fills the gap and pushes on the walls: give it a clearance of "
        f"{words(_clearance_mm(board.damp_mm))} a side, or acclimatise it in damper air first."
    )
    if -board.dry_mm > bearing:
        told += f" In the dry season it draws in more than its bearing of {words(bearing)} a side allows."
        enough = False
    return Move(
        part=part,
        across_mm=board.across_mm,
        coefficient=board.coefficient,
        stand_in=board.stand_in,
        dry_mm=board.dry_mm,
        damp_mm=board.damp_mm,
        strain=0.0,
        room_mm=room,
        verdict="good" if enough else "mind",
        words=told,
    )


def _free(part: str, wood: str, across: float, air: Air) -> Move:
    c, stand_in, dry, damp = _change(coefficient_of(wood, quartersawn=False), across, air)
    return Move(
        part=part,
        across_mm=across,
        coefficient=c,
        stand_in=stand_in,
        dry_mm=dry,
        damp_mm=damp,
        strain=0.0,
        room_mm=None,
        verdict="good",
        words="all four walls move alike, so nothing holds them: keep their grain and cut the same.",
    )


def _bar(wood: str, across: float, air: Air, words: Measure) -> Move:
    """A root bar across its grain, glued to the top, which does not move that way; along it goes with its wall."""
    c, stand_in, dry, damp = _change(coefficient_of(wood, quartersawn=True), across, air)
    moves = max(abs(dry), abs(damp))
    good = moves <= CROSS_GLUE_MM
    said = "its grain crosses the top's, as the wall's does; in height it moves with its wall"
    if good:
        said += f": over a glue joint this narrow, up to {words(CROSS_GLUE_MM)} is borne."
    else:
        most = _narrow_mm(across, moves)
        said += f": more than {words(CROSS_GLUE_MM)} works the glue loose in time. Make root_bar {words(most)} or "
        said += "less, or let the wood come to rest in air as dry as its home."
    return Move(
        part=ROOT_BAR,
        across_mm=across,
        coefficient=c,
        stand_in=stand_in,
        dry_mm=dry,
        damp_mm=damp,
        strain=0.0,
        room_mm=None,
        verdict="good" if good else "mind",
        words=said,
    )


def signed(mm: float, words: Measure) -> str:
    """A change of width with its sign; in inches with its decimals too."""
    return f"{'+' if mm >= 0.0 else chr(0x2212)}{format_length(abs(mm), words.units)}"


def movement_checks(moves: tuple[Move, ...], words: Measure) -> tuple[Check, ...]:
    """The same as checks, with the numbers in words."""
    found = []
    for move in moves:
        known = "mean of the hardwoods in the table" if move.stand_in else "the species' own"
        numbers = (
            f"{signed(move.dry_mm, words)} in the dry season, {signed(move.damp_mm, words)} in the damp, over "
            f"{words(move.across_mm)} ({100.0 * move.coefficient:.3f} % of width per 1 % moisture, {known})"
        )
        found.append(
            Check(
                name=move.part,
                verdict=move.verdict,
                numbers=numbers,
                mend=move.words,
                by=None if move.verdict == "good" else _by(move, words),
            )
        )
    return tuple(found)


def _by(move: Move, words: Measure) -> Mend | None:
    """The change that gives a board the gap its words ask for, or makes a root bar narrow enough; None for others."""
    if move.room_mm is not None and move.damp_mm > move.room_mm:
        table = "bottom" if move.part.startswith("Bottom") else "box"
        return Mend(at=(table, "clearance"), mm=least_mm(_clearance_mm(move.damp_mm), words.units))
    if move.part == ROOT_BAR:
        most = _narrow_mm(move.across_mm, max(abs(move.dry_mm), abs(move.damp_mm)))
        return Mend(at=("box", "root_bar"), mm=most_mm(most, words.units))
    return None


def _clearance_mm(swells_mm: float) -> float:
    """The gap a side that takes up this swelling."""
    return 0.5 * swells_mm + 0.05


def _narrow_mm(across_mm: float, moves_mm: float) -> float:
    """How wide a bar may be that moves so much at this width, for its glue joint to bear it."""
    return across_mm * CROSS_GLUE_MM / moves_mm
