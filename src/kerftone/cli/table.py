"""The prediction as a table in the terminal: 80 columns, no colour codes in a pipe.

Pitches are told as the nearest note and the cents from it, beside the hertz, for that is what a tuner shows.
"""

from __future__ import annotations

from collections.abc import Sequence

from kerftone.cli.failure import REMEDIES
from kerftone.cli.screen import Column, say, show, show_table
from kerftone.drum.design import Drum
from kerftone.jobs.loudness import breathing_words, loudness_words
from kerftone.jobs.prediction import LISTED, Prediction, TonguePrediction, Warned, tap_test_gain, warnings
from kerftone.pitch import nearest_note
from kerftone.shop.measure import measure_of

COLUMNS = (
    Column(head="Place"),
    Column(head="Note"),
    Column(head="Length", number=True),
    Column(head="Sounds", number=True),
    Column(head="Hz", number=True),
    Column(head="Cents\noff", number=True),
    Column(head="±\ncents", number=True),
    Column(head="Clar-\nity", number=True),
    Column(head="Loud\ndB", number=True),
    Column(head="Shared\nwith"),
)
SILENT_COLUMNS = tuple(column for column in COLUMNS if not column.head.startswith("Loud"))
"""Where no air carries the sound, no note is louder than another."""
AIR_COLUMNS = (
    Column(head="Place"),
    Column(head="Note"),
    Column(head="In vacuo\nHz", number=True),
    Column(head="Air moves\nit, cents", number=True),
    Column(head="Power\ndB", number=True),
    Column(head="Q of\nsound", number=True),
)
IN_ONE_LINE = 10


def show_prediction(prediction: Prediction) -> None:
    """Give the prediction: what must be said first, a line on the drum, a row for each tongue, what is loud."""
    tell_warnings(warnings(prediction))
    drum = prediction.drum
    many = "s" * (len(drum.tongues) != 1)
    stands = "held still below" if drum.box.stands == "held" else "standing free"
    show(f"{drum.name}: {len(drum.tongues)} tongue{many}, {stands}, {_air_words(prediction)}")
    show("")
    loudest = max((one.in_air.power_db for one in prediction.tongues if one.in_air is not None), default=None)
    columns = SILENT_COLUMNS if loudest is None else COLUMNS
    show_table(columns, [_row(tongue, drum, loudest) for tongue in prediction.tongues])
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


BOTTOMS = {
    "glued": "the bottom glued on",
    "loose": "the bottom put in, not glued",
    "off": "open below",
    "table": "open below, on a table",
}


def _air_words(prediction: Prediction) -> str:
    if prediction.air is None:
        return "in vacuo"
    return f"{BOTTOMS[prediction.bottom]}, in air of {prediction.air.temperature_c:g} °C"


def _tell_air(prediction: Prediction) -> None:
    """Say what air does to each note, how loud and how long it would be heard by it alone; nothing in vacuo."""
    rows = [
        (
            one.tongue.place,
            one.tongue.note,
            f"{one.in_vacuo_hz:.1f}",
            f"{one.in_air.shift_cents:+.1f}",
            f"{one.in_air.power_db:+.0f}",
            f"{one.in_air.radiation_q:,.0f}",
        )
        for one in prediction.tongues
        if one.in_air is not None
    ]
    if rows:
        show_table(AIR_COLUMNS, rows)
        show(
            "Power: what a note sends out just after a blow of 1 N s at its strike point, dB re 1 W. Q of sound: how "
            "slowly it would die if only sound took its energy.",
            wrap=True,
        )
        show("")


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
        f"Cents off: from the note, positive when sharp.{meant} ±: how far the note of your board may be from this, "
        "one standard deviation. Clarity: 1 is one pure note, 0.5 two that beat."
        + ("" if prediction.in_air is None else " Loud: against the loudest note, for the same blow."),
        wrap=True,
    )
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


def _row(predicted: TonguePrediction, drum: Drum, loudest_db: float | None) -> tuple[str, ...]:
    """One tongue's row; without the loudest note's power there is no column for it."""
    heard, air = predicted.heard, predicted.in_air
    loud = () if loudest_db is None or air is None else (f"{air.power_db - loudest_db:.0f}",)
    return (
        predicted.tongue.place,
        predicted.tongue.note,
        measure_of(drum)(predicted.tongue.length_mm or 0.0),
        sounds(heard.hz, predicted, drum),
        f"{heard.hz:.1f}",
        f"{predicted.cents_from_target:+.1f}",
        f"{predicted.plus_minus_cents:.0f}",
        f"{heard.clarity:.2f}",
        *loud,
        " ".join(heard.shared_with),
    )
