"""The modes of a drum as a listener in front of it has them, or as any place of it can be struck."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kerftone.jobs.prediction import Prediction

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from kerftone.modal.result import Modes
    from kerftone.sound.air import Air

KNOCK_MODES = 64
"""So many motions of the drum are heard: to some 3 kHz on a drum of six tongues. The first twenty end about 1 kHz,
and without the rest a hard blow has no knock: those above are short, and a soft mallet hardly moves them."""


def modes_heard(prediction: Prediction) -> Modes:
    """The modes as a listener in front of the drum has them: by what comes there of each; in vacuo by what
    the tongues push."""
    from kerftone.sound.radiated import radiated

    air = prediction.in_air
    return prediction.modes if air is None else radiated(air.modes, air.q, air.ear, air_of(prediction))


def air_of(prediction: Prediction) -> Air:
    """The air between drum and listener: as warm as was asked, and half of space above a table."""
    from kerftone.sound.air import FREE_SPACE_SR, ON_TABLE_SR, Air

    asked = prediction.air
    if asked is None:
        return Air()
    angle = ON_TABLE_SR if asked.mirrored(prediction.drum) else FREE_SPACE_SR
    return Air(temperature_c=asked.temperature_c, solid_angle_sr=angle)


def held_loss_of(prediction: Prediction) -> NDArray[np.float64] | None:
    """What the drum's feet or a lap take of each motion that is heard, as 1/Q; None in vacuo."""
    import numpy as np

    return None if prediction.in_air is None else np.asarray(prediction.in_air.holding, dtype=np.float64)


def modes_played(prediction: Prediction) -> Modes:
    """The motions of the wood, each at the pitch and as loud as the air in and round the box makes it.

    Their shapes are left as in vacuo, of which air changes little, so that any place can be struck; the breathing of
    the box is left out, as nothing strikes it.
    """
    from kerftone.sound.radiated import radiated

    found = prediction.in_air
    if found is None:
        return prediction.modes
    most = found.shares.argmax(axis=0)
    return radiated(replace(prediction.modes, hz=found.modes.hz[most]), found.q[most], found.ear[most])
