"""What would this drum, as drawn, sound in air, and how does that change with its stand and damp air?

The drum is solved once; once more for each of the other stand and the other moisture, where they are asked for. What
was asked before is answered without a solve.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.season import in_air
from kerftone.errors import KerftoneError
from kerftone.jobs.air_asked import USUAL_AIR, AirAsked
from kerftone.jobs.other_box import OtherBox, other_boxes
from kerftone.jobs.other_glue import glue_shifts_of
from kerftone.jobs.paths import drum_path
from kerftone.jobs.prediction import LISTED, Prediction, predict
from kerftone.jobs.progress import Progress, job
from kerftone.modal.shelf import Shelf, name_of, shelf_beside
from kerftone.pitch import cents
from kerftone.wood.moisture import check_moisture, emc_pct

Stands = Literal["held", "free"]
SHIFTS = "shifts"
Shifts = tuple[float | None, ...]
"""How far each tongue's note moves, in cents; None where no motion of the other drum is like its own."""


@dataclass(frozen=True, kw_only=True)
class NotesRequest:
    """Which drum; how many modes to list; how it stands (None: as in its file), in which air (None: in vacuo); how
    damp that has long been (None: not asked), and how warm, which says how damp wood becomes.

    other_glue: tell too how far each note moves if the gap round a top on a ledge is filled with glue, or left open.
    louder: try other heights of the box and saw cuts for how loud its notes are.
    """

    drum: Path
    count: int = LISTED
    stands: Stands | None = None
    humidity_pct: float | None = None
    temperature_c: float = 20.0
    air: AirAsked | None = USUAL_AIR
    other_glue: bool = False
    louder: bool = False


@dataclass(frozen=True, kw_only=True)
class OtherAir:
    """Air that was asked for, how damp wood becomes in it (%), and how far each note is then from where it is in the
    shop's air ([climate]), in which wood comes to `shop_pct`: the same that the shop plan reckons from.
    """

    humidity_pct: float
    temperature_c: float
    moisture_pct: float
    shop_pct: float
    shifts: Shifts

    def words(self, drum: Drum) -> str:
        """Which air this is, and against which."""
        return (
            f"Long in air of {self.humidity_pct:g} % humidity at {self.temperature_c:g} °C, wood comes to "
            f"{self.moisture_pct:.1f} % moisture. Against the shop's air as [climate] has it "
            f"({drum.making.climate.shop_rh_pct:g} % humidity, {self.shop_pct:.1f} % moisture), each note moves by:"
        )


@dataclass(frozen=True, kw_only=True)
class NotesPredicted:
    """The prediction; `other_stand`: how far each note moves from the drum standing as `drum`, its file, says.

    finished: the same drum with its bottom as in its file, where it was asked for in another state. other_glue: how
    far each note moves if the gap round the top is filled with glue, or left open, against its file.
    """

    drum: Drum
    prediction: Prediction
    count: int
    other_stand: Shifts | None
    other_air: OtherAir | None
    finished: Prediction | None = None
    other_glue: Shifts | None = None
    other_boxes: tuple[OtherBox, ...] = ()

    @property
    def tune_to_hz(self) -> tuple[float, ...] | None:
        """What each tongue must sound in the state asked for, so that it sounds its note in the finished drum."""
        if self.finished is None:
            return None
        pairs = zip(self.prediction.tongues, self.finished.tongues, strict=True)
        return tuple(now.target_hz * now.heard.hz / then.heard.hz for now, then in pairs)

    def finished_words(self) -> str:
        """What to tune to in the state of the bottom that was asked for; "" where that is as in the file."""
        if self.finished is None:
            return ""
        now, then = (one.bottom_words for one in (self.prediction, self.finished))
        return (
            f"With {now}, tune each tongue to the last column: it then sounds its note once the drum is finished, "
            f"{then}."
        )

    def moves(self) -> list[tuple[str, Shifts]]:
        """Each other way to stand, glue or dampness that was asked for, in words, and how far each note moves."""
        found: list[tuple[str, Shifts]] = []
        box, asked = self.drum.box, self.prediction.drum.box
        if self.other_stand is not None:
            words = f"Standing {asked.stands} instead of {box.stands}, each note moves by:"
            found.append((words, self.other_stand))
        if self.other_glue is not None:
            gap = "filled with glue" if box.glued == "ledge" else "left open"
            found.append((f"With the gap round the top {gap}, each note moves by:", self.other_glue))
        if self.other_air is not None:
            found.append((self.other_air.words(self.drum), self.other_air.shifts))
        return found

    def document(self) -> dict[str, Any]:
        """As JSON."""
        whole = self.prediction.document(count=self.count)
        if self.finished is not None and self.tune_to_hz is not None:
            for record, then, hz in zip(
                whole["tongues"], self.finished.tongues, self.tune_to_hz, strict=True
            ):
                record["finished_hz"], record["tune_to_hz"] = round(then.heard.hz, 4), round(hz, 4)
        if self.other_stand is not None:
            _add_shifts(whole, "shift_cents", self.other_stand)
            asked = self.prediction.drum.box.stands
            whole["stands"] = {"asked": asked, "file": self.drum.box.stands}
        if self.other_glue is not None:
            _add_shifts(whole, "other_glue_cents", self.other_glue)
            whole["glued"] = self.drum.box.glued
        if self.other_boxes:
            whole["other_boxes"] = [one.document() for one in self.other_boxes]
        if self.other_air is not None:
            _add_shifts(whole, "air_shift_cents", self.other_air.shifts)
            whole["air"] = whole.get("air", {}) | {
                "humidity_pct": self.other_air.humidity_pct,
                "temperature_c": self.other_air.temperature_c,
                "moisture_pct": round(self.other_air.moisture_pct, 3),
                "shop_moisture_pct": round(self.other_air.shop_pct, 3),
            }
        return whole


def _add_shifts(whole: dict[str, Any], key: str, shifts: Shifts) -> None:
    for record, shift in zip(whole["tongues"], shifts, strict=True):
        record[key] = None if shift is None else round(shift, 3)


@job
def predict_notes(request: NotesRequest, progress: Progress) -> NotesPredicted:
    """Predict the notes of a drum. Raises DrumFileError, OutlineError, MoistureError before any long work."""
    file = drum_path(request.drum)
    drum, shelf = read_drum(file), shelf_beside(file)
    moisture = _moisture_pct(request)
    stands, count = request.stands, request.count
    _check_glue(request, drum)
    asked = drum if stands is None else replace(drum, box=replace(drum.box, stands=stands))
    wood = asked if request.air is None else request.air.wood(asked)
    words = "Solving the drum; this takes some seconds."
    prediction = predict(asked, count=count, shelf=shelf, air=request.air, solving=lambda: progress(words))
    finished: Prediction | None = None
    if request.air is not None and request.air.unfinished(asked):
        progress("Solving it once more as it will be when finished.")
        finished = predict(asked, count=count, shelf=shelf, air=request.air.finished())
    other_stand: Shifts | None = None
    if asked.box.stands != drum.box.stands:
        progress(f"Solving it once more, standing {drum.box.stands} as in its file.")
        other_stand = shifts_cents(prediction, wood, replace(wood, box=drum.box), count=count, shelf=shelf)
    other_air = None
    if moisture is not None and request.humidity_pct is not None:
        shop = _shop_pct(drum)
        progress(f"Solving it in the shop's air, {shop:.1f} % moisture, and at {moisture:.1f} %.")
        here, there = (
            shifts_cents(prediction, wood, in_air(wood, pct), count=count, shelf=shelf)
            for pct in (shop, moisture)
        )
        other_air = OtherAir(
            humidity_pct=request.humidity_pct,
            temperature_c=request.temperature_c,
            moisture_pct=moisture,
            shop_pct=shop,
            shifts=tuple(
                None if was is None or is_then is None else was - is_then
                for was, is_then in zip(here, there, strict=True)
            ),
        )
    other_glue: Shifts | None = None
    if request.other_glue:
        progress("Solving it once more, glued otherwise.")
        other_glue = glue_shifts_of(prediction, shelf)
    return NotesPredicted(
        drum=drum,
        prediction=prediction,
        count=count,
        other_stand=other_stand,
        other_air=other_air,
        finished=finished,
        other_glue=other_glue,
        other_boxes=other_boxes(asked, progress) if request.louder else (),
    )


def _check_glue(request: NotesRequest, drum: Drum) -> None:
    """Refuse to tell what other glue is worth where there is none."""
    if request.other_glue and request.air is not None and request.air.top == "clamped":
        raise KerftoneError(
            "The top is asked to be clamped, so no glue is under it. What other glue is worth is told of a glued "
            "top only: ask for one of the two.",
            given=request.air.top,
            nearest="glued",
        )
    if request.other_glue and drum.box.mount != "in ledge":
        raise KerftoneError(
            f'The top of this drum is "{drum.box.mount}", where all that meets is glued. Only a top on a ledge '
            "can be glued in two ways: leave the other glue out.",
            given=drum.box.mount,
            nearest="in ledge",
        )


def _moisture_pct(request: NotesRequest) -> float | None:
    """How damp wood becomes in the air asked for. Raises MoistureError."""
    if request.humidity_pct is None:
        return None
    moisture = emc_pct(humidity_pct=request.humidity_pct, temperature_c=request.temperature_c)
    check_moisture(moisture)
    return moisture


def _shop_pct(drum: Drum) -> float:
    """How damp wood is in the shop's air, as the drum file has it. Raises MoistureError."""
    climate = drum.making.climate
    moisture = emc_pct(humidity_pct=climate.shop_rh_pct, temperature_c=climate.temperature_c)
    check_moisture(moisture)
    return moisture


def shifts_cents(prediction: Prediction, wood: Drum, drum: Drum, *, count: int, shelf: Shelf) -> Shifts:
    """How far each tongue's note lies above what it is in this other `drum`, in cents; both in vacuo.

    The mode is followed by its shape; None where no motion of the
    other drum is like it.

    Parameters
    ----------
    prediction : Prediction
        Of `wood`.
    wood : Drum
        The drum of the prediction as it was solved.
    drum : Drum
        The other drum.
    count : int
        How many modes are solved, of each.
    shelf : Shelf
        Where answers are kept.
    """
    name = name_of("shifts", wood, drum, count)
    kept = shelf.arrays(name)
    if kept is not None and SHIFTS in kept:
        return tuple(None if math.isnan(shift) else float(shift) for shift in kept[SHIFTS])
    from kerftone.modal.follow import same_modes
    from kerftone.modal.solve import solve

    usual = solve(drum, count)
    said = prediction.live or solve(wood, count)
    found = same_modes(said, [tongue.heard.mode for tongue in prediction.tongues], usual)
    shifts = tuple(
        None if mode is None else cents(tongue.in_vacuo_hz, float(usual.hz[mode]))
        for tongue, mode in zip(prediction.tongues, found, strict=True)
    )
    shelf.keep_arrays(name, {SHIFTS: np.array([math.nan if shift is None else shift for shift in shifts])})
    return shifts
