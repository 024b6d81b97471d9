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
from kerftone.tune.pull import TUNED_CENTS, AirMoves
from kerftone.tune.tones import breathing_tones, near_tones

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


def breathing(split_cents: float) -> AirMoves:
    """A note and a breathing at the pitch where it is solved: the two part by so much where they cross."""
    bound = (2.0 ** (split_cents / 1200.0) - 1.0) ** 2
    wood = 2.0 ** (TUNED_CENTS / 600.0)
    upper = TUNED_CENTS > 0.0
    noted = 0.5 * (wood + 1.0) + np.where(upper, 1.0, -1.0) * np.sqrt(0.25 * (wood - 1.0) ** 2 + bound)
    return AirMoves(hz=np.array([NOTE_HZ]), cents=(600.0 * np.log2(noted / wood))[:, None])


@pytest.mark.parametrize(("target", "least", "most"), [(0.0, 0.4, 1.0), (60.0, 0.2, 0.5), (-250.0, 0.0, 0.0)])
def test_a_note_in_the_gap_that_the_breathing_leaves_cannot_be_had(
    target: float, least: float, most: float
) -> None:
    """They part by 100 cents, and where the breathing lies is known to 50."""
    air = breathing(100.0)
    now = NOTE_HZ * 2.0 ** (-200.0 / 1200.0)
    sounds = -200.0 + float(air.by(np.array([now]))[0])
    (tone,) = breathing_tones(air, np.array([now]), np.array([target - sounds]), 5.0)
    assert least <= (tone.chance if tone else 0.0) <= most
    if tone:
        assert tone.breathing and tone.apart_cents == pytest.approx(-target, abs=40.0)


def test_a_breathing_that_is_hardly_felt_keeps_no_note_away() -> None:
    wood = np.array([NOTE_HZ])
    assert breathing_tones(breathing(8.0), wood, np.zeros(1), 5.0) == (None,)
