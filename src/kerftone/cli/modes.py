"""`kerftone modes` in words."""

from __future__ import annotations

from kerftone.cli.screen import Column, show, show_table
from kerftone.cli.table import explain, show_modes, show_prediction
from kerftone.jobs.predict_notes import NotesPredicted, OtherAir, Shifts
from kerftone.jobs.prediction import Prediction, stand_ins

STATES = {
    "glued": "the bottom glued on",
    "loose": "the bottom put in, not glued",
    "off": "the box open below",
    "table": "the box open below on a table",
}
FINISHED_COLUMNS = (
    Column(head="Place"),
    Column(head="Note"),
    Column(head="Now\nHz", number=True),
    Column(head="Finished\nHz", number=True),
    Column(head="Tune to\nHz", number=True),
)


def show_notes(done: NotesPredicted) -> None:
    """Show the notes, and how far they move in another stand and other air."""
    prediction = done.prediction
    show_prediction(prediction)
    show_modes(prediction, count=done.count)
    _show_finished(done)
    if done.other_stand is not None:
        show("")
        stands = prediction.drum.box.stands
        show(f"Standing {stands} instead of {done.drum.box.stands}, each note moves by:")
        _show_shifts(prediction, done.other_stand)
    if done.other_glue is not None:
        filled = done.drum.box.glued == "ledge"
        show("")
        show(
            f"With the gap round the top {'filled with glue' if filled else 'left open'}, each note moves by:"
        )
        _show_shifts(prediction, done.other_glue)
    if done.other_air is not None:
        _show_air(prediction, done.other_air)
    explain(prediction, stand_ins(done.drum))


def _show_finished(done: NotesPredicted) -> None:
    """What to tune to in this state of the bottom; nothing where the drum was asked for as its file has it."""
    if done.finished is None or done.tune_to_hz is None:
        return
    show("")
    show(
        f"With {STATES[done.prediction.bottom]}, tune each tongue to the last column: it then sounds its note once "
        f"the drum is finished, {STATES[done.finished.bottom]}.",
        wrap=True,
    )
    each = zip(done.prediction.tongues, done.finished.tongues, done.tune_to_hz, strict=True)
    rows = [
        (now.tongue.place, now.tongue.note, f"{now.heard.hz:.1f}", f"{then.heard.hz:.1f}", f"{hz:.1f}")
        for now, then, hz in each
    ]
    show_table(FINISHED_COLUMNS, rows)


def _show_air(prediction: Prediction, air: OtherAir) -> None:
    show("")
    show(
        f"Long in air of {air.humidity_pct:g} % humidity at {air.temperature_c:g} °C, wood comes to "
        f"{air.moisture_pct:.1f} % moisture. Against the shop's air as [climate] has it "
        f"({prediction.drum.making.climate.shop_rh_pct:g} % humidity, {air.shop_pct:.1f} % moisture), each note "
        "moves by:",
        wrap=True,
    )
    _show_shifts(prediction, air.shifts)


def _show_shifts(prediction: Prediction, shifts: Shifts) -> None:
    rows = [
        (one.tongue.place, one.tongue.note, "no like motion" if shift is None else f"{shift:+.1f} cents")
        for one, shift in zip(prediction.tongues, shifts, strict=True)
    ]
    show_table((Column(head="Place"), Column(head="Note"), Column(head="Shift", number=True)), rows)
