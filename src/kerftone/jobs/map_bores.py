"""Where may be bored, and what would it do? The underside at full size, for one bit."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from kerftone.bench.replay import Bench
from kerftone.drum.bore_limits import bore_limits, room_on_board
from kerftone.drum.outline import outline, tongue_polygon
from kerftone.drum.paper import paper_of
from kerftone.drum.plan_lines import layout
from kerftone.drum.shop import Paper
from kerftone.drum.tongue_named import on_paper
from kerftone.errors import EntryError
from kerftone.files import atomic_write
from kerftone.jobs.advice_words import sentence
from kerftone.jobs.drum_at_bench import opened
from kerftone.jobs.model_at_bench import as_cut, calibrated
from kerftone.jobs.paths import check_target, drum_path
from kerftone.jobs.progress import Progress, job
from kerftone.tune.history import Tap
from kerftone.units import bit_width, parse_length

if TYPE_CHECKING:
    from kerftone.draw.bench_map import BenchMap, MapBore, TongueMap
    from kerftone.drum.design import Bore
    from kerftone.modal.frame import Assembly
    from kerftone.tune.advice import Advice
    from kerftone.tune.belief import Belief
    from kerftone.tune.pull import Pulled

USUAL_BIT_MM = 20.0
"""A common size; common practice, no source."""
SAME_BIT_MM = 0.05
"""Two bits nearer than this are one: a length typed in fractions of an inch."""
STEP_MM = 3.0
"""How far apart the places are that the map is read at."""


@dataclass(frozen=True, kw_only=True)
class MapRequest:
    """Which drum, and the .pdf or .svg to write.

    bit: as typed; None: that of the next bore, else the one nearest 20 mm. paper: None: as in the drum file.
    """

    drum: Path
    output: Path
    bit: str | None = None
    paper: Paper | None = None


@dataclass(frozen=True, kw_only=True)
class BoresMapped:
    """The file written, the bit it is for, and the drum it shows."""

    written: Path
    bit_mm: float
    bench: Bench

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {"written": str(self.written), "bit_mm": self.bit_mm}


@job
def map_bores(request: MapRequest, progress: Progress) -> BoresMapped:
    """Write the map of this drum as it is now, as PDF or SVG by the name's ending."""
    output = request.output
    ending = ".svg" if output.suffix.lower() == ".svg" else ".pdf"
    check_target(output, ending=ending, drum=drum_path(request.drum))
    with opened(request.drum) as drum:
        bench = drum.bench()
    bit_mm = _bit(bench, request.bit)
    from kerftone.draw.bench_map import bench_map_sheet
    from kerftone.draw.pdf import pdf_file
    from kerftone.draw.svg import svg_file

    shown = map_of(bench, bit_mm, drum.file, progress)
    sheet = bench_map_sheet(shown)
    if ending == ".svg":
        data = svg_file(sheet).encode("utf-8")
    else:
        data = pdf_file(
            (sheet,),
            paper=paper_of(bench.design, request.paper),
            title=f"{bench.design.name}: map for boring",
        )
    atomic_write(output, data)
    return BoresMapped(written=output, bit_mm=shown.bit_mm, bench=bench)


def _bit(bench: Bench, typed: str | None) -> float | None:
    """The bit the map is asked for: one that the shop has; None where none was asked for."""
    bits = bench.design.shop.bits_mm
    if typed is None:
        return None
    bit = parse_length(typed, bench.design.units)
    if min(abs(one - bit) for one in bits) > SAME_BIT_MM:
        near = min(bits, key=lambda one: abs(one - bit))
        raise EntryError(
            f"The shop has no bit of {bit_width(bit, bench.design.units)}. The map is for a bit of [shop] bits: "
            f"the nearest is {bit_width(near, bench.design.units)}.",
            given=bit,
            nearest=near,
        )
    return min(bits, key=lambda one: abs(one - bit))


def _unasked(bench: Bench, advice: Advice | None) -> float:
    """The bit the map is for where none was asked for: that of the next bore, so that map and advice go together."""
    if advice is not None and advice.bore is not None:
        return advice.bore.diameter_mm
    return min(bench.design.shop.bits_mm, key=lambda one: abs(one - USUAL_BIT_MM))


def map_of(bench: Bench, bit_mm: float | None, drum_file: Path, progress: Progress) -> BenchMap:
    """The map of the drum as it is now: with the next bore, once it has been heard.

    Parameters
    ----------
    bench : Bench
        The drum at the bench: its log, replayed.
    bit_mm : float | None
        Diameter of the bit, in mm; None: that of the next bore, or of the shop's bits the most usual.
    drum_file : Path
        The drum's file, beside which the cache lies.
    progress : Progress
        Told what is being done; by it the work is stopped.
    """
    from kerftone.draw.bench_map import BenchMap
    from kerftone.tune.advise import next_step

    drum, drawn = bench.drum, outline(bench.drum)
    advice: Advice | None = None
    belief: Belief | None = None
    if any(isinstance(event, Tap) for event in bench.events):
        instrument, belief = calibrated(bench, drum_file, progress)
        advice = next_step(instrument, drum, belief, bench.targets_hz)
    else:
        instrument = as_cut(bench, drum_file, progress)
    model = instrument.assembly(drum, bottom_on=drum.bottom is not None)
    instrument.save_tongues()
    bit_mm = _unasked(bench, advice) if bit_mm is None else bit_mm
    coming = (
        None
        if advice is None or advice.bore is None
        else _ring(advice.bore, on_paper(drum, advice.tongue + 1))
    )
    return BenchMap(
        name=drum.name,
        board=drawn.board,
        wood=drawn.top,
        box_inner=drawn.box_inner,
        wall_inner=drawn.wall_inner,
        bit_mm=bit_mm,
        tongues=tuple(_tongue(bench, model, number, bit_mm) for number in range(len(drum.tongues))),
        keep_out=(keep_out(bench, bit_mm),),
        made=tuple(_ring(bore, str(number)) for number, bore in enumerate(drum.bores, start=1)),
        next_bore=coming,
        words=_words(bench, bit_mm, advice, None if belief is None else belief.pulled),
        units=drum.units,
    )


def keep_out(bench: Bench, bit_mm: float) -> BaseGeometry:
    """Where the bit's middle must not go: every place that the adviser avoids (`kerftone.drum.bore_limits`)."""
    drum = bench.drum
    return outline(drum).top.difference(room_on_board(drum, bit_mm, bore_limits(drum).kept))


def _ring(bore: Bore, name: str) -> MapBore:
    from kerftone.draw.bench_map import MapBore

    return MapBore(
        x_mm=bore.x_mm, y_mm=bore.y_mm, diameter_mm=bore.diameter_mm, depth_mm=bore.depth_mm, name=name
    )


def _words(bench: Bench, bit_mm: float, advice: Advice | None, pulled: Pulled | None) -> tuple[str, ...]:
    """What stands beside the map."""
    from kerftone.draw.map_words import depth_words

    units = bench.drum.units
    words = (
        "The underside as you see it with the top turned over, front edge towards you.",
        f"Lines: cents for each {depth_words(units)} of depth with a bit {bit_width(bit_mm, units)} wide, its "
        "point on the line. Rust raises the note, dashed lowers it; on the heavy line boring does nothing.",
        "A first estimate: near the root a bore acts more strongly. The advice works out the step.",
    )
    return words if advice is None else (*words, sentence(advice, bench, pulled))


def _tongue(bench: Bench, model: Assembly, number: int, bit_mm: float) -> TongueMap:
    from kerftone.draw.bench_map import TongueMap
    from kerftone.modal.notes import read_notes
    from kerftone.tune.bores import cents_per_mm, grid_map

    drum, tongue = bench.drum, bench.drum.tongues[number]
    shape = tongue_polygon(drum, tongue, layout(drum))
    mode = read_notes(drum, model.modes())[number].mode
    field = grid_map(drum, number, model.bore_maps(number, mode)[0])
    x0, y0, x1, y1 = shape.bounds
    xs = np.linspace(x0, x1, max(2, round((x1 - x0) / STEP_MM)))
    ys = np.linspace(y0, y1, max(2, round((y1 - y0) / STEP_MM)))
    across, up = np.meshgrid(xs, ys)
    values = cents_per_mm(field, across.ravel(), up.ravel(), bit_mm).reshape(across.shape)
    inside = shapely.contains_xy(shape.buffer(0.5), across, up)
    return TongueMap(
        place=tongue.place,
        note=tongue.note,
        shape=shape,
        xs_mm=xs,
        ys_mm=ys,
        cents_per_mm=np.where(inside, values, np.nan),
    )
