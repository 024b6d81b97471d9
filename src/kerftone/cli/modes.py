"""`kerftone modes` in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from kerftone.cli.prediction_words import BOTTOMS, explain, show_modes, show_prediction
from kerftone.cli.screen import Column, show, show_table
from kerftone.jobs.other_box import OtherBox, louder_words
from kerftone.jobs.predict_notes import NotesPredicted, OtherAir, Shifts
from kerftone.jobs.prediction import Prediction, TonguePrediction, stand_ins

FINISHED_COLUMNS: tuple[Column[tuple[TonguePrediction, TonguePrediction, float]], ...] = (
    Column("Place", lambda row: row[0].tongue.place),
    Column("Note", lambda row: row[0].tongue.note),
    Column("Now\nHz", lambda row: f"{row[0].heard.hz:.1f}", number=True),
    Column("Finished\nHz", lambda row: f"{row[1].heard.hz:.1f}", number=True),
    Column("Tune to\nHz", lambda row: f"{row[2]:.1f}", number=True),
)
SHIFT_COLUMNS: tuple[Column[tuple[TonguePrediction, float | None]], ...] = (
    Column("Place", lambda pair: pair[0].tongue.place),
    Column("Note", lambda pair: pair[0].tongue.note),
    Column(
        "Shift", lambda pair: "no like motion" if pair[1] is None else f"{pair[1]:+.1f} cents", number=True
    ),
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
    _show_boxes(done.other_boxes)
    if done.other_air is not None:
        _show_air(prediction, done.other_air)
    explain(prediction, stand_ins(done.drum))


def _show_finished(done: NotesPredicted) -> None:
    """What to tune to in this state of the bottom; nothing where the drum was asked for as its file has it."""
    if done.finished is None or done.tune_to_hz is None:
        return
    show("")
    show(
        f"With {_bottom(done.prediction)}, tune each tongue to the last column: it then sounds its note once "
        f"the drum is finished, {_bottom(done.finished)}.",
        wrap=True,
    )
    show_table(
        FINISHED_COLUMNS,
        zip(done.prediction.tongues, done.finished.tongues, done.tune_to_hz, strict=True),
    )


def _bottom(prediction: Prediction) -> str:
    words = BOTTOMS[prediction.bottom]
    return f"the box {words}" if words.startswith("open") else words


def _show_boxes(tried: Sequence[OtherBox]) -> None:
    """How loud each note is with other sizes of the box; nothing where that was not asked."""
    if not tried:
        return
    now = tried[0]
    show("")
    show(
        "How loud each note is, and by how many dB louder or softer with another size, roughly solved:",
        wrap=True,
    )

    def level(number: int) -> Callable[[OtherBox], str]:
        def said(one: OtherBox) -> str:
            if one is now:
                return f"{one.power_db[number]:.0f}"
            mark = "*" if number in one.on_breathing else ""
            return f"{one.power_db[number] - now.power_db[number]:+.0f}{mark}"

        return said

    columns: list[Column[OtherBox]] = [
        Column("Box", lambda one: one.words),
        Column("Breathes\nHz", lambda one: f"{one.breathing_hz:.0f}", number=True),
    ]
    for number, tongue in enumerate(now.drum.tongues):
        columns.append(Column(tongue.note, level(number), number=True))
    show_table(columns, tried)
    show(f"*: on the breathing. {louder_words(tried)}", wrap=True)


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
    show_table(SHIFT_COLUMNS, zip(prediction.tongues, shifts, strict=True))
