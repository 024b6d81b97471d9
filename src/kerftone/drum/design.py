"""What a maker intends: one drum, as plain frozen values.

These are the contents of `drum.toml` after reading: lengths in millimetres whatever the file's
units, woods already looked up. Axes of the top: x along the length, y across from the front edge,
z up from the underside. Nothing here computes; the outline (`outline.py`) and the model (`modal/`)
do. Values are checked when a file is read (`file.py`), not here. A field that the file can state carries the
declaration of its key (`file_keys.py`): adding a key is adding a field.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Literal

from kerftone.drum.bow_value import BOW_ABOUT, BowsValue
from kerftone.drum.file_keys import Key
from kerftone.drum.knots import KNOTS_ABOUT, Knot, KnotsValue
from kerftone.drum.own_wood import ABOUT, ElasticTable
from kerftone.drum.ply_value import PLIES_ABOUT, PliesValue
from kerftone.drum.shop import (
    JOINT_WORDS,
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
from kerftone.drum.uneven import CORNERS_ABOUT, FiveLengths
from kerftone.drum.values import EndValue, NoneOr, Within
from kerftone.drum.values import Path as Path
from kerftone.pitch import TEMPERAMENTS, Temperament, targets_hz
from kerftone.wood.axes import Cut as Cut
from kerftone.wood.elastic import Elastic
from kerftone.wood.laminate import GLUE_G_M2, Ply
from kerftone.wood.species import USUAL_SCATTER, Scatter

Side = Literal["left", "right"]
Mount = Literal["on walls", "in ledge", "on a lip"]
Glued = Literal["lip", "ledge", "ledge and edges"]
Stands = Literal["held", "free"]
Units = Literal["mm", "in"]
EndShape = Literal["square", "round", "slant", "curve"]
HolePart = Literal["front", "back", "left", "right", "bottom"]

TIP_WEIGHT_MM = 10.0
"""How far from the tip, on the centre line, a weight is fixed."""


_TEMPERAMENTS = ", or ".join(
    f'"{name}": {one.words}' if one.words else f'"{name}"' for name, one in TEMPERAMENTS.items()
)


@dataclass(frozen=True, kw_only=True)
class Tuning:
    """How notes become pitches, and how far off is in tune.

    overtone: how many times its note a tongue's first overtone should be; None to leave it alone when boring.
    """

    reference_hz: Annotated[
        float, Within(380.0, 500.0, "Hz"), Key("the A above middle C, A4", always=True)
    ] = 440.0
    temperament: Annotated[Temperament, Key(_TEMPERAMENTS, always=True)] = "equal"
    tolerance_cents: Annotated[
        float,
        Within(0.1, 100.0, "cents"),
        Key("how near counts as in tune; 100 cents are a semitone", always=True),
    ] = 5.0
    aim_cents: Annotated[
        float,
        Within(-200.0, 200.0, "cents"),
        Key("cut this much flat; the pitch is raised at the bench by boring", always=True),
    ] = -30.0
    overtone: Annotated[
        float | None,
        Within(2.5, 9.0, "times the note"),
        Key("how many times its note a tongue's first overtone should be"),
    ] = None


@dataclass(frozen=True, kw_only=True)
class Top:
    """The board that is sawn into tongues. `elastic` is the species' or the maker's own, resolved.

    `scatter` is how far the real board may be from it (also in Box and Bottom). `board` names the file of a
    measured board, if it is one; `untested` is then the scatter of its species, which the taps have shrunk.
    `moisture_pct` is the moisture at which `elastic` holds. `plies`, from the upper face down, make it plywood or a
    laminated board: `elastic` is then that of one solid board that bends and weighs as they do.
    `lip_mm` is how far the lip of a top on a lip reaches over the walls, `lip_thickness_mm` what is left of the
    thickness there; length and width have the lips in them.
    """

    wood: Annotated[
        str, Key("the species; its published mean stands in until you tap the board", in_file=str)
    ]
    board: Annotated[str | None, Key("the file of a board that was tapped, in place of wood and elastic")] = (
        None
    )
    length_mm: Annotated[float, Within(100.0, 2000.0, "length"), Key("along the tongues")]
    width_mm: Annotated[float, Within(40.0, 1000.0, "length"), Key("across the tongues")]
    thickness_mm: Annotated[float, Within(4.0, 60.0, "length"), Key("as planed, everywhere the same")]
    thickness_at_mm: Annotated[tuple[float, ...], FiveLengths(), Key(CORNERS_ABOUT)] = ()
    knots_mm: Annotated[tuple[Knot, ...], KnotsValue(), Key(KNOTS_ABOUT)] = ()
    lip_mm: Annotated[
        float,
        Within(0.0, 60.0, "length"),
        Key("of a top on a lip: how far it reaches over the walls"),
    ] = 0.0
    lip_thickness_mm: Annotated[
        float, Within(0.0, 60.0, "length"), Key("of that lip: what is left of the thickness there")
    ] = 0.0
    elastic: Annotated[Elastic, Key(ABOUT, in_file=ElasticTable)]
    plies: Annotated[tuple[Ply, ...], PliesValue(), Key(PLIES_ABOUT, in_file=tuple)] = ()
    glue_g_m2: Annotated[
        float, Within(0.0, 500.0, "g/m2"), Key("of plies: what one glue line weighs when dry")
    ] = GLUE_G_M2
    cut: Annotated[
        Cut, Key('"flatsawn": rings flat in the end grain; "quartersawn": rings upright', always=True)
    ] = "flatsawn"
    grain_angle_deg: Annotated[
        float,
        Within(-90.0, 90.0, "degrees"),
        Key("of the grain to the length, from above, counter-clockwise", always=True),
    ] = 0.0
    grain_dive_deg: Annotated[
        float,
        Within(-45.0, 45.0, "degrees"),
        Key("of the grain out of the board's plane, seen from the front edge: rising to the right"),
    ] = 0.0
    loss: Annotated[
        float | None,
        Within(0.001, 0.1, ""),
        Key("loss factor along the grain, if measured: 2.2 / (pitch in Hz x T60 in s) of a strip hung free"),
    ] = None
    scatter: Scatter = USUAL_SCATTER
    moisture_pct: float = 12.0
    untested: Scatter | None = None


@dataclass(frozen=True, kw_only=True)
class Slots:
    """Where the saw goes. A path for `tongue_end` is (along, across) in mm from the tip line's middle: see `Path`."""

    kerf_mm: Annotated[float, Within(0.3, 12.0, "length"), Key("width of your saw cut: measure one in scrap")]
    end_margin_mm: Annotated[
        float, Within(5.0, 500.0, "length"), Key("from the board's end to the roots of the tongues")
    ]
    side_margin_mm: Annotated[
        float, Within(5.0, 500.0, "length"), Key("from the board's edge to the middle of the outer slots")
    ]
    stop_hole_mm: Annotated[
        float,
        Within(0.0, 40.0, "length"),
        Key("diameter of a hole at each slot end, 0 for none", always=True),
    ] = 0.0
    countersink_mm: Annotated[
        float, Within(0.0, 60.0, "length"), Key("how wide those holes are countersunk, for looks; 0 for none")
    ] = 0.0
    round_over_mm: Annotated[
        float,
        Within(0.0, 20.0, "length"),
        Key("radius that the slots' edges are rounded to on the upper face, before tuning; 0 for sharp ones"),
    ] = 0.0
    tongue_end: Annotated[
        EndShape | Path,
        EndValue(),
        Key('"square", "round", "slant", "curve", or your own points', always=True),
    ] = "square"
    bow_mm: Annotated[tuple[float, ...], BowsValue(), Key(BOW_ABOUT)] = ()


@dataclass(frozen=True, kw_only=True)
class Tongue:
    """One note. Row, side and length are None until the maker or `fit` gives them.

    `end` is None where the tongue ends as `Slots.tongue_end` says: see `Drum.end_of`.
    What only the bench does: `lengthened_mm`, how much further than the root line both slots beside it reach;
    `weight_g`, a mass fixed under it `TIP_WEIGHT_MM` from its tip.
    """

    note: Annotated[str, Key('its pitch, such as "D3"')]
    row: Annotated[int | None, Key("counted from the front edge")] = None
    side: Annotated[Side | None, Key("where the root is")] = None
    length_mm: Annotated[float | None, Within(30.0, 1500.0, "length"), Key("from root to tip")] = None
    end: Annotated[
        EndShape | Path | None, EndValue(own=True), Key("its own end, where it is not as tongue_end says")
    ] = None
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

    x_mm: Annotated[float, Within(0.0, 2000.0, "length"), Key("of its middle, from the left end")]
    y_mm: Annotated[float, Within(0.0, 1000.0, "length"), Key("of its middle, from the front edge")]
    diameter_mm: Annotated[float, Within(2.0, 100.0, "length"), Key("of the bit")]
    depth_mm: Annotated[float, Within(0.1, 60.0, "length"), Key("from the underside up")]


@dataclass(frozen=True, kw_only=True)
class Box:
    """Four walls under the top, grain along each wall, T up, R through.

    `height_mm` is up to the face that carries the top, or its lip. `clearance_mm` is the gap all round a top let in
    on a ledge, or round the body of one on a lip; `glued` says where such a top holds, and that of a ledge counts:
    with "ledge" alone the gap is air, else glue fills it (`seat.py`). From `joint` on the model takes no notice but
    of these two: see `shop.py`. `keys` counts only with mitres that have keys. A root bar is glued inside each end
    wall, under the top, to stiffen the tongues' roots: `root_bar_mm` wide along the tongues (0: none),
    `root_bar_height_mm` high. What only the bench does: `clamped`, the top held down by clamps and not glued yet.
    """

    wood: Annotated[str, Key("the species of the walls", in_file=str)]
    elastic: Annotated[Elastic, Key(ABOUT, in_file=ElasticTable)]
    wall_mm: Annotated[float, Within(3.0, 60.0, "length"), Key("thickness of the walls")]
    height_mm: Annotated[
        float, Within(5.0, 600.0, "length"), Key("of the walls, up to the face that carries the top")
    ]
    mount: Annotated[
        Mount,
        Key('"on walls": glued on; "in ledge": let in, flush; "on a lip": hung in', always=True),
    ] = "on walls"
    ledge_mm: Annotated[float, Within(0.0, 60.0, "length"), Key("width of that ledge")] = 0.0
    glued: Annotated[
        Glued,
        Key(
            '"ledge": air in the gap, so with a clearance; "ledge and edges": glue',
            in_file=Glued,
            always=True,
            only=("mount", "in ledge"),
        ),
    ] = "ledge and edges"
    root_bar_mm: Annotated[
        float, NoneOr(10.0, 80.0, "length"), Key("a bar inside each end wall: width along the tongues")
    ] = 0.0
    # lower than 15 mm it is a fillet that stiffens nothing; how high the walls are is judged in `build.py`
    root_bar_height_mm: Annotated[
        float, NoneOr(15.0, 600.0, "length"), Key("of those bars, down from the top")
    ] = 0.0
    stands: Annotated[
        Stands, Key('"held": underside held still, as in a vice; "free": on soft feet', always=True)
    ] = "held"
    scatter: Scatter = USUAL_SCATTER
    joint: Annotated[Joint, Key(JOINT_WORDS, always=True)] = "mitre"
    clearance_mm: Annotated[
        float,
        Within(0.0, 10.0, "length"),
        Key("gap round a top on a ledge, or the body of one on a lip", in_file=float, inch=1 / 64),
    ] = 0.5
    round_over_mm: Annotated[
        float, Within(0.0, 30.0, "length"), Key("radius of the box's outer edges", inch=0.125)
    ] = 3.0
    keys: Annotated[Keys, Key("strips glued into slots across the corners, with such mitres")] = USUAL_KEYS
    foot_relief: Annotated[
        FootRelief | None, Key("a cut-out in the walls' lower edge that leaves feet at the corners")
    ] = None
    feet: Annotated[Feet, Key("under the corners")] = USUAL_FEET
    clamped: bool = False


@dataclass(frozen=True, kw_only=True)
class Bottom:
    """A board that closes the box below, grain along the length.

    The model glues it under the walls at full outer size. `fit` "let in" makes the walls longer by the
    bottom's thickness and lets it into a rabbet there, `clearance_mm` short all round, `recess_mm` above the
    walls' lower edge (a recess lengthens the walls beyond the model). "on a lip" is in the model as it is cut: a lip
    `lip_mm` over the walls and `lip_thickness_mm` thick lies in a rabbet of the walls, which are longer by that and
    the recess; the rest of the bottom stands up into the box, `clearance_mm` off the walls.
    """

    wood: Annotated[str, Key("the species of the bottom", in_file=str)]
    elastic: Annotated[Elastic, Key(ABOUT, in_file=ElasticTable)]
    thickness_mm: Annotated[float, Within(2.0, 60.0, "length"), Key("as planed")]
    plies: Annotated[tuple[Ply, ...], PliesValue(), Key(PLIES_ABOUT, in_file=tuple)] = ()
    glue_g_m2: Annotated[
        float, Within(0.0, 500.0, "g/m2"), Key("of plies: what one glue line weighs when dry")
    ] = GLUE_G_M2
    scatter: Scatter = USUAL_SCATTER
    cut: Annotated[Cut, Key("its growth rings, as of the top")] = "flatsawn"
    fit: Annotated[
        Fit, Key('"under" the walls; "let in" to a rabbet in them; "on a lip" in such a rabbet')
    ] = "under"
    clearance_mm: Annotated[
        float,
        Within(0.0, 10.0, "length"),
        Key("gap all round a bottom let in, or its body on a lip", inch=1 / 64),
    ] = 0.5
    recess_mm: Annotated[
        float, Within(0.0, 100.0, "length"), Key("of a bottom let in or on a lip, above the walls' edge")
    ] = 0.0
    lip_mm: Annotated[
        float, Within(0.0, 60.0, "length"), Key("of a bottom on a lip: how far it reaches over the walls")
    ] = 0.0
    lip_thickness_mm: Annotated[
        float, Within(0.0, 60.0, "length"), Key("of that lip: what is left of the thickness there")
    ] = 0.0


@dataclass(frozen=True, kw_only=True)
class SoundHole:
    """An opening in a wall or in the bottom, that the box breathes through besides its slots.

    Round, or with `length_mm` a slot with round ends that lies along its part. `along_mm` and `up_mm` are of its
    middle in the part's own frame: of a wall as the holes of a pickup, of the bottom from the left front corner of
    the board; None is in the middle of what is free. Air is what it counts for: the wood is solved as if it were
    whole (docs/model.md says what that is worth).
    """

    part: Annotated[HolePart, Key('the wall it is in: "front", "back", "left", "right"; or "bottom"')]
    diameter_mm: Annotated[float, Within(3.0, 300.0, "length"), Key("of a round hole; of a slot its width")]
    length_mm: Annotated[
        float | None, Within(3.0, 1000.0, "length"), Key("of a slot with round ends, from end to end")
    ] = None
    along_mm: Annotated[
        float | None,
        Within(0.0, 2000.0, "length"),
        Key("of its middle from the part's left end: a wall seen from outside, the bottom from above"),
    ] = None
    up_mm: Annotated[
        float | None,
        Within(0.0, 1000.0, "length"),
        Key("of its middle over the wall's lower edge, or from the bottom's front edge"),
    ] = None

    @property
    def long_mm(self) -> float:
        """How long it is along its part."""
        return self.diameter_mm if self.length_mm is None else self.length_mm


_TONGUES = """One [[tongues]] for each note. Lengths, and the places you leave out, are found by fitting.
row: counted from the front edge; side: where the root is; length: from root to tip."""


@dataclass(frozen=True, kw_only=True)
class Drum:
    """One drum as intended."""

    name: Annotated[str, Key("whatever you call this drum")]
    units: Annotated[
        Units, Key('of all lengths here: "mm" or "in"; 5/8, 1 1/4 and 12 mm are read too', always=True)
    ] = "mm"
    tuning: Annotated[Tuning, Key("how notes become pitches")]
    top: Annotated[Top, Key("the board that is sawn into tongues")]
    slots: Annotated[Slots, Key("where the saw goes")]
    tongues: Annotated[tuple[Tongue, ...], Key(_TONGUES)]
    bores: Annotated[
        tuple[Bore, ...],
        Key("Bores in the underside, seen from above, measured from the left front corner."),
    ] = ()
    box: Annotated[Box, Key("the four walls; they move with the top and count in the pitch")]
    bottom: Annotated[
        Bottom | None, Key("glued under the walls; take this table out for a box open below")
    ] = None
    sound_holes: Annotated[
        tuple[SoundHole, ...],
        Key(
            "Sound holes in walls or bottom, round or a slot: the air in the box goes in and out by them too."
        ),
    ] = ()
    making: Annotated[Making, Key("More for the shop, all of it optional", spread=True)] = USUAL_MAKING
    shop: Annotated[Shop, Key("the board saw, the paper, the rule and the bits")] = USUAL_SHOP

    @property
    def targets_hz(self) -> tuple[float, ...]:
        """The pitch each tongue is to sound once tuned, in Hz, in the order of `tongues`."""
        notes = tuple(tongue.note for tongue in self.tongues)
        tuning = self.tuning
        return targets_hz(notes, reference_hz=tuning.reference_hz, temperament=tuning.temperament)

    def end_of(self, tongue: Tongue) -> EndShape | Path:
        """In what shape this tongue ends: its own, or that of all."""
        return self.slots.tongue_end if tongue.end is None else tongue.end

    def with_lengths(self, lengths_mm: tuple[float, ...]) -> Drum:
        """The same drum with these tongue lengths, in the order of `tongues`."""
        pairs = zip(self.tongues, lengths_mm, strict=True)
        return replace(self, tongues=tuple(replace(t, length_mm=mm) for t, mm in pairs))
