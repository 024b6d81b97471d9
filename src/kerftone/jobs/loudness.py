"""How loud the notes are against each other, and which lie on the breathing of the box: in words, with what helps."""

from __future__ import annotations

from kerftone.jobs.prediction import Prediction, TonguePrediction
from kerftone.shop.measure import measure_of

NEAR = 0.08
"""Nearer to the breathing than this share a note is loud, sooner gone and not sure: with finite elements of wood and
air one 9 % off had a Q of 500, one on it 64."""
AFFECTED_Q = 1000.0
"""A note that loses less than this to sound hardly pushes any air in all, and lies near the breathing unharmed: the
wood alone leaves a tenth of it. Own judgement."""
CLEAR = 0.10
"""So far off it a changed box is to take it: a little more than NEAR."""
UNEVEN_DB = 10.0
"""Notes that differ by more are said to: one is heard twice as loud. Own judgement."""


def loudness_words(prediction: Prediction) -> str:
    """How loud the loudest note is against the quietest, for the same blow; empty in vacuo or when they are even."""
    told = [(one.in_air.power_db, one) for one in prediction.tongues if one.in_air is not None]
    if not told:
        return ""
    (low, quiet), (high, loud) = min(told, key=lambda one: one[0]), max(told, key=lambda one: one[0])
    if high - low < UNEVEN_DB:
        return ""
    words = f"{_name(loud)} is {high - low:.0f} dB louder than {_name(quiet)}, for one same blow."
    found = prediction.in_air
    if found is not None and found.breathing_hz is not None and quiet.heard.hz < 0.8 * found.breathing_hz:
        words += " A higher box, or a narrower saw cut, breathes lower and lifts the low notes."
    return words


def breathing_words(prediction: Prediction) -> str:
    """Where the box breathes, which notes lie on it, and which height of the box takes them off; empty if it does
    not."""
    found = prediction.in_air
    if found is None or found.breathing_hz is None:
        return ""
    breathing = found.breathing_hz
    words = f"The box breathes at {breathing:.0f} Hz."
    near = [one for one in prediction.tongues if _lies_on(one, breathing)]
    if not near:
        return words
    worst = min(near, key=lambda one: abs(one.heard.hz / breathing - 1.0))
    names = ", ".join(_name(one) for one in near)
    height = prediction.drum.box.height_mm
    heights = [height * (breathing * (1.0 + way * CLEAR) / worst.heard.hz) ** 2 for way in (1.0, -1.0)]
    nearest = min(heights, key=lambda mm: abs(mm - height))
    now, then = (measure_of(prediction.drum)(mm) for mm in (height, nearest))
    return (
        f"{words} On it, and so loud, sooner gone and not sure: {names}. A box about {then} high instead of {now} "
        f"would take {_name(worst)} off it; find the lengths anew after that."
    )


def _lies_on(one: TonguePrediction, breathing_hz: float) -> bool:
    """Whether a note, as cut or once tuned, is near the breathing and touched by it."""
    told = one.in_air
    apart = min(abs(hz / breathing_hz - 1.0) for hz in (one.heard.hz, one.target_hz))
    return told is not None and told.radiation_q < AFFECTED_Q and apart < NEAR


def _name(one: TonguePrediction) -> str:
    return f"{one.tongue.note} ({one.tongue.place})"
