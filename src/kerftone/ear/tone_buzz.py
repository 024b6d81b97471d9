"""Whether something buzzes along with a struck tone: noise in bursts that come with each swing of the tone.

A loose thing is thrown at every swing of the wood it lies on, and sounds where it comes down: a burst of noise over
several octaves, once (or twice) in each period, as long as the tone is strong enough. So high bands, each much wider
than the note, are looked at long after the attack: there a clean tone leaves a few inharmonic partials, which beat at
other frequencies, and the room its noise, which beats at none. A buzz makes the loudness of several bands at once go
up and down with the note. Voices that are harmonic all the way up, as of a reed or a bowed string, would be taken for
one, and so might a steel string; struck bars of wood and metal are not. Held by tests/ear/test_tone_buzz.py.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.ear.heard import Buzz

Array = NDArray[np.floating[Any]]
FROM_S, LEAST_S, MOST_S = 0.08, 0.2, 0.6
"""How long after the blow it is looked for, so that the noise of the blow is over; and over how long."""
LEAST_SWINGS = 25
"""So many swings of the tone are needed: beats of fewer are not told from its fall."""
FROM_RATIO, FROM_HZ, TO_HZ = 8.0, 1800.0, 12000.0
"""Bands begin so many times above the note, where little of its own is left, and end where microphones do."""
BAND_RATIO = 1.35
"""Each band is so many times as high at its end as at its beginning."""
NARROWEST = 4.0
"""And at least so many times the note wide, or it could not follow its swings."""
LOCKED, BANDS = 0.5, 3
"""A band swings with the note by this share, in so many bands: noise alone reaches a tenth by its width and time,
and of the real bars in tests/ear/test_bars.py one of a celesta 0.43."""
BESIDE, OVER_BESIDE = (0.61, 0.77, 1.29, 1.43, 1.58, 2.37, 2.63), 2.5
"""It must swing with the note by so many times what it does at these multiples of it: a click swings with all."""
SAMPLED = 16.0
"""So often in a swing the loudness of a band is looked at; own judgement."""
LOUD_DB = -75.0
"""Bursts further below the tone than this are not heard; own judgement."""


def buzz_of(samples: Array, sample_rate: int, hz: float) -> Buzz | None:
    """What buzzes with this tone; None where nothing does, or where too little was heard to tell.

    Parameters
    ----------
    samples : Array
        From the blow on to where the tone ends or the next blow comes (n,).
    sample_rate : int
        In Hz.
    hz : float
        The tone's pitch.
    """
    first, last = round(FROM_S * sample_rate), round((FROM_S + MOST_S) * sample_rate)
    heard = np.asarray(samples, dtype=float)[first:last]
    if len(heard) < max(LEAST_S, LEAST_SWINGS / hz) * sample_rate:
        return None
    taper = np.hanning(len(heard))
    spectrum = np.fft.rfft(heard * taper)
    lines = np.fft.rfftfreq(len(heard), 1.0 / sample_rate)
    whole = math.sqrt(float(np.mean((heard * taper) ** 2)))
    if whole == 0.0:
        return None
    found: list[tuple[float, float, float, float]] = []
    for low, high in _bands(hz, sample_rate):
        band = _analytic(spectrum, (lines >= low) & (lines < high), len(heard))
        power = np.abs(band) ** 2
        level = math.sqrt(float(np.mean(power)) / 2.0) / whole
        if level > 0.0:
            found.append((low, high, level, _locked(power, hz, sample_rate)))
    locked = [one for one in found if one[3] >= LOCKED]
    below = 10.0 * math.log10(max(sum(one[2] ** 2 for one in locked), 1e-30))
    if len(locked) < BANDS or below < LOUD_DB:
        return None
    return Buzz(
        bands_hz=(min(one[0] for one in locked), max(one[1] for one in locked)),
        below_db=below,
        locked=max(one[3] for one in locked),
    )


def _bands(hz: float, sample_rate: int) -> list[tuple[float, float]]:
    """The bands that are looked at, rising."""
    low, top = max(FROM_RATIO * hz, FROM_HZ), min(TO_HZ, 0.45 * sample_rate)
    found = []
    while low < top:
        high = max(low * BAND_RATIO, low + NARROWEST * hz)
        if high <= top:
            found.append((low, high))
        low = high
    return found


def _analytic(spectrum: NDArray[Any], inside: NDArray[np.bool_], count: int) -> NDArray[Any]:
    """The band as a complex signal, whose size is its envelope."""
    whole = np.zeros(count, dtype=complex)
    kept = np.flatnonzero(inside)
    whole[kept] = 2.0 * spectrum[kept]
    return np.fft.ifft(whole)


def _locked(power: Array, hz: float, sample_rate: int) -> float:
    """How much this loudness goes up and down with the note, or twice as fast, against its mean; 0 if it does so with
    other pitches too."""
    step = max(
        1, int(sample_rate / (SAMPLED * hz))
    )  # as often as is enough for swings twice as fast as the note
    coarse = power[: len(power) // step * step].reshape(-1, step).mean(axis=1)
    t = np.arange(len(coarse)) * step / sample_rate

    def swing(times: float) -> float:
        return abs(complex(np.mean(coarse * np.exp(-2j * math.pi * times * hz * t))))

    most = max(swing(1.0), swing(2.0))
    if most < OVER_BESIDE * max(swing(times) for times in BESIDE):
        return 0.0
    return 2.0 * most / float(np.mean(power))
