"""What a maker intends for the shop: joints, feet, finish, mallets, pickup, boards, and the shop itself.

Plain frozen values with the keys that state them (`file_keys.py`), lengths in mm, each with a default, so that a
drum file which says nothing of the shop is whole. The vibration model does not read them: walls meet at the corners
as one piece of wood whatever the joint, and the outside of the box stays where [top], [box] and [bottom] put it. What
a joint takes from one part it gives to another; a recess or a foot relief below the bottom is beyond the model.

The defaults are common practice, no source. What they mean in wood is worked out by `kerftone.shop`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal

from kerftone.drum.file_keys import Key
from kerftone.drum.values import BitsValue, Whole, Within

Joint = Literal["mitre with keys", "mitre", "butt", "finger", "rabbet"]
JOINT_WORDS = '"mitre", "mitre with keys", "butt", "finger" or "rabbet"; the pitch is the same'
Fit = Literal["under", "let in", "on a lip"]
ReliefShape = Literal["arch", "straight"]
FootKind = Literal["rubber", "felt", "cork", "wood", "none"]
On = Literal["nothing", "feet", "table", "lap"]
"""What a drum is played on. nothing: in the open, as on a stand or in the hands. feet: on its feet, on a hard table.
table: flat on it."""
FinishFaces = Literal["outside", "inside too"]
FinishWhen = Literal["before glue-up", "after glue-up"]
BoredWhen = Literal["before glue-up", "after glue-up"]
WallName = Literal["front", "back", "left", "right"]
Face = Literal["top", "bottom"]
Sides = Literal["quiet", "played"]
Paper = Literal["a4", "letter"]
Ball = Literal["soft rubber", "hard rubber", "wood"]
InchParts = Literal[16, 32, 64]


@dataclass(frozen=True, kw_only=True)
class Keys:
    """Thin strips glued into slots across each mitred corner. `wood` None is the wood of the walls."""

    count: Annotated[int, Whole(1, 12), Key("at each corner")] = 3
    thickness_mm: Annotated[float, Within(1.0, 12.0, "length"), Key("of one key", inch=0.125)] = 3.0
    wood: Annotated[str | None, Key("the walls' own unless you say")] = None


USUAL_KEYS = Keys()


@dataclass(frozen=True, kw_only=True)
class FootRelief:
    """A cut-out in the lower edge of each wall that leaves feet at the corners.

    `inset_mm` is from the outer corner to where the cut-out begins, `rise_mm` how high it goes.
    """

    shape: Annotated[ReliefShape, Key("of the cut-out", always=True)] = "arch"
    rise_mm: Annotated[float, Within(2.0, 200.0, "length"), Key("how high it goes")]
    inset_mm: Annotated[float, Within(10.0, 500.0, "length"), Key("from the outer corner")]


RUBBER_MPA, WOOD_MPA = 3.0, 600.0
"""How stiff feet are when squeezed: rubber of about Shore A 50, and wood across the grain (both from memory)."""
FELT_MPA = 1.7
"""Wool felt when it is shaken. A mass on felt an inch thick swings at some 20 Hz or more, soft or hard felt and
whatever presses on it from 6 psi up (The Properties of Felt in the Reduction of Noise and Vibration, J. Acoust. Soc.
Am. 1947, its abstract; the year from memory): (2 pi 20 Hz)² x 25.4 mm / g x 41 kPa. A drum presses about so hard."""
CORK_MPA = 17.0
"""Agglomerated cork in compression, 17.0 +- 1.8 MPa (Procedia Structural Integrity 12, 2018, 317-329, Table 1)."""
FOOT_MPA: dict[FootKind, float] = {
    "rubber": RUBBER_MPA,
    "felt": FELT_MPA,
    "cork": CORK_MPA,
    "wood": WOOD_MPA,
    "none": WOOD_MPA,
}


@dataclass(frozen=True, kw_only=True)
class Feet:
    """Four feet under the corners."""

    kind: Annotated[FootKind, Key("what they are of")] = "rubber"
    diameter_mm: Annotated[float, Within(5.0, 100.0, "length"), Key("of a foot", inch=0.625)] = 15.0
    height_mm: Annotated[float, Within(1.0, 100.0, "length"), Key("of a foot", inch=0.3125)] = 8.0

    @property
    def area_mm2(self) -> float:
        """What one foot covers, in mm²."""
        return math.pi * (0.5 * self.diameter_mm) ** 2

    @property
    def stiff_n_mm(self) -> float:
        """How stiff one foot is when squeezed, in N/mm; without feet the walls stand there themselves, of wood."""
        return FOOT_MPA[self.kind] * self.area_mm2 / self.height_mm


USUAL_FEET = Feet()


@dataclass(frozen=True, kw_only=True)
class Finish:
    """What goes on the wood, and when. `hours_between` coats is the maker's own, from the label."""

    kind: Annotated[str, Key("whatever goes on the wood")] = "drying oil"
    when: Annotated[FinishWhen, Key('"before glue-up" or "after glue-up"')] = "after glue-up"
    coats: Annotated[int, Whole(0, 20), Key("how many")] = 3
    hours_between: Annotated[float, Within(0.0, 1000.0, "hours"), Key("coats, from the label")] = 24.0
    dry_g_m2: Annotated[
        float,
        Within(0.0, 1000.0, "g/m2"),
        Key("what it weighs on one face when dry, all coats; 0: not counted"),
    ] = 0.0
    faces: Annotated[FinishFaces, Key('"outside", or "inside too": on both faces of every board')] = "outside"


USUAL_FINISH = Finish()


@dataclass(frozen=True, kw_only=True)
class Mallets:
    """How many mallets, the ball and the dowel of each."""

    count: Annotated[int, Whole(0, 12), Key("how many to make")] = 2
    ball: Annotated[Ball, Key("what the ball is of")] = "hard rubber"
    ball_mm: Annotated[float, Within(10.0, 80.0, "length"), Key("of the ball", name="diameter", inch=1.0)] = (
        25.0
    )
    dowel_mm: Annotated[float, Within(3.0, 20.0, "length"), Key("diameter of the handle", inch=0.3125)] = 8.0
    length_mm: Annotated[float, Within(80.0, 600.0, "length"), Key("of the handle", inch=9.5)] = 240.0


USUAL_MALLETS = Mallets()


@dataclass(frozen=True, kw_only=True)
class Pickup:
    """A contact disc under the top or on the bottom's inside, a jack and a volume control in one wall.

    `x_mm`, `y_mm` of the disc's middle seen from above, None to let the program choose; `on`: where it is glued.
    `recess_mm` is how deep the disc is let into the underside, 0 when it is glued on flat. Holes in the wall:
    `along` from its left end as seen from outside, `up` from its lower edge, None to let the program choose. Thread
    lengths are of the bushings that pass through the wall. `body_depth_mm` is how far a body reaches in behind the
    wall.
    """

    disc_mm: Annotated[float, Within(8.0, 60.0, "length"), Key("diameter of the disc")] = 27.0
    x_mm: Annotated[
        float | None, Within(0.0, 2000.0, "length"), Key("of its middle, from the left end, seen from above")
    ] = None
    y_mm: Annotated[
        float | None, Within(0.0, 1000.0, "length"), Key("of its middle, from the front edge")
    ] = None
    on: Annotated[
        Face,
        Key('glued under the "top", or on the inside of the "bottom", where notes are heard more evenly'),
    ] = "top"
    recess_mm: Annotated[
        float, Within(0.0, 2.0, "length"), Key("how deep the disc is let into that face")
    ] = 0.0
    wall: Annotated[WallName, Key("the wall with the jack and the volume control")] = "back"
    jack_along_mm: Annotated[
        float | None,
        Within(0.0, 2000.0, "length"),
        Key("of the hole's middle from the wall's left end, seen from outside"),
    ] = None
    jack_up_mm: Annotated[
        float | None, Within(0.0, 500.0, "length"), Key("of the hole's middle over the wall's lower edge")
    ] = None
    pot_along_mm: Annotated[
        float | None, Within(0.0, 2000.0, "length"), Key("the same for the volume control")
    ] = None
    pot_up_mm: Annotated[
        float | None, Within(0.0, 500.0, "length"), Key("the same for the volume control")
    ] = None
    jack_thread_mm: Annotated[
        float, Within(2.0, 60.0, "length"), Key("length of the jack's thread", inch=0.375)
    ] = 9.5
    pot_thread_mm: Annotated[
        float, Within(2.0, 60.0, "length"), Key("of the volume control's thread", inch=0.375)
    ] = 9.5
    bushing_mm: Annotated[float, Within(3.0, 25.0, "length"), Key("diameter of both holes")] = 9.525
    body_depth_mm: Annotated[
        float, Within(3.0, 100.0, "length"), Key("how far a body reaches in behind the wall", inch=1.25)
    ] = 30.0
    load_kohm: Annotated[float, Within(1.0, 100000.0, "kOhm"), Key("what the disc is connected to")] = 500.0
    sides: Annotated[
        Sides, Key('knocks on the walls: noise to be kept down ("quiet"), or "played" and heard as a note is')
    ] = "quiet"
    bored: Annotated[BoredWhen, Key("the holes in that wall")] = "before glue-up"


@dataclass(frozen=True, kw_only=True)
class Stock:
    """Boards on hand, alike; the price is of one, in whatever money the maker counts in."""

    wood: Annotated[str, Key("the species")]
    length_mm: Annotated[float, Within(50.0, 6000.0, "length"), Key("along the grain")]
    width_mm: Annotated[float, Within(20.0, 1500.0, "length"), Key("across the grain")]
    thickness_mm: Annotated[float, Within(2.0, 150.0, "length"), Key("as it lies there")]
    count: Annotated[int, Whole(1, 99), Key("how many such boards")] = 1
    price: Annotated[float | None, Within(0.0, 1e6, ""), Key("of one board")] = None


@dataclass(frozen=True, kw_only=True)
class Climate:
    """The air the drum is made in and the air it will live in: relative humidity in %."""

    temperature_c: Annotated[float, Within(-10.0, 45.0, "degrees C"), Key("of the air")] = 20.0
    shop_rh_pct: Annotated[float, Within(5.0, 95.0, "%"), Key("relative humidity where the drum is made")] = (
        50.0
    )
    home_dry_rh_pct: Annotated[
        float, Within(5.0, 95.0, "%"), Key("where it will live, in the driest weeks")
    ] = 30.0
    home_damp_rh_pct: Annotated[
        float, Within(5.0, 95.0, "%"), Key("where it will live, in the dampest weeks")
    ] = 65.0


USUAL_CLIMATE = Climate()


@dataclass(frozen=True, kw_only=True)
class Shop:
    """What is in the shop: the board saw's kerf, the paper in the printer, the rule, the bits in the drawer.

    `paper` None is A4 for a drum in mm and Letter for one in inches; `fraction` is the finest part of an inch
    read on the rule. Then the bits for the bores, the steps in which a depth is set, how far off a depth or a
    place may come out, and how much wood must stay over a bore and between it and a slot.
    """

    saw_kerf_mm: Annotated[
        float, Within(0.3, 12.0, "length"), Key("of the saw that cuts the boards to size", inch=0.125)
    ] = 3.2
    paper: Annotated[Paper | None, Key('"a4" or "letter"; left out: "a4" with mm, "letter" with in')] = None
    fraction: Annotated[InchParts, Key("the finest part of an inch on your rule: 16, 32 or 64")] = 32
    bits_mm: Annotated[
        tuple[float, ...], BitsValue(), Key("the bits you bore with", inch=(0.375, 0.625, 0.75, 1.0, 1.25))
    ] = (
        10.0,
        15.0,
        20.0,
        25.0,
        30.0,
    )
    depth_step_mm: Annotated[
        float, Within(0.05, 10.0, "length"), Key("the steps in which a depth is set", inch=1 / 64)
    ] = 0.5
    depth_error_mm: Annotated[float, Within(0.01, 5.0, "length"), Key("how far off a depth may come out")] = (
        0.3
    )
    place_error_mm: Annotated[
        float, Within(0.01, 20.0, "length"), Key("how far off a bore's middle may come out")
    ] = 1.0
    min_left_mm: Annotated[
        float, Within(1.0, 50.0, "length"), Key("wood that must stay over a bore", inch=0.1875)
    ] = 5.0
    min_web_mm: Annotated[
        float, Within(0.5, 50.0, "length"), Key("wood that must stay between a bore and a slot", inch=0.15625)
    ] = 4.0


USUAL_SHOP = Shop()


@dataclass(frozen=True, kw_only=True)
class Wish:
    """The maker's own order: do this step before that one (the names of the steps are in docs/shop.md)."""

    do: Annotated[str, Key("this step, by its name in docs/shop.md")]
    before: Annotated[str, Key("comes before this one")]


@dataclass(frozen=True, kw_only=True)
class Making:
    """What is to be made beside the wood that sounds, from what boards, in what air and order."""

    finish: Annotated[Finish, Key("what goes on the wood, and when")] = USUAL_FINISH
    mallets: Annotated[Mallets, Key("to play it with")] = USUAL_MALLETS
    pickup: Annotated[
        Pickup | None, Key("a contact disc under the top, a jack and a volume control in one wall")
    ] = None
    stock: Annotated[tuple[Stock, ...], Key("Boards on hand, alike.")] = ()
    climate: Annotated[Climate, Key("the air it is made in, and the air it will live in")] = USUAL_CLIMATE
    order: Annotated[tuple[Wish, ...], Key("Your own order of work: one step before another.")] = ()


USUAL_MAKING = Making()
