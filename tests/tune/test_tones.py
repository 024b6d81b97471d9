"""A tongue and a tone of the box as two oscillators that pull at each other: their crossing is known in closed form.

Two oscillators of one pitch, coupled, sound at pitches that lie apart by their coupling, and each moves as much as
the other (the avoided crossing of any text on vibrations, from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from kerftone.modal.detuned import Detuned
from kerftone.modal.result import Modes
from kerftone.tune.tones import near_tones

NOTE_HZ, FAR_HZ = 300.0, 900.0


def drum(tone_cents: float, split_cents: float) -> Detuned:
    """A tongue of 300 Hz, a tone of the box so far above it, coupled to part by so much where they cross; a far
    tongue.

    Nothing of the tongues' stiffness lies in the box, so its wood moves only its own tone.
    """
    note, tone, far = (
        (2 * math.pi * hz) ** 2 for hz in (NOTE_HZ, NOTE_HZ * 2 ** (tone_cents / 1200), FAR_HZ)
    )
    pull = note * (2 ** (split_cents / 1200) - 1.0)
    tongues = np.zeros((2, 3, 3))
    tongues[0, 0, 0], tongues[1, 2, 2] = note, far
    box = np.array([[0.0, pull, 0.0], [pull, tone, 0.0], [0.0, 0.0, 0.0]])
    values, shapes = np.linalg.eigh(box + tongues.sum(axis=0))
    moves = np.array([shapes[0], shapes[2]])
    return Detuned(
        modes=Modes(
            hz=np.sqrt(values) / (2 * math.pi),
            strike=moves,
            sweep=moves,
            volume=np.zeros(3),
            unknowns=3,
            seconds=0.0,
        ),
        frame=shapes.T @ box @ shapes,
        tongues=shapes.T @ tongues @ shapes,
        probes=np.zeros((2, 9, 3)),
        factors=np.ones(2),
    )


def asked(model: Detuned, cents_from_note: float):
    """The tone near the first tongue, when its note is to lie so many cents above 300 Hz."""
    wanted = 1200 * math.log2(NOTE_HZ / model.heard_hz(0)) + cents_from_note
    return near_tones(model, [0], np.array([wanted, 0.0]), 5.0).get(0)


def test_a_tongue_far_from_every_tone_of_the_box_is_not_spoken_of() -> None:
    assert asked(drum(700.0, 20.0), 0.0) is None


def test_a_note_on_a_tone_that_pulls_hard_cannot_be_had() -> None:
    """Coupled to part by 120 cents, nothing sounds within 40 of the tone: a band of 5 cents there stays mute."""
    tone = asked(drum(0.0, 120.0), 0.0)
    assert tone is not None and tone.chance > 0.25


def test_a_note_near_a_tone_that_hardly_pulls_can_be_had() -> None:
    tone = asked(drum(25.0, 4.0), 0.0)
    assert tone is None or tone.chance == 0.0


def test_the_chance_grows_with_the_coupling() -> None:
    chances = [
        tone.chance if (tone := asked(drum(10.0, split), 0.0)) else 0.0 for split in (4.0, 60.0, 200.0)
    ]
    assert chances == sorted(chances) and chances[0] < chances[-1]


def test_two_oscillators_of_one_pitch_part_by_their_coupling() -> None:
    low, high = drum(0.0, 50.0).modes.hz[:2]
    assert 1200 * math.log2(high / low) == pytest.approx(50.0, rel=0.03)
