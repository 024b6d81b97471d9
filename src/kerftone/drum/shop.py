"""What a maker intends for the shop: joints, feet, finish, mallets, pickup, boards, and the shop itself.

Plain frozen values, lengths in mm, each with a default, so that a drum file which says nothing of the shop is
whole. The vibration model does not read them: walls meet at the corners as one piece of wood whatever the
joint, and the outside of the box stays where [top], [box] and [bottom] put it. What a joint takes from one
part it gives to another; a recess or a foot relief below the bottom is beyond the model.

The defaults are common practice, no source. What they mean in wood is worked out by `kerftone.shop`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Joint = Literal["mitre with keys", "mitre", "butt", "finger", "rabbet"]
Fit = Literal["under", "let in"]
ReliefShape = Literal["arch", "straight"]
FootKind = Literal["rubber", "wood", "none"]
FinishWhen = Literal["before glue-up", "after glue-up"]
BoredWhen = Literal["before glue-up", "after glue-up"]
WallName = Literal["front", "back", "left", "right"]
Paper = Literal["a4", "letter"]


@dataclass(frozen=True, kw_only=True)
class Keys:
    """Thin strips glued into slots across each mitred corner. `wood` None is the wood of the walls."""

    count: int = 3
    thickness_mm: float = 3.0
    wood: str | None = None


USUAL_KEYS = Keys()


@dataclass(frozen=True, kw_only=True)
class FootRelief:
    """A cut-out in the lower edge of each wall that leaves feet at the corners.

    `inset_mm` is from the outer corner to where the cut-out begins, `rise_mm` how high it goes.
    """

    shape: ReliefShape = "arch"
    rise_mm: float
    inset_mm: float


@dataclass(frozen=True, kw_only=True)
class Feet:
    """Four feet under the corners."""

    kind: FootKind = "rubber"
    diameter_mm: float = 15.0
    height_mm: float = 8.0


USUAL_FEET = Feet()


@dataclass(frozen=True, kw_only=True)
class Finish:
    """What goes on the wood, and when. `hours_between` coats is the maker's own, from the label."""

    kind: str = "drying oil"
    when: FinishWhen = "after glue-up"
    coats: int = 3
    hours_between: float = 24.0


USUAL_FINISH = Finish()


@dataclass(frozen=True, kw_only=True)
class Mallets:
    """How many mallets, the ball and the dowel of each."""

    count: int = 2
    ball: str = "hard rubber"
    ball_mm: float = 25.0
    dowel_mm: float = 8.0
    length_mm: float = 240.0


USUAL_MALLETS = Mallets()


@dataclass(frozen=True, kw_only=True)
class Pickup:
    """A contact disc under the top, a jack and a volume control in one wall.

    `x_mm`, `y_mm` of the disc's middle seen from above, None to let the program choose. `recess_mm` is how deep
    the disc is let into the underside, 0 when it is glued on flat. Holes in the wall: `along` from its left end as
    seen from outside, `up` from its lower edge, None to let the program choose. Thread lengths are of the bushings
    that pass through the wall. `body_depth_mm` is how far a body reaches in behind the wall.
    """

    disc_mm: float = 27.0
    x_mm: float | None = None
    y_mm: float | None = None
    recess_mm: float = 0.0
    wall: WallName = "back"
    jack_along_mm: float | None = None
    jack_up_mm: float | None = None
    pot_along_mm: float | None = None
    pot_up_mm: float | None = None
    jack_thread_mm: float = 9.5
    pot_thread_mm: float = 9.5
    bushing_mm: float = 9.525
    body_depth_mm: float = 30.0
    load_kohm: float = 500.0
    bored: BoredWhen = "before glue-up"


@dataclass(frozen=True, kw_only=True)
class Stock:
    """Boards on hand, alike; the price is of one, in whatever money the maker counts in."""

    wood: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    count: int = 1
    price: float | None = None


@dataclass(frozen=True, kw_only=True)
class Climate:
    """The air the drum is made in and the air it will live in: relative humidity in %."""

    temperature_c: float = 20.0
    shop_rh_pct: float = 50.0
    home_dry_rh_pct: float = 30.0
    home_damp_rh_pct: float = 65.0


USUAL_CLIMATE = Climate()


@dataclass(frozen=True, kw_only=True)
class Shop:
    """What is in the shop: the board saw's kerf, the paper in the printer, the rule, the bits in the drawer.

    `paper` None is A4 for a drum in mm and Letter for one in inches; `fraction` is the finest part of an inch
    read on the rule. Then the bits for the bores, the steps in which a depth is set, how far off a depth or a
    place may come out, and how much wood must stay over a bore and between it and a slot.
    """

    saw_kerf_mm: float = 3.2
    paper: Paper | None = None
    fraction: int = 32
    bits_mm: tuple[float, ...] = (10.0, 15.0, 20.0, 25.0, 30.0)
    depth_step_mm: float = 0.5
    depth_error_mm: float = 0.3
    place_error_mm: float = 1.0
    min_left_mm: float = 5.0
    min_web_mm: float = 4.0


USUAL_SHOP = Shop()


@dataclass(frozen=True, kw_only=True)
class Wish:
    """The maker's own order: do this step before that one (the names of the steps are in docs/shop.md)."""

    do: str
    before: str


@dataclass(frozen=True, kw_only=True)
class Making:
    """What is to be made beside the wood that sounds, from what boards, in what air and order."""

    finish: Finish = USUAL_FINISH
    mallets: Mallets = USUAL_MALLETS
    pickup: Pickup | None = None
    stock: tuple[Stock, ...] = ()
    climate: Climate = USUAL_CLIMATE
    order: tuple[Wish, ...] = ()


USUAL_MAKING = Making()
