"""How far the notes fall where a glue joint holds in spots only, in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from kerftone.jobs.prediction import Prediction
from kerftone.tune.glue import LEAST_SHARE, SOFTER

LEAST_CENTS = 0.5
"""A joint that moves no note by so much is not worth a word: own judgement."""


def joint_words(prediction: Prediction) -> str:
    """What joints that hold on part of their area, or clamps that press less, would do to the notes."""
    joints = dict(prediction.joints)
    clamps, told = joints.pop("clamps", None), []
    if clamps is not None:
        told.append(
            "The top is only clamped, and the pressure of clamps is anybody's guess: with its dry faces "
            f"{SOFTER:g} times as soft the notes are flatter by {_fall(clamps, prediction)}."
        )
    if joints:
        each = "; ".join(f"that of the {name} {_fall(falls, prediction)}" for name, falls in joints.items())
        told.append(
            f"A glue joint that holds on {LEAST_SHARE:.0%} of its area only, in spots, makes the notes flatter: "
            f"{each}."
        )
    return f"{' '.join(told)} So much is in the \N{PLUS-MINUS SIGN}."


def _fall(falls: Sequence[float], prediction: Prediction) -> str:
    worst = max(range(len(falls)), key=lambda at: falls[at])
    if falls[worst] < LEAST_CENTS:
        return "less than half a cent"
    tongue = prediction.drum.tongues[worst]
    return f"{min(falls):.0f} to {falls[worst]:.0f} cents, {tongue.note} ({tongue.place}) the most"
