"""How far the notes fall where a glue joint holds in spots only, in a sentence."""

from __future__ import annotations

from kerftone.jobs.prediction import Prediction
from kerftone.tune.glue import LEAST_SHARE

LEAST_CENTS = 0.5
"""A joint that moves no note by so much is not worth a word: own judgement."""


def joint_words(prediction: Prediction) -> str:
    """What joints that hold on part of their area would do to the notes; which of them the most."""
    drum, told = prediction.drum, []
    for name, falls in prediction.joints.items():
        worst = max(range(len(falls)), key=lambda at: falls[at])
        if falls[worst] < LEAST_CENTS:
            told.append(f"that of the {name} less than half a cent")
            continue
        tongue = drum.tongues[worst]
        told.append(
            f"that of the {name} {min(falls):.0f} to {falls[worst]:.0f} cents, {tongue.note} ({tongue.place}) "
            "the most"
        )
    return (
        f"A glue joint that holds on {LEAST_SHARE:.0%} of its area only, in spots, makes the notes flatter: "
        f"{'; '.join(told)}. So much is in the \N{PLUS-MINUS SIGN}."
    )
