"""Tables over length against tongues made for the lengths asked about, on a drum of two facing tongues."""

from __future__ import annotations

import math

import numpy as np

from kerftone.modal.frame import Assembly
from kerftone.modal.notes import weights
from kerftone.modal.search import SearchModel

PLACES = ((1, "left"), (1, "right"))
REACH_MM = (70.0, 190.0)


def both(model: SearchModel, afresh: Assembly, lengths: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
    """The notes by the tables, and by tongues made for these lengths, in Hz."""
    made = afresh.with_drum(afresh.drum.with_lengths(lengths))
    own = np.argmax(weights(made.modes()), axis=1)
    true = np.sqrt(made.values)[own] / (2 * math.pi)
    return model.read(model.fitted(PLACES, lengths), 1.5 * float(true.max())).hz[own], true


def rises_told_alike(model: SearchModel, afresh: Assembly) -> np.ndarray:
    """By how much the notes rise (2,), in cents, with both tongues shortened from 2 % longer to 2 % shorter.

    Fails where tables and tongues made afresh differ by 0.15 cents in a note, or by 3 in 1000 in a rise.
    """
    assert model.seats[PLACES[0]].table is not model.seats[PLACES[1]].table
    found = [both(model, afresh, (140.0 * by, 105.0 * by)) for by in (0.98, 1.02)]
    for said, true in found:
        assert abs(1200.0 * np.log2(said / true)).max() < 0.15
    told, true = (1200.0 * np.log2(found[0][at] / found[1][at]) for at in (0, 1))
    np.testing.assert_allclose(told, true, rtol=3e-3)
    return np.asarray(true)
