"""`kerftone modes` in words."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from kerftone.cli.prediction_words import explain, show_by_tongue, show_modes, show_prediction
from kerftone.cli.screen import Column, show, show_table
from kerftone.jobs.other_box import OtherBox, louder_words
from kerftone.jobs.predict_notes import NotesPredicted
from kerftone.jobs.prediction import stand_ins
from kerftone.jobs.ringing import finish_words


def show_notes(done: NotesPredicted) -> None:
    """Show the notes, and how far they move in another stand and other air."""
    tongues = done.prediction.tongues
    show_prediction(done.prediction)
    show_modes(done.prediction, count=done.count)
    if done.finished is not None and done.tune_to_hz is not None:
        show("")
        show(done.finished_words(), wrap=True)
        pitches = {
            "Now\nHz": [one.heard.hz for one in tongues],
            "Finished\nHz": [one.heard.hz for one in done.finished.tongues],
            "Tune to\nHz": done.tune_to_hz,
        }
        show_by_tongue(tongues, {head: [f"{hz:.1f}" for hz in many] for head, many in pitches.items()})
    for words, shifts in done.moves():
        show("")
        show(words, wrap=True)
        moved = ["no like motion" if one is None else f"{one:+.1f} cents" for one in shifts]
        show_by_tongue(tongues, {"Shift": moved})
    _show_boxes(done.other_boxes)
    finish = finish_words(done.prediction)
    explain(done.prediction, (*stand_ins(done.drum), *((finish,) if finish else ())))


def _show_boxes(tried: Sequence[OtherBox]) -> None:
    """How loud each note is with other sizes of the box; nothing where that was not asked."""
    if not tried:
        return
    show("")
    show(
        "How loud each note is, and by how many dB louder or softer with another size, roughly solved:",
        wrap=True,
    )

    def level(one: OtherBox, number: int) -> str:
        if one is tried[0]:
            return f"{one.power_db[number]:.0f}"
        mark = "*" if number in one.on_breathing else ""
        return f"{one.power_db[number] - tried[0].power_db[number]:+.0f}{mark}"

    columns: list[Column[OtherBox]] = [
        Column("Box", lambda one: one.words),
        Column("Breathes\nHz", lambda one: f"{one.breathing_hz:.0f}", number=True),
        *(
            Column(tongue.note, partial(level, number=number), number=True)
            for number, tongue in enumerate(tried[0].drum.tongues)
        ),
    ]
    show_table(columns, tried)
    show(f"*: on the breathing. {louder_words(tried)}", wrap=True)
