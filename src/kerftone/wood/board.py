"""One board that the maker has sawn, measured, weighed and tapped, and what was found from it.

The length runs along the grain. Sizes in mm, mass in g, moisture in percent of dry mass, tones in Hz. The
board hung or lay free when it was tapped. An offcut strip is a board too: a narrow one.

Reading and writing such a board as a file is in `drum/board_file.py`; finding its constants in
`tune/identify.py`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from kerftone.errors import BoardError
from kerftone.units import Units
from kerftone.wood.axes import Cut as Cut
from kerftone.wood.elastic import Elastic
from kerftone.wood.moisture import dried
from kerftone.wood.species import Scatter, Species, find_species

Motion = Literal["along", "twisting", "across", "unknown"]

LIGHTEST, HEAVIEST = 90.0, 1400.0
"""kg/m³ of the lightest and heaviest woods there are, with some room: from memory (balsa; lignum vitae)."""
RULER_MM, SCALE_G = 0.1, 1.0
"""How far a careful measurement is off, one standard deviation: our own estimate."""
RATIO_CV = 0.20
"""How far the ratio of one modulus to E_L, or a Poisson's ratio, differs between boards of one species: our own
estimate. Between the hardwoods of the species table the ratios differ more, by 10 to 45 %."""


@dataclass(frozen=True, kw_only=True)
class Tap:
    """One tone that was heard, and which motion the hold and the tap were meant to bring out."""

    hz: float
    motion: Motion = "along"
    plus_minus_cents: float = 3.0


@dataclass(frozen=True, kw_only=True)
class Found:
    """What the taps told: constants, and the covariance of their natural logarithms.

    `covariance` (10 by 10, order of the fields of `Elastic`) is for a top sawn from this board as thick as it
    was tapped: an error in the measured thickness is then in the board and in the drum alike, and cancels.
    `by_thickness` is how much each logarithm would move with one standard deviation of that error, which must
    be added when the board is planed.
    """

    elastic: Elastic
    covariance: tuple[tuple[float, ...], ...]
    by_thickness: tuple[float, ...]

    def spreads(self) -> tuple[float, ...]:
        """The ± of each constant as a share of it, one standard deviation, error of thickness and all."""
        pairs = zip(range(len(self.covariance)), self.by_thickness, strict=True)
        return tuple(math.sqrt(self.covariance[at][at] + slip**2) for at, slip in pairs)

    def scatter(self, *, as_thick: bool) -> Scatter:
        """How far the wood of this board may be from `elastic`; `as_thick`: not planed since it was tapped."""
        slip = (0.0,) * len(self.by_thickness) if as_thick else self.by_thickness
        rows = zip(self.covariance, slip, strict=True)
        return Scatter(
            measured=tuple(tuple(c + a * b for c, b in zip(row, slip, strict=True)) for row, a in rows)
        )


@dataclass(frozen=True, kw_only=True)
class Board:
    """A board as measured, and what was found from its taps, if they have been evaluated.

    `units`: in which it was measured, and in which its maker is told of lengths; here they are in mm.
    """

    species: Species
    length_mm: float
    width_mm: float
    thickness_mm: float
    mass_g: float
    moisture_pct: float = 12.0
    cut: Cut = "flatsawn"
    taps: tuple[Tap, ...] = ()
    found: Found | None = None
    units: Units = "mm"

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Length, width, thickness."""
        return self.length_mm, self.width_mm, self.thickness_mm

    @property
    def density_kg_m3(self) -> float:
        """Mass over volume."""
        return 1e6 * self.mass_g / math.prod(self.size_mm)

    def expected(self) -> Elastic:
        """What a mean board of this species is like at this board's moisture, before any tap."""
        return dried(
            self.species.elastic(),
            from_pct=12.0,
            to_pct=self.moisture_pct,
            movement_pct=movement(self.species),
        )

    def scatter(self) -> Scatter:
        """How far a board of this species may be from that, the ratios of its moduli included."""
        usual = self.species.scatter()
        own = dict(usual.own)
        for name in ("e_r", "e_t", "g_lr", "g_lt", "g_rt", "nu_lr", "nu_lt", "nu_rt"):
            own[name] = math.hypot(own.get(name, 0.0), RATIO_CV)
        return replace(usual, own=tuple(own.items()))


def movement(species: Species) -> float:
    """By how many percent the cross-section of this species grows when its moisture rises by one percent."""
    c_r, c_t = species.c_r or USUAL_C_R, species.c_t or USUAL_C_T
    return 100.0 * (c_r + c_t)


USUAL_C_R, USUAL_C_T = 0.0016, 0.0029
"""Where the table gives none: near the middle of the hardwoods in it."""


def check_board(board: Board) -> None:
    """Refuse sizes and a mass that cannot belong to one board. Raises BoardError, with the mend."""
    length, width, thick = board.size_mm
    if thick >= width:
        raise BoardError(
            f"The thickness is {thick:g} mm and the width {width:g} mm. A board lies flat, so its thickness is "
            f"the smaller: write width {thick:g} and thickness {width:g} if they were swapped.",
            given=thick,
            limit=width,
            nearest=width,
        )
    if width > length:
        raise BoardError(
            f"The width is {width:g} mm and the length {length:g} mm. The length runs along the grain and must "
            "be the longer for the tones to be told apart: swap the two if they were mixed up, or tap a piece "
            "that is longer than wide.",
            given=width,
            limit=length,
            nearest=length,
        )
    if thick > length / 5.0:
        raise BoardError(
            f"The thickness is {thick:g} mm and the length {length:g} mm. A piece that thick has no clear "
            f"bending tone: tap one at least {5.0 * thick:g} mm long.",
            given=thick,
            limit=length / 5.0,
            nearest=length / 5.0,
        )
    density = board.density_kg_m3
    if not LIGHTEST <= density <= HEAVIEST:
        raise BoardError(_wrong_mass(board, density), given=board.mass_g, limit=density)


def _wrong_mass(board: Board, density: float) -> str:
    likely = board.species.density_kg_m3
    mass = board.mass_g * likely / density
    text = (
        f"The mass {board.mass_g:g} g in {board.length_mm:g} x {board.width_mm:g} x {board.thickness_mm:g} mm is "
        f"{density:.3g} kg/m³. Wood is from {LIGHTEST:g} to {HEAVIEST:g}: "
    )
    for factor, slip in ((1e3, "kilograms"), (1e-3, "milligrams"), (28.35, "ounces"), (453.6, "pounds")):
        if 0.6 < density * factor / likely < 1.6:
            return text + f"it looks like {slip}; in grams that is {board.mass_g * factor:.4g}."
    return (
        text
        + f"a mean board of {board.species.name} of this size is about {mass:.3g} g. Weigh and measure again."
    )


def new_board(
    species: str, size_mm: tuple[float, float, float], mass_g: float, moisture_pct: float, cut: Cut
) -> Board:
    """A board just measured, not yet tapped. Raises SpeciesError and BoardError.

    Parameters
    ----------
    species : str
        By any of its names.
    size_mm : tuple[float, float, float]
        Length along the grain, width and thickness, in mm.
    mass_g : float
        In g.
    moisture_pct : float
        In percent.
    cut : Cut
        How its growth rings lie.
    """
    board = Board(
        species=find_species(species),
        length_mm=size_mm[0],
        width_mm=size_mm[1],
        thickness_mm=size_mm[2],
        mass_g=mass_g,
        moisture_pct=moisture_pct,
        cut=cut,
    )
    check_board(board)
    return board
