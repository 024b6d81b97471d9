"""How the bottom's coming off pulls each tongue, whatever the box is of, and wherever the tongue is tuned to.

A box without its bottom has other tones than the finished one. Far from them all tongues are pulled alike; a tongue
that is tuned past one is pulled up by it on the one side and down on the other, or jumps. So the pull is asked for at
the pitch that a tongue has, or will have, and of softer and stiffer boxes, for where their tones lie is known to a
semitone or so. Boxes agree in what the finished drum sounds: what is asked is how far it sounds otherwise without its
bottom.

Cents, positive when sharp. Held by tests/tune/test_boxes.py.
"""

from __future__ import annotations

import numpy as np

from kerftone.modal.detuned import Detuned
from kerftone.modal.notes import notes_moved, weights
from kerftone.modal.result import Array

OCTAVE_CENTS = 600.0
"""How much a note rises when all wood is twice as stiff."""
BOX_SCATTER = 0.15
"""How much stiffer or less stiff the box may be against the top, as a logarithm. From the closed loop with virtual
drums."""
BOX_DEVIATIONS = np.linspace(-2.0, 2.0, 9)
"""The boxes that are tried, in standard deviations of their stiffness; the middle one is the box as modelled."""
MIDDLE = len(BOX_DEVIATIONS) // 2
LIKELY = np.exp(-0.5 * BOX_DEVIATIONS**2) / np.exp(-0.5 * BOX_DEVIATIONS**2).sum()
"""How likely each is."""
MOST_APART_CENTS = 30.0
"""The most that is made of the boxes' scatter: a tongue that is so unsure is to be tapped with the bottom on in any
case."""
ROUNDS, LEAST_SHARE, LARGEST_OCTAVES = 4, 0.05, 0.5
"""How often tongues are brought nearer the notes wanted, and by how much of their stiffness at most each time."""


def brought(model: Detuned, cents: Array) -> Array:
    """How many times as stiff each tongue's own wood must be for its note to rise by so many cents (t,)."""
    now, factors = model, np.ones(len(cents))
    for _ in range(ROUNDS):
        left = cents - notes_moved(model.modes, now.modes)
        octaves = left / (OCTAVE_CENTS * np.maximum(now.shares(), LEAST_SHARE))
        factors *= 2.0 ** np.clip(octaves, -LARGEST_OCTAVES, LARGEST_OCTAVES)
        now = model.changed(1.0, factors)
    return factors


def pulls(glued: Detuned, without: Detuned, raised: Array) -> Array:
    """How far each tongue sounds above the finished drum's without its bottom, in each box (boxes, t).

    Parameters
    ----------
    glued : Detuned
        The finished drum, with its tongues as they are now.
    without : Detuned
        The same without its bottom.
    raised : Array
        How much higher each tongue's note in the finished drum shall be than it is now, in cents (t,).
    """
    found = []
    for factor in np.exp(BOX_SCATTER * BOX_DEVIATIONS):
        boxed = glued.changed(factor)
        tongues = brought(boxed, raised - notes_moved(glued.modes, boxed.modes))
        finished, bare = (_loudest(one.changed(factor, tongues)) for one in (glued, without))
        found.append(1200.0 * np.log2(bare / finished))
    return np.array(found)


def apart(pulled: Array) -> Array:
    """How far off the middle box's each box's pull is, weighed by how likely it is (boxes, t).

    The sum of the squares is the variance of what is not known, and that of products at two pitches its covariance.
    """
    weighed = np.sqrt(LIKELY)[:, None] * (pulled - pulled[MIDDLE])
    size = np.sqrt(np.square(weighed).sum(axis=0))
    return np.asarray(weighed * np.minimum(1.0, MOST_APART_CENTS / np.maximum(size, 1e-9)))


def _loudest(model: Detuned) -> Array:
    """What each tongue sounds, in Hz (t,): its heaviest mode, see `notes.read_notes`."""
    return np.asarray(model.modes.hz[np.argmax(weights(model.modes), axis=1)])
