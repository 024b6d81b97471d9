"""What pitch one tone of a struck bar has, how fast it dies, and how sure both are.

The tone is one damped sinusoid, a exp(s t) under the segment's window and band, fitted by least squares at baseband:
the amplitude is linear, so the likelihood depends on s alone; it is searched on a coarse grid of dampings
and a fine transform in frequency, then climbed by Gauss-Newton. One sinusoid and no more: with two, a
pitch that glides is taken for a false pair. The glide is a term of its own, a exp(s t + c t^2 / 2), fitted
afterwards beside it: it gives the drift and does not touch the pitch.

The ± is one standard deviation and has three parts, added as squares: what the noise in the band leaves
(the Cramer-Rao bound of this fit, from what the fit leaves over near the tone), what the pitch moves
within the segment, and how far a plain spectral peak is from the fit.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from kerftone.ear.segment import Band, ComplexArray, Segment

Array = NDArray[np.float64]
Manner = Literal["careful", "quick", "growing"]
"""How a tone is fitted: see `fit_tone`."""

LN1000 = math.log(1000.0)
"""60 dB as a natural logarithm of amplitudes."""
CENTS_PER_RATIO = 1200.0 / math.log(2.0)
"""Cents in a natural logarithm of frequencies."""
LONGEST_T60_S = 60.0
"""No tongue rings longer; own judgement, wide."""
SHORTEST_T60_S = 0.02
"""What dies sooner has no pitch; own judgement."""
FASTEST_GROWTH_S = 0.5
"""A tone that swells grows by 60 dB in this time at the fastest."""
GRID_T60_S = (0.08, 0.25, 0.8, 3.0)
"""Dampings to begin from, so near that the climb finds the top from one of them; own judgement."""
UNREST_WIDTHS = 3.0
"""How far from the tone, in widths of the segment, a second tone pulls it; own judgement."""
STEPS, LAST_STEPS = 12, 3
"""Steps of the two climbs at most; they end sooner nearly always. Own judgement."""
QUICK_ENOUGH, NEAR_ENOUGH = 1e-3, 2e-5
"""Of the resolution of the segment: far below a thousandth of a cent."""


@dataclass(frozen=True, kw_only=True)
class Tone:
    """One fitted tone.

    hz; t60_s; amplitude at the start of the segment, of full scale; signal_db: energy of the tone over the
    noise density beside it (how clearly it is there); crb_cents: what the noise leaves; drift_cents over
    the segment and its own standard deviation; peak_cents: spectral peak minus fit; unrest_cents: how far
    the pitch can be off because what is heard is not one damped sinusoid (it beats, a room answers).
    """

    hz: float
    t60_s: float
    t60_relative: float
    amplitude: complex
    signal_db: float
    crb_cents: float
    drift_cents: float
    drift_sd_cents: float
    peak_cents: float
    seconds: float
    unrest_cents: float = 0.0

    @property
    def decay_per_s(self) -> float:
        """How fast the amplitude falls: exp(-decay t)."""
        return LN1000 / self.t60_s

    @property
    def energy(self) -> float:
        """Amplitude squared times how long it rings: what of the strike is in this tone."""
        return abs(self.amplitude) ** 2 * self.t60_s

    @property
    def captured(self) -> float:
        """Energy of the tone within the segment."""
        twice = 2.0 * self.decay_per_s
        return abs(self.amplitude) ** 2 * -math.expm1(-twice * self.seconds) / twice


def decay(t60_s: float) -> float:
    """The amplitude's rate of decay, per second, of a tone that takes so long to fall by 60 dB."""
    return LN1000 / t60_s


def fit_tone(
    segment: Segment,
    near_hz: float,
    *,
    half_width_hz: float,
    within_hz: tuple[float, float] | None = None,
    known: Sequence[Tone] = (),
    manner: Manner = "careful",
) -> Tone | None:
    """Which damped sinusoid lies in the band about a frequency; None where nothing can be fitted.

    The search stays in `within_hz`, or in the middle half of the band. `known` tones, fitted on the same
    segment before, are taken out of the band first, so that a shoulder of one is not taken for another. Drift and
    second opinion are left at nothing unless `manner` is "careful". When it is "growing" the tone may also swell, as
    it does for a moment where a resonator takes it up; its decay is then negative.

    Parameters
    ----------
    segment : Segment
        The sound.
    near_hz : float
        The middle of the band, in Hz.
    half_width_hz : float
        From there to its edges, in Hz.
    within_hz : tuple[float, float] | None, optional
        From where to where the tone is looked for, in Hz; None for the middle half of the band.
    known : Sequence[Tone], optional
        Tones fitted on the same segment before: they are taken out of the band first.
    manner : Manner, optional
        "careful", with drift and a second opinion; "quick", without; "growing", when it may also
        swell.
    """
    band = _without(segment.band(near_hz, half_width_hz), half_width_hz, known)
    if len(band.z) < 8:
        return None
    low, high = within_hz or (near_hz - 0.5 * half_width_hz, near_hz + 0.5 * half_width_hz)
    s = _search(band, low - band.centre_hz, high - band.centre_hz)
    most = decay(FASTEST_GROWTH_S) if manner == "growing" else -decay(LONGEST_T60_S)
    reach = (
        complex(-decay(SHORTEST_T60_S), 2.0 * math.pi * (low - band.centre_hz)),
        complex(most, 2.0 * math.pi * (high - band.centre_hz)),
    )
    # Up to near the top with a shape that is quick to make, the rest with the exact one.
    s = _climb(band, s, reach, Ascent(shape=_quick, steps=STEPS, enough=QUICK_ENOUGH))
    s = _climb(band, s, reach, Ascent(shape=Band.shape, steps=LAST_STEPS, enough=NEAR_ENOUGH))
    return _described(segment, band, s, careful=manner == "careful")


def _without(band: Band, half_width_hz: float, known: Sequence[Tone]) -> Band:
    """The band less the tones already known in it."""
    inside = [one for one in known if abs(one.hz - band.centre_hz) < half_width_hz]
    if not inside:
        return band
    left = band.z - sum(
        one.amplitude * band.shape(complex(-one.decay_per_s, 2.0 * math.pi * (one.hz - band.centre_hz)))
        for one in inside
    )
    return replace(band, z=np.asarray(left))


def _quick(band: Band, s: complex) -> ComplexArray:
    """The damped sinusoid under the window, as though the band's filter did not round its corners."""
    return np.asarray(band.window * np.exp(s * band.t_s))


def _search(band: Band, low_hz: float, high_hz: float) -> complex:
    """The best place on a grid: a transform for each of a few dampings, the highest likelihood of all."""
    size = int(scipy.fft.next_fast_len(4 * len(band.z)))
    hz = scipy.fft.fftfreq(size, 1.0 / band.rate_hz)
    inside = (hz >= low_hz) & (hz <= high_hz)
    if not inside.any():
        inside = np.abs(hz - 0.5 * (low_hz + high_hz)) <= 1.01 * band.rate_hz / size
    best, found = -1.0, 0j
    for t60 in GRID_T60_S:
        template = _quick(band, -decay(t60))
        score = np.abs(scipy.fft.fft(band.z * template, size)) ** 2 / np.sum(template.real**2)
        score = np.where(inside, score, -1.0)
        at = int(np.argmax(score))
        if score[at] > best:
            best, found = float(score[at]), complex(-decay(t60), 2.0 * math.pi * hz[at])
    return found


@dataclass(frozen=True, kw_only=True)
class Ascent:
    """How the likelihood is climbed: the shape of the tone, the most steps, and how near is enough."""

    shape: Callable[[Band, complex], ComplexArray]
    steps: int
    enough: float


def _climb(band: Band, s: complex, reach: tuple[complex, complex], how: Ascent) -> complex:
    """Gauss-Newton on s with the amplitude solved for, steps held between the two corners of `reach`."""
    gauge = 2.0 / float(band.t_s[-1])
    low, high = reach
    best, highest, step = s, -1.0, 0j
    for _ in range(how.steps):
        made = how.shape(band, s)
        # The normal equations of (amplitude, change of s), two by two, written out: this is the inner loop.
        slope = band.t_s * made
        aa, ab, bb = np.vdot(made, made).real, np.vdot(made, slope), np.vdot(slope, slope).real
        ya, yb = np.vdot(made, band.z), np.vdot(slope, band.z)
        likely = float(abs(ya) ** 2 / aa)
        if likely < highest:
            step *= 0.25  # too far: back, and less of it
        else:
            best, highest = s, likely
            top = bb * ya - ab * yb
            if not abs(top) > 0.0:
                break
            step = complex((aa * yb - ab.conjugate() * ya) / top)
            step *= min(1.0, gauge / max(abs(step), 1e-300))
        new = best + step
        new = complex(min(max(new.real, low.real), high.real), min(max(new.imag, low.imag), high.imag))
        moved, s = abs(new - s), new
        if moved < how.enough * gauge:
            break
    return best


def _described(segment: Segment, band: Band, s: complex, *, careful: bool) -> Tone | None:
    shape = band.shape(s)
    energy = float(np.sum(np.abs(shape) ** 2))
    amplitude = complex(np.vdot(shape, band.z) / energy)
    hz = band.centre_hz + s.imag / (2.0 * math.pi)
    if not abs(amplitude) > 0.0 or not hz > 0.0:
        return None
    density = _noise(band, band.z - amplitude * shape, hz - band.centre_hz, wide=not careful)
    signal = abs(amplitude) ** 2 * energy / max(density, 1e-300)
    slope = amplitude * band.t_s * shape
    # Variance of s by the normal matrix, the amplitude being unknown too; s has two parts, each half of it.
    free = float(np.vdot(slope, slope).real - abs(np.vdot(shape, slope)) ** 2 / energy)
    sd_s = math.sqrt(density / max(free, 1e-300) / 2.0)
    bend, sd_bend = _bend(band, s, amplitude, density) if careful else (0.0, 0.0)
    cents = CENTS_PER_RATIO / (2.0 * math.pi * hz)
    falling = math.copysign(max(abs(s.real), 1e-6), -s.real)
    return Tone(
        hz=hz,
        t60_s=LN1000 / falling,
        t60_relative=sd_s / abs(falling),
        amplitude=amplitude,
        signal_db=10.0 * math.log10(signal),
        crb_cents=sd_s * cents,
        drift_cents=bend * segment.seconds * cents,
        drift_sd_cents=sd_bend * segment.seconds * cents,
        peak_cents=_peak_hz(band, s) * CENTS_PER_RATIO / hz if careful else 0.0,
        seconds=segment.seconds,
        unrest_cents=_unrest(band, band.z - amplitude * shape, s, density) * cents if careful else 0.0,
    )


def _noise(band: Band, left: ComplexArray, at_hz: float, *, wide: bool) -> float:
    """Variance of one number of the band, were it all as noisy as the neighbourhood of the tone.

    The fit takes what lies right under the tone; the power a few widths to either side is what tells. The
    band's edges are soft, so only its flat part is looked at. Few values can be low by chance, and thousands
    of places are looked at: so with `wide` what the whole flat part holds counts if it is more.
    """
    size = int(scipy.fft.next_fast_len(2 * len(left)))
    power = np.abs(scipy.fft.fft(left, size)) ** 2
    hz = scipy.fft.fftfreq(size, 1.0 / band.rate_hz)
    away = np.abs(hz - at_hz)
    width = max(6.0 / float(band.t_s[-1]), 0.12 * band.rate_hz)
    near = away <= min(width, 0.35 * band.rate_hz)
    if near.sum() < 4:
        near = away <= 0.35 * band.rate_hz
    if not near.any():
        return 0.0
    level = float(np.mean(power[near]))
    if wide:
        level = max(level, float(np.mean(power[away <= 0.35 * band.rate_hz])))
    return level / float(np.sum(band.window**2))


def _unrest(band: Band, left: ComplexArray, s: complex, density: float) -> float:
    """How far the angular frequency may be off by what the fit leaves over near the tone, beyond the noise.

    What is left within three widths of the tone, less what noise of this density leaves there, against the
    tone itself, times the tone's own width: so much does a second tone that near pull the first.
    """
    size = int(scipy.fft.next_fast_len(2 * len(left)))
    hz = scipy.fft.fftfreq(size, 1.0 / band.rate_hz)
    power = np.abs(scipy.fft.fft(left, size)) ** 2 / size
    seconds = float(band.t_s[-1])
    away = np.abs(hz - s.imag / (2.0 * math.pi))
    near = away <= UNREST_WIDTHS / seconds
    beside = (away > UNREST_WIDTHS / seconds) & (away <= 0.35 * band.rate_hz)
    noise = (
        float(np.mean(power[beside])) if beside.sum() > 3 else density * float(np.sum(band.window**2)) / size
    )
    more = max(float(np.sum(power[near])) - 2.0 * noise * float(near.sum()), 0.0)
    whole = float(np.sum(np.abs(band.z) ** 2))
    return math.sqrt(more / max(whole, 1e-300)) * max(-s.real, 1.0 / seconds)


def _bend(band: Band, s: complex, amplitude: complex, density: float) -> tuple[float, float]:
    """How fast the angular frequency changes, per second squared, and its standard deviation."""
    shape = band.shape(s)
    columns = np.stack([shape, band.t_s * shape, 0.5 * band.t_s**2 * shape], axis=1)
    inverse = np.linalg.pinv(columns.conj().T @ columns, rcond=1e-13)
    solved = inverse @ (columns.conj().T @ band.z)
    sd = math.sqrt(max(density * inverse[2, 2].real, 0.0) / 2.0) / abs(amplitude)
    return float((solved[2] / solved[0]).imag) if solved[0] else 0.0, sd


def _peak_hz(band: Band, s: complex) -> float:
    """How far the peak of the plain spectrum near the tone lies from it, in hertz: a second opinion.

    Zero-padded transform of the windowed band, a parabola through the logarithms of the three highest.
    """
    turned = band.z * np.exp(-1j * s.imag * band.t_s) * band.window
    size = int(scipy.fft.next_fast_len(8 * len(turned)))
    power = np.abs(scipy.fft.fft(turned, size))
    reach = max(2, int(3.0 * size / (float(band.t_s[-1]) * band.rate_hz)))
    rolled = np.concatenate([power[-reach:], power[: reach + 1]])
    at = int(np.argmax(rolled))
    if not 0 < at < len(rolled) - 1:
        return (at - reach) * band.rate_hz / size
    before, top, after = np.log(np.maximum(rolled[at - 1 : at + 2], 1e-300))
    curve = before - 2.0 * top + after
    part = 0.5 * (before - after) / curve if curve < 0.0 else 0.0
    return float(at - reach + part) * band.rate_hz / size
