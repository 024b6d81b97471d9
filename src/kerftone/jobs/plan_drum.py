"""The main job in one go: lengths where they are missing, then modes, sound, layout and report in one folder.

All numbers are made from one solve and the sound from another with its overtones, so that it is the sound of `hear`.
All is worked out before the first file is written, so that a refusal leaves nothing half done; the one exception is
the drum file, into which the lengths found have then been written.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.files import json_text
from kerftone.jobs.air_asked import USUAL_AIR, AirAsked
from kerftone.jobs.draw_layout import layout_bytes
from kerftone.jobs.find_lengths import LengthsFound, find_in_file, fit_record
from kerftone.jobs.other_glue import glue_shifts_of
from kerftone.jobs.paths import check_folder, drum_path, write_results
from kerftone.jobs.prediction import NOTHING_KEPT, Prediction, predict, warnings
from kerftone.jobs.preview_sound import preview_of, with_overtones
from kerftone.jobs.progress import Progress, job
from kerftone.modal.shelf import Shelf, shelf_beside

if TYPE_CHECKING:
    from kerftone.sound.render import Preview

MODES, SOUND, PICKED, LAYOUT, REPORT = "modes.json", "drum.wav", "pickup.wav", "layout.svg", "report.html"
WHAT = {
    REPORT: "the report: open it in a browser, or print it",
    LAYOUT: "the top in plan, at true size",
    SOUND: "the sound",
    PICKED: "the sound through the pickup",
    MODES: "the numbers",
}
"""What each file is, the one to open first above."""


@dataclass(frozen=True, kw_only=True)
class PlanRequest:
    """Which drum, the folder for the results (made if missing), and in which air (None: in vacuo)."""

    drum: Path
    folder: Path
    air: AirAsked | None = USUAL_AIR


@dataclass(frozen=True, kw_only=True)
class DrumPlanned:
    """The prediction, how its lengths were found (None: they were there), and the files written."""

    prediction: Prediction
    lengths: LengthsFound | None
    written: tuple[Path, ...]

    @property
    def well(self) -> bool:
        """Whether the drum sounds its notes, so that there is nothing to be said first."""
        return not warnings(self.prediction)

    def document(self) -> dict[str, Any]:
        """As JSON."""
        files = self.written if self.lengths is None else (self.lengths.written, *self.written)
        fit = {} if self.lengths is None else {"fit": fit_record(self.lengths.found, self.lengths.mend)}
        return self.prediction.document() | fit | {"written": [str(path) for path in files]}


@job
def plan_drum(request: PlanRequest, progress: Progress) -> DrumPlanned:
    """Find what is missing and write everything into one folder."""
    path = drum_path(request.drum)
    drum = read_drum(path)
    check_folder(request.folder)
    lengths: LengthsFound | None = None
    if needs_lengths(drum):
        lengths = find_in_file(path, drum, progress)
        prediction = _in_this_air(lengths.prediction, path, request.air)
        progress(f"Lengths written to {path}.")
    else:
        if drum.making.pickup is not None:
            from kerftone.jobs.disc_motions import check_pickup

            check_pickup(drum, request.air)
        words = "Solving the drum; this takes some seconds."
        prediction = predict(drum, shelf=shelf_beside(path), air=request.air, solving=lambda: progress(words))
    if drum.box.mount == "in ledge":
        progress("Solving it once more with the gap round the top glued otherwise.")
        prediction = replace(prediction, other_glue=glue_shifts_of(prediction, shelf_beside(path)))
    more = "Solving its overtones too, for the sound; the next sound is quicker."
    sounding = with_overtones(
        prediction.drum, shelf_beside(path), request.air, solving=lambda: progress(more)
    )
    progress("Making the sound, the layout and the report.")
    written = write_results(request.folder, results(prediction, sounding, shelf_beside(path)))
    return DrumPlanned(prediction=prediction, lengths=lengths, written=written)


def _in_this_air(found: Prediction, path: Path, air: AirAsked | None) -> Prediction:
    """What was found for the finished drum, in the air asked for if that is another."""
    return found if air == found.air else predict(found.drum, shelf=shelf_beside(path), air=air)


def needs_lengths(drum: Drum) -> bool:
    """Whether any tongue lacks a length or a place."""
    return any(t.length_mm is None or t.row is None or t.side is None for t in drum.tongues)


def results(prediction: Prediction, sounding: Prediction, shelf: Shelf = NOTHING_KEPT) -> dict[str, bytes]:
    """The files of a plan, by name; the sound through the pickup only where the drum has one.

    Parameters
    ----------
    prediction : Prediction
        The notes that are told.
    sounding : Prediction
        The same drum with all motions that are heard.
    shelf : Shelf, optional
        Where what the pickup hears may be already.
    """
    from kerftone.draw.report import report_html
    from kerftone.jobs.report_page import report_of
    from kerftone.sound.wav import wav_bytes

    preview, picked = preview_of(sounding), _picked(sounding, shelf)
    return {
        MODES: json_text(prediction.document()).encode("utf-8"),
        SOUND: wav_bytes(preview),
        **({} if picked is None else {PICKED: wav_bytes(picked)}),
        LAYOUT: layout_bytes(prediction.drum),
        REPORT: report_html(report_of(prediction, preview, picked)).encode("utf-8"),
    }


def _picked(prediction: Prediction, shelf: Shelf) -> Preview | None:
    """The sound through the drum's pickup; None where it has none."""
    if prediction.drum.making.pickup is None:
        return None
    from kerftone.jobs.disc_motions import UnderDisc
    from kerftone.jobs.pickup_heard import disc_motions, through_pickup

    motions = disc_motions(prediction, UnderDisc(prediction, shelf))
    return preview_of(prediction, modes=through_pickup(prediction, motions))
