"""What has to be cut, bought and done to build this drum? A booklet, a cut list and the numbers.

Everything is worked out before the first file is written. Only a pickup needs the vibration model, for its best
place, and a top on a ledge, to say what glue in its gap is worth; without them the answer is there at once.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from kerftone import __version__
from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline
from kerftone.drum.paper import paper_of
from kerftone.drum.save import save_pickup_place
from kerftone.drum.shop import Face
from kerftone.errors import ShopError
from kerftone.files import json_text
from kerftone.jobs.draw_templates import template_pages
from kerftone.jobs.paths import check_folder, drum_path, write_results
from kerftone.jobs.prediction import LISTED, NOTHING_KEPT, predict
from kerftone.jobs.progress import Progress, job
from kerftone.jobs.round_words import round_words, rounded_of
from kerftone.jobs.shaken_places import STROKE_M_S, shakes_of
from kerftone.jobs.solved_once import SolvedOnce
from kerftone.modal.shelf import Shelf, shelf_beside
from kerftone.shop.measure import measure_of
from kerftone.shop.pickup import FACES, PLACE, check_disc, place_check, places_on
from kerftone.shop.shop_plan import Heard, ShopPlan, fitted, shop_plan
from kerftone.shop.verdict import Check
from kerftone.units import MM_PER_INCH

BOOKLET, CUTLIST, NUMBERS = "build.pdf", "cutlist.csv", "build.json"
WHAT = {
    BOOKLET: "the booklet: print it",
    CUTLIST: "the cut list, for a spreadsheet",
    NUMBERS: "the numbers",
}
"""What each file is, the one to open first above."""


@dataclass(frozen=True, kw_only=True)
class ShopRequest:
    """Which drum, and the folder for the results; made if missing.

    `accept_pickup`: write the place proposed for the pickup into the drum file.
    """

    drum: Path
    folder: Path
    accept_pickup: bool = False


@dataclass(frozen=True, kw_only=True)
class ShopPlanned:
    """The plan, and the files written; the drum file too, if the pickup's place was written into it."""

    plan: ShopPlan
    written: tuple[Path, ...]
    accepted: Path | None = None

    @property
    def proposed_mm(self) -> tuple[float, float] | None:
        """The place proposed for the pickup's disc; None where there is none, or the drum file has its own."""
        places = self.plan.places
        if places is None or places.best is None or places.given is not None:
            return None
        x, y = places.points_mm[places.best]
        return float(x), float(y)

    @property
    def proposed_on(self) -> str:
        """What the disc would be glued to there, in words."""
        return "" if self.plan.places is None else FACES[self.plan.places.on]

    def document(self) -> dict[str, Any]:
        """As JSON."""
        accepted = {} if self.accepted is None else {"accepted": str(self.accepted)}
        return plan_document(self.plan) | {"written": [str(path) for path in self.written]} | accepted


@job
def plan_shop(request: ShopRequest, progress: Progress) -> ShopPlanned:
    """Write the shop plan of a drum into a folder. Raises ShopError before any long work."""
    path = drum_path(request.drum)
    drum = read_drum(path)
    check_folder(request.folder)
    shop_plan(drum)  # a refusal of the shop's comes before any long work
    if request.accept_pickup:
        _check_pickup(drum)
    plan = shop_plan(drum, heard_of(drum, progress, shelf_beside(path), shaken=True))
    accepted = None
    if request.accept_pickup:
        plan, accepted = _accepted(plan, path), path
    return ShopPlanned(plan=plan, written=write_results(request.folder, results(plan)), accepted=accepted)


def _check_pickup(drum: Drum) -> None:
    """Refuse to accept a place that nobody can propose. Raises ShopError and NeedsFitError before any long work."""
    if drum.making.pickup is None:
        raise ShopError(
            "A place for the pickup was to be written, but the drum file has no pickup. Add a line [pickup] at its "
            "end to have one."
        )
    check_outline(drum)


def _accepted(plan: ShopPlan, path: Path) -> ShopPlan:
    """The plan with the place that was proposed, which now stands in the drum file."""
    places = plan.places
    if places is None or places.best is None:
        raise ShopError("No place has room for this disc, so none was written: use a smaller disc.")
    x, y = _on_the_rule(plan.drum, places.on, places.points_mm[places.best].tolist())
    drum = save_pickup_place(path, x_mm=x, y_mm=y, on=places.on)
    points = places.points_mm.copy()
    points[places.best] = x, y  # as the file has it now, so that every page says the same figure
    at_best = replace(places, given=places.best, points_mm=points)
    placed = shop_plan(drum)
    check = place_check(at_best, plan.best_places or at_best, measure_of(drum))
    kept = [one for one in plan.checks if one.name != PLACE]
    return replace(
        plan,
        drum=drum,
        steps=placed.steps,
        places=at_best,
        checks=(*kept, *(() if check is None else (check,))),
    )


def _on_the_rule(drum: Drum, on: Face, place_mm: Sequence[float]) -> tuple[float, float]:
    """This place on the nearest marks of a rule, whole millimetres or sixteenths, where the disc fits there too."""
    step = MM_PER_INCH / 16.0 if drum.units == "in" else 1.0
    exact = place_mm[0], place_mm[1]
    near = round(exact[0] / step) * step, round(exact[1] / step) * step
    pickup = drum.making.pickup
    assert pickup is not None
    placed = replace(drum.making, pickup=replace(pickup, x_mm=near[0], y_mm=near[1], on=on))
    try:
        check_disc(replace(drum, making=placed), outline(drum))
    except ShopError:
        return exact
    return near


def heard_of(drum: Drum, progress: Progress, shelf: Shelf = NOTHING_KEPT, *, shaken: bool = False) -> Heard:
    """What the models of sound and vibration know; the vibration only where a pickup or a ledge needs it.

    The drum as it is drawn is solved once at most.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    progress : Progress
        Told each step.
    shelf : Shelf, optional
        Where answers are kept.
    shaken : bool, optional
        Whether it is asked, too, how hard a blow shakes what may buzz.
    """
    from kerftone.sound.mallet import mallet_named, rigid_contact_ms

    pages = template_pages(drum, paper_of(drum)) if fitted(drum) else None
    contact = rigid_contact_ms(mallet_named(drum.making.mallets.ball), drum.top, speed_m_s=STROKE_M_S)
    heard = Heard(contact_ms=contact, template_pages=pages)
    if not fitted(drum):
        return heard
    once = SolvedOnce(drum, LISTED)
    if drum.making.pickup is not None:
        heard, once = _through_pickup(heard, drum, progress, shelf)
    if drum.box.mount == "in ledge":
        from kerftone.jobs.other_glue import glue_shifts_cents, glue_words

        progress("Solving the drum with the gap round its top glued otherwise; this takes some seconds.")
        shifts = glue_shifts_cents(once, shelf)
        heard = replace(heard, glue_cents=shifts, glue_words=glue_words(drum, shifts))
    if not shaken:
        return heard
    heard = replace(heard, shakes=shakes_of(once, progress, shelf))
    return replace(heard, round_words=round_words(drum, rounded_of(once, shelf)))


def _through_pickup(heard: Heard, drum: Drum, progress: Progress, shelf: Shelf) -> tuple[Heard, SolvedOnce]:
    """The same with what the disc hears; and the drum, solved if it had to be."""
    from kerftone.jobs.disc_motions import UnderDisc
    from kerftone.jobs.modes_heard import KNOCK_MODES
    from kerftone.jobs.pickup_heard import disc_motions, faces_heard, pickup_heard

    progress("Solving the drum to find a place for the pickup; this takes some seconds.")
    prediction = predict(drum, count=KNOCK_MODES, shelf=shelf)
    under = UnderDisc(prediction, shelf)
    faces = faces_heard(prediction, under)
    checks: tuple[Check, ...] = ()
    if places_on(drum, outline(drum), faces)[0].used is not None:
        checks = pickup_heard(prediction, disc_motions(prediction, under)).checks()
    return replace(heard, faces=faces, pickup_checks=checks), under.once


def results(plan: ShopPlan) -> dict[str, bytes]:
    """The files, by name."""
    from kerftone.draw.booklet import booklet_pdf

    return {
        BOOKLET: booklet_pdf(plan, made_by=f"Kerftone {__version__}"),
        CUTLIST: cutlist_csv(plan).encode("utf-8"),
        NUMBERS: json_text(plan_document(plan)).encode("utf-8"),
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


def check_document(check: Check) -> dict[str, str]:
    """A check as JSON, in words."""
    return {"name": check.name, "verdict": check.verdict, "numbers": check.numbers, "mend": check.mend}


def plan_document(plan: ShopPlan) -> dict[str, Any]:
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
        "checks": [check_document(check) for check in plan.checks],
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
        levels = places.level_db[number]
        each = zip(places.notes, levels - levels.max(), strict=True)
        return {
            "x_mm": round(float(x), 1),
            "y_mm": round(float(y), 1),
            "on": places.on,
            "apart_db": round(places.apart_db(number), 1),
            **{
                name: round(float(of[number]), 1)
                for name, of in (("knock_db", places.knock_db), ("rub_db", places.rub_db))
                if of is not None
            },
            "notes": [{"note": note, "db": round(float(db), 1)} for note, db in each],
        }

    return {"best": spot(places.best), "worst": spot(places.worst), "given": spot(places.given)}
