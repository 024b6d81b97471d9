"""Which tones a strike set ringing, and which of them is the fundamental.

Peaks of the spectrum after the attack that stand out of their neighbourhood and of the quiet frames are
fitted one by one (`tone`). How much of each tone is new is measured against what rang at the same pitch
just before the blow, carried on: hum, fans and neighbours that still ring were there before, a tone that
was struck was not. Where a recording begins with the strike there is no before; then tones that do not die
are left out, and faint ones that ring long on a line of the mains.

Bars are inharmonic, and the fundamental is not always the loudest tone: it is the lowest of those that hold
a fair share of the strike's energy (amplitude squared times decay time) and ring about as long as the
strongest. That rule is a judgement, tried on struck bars of wood and metal; `doubt` says when it was close.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import scipy.ndimage
from numpy.typing import NDArray

from kerftone.ear.background import MAINS_HZ
from kerftone.ear.stretch import Stretch
from kerftone.ear.tone import Tone, fit_tone

Array = NDArray[np.float64]

LOWEST_HZ, HIGHEST_HZ = 40.0, 5000.0
"""Where a fundamental may be; partials are listed up to PARTIALS_HZ."""
PARTIALS_HZ = 12000.0
SKIP_S = 0.010
"""The attack, left out of the search."""
LONGEST_S = 0.6
BEFORE_S = 0.3
SHORTEST_S = 0.04
STAND_OUT_DB = 11.0
MOST_PEAKS = 10
CLEAR_DB = 14.0
"""How clearly a tone must stand out of the noise in its band (energy over density) to be one."""
CLEAR_HINTED_DB = 9.0
FIRM_T60, FIRM_RISE, FIRM_STEP = 0.3, 0.9, 1.25
"""One tone at least must have a decay known to this part, and stand so high against 0.3 s before the blow or
step up so much at it: what rings on has fallen by then."""
STEP_S = 0.08
NEW_PART = 0.35
"""How much a tone must change at the blow, of what it was, to have been struck."""
SHARE_DB = 21.0
SHARE_HINTED_DB = 15.0
LASTING = 0.3
"""A fundamental rings at least so long, of what the strongest tone rings."""
MUDDY_DB, PLAIN_DB = 10.0, 20.0
"""A tone that is so much less clear than the clearest is not the one, unless it is plain enough: how clear a
strong tone can be is limited by how much it glides, not by the noise."""
THUD_S = 0.1
"""What dies faster and is not clear is the noise of the blow."""
HUM_NEAR_HZ, HUM_T60_S = 0.6, 2.0
LATER_S = 0.3
STEADY_NEPER, STEADY_UNSURE = 0.12, 0.7
"""A tone that falls by less than this (1 dB) over the stretch, or that may not fall at all, is not dying."""
STEADY_RISE = 2.5
NEW_SD = 3.0
CUT_OFF = 0.003
"""A fall of 25 dB in 50 ms is no decay of wood (T60 0.12 s), it is a hand or the end of the take."""


@dataclass(frozen=True, kw_only=True)
class Struck:
    """A tone and how much of it is new with this blow: level (new amplitude at the blow).

    rise: amplitude after the blow over that of the stretch before, at its start; step: the same
    between the twelfths of a second just after and just before the blow. Both infinite without a before.
    """

    tone: Tone
    level: float
    rise: float
    step: float

    @property
    def firm(self) -> bool:
        """Whether this tone alone would prove that something was struck."""
        return self.tone.t60_relative < FIRM_T60 and (self.rise > FIRM_RISE or self.step > FIRM_STEP)

    @property
    def energy(self) -> float:
        """What of the strike is in this tone: level squared times how long it rings.

        The level is taken where the fit begins: carried back to the blow, a thud would outweigh a tone.
        """
        return (self.level * math.exp(-self.tone.decay_per_s * SKIP_S)) ** 2 * min(self.tone.t60_s, 3.0)


@dataclass(frozen=True, kw_only=True)
class Where:
    """Where to listen: samples, the blow, the ends of what may be used before and after it, all in samples."""

    samples: Array
    sample_rate: int
    blow: int
    before: int
    end: int
    clipped: bool = False
    windows_hz: Sequence[tuple[float, float]] = field(default=())

    def stretch(self, skip_s: float, seconds: float, *, fall_part: float = 0.12) -> Stretch | None:
        """The stretch that begins `skip_s` after the blow; None where too little is left."""
        first = self.blow + round(skip_s * self.sample_rate)
        last = min(self.end, first + round(seconds * self.sample_rate))
        if last - first < SHORTEST_S * self.sample_rate * 0.5:
            return None
        rise = min(0.010, max(0.003, skip_s))
        return Stretch(self.samples[first:last], self.sample_rate, rise_s=rise, fall_part=fall_part)

    def ended(self) -> Where:
        """The same, its end brought forward to where the sound is cut off or damped by a hand."""
        step = max(1, round(0.005 * self.sample_rate))
        count = (self.end - self.blow) // step
        if count < 12:
            return self
        power = (self.samples[self.blow : self.blow + count * step].reshape(count, step) ** 2).mean(axis=1)
        # Medians of 50 ms, which a click does not move, against each other 50 ms apart.
        level = scipy.ndimage.median_filter(power, size=10, mode="nearest")
        falls = np.flatnonzero(level[10:] < CUT_OFF * level[:-10]) + 5
        falls = falls[falls >= 6]
        if not len(falls):
            return self
        return replace(self, end=self.blow + int(falls[0]) * step)

    def hinted(self, hz: float) -> bool:
        """Whether a pitch is where one is expected; everywhere when nothing is."""
        return not self.windows_hz or any(low <= hz <= high for low, high in self.windows_hz)


def struck_tones(where: Where) -> list[Struck]:
    """Every tone that the blow set ringing, strongest first."""
    stretch = where.stretch(SKIP_S, LONGEST_S, fall_part=0.9)
    plain = where.stretch(SKIP_S, LONGEST_S)
    if stretch is None or plain is None:
        return []
    peaks = _peaks(stretch, where)
    before = _before(where)
    found: list[Struck] = []
    fitted: list[Tone] = []
    main = peaks[:MOST_PEAKS]
    for hz in peaks:
        width = _half_width(hz, main, plain.seconds)
        reach = 0.4 * width
        within = (hz - reach, hz + reach)
        tone = fit_tone(plain, hz, half_width_hz=width, within_hz=within, known=fitted, careful=False)
        if tone is None or any(abs(tone.hz - one.hz) < 1.0 / plain.seconds for one in fitted):
            continue
        clear = CLEAR_HINTED_DB if where.windows_hz and where.hinted(tone.hz) else CLEAR_DB
        if tone.signal_db < clear:
            continue
        fitted.append(tone)
        struck = _struck(tone, plain, before, where)
        if struck is not None:
            found.append(struck)
    if not any(one.firm for one in found):
        return []
    clearest = max(one.tone.signal_db for one in found)
    kept = [one for one in found if one.tone.t60_s > THUD_S or one.tone.signal_db > clearest - MUDDY_DB]
    return sorted(kept, key=lambda one: one.energy, reverse=True)


def _half_width(hz: float, peaks: Sequence[float], seconds: float) -> float:
    """How wide a band about a tone may be: wide enough for its decay, clear of its neighbours."""
    nearest = min((abs(other - hz) for other in peaks if other != hz), default=math.inf)
    wide = max(10.0 / seconds, min(0.15 * hz, 60.0))
    return float(max(4.0 / seconds, min(wide, 0.8 * nearest, 0.8 * hz)))


def _peaks(stretch: Stretch, where: Where) -> list[float]:
    """Frequencies of the peaks worth a fit, strongest first; those where one is expected never missing."""
    power = np.abs(stretch.spectrum) ** 2
    bin_hz = stretch.bin_hz
    top = min(PARTIALS_HZ, 0.46 * stretch.sample_rate)
    first, last = max(2, int(LOWEST_HZ / bin_hz)), min(len(power) - 2, int(top / bin_hz))
    if last - first < 8:
        return []
    level = _neighbourhood(power, bin_hz)
    inner = slice(first, last)
    local = (power[inner] > power[first - 1 : last - 1]) & (power[inner] >= power[first + 1 : last + 1])
    stands = power[inner] > 10.0 ** (0.1 * STAND_OUT_DB) * level[inner]
    places = np.flatnonzero(local & stands) + first
    # Strong against what is around them, and strong at all: both count, so rank by the product.
    rank = np.argsort(power[places] * np.sqrt(power[places] / level[places]))[::-1]
    chosen = [float(at * bin_hz) for at in places[rank[:MOST_PEAKS]]]
    for low, high in where.windows_hz:
        a, b = max(first, int(low / bin_hz)), min(last, int(high / bin_hz) + 1)
        inside = [at for at in range(a, b) if power[at] >= power[at - 1] and power[at] >= power[at + 1]]
        inside.sort(key=lambda at: power[at], reverse=True)
        chosen += [at * bin_hz for at in inside[:3] if at * bin_hz not in chosen]
    return chosen


def _neighbourhood(power: Array, bin_hz: float) -> Array:
    """The level about each frequency that most of its neighbours have: medians over a sixth of an octave."""
    count = len(power)
    level = np.empty(count)
    edges = [0]
    while edges[-1] < count:
        edges.append(min(count, edges[-1] + max(int(60.0 / bin_hz), int(0.12 * edges[-1]))))
    centres, medians = [], []
    for low, high in itertools.pairwise(edges):
        centres.append(0.5 * (low + high))
        at = (2 * (high - low)) // 5
        medians.append(float(np.partition(power[low:high], at)[at]))
    smooth = np.minimum(medians, [*medians[1:], math.inf])
    level[:] = np.exp(np.interp(np.arange(count), centres, np.log(np.maximum(medians, 1e-30))))
    return np.maximum(level, 0.3 * np.interp(np.arange(count), centres, smooth))


def _before(where: Where) -> Stretch | None:
    """What sounded just before the blow; None where the recording or the last blow is too near."""
    gap = round(0.004 * where.sample_rate)
    last = where.blow - gap
    first = max(where.before, last - round(BEFORE_S * where.sample_rate), 0)
    if last - first < SHORTEST_S * where.sample_rate:
        return None
    return Stretch(where.samples[first:last], where.sample_rate, rise_s=0.010)


def _struck(tone: Tone, stretch: Stretch, before: Stretch | None, where: Where) -> Struck | None:
    """How much of the tone is new with the blow; None where it was there before, or never dies."""
    grown = min(math.exp(tone.decay_per_s * SKIP_S), 2.0)
    # No struck thing sounds on without falling, unless cut off: hum does, a fan, a blade.
    steady = not where.clipped and (
        tone.decay_per_s * stretch.seconds < STEADY_NEPER or tone.t60_relative > STEADY_UNSURE
    )
    if before is None:
        trusted = bool(where.windows_hz) and where.hinted(tone.hz)
        return (
            None
            if steady and not trusted
            else Struck(tone=tone, level=abs(tone.amplitude) * grown, rise=math.inf, step=math.inf)
        )
    was = _amplitude(before, tone)
    apart = before.seconds + 0.004 + SKIP_S
    carried = was * np.exp(complex(-tone.decay_per_s, 2.0 * math.pi * tone.hz) * apart)
    new = abs(tone.amplitude - carried)
    if steady and abs(tone.amplitude) < STEADY_RISE * abs(was):
        return None
    # The tone is known only so well, and what is carried on by it less and less.
    unsure = math.hypot(
        abs(tone.amplitude) * 10.0 ** (-tone.signal_db / 20.0),
        abs(carried) * apart * tone.decay_per_s * tone.t60_relative * math.sqrt(2.0),
    )
    if new < max(NEW_PART * abs(carried), NEW_SD * unsure):
        return None
    return Struck(
        tone=tone,
        level=new * grown,
        rise=abs(tone.amplitude) / max(abs(was), 1e-300),
        step=_step(tone, where),
    )


def _step(tone: Tone, where: Where) -> float:
    """How much stronger the tone is just after the blow than just before."""
    length, gap = round(STEP_S * where.sample_rate), round(0.004 * where.sample_rate)
    first, last = where.blow - gap - length, where.blow + gap + length
    if first < 0 or last > where.end:
        return 0.0
    turn = np.exp(-2j * math.pi * tone.hz / where.sample_rate * np.arange(length)) * np.hanning(length)
    was = abs(np.sum(turn * where.samples[first : first + length]))
    return float(abs(np.sum(turn * where.samples[last - length : last])) / max(was, 1e-300))


def _amplitude(stretch: Stretch, tone: Tone) -> complex:
    """How strong a tone of this pitch and decay is in another stretch, at its start."""
    band = stretch.band(tone.hz, max(8.0 / stretch.seconds, 20.0))
    s = complex(-tone.decay_per_s, 2.0 * math.pi * (tone.hz - band.centre_hz))
    shape = band.shape(s)
    return complex(np.vdot(shape, band.z) / np.sum(np.abs(shape) ** 2))


def _perhaps_hum(one: Struck) -> bool:
    """Whether a tone of which no before is known lies on a line of the mains and rings longer than wood."""
    if math.isfinite(one.rise) or one.tone.t60_s < HUM_T60_S:
        return False
    return any(abs(one.tone.hz - round(one.tone.hz / mains) * mains) < HUM_NEAR_HZ for mains in MAINS_HZ)


def fundamental(tones: Sequence[Struck], where: Where) -> Struck | None:
    """Which of the tones is the pitch of the bar; None when none can be."""
    fit = [one for one in tones if LOWEST_HZ <= one.tone.hz <= HIGHEST_HZ and where.hinted(one.tone.hz)]
    if not fit:
        return None
    clearest = max(one.tone.signal_db for one in fit)
    clear = [one for one in fit if one.tone.signal_db >= min(clearest - MUDDY_DB, PLAIN_DB)]
    if len(where.windows_hz) == 1:
        return max(clear, key=lambda one: one.tone.captured)
    strongest = max(clear, key=lambda one: one.energy)
    fit = [one for one in fit if one is strongest or not _perhaps_hum(one)]
    # What is left when the upper tones are gone is the bar's own note, however soft it began.
    lasting = max(fit, key=lambda one: one.level * math.exp(-one.tone.decay_per_s * LATER_S))
    share = SHARE_HINTED_DB if where.windows_hz else SHARE_DB
    fair = [lasting] if lasting.energy > 1e-3 * strongest.energy else []
    fair += [
        one
        for one in fit
        if one.energy >= 10.0 ** (-0.1 * share) * strongest.energy
        and one.tone.t60_s >= LASTING * strongest.tone.t60_s
        and one.level >= 0.02 * strongest.level
    ]
    return min(fair, key=lambda one: one.tone.hz)
