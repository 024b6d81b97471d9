"""How far off a step at the bench may come out: for the hand that made it, and for the model that foretold it.

Held by tests/tune/test_belief.py. Numbers are from the closed loop with virtual drums.
"""

from __future__ import annotations

import math

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.tune import odd_steps
from kerftone.tune.history import Bored, Event, depth_before

PLACE_SHARE = 0.03
"""A bore a millimetre off its place does so much more or less, as a share."""
OTHER_SHARE, OTHER_SLIP = 0.08, 0.1
"""The model's share for a tip trimmed, slots sawn further or a weight fixed, and how far off it may come out."""
MEASURED_DEPTH_MM = 0.1
"""How far off a depth is that was measured; own judgement."""


def slip(event: Event, before: Drum) -> float:
    """What a step may have done beside what it should, for being off in size and place, as a share."""
    if not isinstance(event, Bored):
        return OTHER_SLIP
    shop = before.shop
    deeper = event.bore.depth_mm - depth_before(before, event)
    error = MEASURED_DEPTH_MM if event.measured else shop.depth_error_mm
    return math.hypot(error / max(deeper, error), PLACE_SHARE * shop.place_error_mm)


def strays(event: Event, did: Array) -> list[float]:
    """How many cents the model may be off for each tongue in what a step did to them, by the model (t,)."""
    found = np.hypot(odd_steps.STRAY_CARRIED_SHARE * did, odd_steps.STRAY_CENTS)
    if isinstance(event, Bored):
        found[event.tongue] = odd_steps.stray_cents(did[event.tongue])
    else:
        found[event.tongue] = math.hypot(OTHER_SHARE * did[event.tongue], odd_steps.STRAY_CENTS)
    return [float(by) for by in found]
