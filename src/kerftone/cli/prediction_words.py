"""What a drum sounds, as tables in the terminal: `kerftone modes`, and what other commands show of it.

Pitches are told as the nearest note and the cents from it, beside the hertz, for that is what a tuner shows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kerftone.cli.failure import remedy_words
from kerftone.cli.screen import Table, cells, say, show, show_table
from kerftone.jobs.joint_words import joint_words
from kerftone.jobs.loudness import breathing_words, loudness_words
from kerftone.jobs.other_box import louder_words
from kerftone.jobs.predict_notes import NotesPredicted
from kerftone.jobs.prediction import LISTED, Prediction, stand_ins, tap_test_gain, warnings
from kerftone.jobs.ringing import finish_words
from kerftone.jobs.round_words import round_words
from kerftone.jobs.tongue_prediction import TonguePrediction
from kerftone.shop.measure import mark_words, measure_of

IN_ONE_LINE = 10
"""Modes in one line of the list, so that it stays within 80 columns."""


def show_notes(done: NotesPredicted) -> None:
    """Show the notes, and how far they move in another stand and other air."""
    tongues = done.prediction.tongues
    show_prediction(done.prediction)
    show_modes(done.prediction, count=done.count)
    if done.finished is not None and done.tune_to_hz is not None:
        show("", done.finished_words())
        was, will = ([one.heard.hz for one in some.tongues] for some in (done.prediction, done.finished))
        pitches = {">Now\nHz": was, ">Finished\nHz": will, ">Tune to\nHz": done.tune_to_hz}
        show_by_tongue(tongues, {head: [f"{hz:.1f}" for hz in many] for head, many in pitches.items()})
    for words, shifts in done.moves():
        show("", words)
        moved = ["no like motion" if one is None else f"{one:+.1f} cents" for one in shifts]
        show_by_tongue(tongues, {">Shift": moved})
    if done.other_boxes:
        now, *_ = tried = done.other_boxes
        show(
            "",
            "How loud each note is, and by how many dB louder or softer with another size, roughly solved:",
        )
        notes = (f">{tongue.note}" for tongue in now.drum.tongues)
        show_table(cells("Box", ">Breathes\nHz", *notes), [one.told(now) for one in tried])
        show(f"*: on the breathing. {louder_words(tried)}")
    finish = finish_words(done.prediction)
    explain(done.prediction, *([finish] if finish else []))


def show_prediction(prediction: Prediction) -> None:
    """Give the prediction: what must be said first, a line on the drum, a row for each tongue, what is loud."""
    first = [f"LOOK: {one.words}{remedy_words(one.remedy)}" for one in warnings(prediction)]
    show(*first, *([""] if first else []), prediction.words(), "")
    show_table(_notes(prediction), prediction.tongues)
    told = [words for words in (breathing_words(prediction), loudness_words(prediction)) if words]
    if told:
        show("", *told)


def show_modes(prediction: Prediction, *, count: int = LISTED) -> None:
    """Say what air does to each note, and give the lowest modes of the whole drum, so many of them."""
    told = [(one.in_vacuo_hz, one.in_air) for one in prediction.tongues if one.in_air is not None]
    show("")
    if told:
        columns = {
            ">In vacuo\nHz": [f"{hz:.1f}" for hz, _ in told],
            ">Air moves\nit, cents": [f"{air.shift_cents:+.1f}" for _, air in told],
            ">Power\ndB": [f"{air.power_db:+.0f}" for _, air in told],
            ">Q of\nsound": [f"{air.radiation_q:,.0f}" for _, air in told],
        }
        show_by_tongue(prediction.tongues, columns)
        show(
            "Power: what a note sends out just after a blow of 1 N s at its strike point, dB re 1 W. Q of sound: how "
            "slowly it would die if only sound took its energy.",
            "",
        )
    listed = [f"{hz:.1f}" for hz in prediction.modes_hz[:count]]
    lines = [" ".join(listed[at : at + IN_ONE_LINE]) for at in range(0, len(listed), IN_ONE_LINE)]
    show("Modes, Hz: " + "\n           ".join(lines), "", joint_words(prediction))
    show("", round_words(prediction.drum, prediction.rounded))


def show_by_tongue(tongues: Sequence[TonguePrediction], numbers: Mapping[str, Sequence[str]]) -> None:
    """A table of the tongues with some numbers of each, by their heads."""
    places = ((one.tongue.place, one.tongue.note) for one in tongues)
    rows = [(*place, *more) for place, *more in zip(places, *numbers.values(), strict=True)]
    show_table(cells("Place", "Note", *numbers), rows)


def explain(prediction: Prediction, *remarks: str) -> None:
    """Say what the columns mean, what is not known of the wood, and more remarks."""
    drum, gain = prediction.drum, tap_test_gain(prediction)
    aim = drum.tuning.aim_cents
    way = "flat" if aim < 0 else "sharp"
    meant = f" The tongues are meant to be {abs(aim):g} cents {way}, to be tuned at the bench." if aim else ""
    loud = "" if prediction.in_air is None else " Loud: against the loudest note, for the same blow."
    said = [
        f"Cents off: from the note, positive when sharp.{meant} ±: how far the note of your board may be from this; "
        f"two boards in three are within it. Clarity: 1 is one pure note, 0.5 two that beat.{loud}",
        mark_words(drum),
        "" if gain is None else f"What the tap test bought: {gain}.",
    ]
    say(*(words for words in (*said, *stand_ins(drum), *remarks) if words))


def _notes(prediction: Prediction) -> Table[TonguePrediction]:
    """The columns of the notes; where no air carries the sound, no note is louder than another."""
    measure, tuning = measure_of(prediction.drum), prediction.drum.tuning
    unit = prediction.drum.units
    powers = [one.in_air.power_db for one in prediction.tongues if one.in_air is not None]

    def sounds(one: TonguePrediction) -> str:
        near = one.nearest(tuning.reference_hz)
        return f"{near.name} {round(near.cents):+d}"

    table: Table[TonguePrediction] = {
        "Place": lambda one: one.tongue.place,
        "Note": lambda one: one.tongue.note,
        f">Length\n{unit}": lambda one: measure.sawn(one.tongue.length_mm or 0.0).replace(f" {unit}", "", 1),
        ">Sounds": sounds,
        ">Hz": lambda one: f"{one.heard.hz:.1f}",
        ">Cents\noff": lambda one: f"{one.cents_from_target:+.1f}",
        ">±\ncents": lambda one: f"{one.plus_minus_cents:.0f}",
        ">Clar-\nity": lambda one: f"{one.heard.clarity:.2f}",
        ">Loud\ndB": lambda one: "" if one.in_air is None else f"{one.in_air.power_db - max(powers):.0f}",
        "Shared\nwith": lambda one: " ".join(one.heard.shared_with),
    }
    return {head: cell for head, cell in table.items() if powers or not head.startswith(">Loud")}
