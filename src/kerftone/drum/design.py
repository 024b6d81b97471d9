"""What a maker intends: one drum, as plain frozen values.

These are the contents of `drum.toml` after reading: lengths in millimetres whatever the file's
units, woods already looked up. Axes of the top: x along the length, y across from the front edge,
z up from the underside. Nothing here computes; the outline (`outline.py`) and the model (`modal/`)
do. Values are checked when a file is read (`file.py`), not here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from kerftone.drum.shop import (
    USUAL_FEET,
    USUAL_KEYS,
    USUAL_MAKING,
    USUAL_SHOP,
    Feet,
    Fit,
    FootRelief,
    Joint,
    Keys,
    Making,
    Shop,
)
from kerftone.pitch import Temperament, targets_hz
from kerftone.wood.elastic import Elastic
from kerftone.wood.species import USUAL_SCATTER, Scatter

Side = Literal["left", "right"]
Cut = Literal["flatsawn", "quartersawn"]
Mount = Literal["on walls", "in ledge"]
Stands = Literal["held", "free"]
Units = Literal["mm", "in"]
EndShape = Literal["square", "round", "slant", "curve"]
Path = tuple[tuple[float, float], ...]

TIP_WEIGHT_MM = 10.0
"""How far from the tip, on the centre line, a weight is fixed."""


@dataclass(frozen=True, kw_only=True)
class Tuning:
    """How notes become pitches, and how far off is in tune.

    overtone: how many times its note a tongue's first overtone should be; None to leave it alone when boring.
    """

    reference_hz: float = 440.0
    temperament: Temperament = "equal"
    tolerance_cents: float = 5.0
    aim_cents: float = -30.0
    overtone: float | None = None


@dataclass(frozen=True, kw_only=True)
class Top:
    """The board that is sawn into tongues. `elastic` is the species' or the maker's own, resolved.

    `scatter` is how far the real board may be from it (also in Box and Bottom). `board` names the file of a
    measured board, if it is one; `untested` is then the scatter of its species, which the taps have shrunk.
    `moisture_pct` is the moisture at which `elastic` holds.
    """

    wood: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    elastic: Elastic
    cut: Cut = "flatsawn"
    grain_angle_deg: float = 0.0
    scatter: Scatter = USUAL_SCATTER
    board: str | None = None
    moisture_pct: float = 12.0
    untested: Scatter | None = None


@dataclass(frozen=True, kw_only=True)
class Slots:
    """Where the saw goes. A path for `tongue_end` is (along, across) pairs in mm from the tip's middle."""

    kerf_mm: float
    end_margin_mm: float
    side_margin_mm: float
    stop_hole_mm: float = 0.0
    tongue_end: EndShape | Path = "square"


@dataclass(frozen=True, kw_only=True)
class Tongue:
    """One note. Row, side and length are None until the maker or `fit` gives them.

    What only the bench does: `lengthened_mm`, how much further than the root line both slots beside it reach;
    `weight_g`, a mass fixed under it `TIP_WEIGHT_MM` from its tip.
    """

    note: str
    row: int | None = None
    side: Side | None = None
    length_mm: float | None = None
    lengthened_mm: float = 0.0
    weight_g: float = 0.0

    @property
    def place(self) -> str:
        """What its place is called: L or R for the side its root is on, then its row from the front.

        A tongue that has no place yet is called by its note.
        """
        return f"{self.side[0].upper()}{self.row}" if self.side and self.row else self.note


@dataclass(frozen=True, kw_only=True)
class Bore:
    """A round blind pocket in the underside, seen from above, from the left front corner."""

    x_mm: float
    y_mm: float
    diameter_mm: float
    depth_mm: float


@dataclass(frozen=True, kw_only=True)
class Box:
    """Four walls under the top, grain along each wall, T up, R through.

    From `joint` on the model takes no notice: see `shop.py`. `clearance_mm` is the gap all round a top let in
    on a ledge. `keys` counts only with mitres that have keys. A root bar is glued inside each end wall, under the
    top, to stiffen the tongues' roots: `root_bar_mm` wide along the tongues (0: none), `root_bar_height_mm` high.
    """

    wood: str
    elastic: Elastic
    wall_mm: float
    height_mm: float
    mount: Mount = "on walls"
    ledge_mm: float = 0.0
    root_bar_mm: float = 0.0
    root_bar_height_mm: float = 0.0
    stands: Stands = "held"
    scatter: Scatter = USUAL_SCATTER
    joint: Joint = "mitre"
    keys: Keys = USUAL_KEYS
    clearance_mm: float = 0.5
    foot_relief: FootRelief | None = None
    round_over_mm: float = 3.0
    feet: Feet = USUAL_FEET


@dataclass(frozen=True, kw_only=True)
class Bottom:
    """A board that closes the box below, grain along the length.

    The model glues it under the walls at full outer size. `fit` "let in" makes the walls longer by the
    bottom's thickness and lets it into a rabbet there, `clearance_mm` short all round, `recess_mm` above the
    walls' lower edge (a recess lengthens the walls beyond the model).
    """

    wood: str
    elastic: Elastic
    thickness_mm: float
    scatter: Scatter = USUAL_SCATTER
    cut: Cut = "flatsawn"
    fit: Fit = "under"
    clearance_mm: float = 0.5
    recess_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Drum:
    """One drum as intended."""

    name: str
    tuning: Tuning
    top: Top
    slots: Slots
    tongues: tuple[Tongue, ...]
    box: Box
    bores: tuple[Bore, ...] = ()
    bottom: Bottom | None = None
    units: Units = "mm"
    making: Making = USUAL_MAKING
    shop: Shop = USUAL_SHOP

    @property
    def targets_hz(self) -> tuple[float, ...]:
        """The pitch each tongue is to sound once tuned, in Hz, in the order of `tongues`."""
        notes = tuple(tongue.note for tongue in self.tongues)
        tuning = self.tuning
        return targets_hz(notes, reference_hz=tuning.reference_hz, temperament=tuning.temperament)

    def with_lengths(self, lengths_mm: tuple[float, ...]) -> Drum:
        """The same drum with these tongue lengths, in the order of `tongues`."""
        pairs = zip(self.tongues, lengths_mm, strict=True)
        return replace(self, tongues=tuple(replace(t, length_mm=mm) for t, mm in pairs))
