"""How do a drum's sizes decide whether its notes come out clear? One size at a time, on two note sets.

Prints a table and, with `--docs`, draws docs/design-*.svg, the pictures of docs/design-of-a-drum.md. For each drum
the best arrangement of its notes is looked for on the quick model that `kerftone new` uses; shown are the clarity of
its least clear note, the largest pull (cents a note moves when another tongue's own note is moved by one), the share
of boards of other wood on which every note can be tuned clear, the distance of the nearest tone of the box from a
note, and the level of the softest note of one same blow against the usual drum's, with the drum's whole outside taken
for a simple source (no air in the box).

    python benchmarks/sizes.py --docs
"""

from __future__ import annotations

import argparse
import math
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.crew import study
from kerftone.tune.begin import USUAL, Wishes, first_drum
from kerftone.tune.boards import drawn_boards
from kerftone.tune.choose import ROUGH
from kerftone.tune.explain import box_tones

SETS = {
    "G3 A3 C4 D4 E4 G4, cherry": (("G3", "A3", "C4", "D4", "E4", "G4"), "cherry, black"),
    "C4 D4 E4 G4 A4 C5, walnut": (("C4", "D4", "E4", "G4", "A4", "C5"), "walnut, black"),
}
USUAL_MM = {"wall": 25, "bar": 30, "tongue": 33, "height": 80, "bottom": 12, "thickness": 16, "strip": 6}
BAR_HEIGHT = {0: 0, 15: 30, 30: 50, 45: 60}
VARIED: dict[str, tuple[float, ...]] = {
    "bar": (0, 15, 30, 45),
    "wall": (18, 25, 32, 40),
    "strip": (6, 12, 20, 28),
    "tongue": (25, 33, 43, 55),
    "thickness": (12, 14, 16, 20),
    "height": (60, 80, 100, 125),
    "bottom": (6, 9, 12, 18),
}
CALLED = {
    "bar": "width of the root bars, mm (0: none)",
    "wall": "thickness of the walls, mm",
    "strip": "wood between glue and roots, mm",
    "tongue": "width of the tongues, mm",
    "thickness": "thickness of the top, mm",
    "height": "height of the walls, mm",
    "bottom": "thickness of the bottom, mm",
}
BOARDS = 32


@dataclass(frozen=True)
class Case:
    """One drum: a set of notes with one size other than usual."""

    notes: str
    varied: str
    value: float


def drum_of(case: Case) -> Drum:
    """The drum of a case."""
    mm = USUAL_MM | {case.varied: case.value}
    notes, wood = SETS[case.notes]
    sizes = replace(
        USUAL["mm"].sizes[1],
        wall=mm["wall"],
        bar=mm["bar"],
        bar_height=BAR_HEIGHT[int(mm["bar"])],
        tongue=mm["tongue"],
        height=mm["height"],
        bottom=mm["bottom"],
        thickness=mm["thickness"],
    )
    drum = first_drum("Case", notes, wood, wishes=Wishes(), sizes=sizes)
    more = mm["strip"] - USUAL["mm"].root_strip
    return replace(
        drum,
        slots=replace(drum.slots, end_margin_mm=drum.slots.end_margin_mm + more),
        top=replace(drum.top, length_mm=drum.top.length_mm + 2 * more),
    )


def measured(case: Case) -> dict[str, float]:
    """What is read off the model for one drum."""
    from kerftone.modal.search import search_model
    from kerftone.modal.solve import solve
    from kerftone.tune.arrange import arranged
    from kerftone.tune.before_search import aims_hz, reach_mm, started_drum, task_for
    from kerftone.tune.fit import own_modes

    drum = drum_of(case)
    aims = aims_hz(drum)
    model = search_model(solve(started_drum(drum, aims), fineness=ROUGH), reach_mm(drum, aims))
    best = arranged(model, task_for(drum, aims), drawn_boards(drum, BOARDS))[0]
    if not best.tuned.settled:
        return {"clear": 0.0, "pull": math.inf, "sure": 0.0, "apart": math.nan, "level": math.nan}
    modes = model.read(model.fitted(best.tuned.places, best.tuned.lengths_mm), 1.5 * max(aims))
    own = own_modes(modes, aims)[0]
    tones = box_tones(modes, aims)
    apart = 1200.0 * abs(np.log2(tones[None, :] / np.array(aims)[:, None])).min() if len(tones) else math.inf
    numbers = np.arange(len(own))
    levels = 20.0 * np.log10(modes.hz[own] * abs(modes.strike[numbers, own] * modes.volume[own]))
    return {
        "clear": best.least,
        "pull": float(abs(best.tuned.pull).max()),
        "sure": 0.0 if math.isnan(best.sure) else best.sure,
        "apart": float(apart),
        "level": float(levels.min()),
    }


def main() -> None:
    """Measure all, print, draw."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--docs", action="store_true", help="draw the pictures of the documents too")
    given = parser.parse_args()
    cases = [
        Case(notes, varied, value) for notes in SETS for varied, values in VARIED.items() for value in values
    ]
    found = dict(zip(cases, study(measured, cases), strict=True))
    for notes in SETS:
        print(f"\n{notes}, the best arrangement of each drum\n")
        print(f"{'':34s}  clear   pull  boards  apart  softest")
        usual = found[Case(notes, "wall", USUAL_MM["wall"])]["level"]
        for varied, values in VARIED.items():
            for value in values:
                row = found[Case(notes, varied, value)]
                print(
                    f"{CALLED[varied]:30s} {value:4g}  {row['clear']:5.2f} {row['pull']:6.2f} {row['sure']:6.0%} "
                    f"{row['apart']:6.0f} {row['level'] - usual:+6.1f} dB"
                )
    if given.docs:
        for varied in VARIED:
            Path("docs", f"design-{varied}.svg").write_text(picture(varied, found), encoding="utf-8")


def picture(varied: str, found: dict[Case, dict[str, float]]) -> str:
    """Clarity, boards and pull over one size, for both sets, as a small SVG."""
    width, height, left, top, gap = 210.0, 120.0, 44.0, 30.0, 64.0
    panels = (
        ("clear", "least clarity", 1.0),
        ("sure", "share of boards", 1.0),
        ("pull", "largest pull", 1.0),
    )
    values = VARIED[varied]
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {3 * (width + gap)} {height + 92}" '
        'font-family="sans-serif" font-size="12" fill="#2b2b2b">'
    ]
    for number, (key, called, most) in enumerate(panels):
        x0 = left + number * (width + gap)
        out.append(f'<text x="{x0}" y="18">{called}</text>')
        for share in (0.0, 0.5, 1.0):
            y = top + height * (1 - share)
            out.append(f'<path d="M{x0} {y}h{width}" stroke="#d9d2c5"/>')
            out.append(f'<text x="{x0 - 8}" y="{y + 4}" text-anchor="end">{most * share:g}</text>')
        for value in values:
            x, y = _x(value, values, x0, width), top + height + 18
            out.append(f'<text x="{x}" y="{y}" text-anchor="middle">{value:g}</text>')
        for notes, colour, dash in zip(SETS, ("#7a4a1e", "#1f5f6b"), ("", "6 4"), strict=True):
            points = [
                (
                    _x(value, values, x0, width),
                    top + height * (1 - min(1.0, found[Case(notes, varied, value)][key])),
                )
                for value in values
            ]
            line = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
            pen = f'fill="none" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"'
            out.append(f'<polyline points="{line}" {pen}/>')
            out += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="{colour}"/>' for x, y in points]
    out.append(f'<text x="{left}" y="{top + height + 40}">{CALLED[varied]}</text>')
    for number, (notes, colour, dash) in enumerate(
        zip(SETS, ("#7a4a1e", "#1f5f6b"), ("", "6 4"), strict=True)
    ):
        x, y = left + 300 * number, top + height + 57
        out.append(
            f'<path d="M{x} {y - 4}h26" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>'
        )
        out.append(f'<text x="{x + 34}" y="{y}">{notes}</text>')
    return "\n".join([*out, "</svg>", ""])


def _x(value: float, values: tuple[float, ...], x0: float, width: float) -> float:
    low, high = values[0], values[-1]
    return x0 + 8 + (width - 16) * (value - low) / (high - low)


if __name__ == "__main__":
    main()
