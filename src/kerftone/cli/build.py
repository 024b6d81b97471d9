"""`kerftone build`: a shop plan to build from: booklet, cut list, numbers; checks in the terminal.

Everything is worked out before the first file is written. Only a pickup needs the vibration model, for its best
place; without one the answer is there at once.
"""

from __future__ import annotations

import csv
import io
from dataclasses import asdict
from pathlib import Path
from typing import Any

from kerftone import __version__
from kerftone.cli.place import check_folder, drum_file, make_folder
from kerftone.cli.screen import Column, emit, json_text, say, show, show_table
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.files import atomic_write
from kerftone.shop.measure import measure_of
from kerftone.shop.plan import Heard, ShopPlan, fitted, shop_plan

BOOKLET, CUTLIST, NUMBERS = "build.pdf", "cutlist.csv", "build.json"
GRAMS_PER_POUND = 453.592
STROKE_M_S = 1.0
"""The speed of a medium stroke, as in the preview of the sound."""


def run(given: Path, folder: Path, *, as_json: bool) -> None:
    """Write the shop plan of a drum into a folder and show its checks."""
    path = drum_file(given)
    drum = read_drum(path)
    check_folder(folder)
    shop_plan(drum)  # a refusal of the shop's comes before any long work
    plan = shop_plan(drum, heard_of(drum))
    files = results(plan)
    make_folder(folder)
    for name, data in files.items():
        atomic_write(folder / name, data)
    if as_json:
        emit(document(plan) | {"written": [str(folder / name) for name in files]})
        return
    _show(plan)
    show("")
    for name, what in (
        (BOOKLET, "the booklet: print it"),
        (CUTLIST, "the cut list, for a spreadsheet"),
        (NUMBERS, "the numbers"),
    ):
        show(f"Wrote {folder / name}: {what}.")


def heard_of(drum: Drum) -> Heard:
    """What the models of sound and vibration know; the vibration only where a pickup needs it."""
    from kerftone.sound.mallet import mallet_named, rigid_contact_ms

    contact = rigid_contact_ms(mallet_named(drum.making.mallets.ball), drum.top, speed_m_s=STROKE_M_S)
    if drum.making.pickup is None or not fitted(drum):
        return Heard(contact_ms=contact)
    from kerftone.drum.outline import outline
    from kerftone.modal.notes import read_notes
    from kerftone.modal.solve import solve
    from kerftone.modal.stretch import underside_stretch
    from kerftone.shop.pickup import sample_points

    say("Solving the drum to find a place for the pickup; this takes some seconds.")
    solution = solve(drum)
    heard = read_notes(drum, solution.modes())
    pickup = drum.making.pickup
    given = None if pickup.x_mm is None or pickup.y_mm is None else (pickup.x_mm, pickup.y_mm)
    points = sample_points(outline(drum), given_mm=given)
    stretch = underside_stretch(solution, points, [note.mode for note in heard])
    return Heard(contact_ms=contact, points_mm=points, stretch=stretch)


def results(plan: ShopPlan) -> dict[str, bytes]:
    """The files, by name."""
    from kerftone.draw.booklet import booklet_pdf

    return {
        BOOKLET: booklet_pdf(plan, made_by=f"Kerftone {__version__}"),
        CUTLIST: cutlist_csv(plan).encode("utf-8"),
        NUMBERS: json_text(document(plan)).encode("utf-8"),
    }


def cutlist_csv(plan: ShopPlan) -> str:
    """The parts as a table: one line a part, lengths in mm and in the maker's words."""
    words = measure_of(plan.drum)
    stream = io.StringIO()
    table = csv.writer(stream, lineterminator="\r\n")
    table.writerow(
        ["part", "count", "wood", "grain"]
        + [f"finished_{side}_mm" for side in ("length", "width", "thickness")]
        + ["short_point_mm"]
        + [f"rough_{side}_mm" for side in ("length", "width", "thickness")]
        + ["finished", "rough", "note"]
    )
    for part in plan.parts:
        short = "" if part.short_mm is None else f"{part.short_mm:.2f}"
        table.writerow(
            [_cell(part.name), part.count, _cell(part.wood), part.grain]
            + [f"{mm:.2f}" for mm in part.size_mm]
            + [short]
            + [f"{mm:.2f}" for mm in part.rough_mm]
            + [words.size(*part.size_mm), words.size(*part.rough_mm), part.note]
        )
    return stream.getvalue()


def _cell(text: str) -> str:
    """The maker's own words as a spreadsheet must take them: never as a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") else text


def document(plan: ShopPlan) -> dict[str, Any]:
    """The plan as one JSON document."""
    places, drum = plan.places, plan.drum
    return {
        "drum": drum.name,
        "units": drum.units,
        "outside_mm": [plan.box.length_mm, plan.box.width_mm, plan.box.whole_height_mm],
        "joint": plan.box.joint,
        "weight_g": None if plan.weight_g is None else round(plan.weight_g, 1),
        "parts": [asdict(part) for part in plan.parts],
        "walls": [asdict(wall) for wall in plan.box.walls],
        "settings": [asdict(setting) for setting in plan.settings],
        "cutting": asdict(plan.cutting) | {"yield_share": plan.cutting.yield_share},
        "steps": [asdict(step) for step in plan.steps],
        "checks": [asdict(check) for check in plan.checks],
        "air": asdict(plan.air),
        "moving_wood": [asdict(move) for move in plan.moves],
        "bought": [asdict(one) for one in plan.bought],
        "pickup": None
        if plan.bass is None
        else asdict(plan.bass) | ({} if places is None else {"places": _places(plan)}),
    }


def _places(plan: ShopPlan) -> dict[str, Any]:
    places = plan.places
    assert places is not None

    def spot(number: int | None) -> dict[str, Any] | None:
        if number is None:
            return None
        x, y = places.points_mm[number]
        shares = zip(places.notes, places.shares[number], strict=True)
        return {
            "x_mm": round(float(x), 1),
            "y_mm": round(float(y), 1),
            "even": round(float(places.even[number]), 3),
            "notes": [{"note": note, "share": round(float(share), 3)} for note, share in shares],
        }

    return {"best": spot(places.best), "worst": spot(places.worst), "given": spot(places.given)}


def _show(plan: ShopPlan) -> None:
    """The plan in the terminal: parts in short, checks in full."""
    words = measure_of(plan.drum)
    outside = words.size(plan.box.length_mm, plan.box.width_mm, plan.box.whole_height_mm)
    weight = "" if plan.weight_g is None else f", {plan.weight_g / 1000.0:.2f} kg of wood"
    if plan.weight_g is not None and plan.drum.units == "in":
        weight = f", {plan.weight_g / GRAMS_PER_POUND:.1f} lb of wood"
    show(f"{plan.drum.name}: {outside} outside, {plan.box.joint}{weight}")
    show("")
    show_table(
        (
            Column(head="Part"),
            Column(head="Count", number=True),
            Column(head="Finished size"),
            Column(head="Wood"),
        ),
        [(part.name, str(part.count), words.size(*part.size_mm), part.wood) for part in plan.parts],
    )
    show("")
    marks = {"good": "good", "mind": "MIND", "mend": "MEND"}
    order = ("mend", "mind", "good")
    for check in sorted(plan.checks, key=lambda one: order.index(one.verdict)):
        mend = f" {check.mend[:1].upper()}{check.mend[1:]}" if check.mend else ""
        show(f"{marks[check.verdict]}  {check.name}: {check.numbers}.{mend}", wrap=True)
    left = sum(len(buy.parts) for buy in plan.cutting.buy)
    if plan.drum.making.stock and left:
        show("")
        show(f"{left} parts find no place on the boards on hand: the booklet says what to buy.")
