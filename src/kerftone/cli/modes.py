"""`kerftone modes` in words."""

from __future__ import annotations

from kerftone.cli.screen import Column, show, show_table
from kerftone.cli.table import explain, show_prediction
from kerftone.jobs.predict_notes import NotesPredicted, OtherAir, Shifts
from kerftone.jobs.prediction import Prediction, stand_ins


def show_notes(done: NotesPredicted) -> None:
    """Show the notes, and how far they move in another stand and other air."""
    prediction = done.prediction
    show_prediction(prediction, count=done.count)
    if done.other_stand is not None:
        show("")
        stands = prediction.drum.box.stands
        show(f"Standing {stands} instead of {done.drum.box.stands}, each note moves by:")
        _show_shifts(prediction, done.other_stand)
    if done.other_air is not None:
        _show_air(prediction, done.other_air)
    explain(prediction, stand_ins(done.drum))


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
