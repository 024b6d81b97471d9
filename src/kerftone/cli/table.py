"""The prediction as a table in the terminal: 80 columns, no colour codes in a pipe.

Pitches are told as the nearest note and the cents from it, beside the hertz, for that is what a tuner shows.
"""

from __future__ import annotations

from collections.abc import Sequence

from kerftone.cli.failure import REMEDIES
from kerftone.cli.screen import Column, say, show, show_table
from kerftone.drum.design import Drum
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
    Column(head="Shared\nwith"),
)
IN_ONE_LINE = 10


def show_prediction(prediction: Prediction, *, count: int = LISTED) -> None:
    """Give the whole prediction: a line on the drum, a row for each tongue, the modes."""
    tell_warnings(warnings(prediction))
    drum = prediction.drum
    many = "s" * (len(drum.tongues) != 1)
    stands = "held still below" if drum.box.stands == "held" else "standing free"
    show(f"{drum.name}: {len(drum.tongues)} tongue{many}, {stands}")
    show("")
    show_table(COLUMNS, [_row(tongue, drum) for tongue in prediction.tongues])
    show("")
    listed = [f"{hz:.1f}" for hz in prediction.modes.hz[:count]]
    lines = [" ".join(listed[at : at + IN_ONE_LINE]) for at in range(0, len(listed), IN_ONE_LINE)]
    show(f"Modes, Hz: {lines[0]}" + "".join(f"\n           {line}" for line in lines[1:]))


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
        f"Cents off: from the note, positive when sharp.{meant} ±: one standard deviation of what is not "
        "known about the wood. Clarity: 1 is one pure note, 0.5 two that beat.",
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


def _row(predicted: TonguePrediction, drum: Drum) -> tuple[str, ...]:
    heard = predicted.heard
    return (
        predicted.tongue.place,
        predicted.tongue.note,
        measure_of(drum)(predicted.tongue.length_mm or 0.0),
        sounds(heard.hz, predicted, drum),
        f"{heard.hz:.1f}",
        f"{predicted.cents_from_target:+.1f}",
        f"{predicted.plus_minus_cents:.0f}",
        f"{heard.clarity:.2f}",
        " ".join(heard.shared_with),
    )
