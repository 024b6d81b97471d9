"""The prediction as a table in the terminal: 80 columns, no colour codes in a pipe.

Pitches are told as the nearest note and the cents from it, beside the hertz, for that is what a tuner shows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from operator import itemgetter

from kerftone.cli.failure import REMEDIES
from kerftone.cli.screen import Column, say, show, show_table
from kerftone.drum.design import Drum
from kerftone.jobs.joint_words import joint_words
from kerftone.jobs.loudness import breathing_words, loudness_words
from kerftone.jobs.prediction import LISTED, Prediction, Warned, tap_test_gain, warnings
from kerftone.jobs.tongue_prediction import TonguePrediction
from kerftone.pitch import nearest_note
from kerftone.shop.measure import mark_words, measure_of

IN_ONE_LINE = 10
"""Modes in one line of the list, so that it stays within 80 columns."""


def show_prediction(prediction: Prediction) -> None:
    """Give the prediction: what must be said first, a line on the drum, a row for each tongue, what is loud."""
    tell_warnings(warnings(prediction))
    show(prediction.words())
    show("")
    show_table(_columns(prediction), prediction.tongues)
    told = [words for words in (breathing_words(prediction), loudness_words(prediction)) if words]
    if told:
        show("")
    for words in told:
        show(words, wrap=True)


def show_modes(prediction: Prediction, *, count: int = LISTED) -> None:
    """Say what air does to each note, and give the lowest modes of the whole drum, so many of them."""
    show("")
    _tell_air(prediction)
    listed = [f"{hz:.1f}" for hz in prediction.modes_hz[:count]]
    lines = [" ".join(listed[at : at + IN_ONE_LINE]) for at in range(0, len(listed), IN_ONE_LINE)]
    show(f"Modes, Hz: {lines[0]}" + "".join(f"\n           {line}" for line in lines[1:]))
    show("")
    show(joint_words(prediction), wrap=True)


def _tell_air(prediction: Prediction) -> None:
    """Say what air does to each note, how loud and how long it would be heard by it alone; nothing in vacuo."""
    told = [(one.in_vacuo_hz, one.in_air) for one in prediction.tongues if one.in_air is not None]
    if told:
        columns = {
            "In vacuo\nHz": [f"{hz:.1f}" for hz, _ in told],
            "Air moves\nit, cents": [f"{air.shift_cents:+.1f}" for _, air in told],
            "Power\ndB": [f"{air.power_db:+.0f}" for _, air in told],
            "Q of\nsound": [f"{air.radiation_q:,.0f}" for _, air in told],
        }
        show_by_tongue(prediction.tongues, columns)
        show(
            "Power: what a note sends out just after a blow of 1 N s at its strike point, dB re 1 W. Q of sound: how "
            "slowly it would die if only sound took its energy.",
            wrap=True,
        )
        show("")


def show_by_tongue(tongues: Sequence[TonguePrediction], numbers: Mapping[str, Sequence[str]]) -> None:
    """A table of the tongues with some numbers of each, by their heads."""
    rows = [
        (one.tongue.place, one.tongue.note, *more)
        for one, *more in zip(tongues, *numbers.values(), strict=True)
    ]
    heads = ("Place", "Note", *numbers)
    show_table([Column(head, itemgetter(n), number=n > 1) for n, head in enumerate(heads)], rows)


def tell_warnings(found: Sequence[Warned]) -> None:
    """Say first what must be said first, and what helps against it."""
    for one in found:
        remedy = "" if one.remedy is None else f" {REMEDIES[one.remedy]}"
        show(f"LOOK: {one.words}{remedy}", wrap=True)
    if found:
        show("")


def explain(prediction: Prediction, remarks: Sequence[str]) -> None:
    """Say what the columns mean, and what is not known of the wood."""
    aim = prediction.drum.tuning.aim_cents
    way = "flat" if aim < 0 else "sharp"
    meant = f" The tongues are meant to be {abs(aim):g} cents {way}, to be tuned at the bench." if aim else ""
    say(
        f"Cents off: from the note, positive when sharp.{meant} ±: how far the note of your board may be from this; "
        "two boards in three are within it. Clarity: 1 is one pure note, 0.5 two that beat."
        + ("" if prediction.in_air is None else " Loud: against the loudest note, for the same blow."),
        wrap=True,
    )
    marks = mark_words(prediction.drum)
    if marks:
        say(marks, wrap=True)
    gain = tap_test_gain(prediction)
    if gain is not None:
        say(f"What the tap test bought: {gain}.", wrap=True)
    for remark in remarks:
        say(remark, wrap=True)


def sounds(hz: float, predicted: TonguePrediction, drum: Drum) -> str:
    """The nearest note to this pitch and the cents from it: "D3 -30"."""
    flats = "b" in predicted.tongue.note
    near = nearest_note(hz, reference_hz=drum.tuning.reference_hz, flats=flats)
    return f"{near.name} {round(near.cents):+d}"


def _columns(prediction: Prediction) -> list[Column[TonguePrediction]]:
    """The columns of the notes; where no air carries the sound, no note is louder than another."""
    drum, measure = prediction.drum, measure_of(prediction.drum)
    unit = f" {drum.units}"
    powers = [one.in_air.power_db for one in prediction.tongues if one.in_air is not None]

    def length(one: TonguePrediction) -> str:
        return measure.sawn(one.tongue.length_mm or 0.0).replace(unit, "", 1)

    def loud(one: TonguePrediction) -> str:
        return "" if one.in_air is None else f"{one.in_air.power_db - max(powers):.0f}"

    return [
        Column("Place", lambda one: one.tongue.place),
        Column("Note", lambda one: one.tongue.note),
        Column(f"Length\n{drum.units}", length, number=True),
        Column("Sounds", lambda one: sounds(one.heard.hz, one, drum), number=True),
        Column("Hz", lambda one: f"{one.heard.hz:.1f}", number=True),
        Column("Cents\noff", lambda one: f"{one.cents_from_target:+.1f}", number=True),
        Column("±\ncents", lambda one: f"{one.plus_minus_cents:.0f}", number=True),
        Column("Clar-\nity", lambda one: f"{one.heard.clarity:.2f}", number=True),
        *([Column("Loud\ndB", loud, number=True)] if powers else []),
        Column("Shared\nwith", lambda one: " ".join(one.heard.shared_with)),
    ]
