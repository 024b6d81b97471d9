"""How loud the notes are against each other, and which lie on the breathing of the box: in words, with what helps."""

from __future__ import annotations

import math
from functools import partial
from statistics import median
from typing import TYPE_CHECKING

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.jobs.prediction import Prediction
from kerftone.jobs.shaken_places import STROKE_M_S
from kerftone.jobs.tongue_prediction import TonguePrediction
from kerftone.jobs.wood_facts import of_boards
from kerftone.modal.shelf import Shelf, name_of
from kerftone.shop.measure import measure_of
from kerftone.units import MM_PER_INCH

if TYPE_CHECKING:
    from kerftone.air.breathing import Breathing
    from kerftone.tune.box_air import Height

CLEAR = 0.10
"""So far off it a changed box is to take it: a little more than what counts as near."""
UNEVEN_DB = 10.0
"""Notes that differ by more are said to: one is heard twice as loud. Own judgement."""
BREATHES = "breathes"
WORTH_DB, MOST_DB = 3.0, 12.0
"""So much is worth striking elsewhere; more would bring out the tones above the note. Own judgement."""


def loudness_words(prediction: Prediction) -> str:
    """How loud the loudest note is against the quietest, for the same blow, and what evens it.

    Empty in vacuo or when they are even.
    """
    told = [(one.in_air.power_db, one) for one in prediction.tongues if one.in_air is not None]
    if not told:
        return ""
    (low, quiet), (high, loud) = min(told, key=lambda one: one[0]), max(told, key=lambda one: one[0])
    if high - low < UNEVEN_DB:
        return ""
    words = f"{_name(loud)} is {high - low:.0f} dB louder than {_name(quiet)}, for one same blow."
    found = prediction.in_air
    if found is not None and found.breathing_hz is not None and quiet.heard.hz < 0.8 * found.breathing_hz:
        hole = "a smaller sound hole, " if prediction.drum.sound_holes else ""
        words += f" A higher box, {hole}or a narrower saw cut, breathes lower and lifts the low notes."
    words += _softer_ball(prediction, quiet, loud)
    middle = median(level for level, _ in told)
    softer = [_softer(prediction, one, min(level - middle, MOST_DB)) for level, one in told]
    places = ", ".join(place for place in softer if place)
    return words + (f" Struck further from its tip a tongue is softer: {places}." if places else "")


def _softer_ball(prediction: Prediction, quiet: TonguePrediction, loud: TonguePrediction) -> str:
    """How much of the step a softer ball takes off, since it gives high notes less; empty where that is little."""
    from kerftone.shop.checks import pulse_db
    from kerftone.sound.mallet import HARD_RUBBER, SOFT_RUBBER, rigid_contact_ms

    pushes = []
    for mallet in (HARD_RUBBER, SOFT_RUBBER):
        touch = rigid_contact_ms(mallet, prediction.drum.top, speed_m_s=STROKE_M_S)
        levels = [pulse_db(hz=one.heard.hz, contact_ms=touch) for one in (loud, quiet)]
        pushes.append(levels[0] - levels[1])
    less = pushes[0] - pushes[1]
    if less < WORTH_DB:
        return ""
    return f" A ball of soft rubber in place of hard takes {min(less, MOST_DB):.0f} dB of that."


def _softer(prediction: Prediction, one: TonguePrediction, by_db: float) -> str:
    """Where to strike a loud tongue so that its note is so much softer; empty where it need not be or cannot."""
    if by_db < WORTH_DB:
        return ""
    away = strike_from_tip_mm(prediction, one, by_db)
    if away is None:
        return ""
    step = MM_PER_INCH / 8.0 if prediction.drum.units == "in" else 1.0  # no hand strikes nearer
    said = measure_of(prediction.drum)(round(away / step) * step)
    return f"{_name(one)} {said} from it, by {by_db:.0f} dB"


def strike_from_tip_mm(prediction: Prediction, one: TonguePrediction, by_db: float) -> float | None:
    """How far from its tip, on its centre line, a tongue's note is softer by so much for the same blow.

    From how its own mode lifts the wood there; None where no place on it is so soft, or no shapes are known.

    Parameters
    ----------
    prediction : Prediction
        The drum, with the view of its modes.
    one : TonguePrediction
        Which tongue.
    by_db : float
        How much softer than at its usual place, in dB.
    """
    view = prediction.modes.view
    if view is None:
        return None
    import numpy as np

    number = one.heard.number
    drawn = outline(prediction.drum)
    x, y = drawn.strike_points[number]
    low, _, high, _ = drawn.tongues[number].bounds
    tip, root = (high, low) if one.tongue.side == "left" else (low, high)
    along = np.linspace(x, root, 80)
    lift = view.lift_at(np.column_stack([along, np.full(len(along), y)]), one.heard.mode)
    softer = 20.0 * np.log10(np.maximum(abs(lift), 1e-12) / max(abs(float(lift[0])), 1e-12)) <= -by_db
    return abs(float(along[int(softer.argmax())]) - tip) if softer.any() else None


def breathing_words(prediction: Prediction) -> str:
    """Where the box breathes, which notes lie on it, and which height of the box takes them off; empty if it does
    not."""
    from kerftone.air.near_breathing import NEAR

    found = prediction.in_air
    if found is None or found.breathing_hz is None:
        return ""
    breathing = found.breathing_hz
    words = f"The box breathes at {breathing:.0f} Hz."
    tuned = [one for one in prediction.tongues if _lies_on(one, one.target_hz, breathing)]
    cut = [one for one in prediction.tongues if one not in tuned and _lies_on(one, one.heard.hz, breathing)]
    if tuned:
        names = ", ".join(map(_name, tuned))
        words += f" Within {100.0 * NEAR:.0f} % of it, and so loud, sooner gone and not sure: {names}."
        words += f" {_off_it(prediction, tuned, breathing)}"
    if cut:
        words += (
            f" Within {100.0 * NEAR:.0f} % of it as cut, but off it once tuned: {', '.join(map(_name, cut))}."
        )
    return words


def _off_it(prediction: Prediction, near: list[TonguePrediction], breathing: float) -> str:
    """Which height of the box keeps all notes off its breathing, as tried on the model."""
    from kerftone.tune.box_air import clear_height

    drum = prediction.drum
    breathes = partial(breathing_beside, shelf=prediction.shelf)
    found = clear_height(drum, (), breathes) if prediction.bottom == "glued" else None
    if found is not None:
        return height_words(prediction, found)
    worst = min(near, key=lambda one: abs(one.target_hz / breathing - 1.0))
    now = drum.box.height_mm
    heights = [now * (breathing * (1.0 + way * CLEAR) / worst.target_hz) ** 2 for way in (1.0, -1.0)]
    said = measure_of(drum)
    return (
        f"A box about {said(min(heights, key=lambda mm: abs(mm - now)))} high instead of {said(now)} would take "
        f"{_name(worst)} off it; find the lengths anew after that."
    )


def breathing_beside(drum: Drum, shelf: Shelf) -> Breathing | None:
    """Where the finished box breathes, its wood thought still, as it was kept or worked out anew."""
    import numpy as np

    from kerftone.air.breathing import Breathing, breathing_of
    from kerftone.air.medium import air_at

    name = name_of("breathing", drum)
    kept = shelf.arrays(name)
    if kept is not None and BREATHES in kept:
        hz, q = (float(value) for value in kept[BREATHES])
        return Breathing(hz=hz, q=q, medium=air_at())
    found = breathing_of(drum)
    if found is not None:
        shelf.keep_arrays(name, {BREATHES: np.array([found.hz, found.q])})
    return found


def height_words(prediction: Prediction, found: Height) -> str:
    """What a height of the box does for the breathing, and on how many boards, in words."""
    drum, said = prediction.drum, measure_of(prediction.drum)
    nearest = f"{_name(prediction.tongues[found.nearest])} nearest, {math.floor(100.0 * found.apart)} % off"
    boards = (
        f"; on {of_boards(found.safe)} such as yours may be no note is nearer than 8 %"
        if found.boards
        else ""
    )
    if math.isclose(found.mm, drum.box.height_mm):
        return (
            f"No other height of the walls keeps the notes further off ({nearest}{boards}): other places may, "
            "where a note there pushes less air, or one note fewer."
        )
    return (
        f"Walls {said(found.mm)} high instead of {said(drum.box.height_mm)} would breathe at "
        f"{found.breathing_hz:.0f} Hz ({nearest}{boards}); find the lengths anew after that."
    )


def _lies_on(one: TonguePrediction, hz: float, breathing_hz: float) -> bool:
    """Whether a note, sounding so, is near the breathing and touched by it."""
    from kerftone.air.near_breathing import AFFECTED_Q, NEAR

    told = one.in_air
    return told is not None and told.radiation_q < AFFECTED_Q and abs(hz / breathing_hz - 1.0) < NEAR


def _name(one: TonguePrediction) -> str:
    return f"{one.tongue.note} ({one.tongue.place})"
