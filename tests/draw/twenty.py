"""Twenty drums to print, all of them INVENTED: large, small, in inches, odd counts, curved ends, short tongues.

Nothing is solved: their boards are what `new` begins with, their lengths first guesses, which is enough to draw.
"""

from dataclasses import replace

import numpy as np

from kerftone.draw.bench_map import BenchMap, MapBore, TongueMap
from kerftone.drum.design import Bore, Drum
from kerftone.drum.outline import outline
from kerftone.drum.plan_lines import layout
from kerftone.drum.shop import FootRelief, Pickup
from kerftone.tune.begin import first_drum
from kerftone.tune.lengths import SET_BACK, STIFF_SET_BACK, guess_length_mm

SIX = "D3 F3 G3 A3 C4 D4"
EIGHT = "C4 D4 E4 G4 A4 C5 D5 E5"
ELEVEN = "G3 A3 C4 D4 E4 G4 A4 C5 D5 E5 G5"

# name: notes, wood, units, and what is unusual about it
DRUMS = {
    "Plain": (SIX, "cherry, black", "mm", {}),
    "Inch": (SIX, "cherry, black", "in", {}),
    "Round ends": (SIX, "maple, sugar", "mm", {"tongue_end": "round"}),
    "Slanting": (SIX, "walnut, black", "in", {"tongue_end": "slant"}),
    "Curved": (EIGHT, "teak", "mm", {"tongue_end": "curve"}),
    "Stop holes": (SIX, "ash, white", "mm", {"stop_hole_mm": 8.0}),
    "No bars": (SIX, "cherry, black", "mm", {"bars": False}),
    "Five": ("C4 D4 E4 G4 A4", "maple, sugar", "in", {}),
    "Seven": ("A3 B3 C4 D4 E4 F4 G4", "oak, white", "mm", {}),
    "Eleven": (ELEVEN, "walnut, black", "mm", {}),
    "Twelve high": ("C5 D5 E5 G5 A5 C6 D6 E6 G6 A6 C7 D7", "maple, sugar", "mm", {}),
    "Two": ("D4 A4", "cherry, black", "mm", {}),
    "Three": ("D4 F4 A4", "cherry, black", "in", {"tongue_end": "round"}),
    "Low": ("A2 C3 D3 E3 G3 A3", "walnut, black", "in", {}),
    "High": ("G5 A5 C6 D6 E6 G6", "maple, sugar", "in", {"stop_hole_mm": 6.35}),
    "Fingers": (SIX, "oak, white", "mm", {"joint": "finger"}),
    "Keys and feet": (EIGHT, "cherry, black", "in", {"joint": "mitre with keys", "relief": True}),
    "Ledge": (SIX, "maple, sugar", "mm", {"ledge": True}),
    "Bored": (EIGHT, "teak", "mm", {"bores": True}),
    "Pickup with a name that is rather long for its paper": (SIX, "ash, white", "mm", {"pickup": True}),
}


def drum_named(name: str) -> Drum:
    """One of them."""
    notes, wood, units, odd = DRUMS[name]
    drum = _placed(first_drum(name, notes.split(), wood, units=units))
    wider = {"end_margin_mm": drum.slots.end_margin_mm + 6.0} if "stop_hole_mm" in odd else {}
    slots = replace(
        drum.slots, **wider, **{key: odd[key] for key in ("tongue_end", "stop_hole_mm") if key in odd}
    )
    box = drum.box
    if odd.get("bars") is False:
        box = replace(box, root_bar_mm=0.0, root_bar_height_mm=0.0)
        slots = replace(slots, end_margin_mm=slots.end_margin_mm - 20.0)
    if "joint" in odd:
        box = replace(box, joint=odd["joint"])
    if "relief" in odd:
        box = replace(box, foot_relief=FootRelief(shape="arch", rise_mm=8.0, inset_mm=45.0))
        drum = replace(drum, bottom=replace(drum.bottom, fit="let in", recess_mm=9.0))
    if "ledge" in odd:
        box = replace(box, mount="in ledge", ledge_mm=12.0)
    drum = replace(drum, slots=slots, box=box)
    if "bores" in odd:
        drum = replace(drum, bores=_bores(drum))
    if "pickup" in odd:
        x, y = 66.5, 0.5 * drum.top.width_mm
        making = replace(drum.making, pickup=Pickup(disc_mm=20.0, x_mm=x, y_mm=y))
        drum = replace(drum, making=making)
    return drum


def _placed(drum: Drum) -> Drum:
    """Places in the order of the notes, lengths by the first guess, shortened where two do not fit a row."""
    rows = -(-len(drum.tongues) // 2)
    places = [(row, side) for side in ("left", "right") for row in range(1, rows + 1)]
    drum = replace(
        drum,
        tongues=tuple(
            replace(t, row=row, side=side) for t, (row, side) in zip(drum.tongues, places, strict=False)
        ),
    )
    back = STIFF_SET_BACK if drum.box.root_bar_mm else SET_BACK
    lengths = [max(40.0, guess_length_mm(drum.top, hz, set_back=back)) for hz in drum.targets_hz]
    room = layout(drum).span_mm - 26.0
    for row in range(1, rows + 1):
        pair = [n for n, t in enumerate(drum.tongues) if t.row == row]
        share = min(1.0, room / sum(lengths[n] for n in pair))
        for n in pair:
            lengths[n] *= share
    return drum.with_lengths(tuple(round(mm, 1) for mm in lengths))


def _bores(drum: Drum) -> tuple[Bore, ...]:
    lines = layout(drum)
    spots = [lines.spot_mm(t, 0.7 * (t.length_mm or 0.0)) for t in drum.tongues[:4]]
    return tuple(Bore(x_mm=x, y_mm=y, diameter_mm=14.0, depth_mm=3.0 + n) for n, (x, y) in enumerate(spots))


def map_of(drum: Drum) -> BenchMap:
    """A map for boring, its effect INVENTED: rising towards the tips; two bores in the first tongue, one to come."""
    drawn = outline(drum)
    tongues = []
    for tongue, shape in zip(drum.tongues, drawn.tongues, strict=True):
        west, south, east, north = shape.bounds
        xs, ys = np.linspace(west + 8.0, east - 4.0, 24), np.linspace(south + 8.0, north - 8.0, 8)
        along = (xs - west) / (east - west) if tongue.side == "left" else (east - xs) / (east - west)
        effect = (
            np.tile(40.0 * (along - 0.33) * (0.4 + along), (len(ys), 1))
            * np.linspace(0.93, 1.07, len(ys))[:, None]
        )
        tongues.append(
            TongueMap(
                place=tongue.place, note=tongue.note, shape=shape, xs_mm=xs, ys_mm=ys, cents_per_mm=effect
            )
        )
    (_, low, tip, high), other = drawn.tongues[0].bounds, drawn.tongues[1].bounds
    made = tuple(
        MapBore(x_mm=tip - off, y_mm=0.5 * (low + high), diameter_mm=wide, depth_mm=3.0, name=name)
        for off, wide, name in ((25.0, 20.0, "1"), (46.0, 15.0, "2"))
    )
    coming = MapBore(x_mm=other[2] - 30.0, y_mm=0.5 * (other[1] + other[3]), diameter_mm=20.0, depth_mm=2.5)
    return BenchMap(
        name=drum.name,
        board=drawn.board,
        wood=drawn.top,
        box_inner=drawn.box_inner,
        wall_inner=drawn.wall_inner,
        bit_mm=20.0,
        tongues=tuple(tongues),
        made=made,
        next_bore=coming,
        words=("The second tongue is 21 cents flat.",),
        units=drum.units,
    )
