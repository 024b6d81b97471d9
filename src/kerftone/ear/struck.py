"""What of a tone is new with a blow.

A tone that was struck was not there before; hum, fans and neighbours that still ring were. So the tone is
fitted on either side of the blow, on each side by itself, and both are carried to the moment of the blow,
over hundredths of a second only: what rings on meets itself there, whatever it does later (beats, two
decays, a resonator that takes it up), and what was struck does not. A click lies between the two fits and
leaves nothing. The difference counts when it is large against the tone and against what the noise leaves.

Where a recording begins with the blow there is no before; then tones that do not die are left out, and those
that stand as high in the quiet moments of the recording.

The limits of `Struck.firm` were set on sequences of struck bars with clicks between them: real blows have a
certainty of 4.4 or more, clicks between ringing bars 3 or less where the tone steps up at all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kerftone.ear.segment import Segment
from kerftone.ear.tone import Tone, fit_tone
from kerftone.ear.where import SHORTEST_S, Where

Array = NDArray[np.float64]

SKIP_S = 0.010
"""The attack, left out of the search."""
GAP_S = 0.004
"""What is left out before the blow, whose moment is known to a few milliseconds."""
BEFORE_S, START_S = 0.3, 0.1
"""How much before the blow is looked at; and how much there must be where the recording begins: in less, a click
may stand that came just after a blow at its very start."""
STEP_S = 0.08
"""How much of either side of the blow is compared; own judgement."""
NEW_PART, NEW_SD, NEW_HINTED_SD = 0.35, 3.0, 0.5
"""How much a tone must change at the blow, of what it was and of what noise leaves, to have been struck; where
it is expected less will do, because another tone must prove the blow all the same."""
QUIET_PART = 0.03
"""What was so much weaker before the blow, of what is there after it, needs no fit: it is new."""
FIRM_T60, FIRM_SD, FIRM_STEP, SURE_SD = 0.3, 3.8, 1.1, 6.5
"""One tone at least must prove the blow: its decay known to this part, and new by so many standard deviations
while it steps up by this much; or by more of them, because a soft blow can also lessen what rings."""
PLAIN_DB, FIRM_PLAIN_T60 = 20.0, 0.5
"""Where nothing is known of before, a tone this clear may have a decay known to this part only: a take that is cut
off soon hardly shows how a long tone falls."""
THUD_S, THUD_STEP = 0.15, 2.0
"""What dies faster than this and does not step up by this much is the noise of a blow."""
STEADY_NEPER, STEADY_UNSURE = 0.12, 0.7
"""A tone that falls by less than this (1 dB) over the segment, or that may not fall at all, is not dying."""
STEADY_RISE = 2.5
"""A steady tone must grow by this much to have been struck; own judgement."""
HUM_UNSURE = 2.0
"""The lines of the mains waver: so much less sure is a tone on one of them."""
STANDING_S, STANDING_PART, STANDING_RISE = 0.25, 0.2, 2.0
"""Moments of this length, this part of them quiet; a struck tone rises over the quiet ones by this much."""


@dataclass(frozen=True, kw_only=True)
class Struck:
    """A tone and how much of it is new with this blow: level (new amplitude at the blow).

    certainty: the new amplitude in standard deviations of what noise leaves of it; step: how much stronger
    the tone is in the twelfth of a second just after than just before. Both infinite without a before.
    """

    tone: Tone
    level: float
    certainty: float
    step: float

    @property
    def firm(self) -> bool:
        """Whether this tone alone would prove that something was struck."""
        alone = math.isinf(self.certainty) and self.tone.signal_db > PLAIN_DB
        if self.tone.t60_relative > (FIRM_PLAIN_T60 if alone else FIRM_T60):
            return False
        if self.brief and self.step < THUD_STEP:
            return False
        return self.certainty > SURE_SD or (self.certainty > FIRM_SD and self.step > FIRM_STEP)

    @property
    def brief(self) -> bool:
        """Whether it dies so fast that it may be the noise of a blow."""
        return self.tone.t60_s < THUD_S

    @property
    def energy(self) -> float:
        """What of the strike is in this tone: level squared times how long it rings.

        The level is taken where the fit begins: carried back to the blow, a thud would outweigh a tone.
        """
        return (self.level * math.exp(-self.tone.decay_per_s * SKIP_S)) ** 2 * min(self.tone.t60_s, 3.0)


def before_blow(where: Where) -> Segment | None:
    """What sounded just before the blow; None where the recording or the last blow is too near."""
    last = where.blow - round(GAP_S * where.sample_rate)
    first = max(where.before, last - round(BEFORE_S * where.sample_rate), 0)
    if last - first < (SHORTEST_S if where.before else START_S) * where.sample_rate:
        return None
    return Segment(where.samples[first:last], where.sample_rate, rise_s=0.010)


def new_part(tone: Tone, segment: Segment, before: Segment | None, where: Where) -> Struck | None:
    """How much of a tone, fitted on the segment after the blow, is new; None where it is not.

    Parameters
    ----------
    tone : Tone
        As fitted after the blow.
    segment : Segment
        The sound it was fitted on.
    before : Segment | None
        The sound before the blow; None where there is too little.
    where : Where
        The blow.
    """
    # No struck thing sounds on without falling, unless cut off: hum does, a fan, a blade.
    steady = not where.clipped and (
        tone.decay_per_s * segment.seconds < STEADY_NEPER or tone.t60_relative > STEADY_UNSURE
    )
    now = tone.amplitude * np.exp(-_turn(tone) * SKIP_S)
    most = 2.0 * abs(tone.amplitude)
    trusted = bool(where.windows_hz) and where.hinted(tone.hz)
    if before is None:
        if (steady and not trusted) or _stands(tone, where):
            return None
        return Struck(tone=tone, level=min(abs(now), most), certainty=math.inf, step=math.inf)
    heard = _at_most(tone.hz, before)
    was, was_unsure = (0j, heard) if heard < QUIET_PART * abs(now) else _carried(tone, before)
    new = abs(now - was)
    unsure = math.hypot(math.sqrt(2.0) * abs(now) * 10.0 ** (-tone.signal_db / 20.0), was_unsure)
    if where.on_hum(tone.hz):
        unsure *= HUM_UNSURE
    if new < max(NEW_PART * abs(was), (NEW_HINTED_SD if trusted else NEW_SD) * unsure):
        return None
    if steady and not trusted and abs(tone.amplitude) < STEADY_RISE * abs(was) and new < SURE_SD * unsure:
        return None
    level = min(new, most) if abs(now) > most else new
    return Struck(tone=tone, level=level, certainty=new / max(unsure, 1e-300), step=_step(tone, where))


def _turn(tone: Tone) -> complex:
    return complex(-tone.decay_per_s, 2.0 * math.pi * tone.hz)


def _around_hz(before: Segment) -> float:
    """How far about a pitch is looked at for what rang before."""
    return max(8.0 / before.seconds, 20.0)


def _at_most(hz: float, before: Segment) -> float:
    """How strong anything near this pitch can have been before the blow, without a fit."""
    reach = _around_hz(before)
    low, high = (max(0, int((hz + way * reach) / before.bin_hz)) for way in (-1.0, 1.0))
    open_s = before.seconds - 0.5 * (before.rise_s + before.fall_s)
    strongest = float(np.abs(before.spectrum[low : high + 1]).max(initial=0.0))
    return 2.0 * strongest / (open_s * before.sample_rate)


def _carried(tone: Tone, before: Segment) -> tuple[complex, float]:
    """What a tone of this pitch that rang before is at the blow, and the standard deviation of that.

    At the end of a segment a fitted tone is known half as well as in its middle (the variance of a straight
    line at its end is four times that of its mean).
    """
    reach = 1.5 / before.seconds
    half = _around_hz(before)
    found = _rang(tone.hz, before, half, half)
    if found is not None and abs(found.hz - tone.hz) > reach:
        # A neighbour rings louder in this band: what is left beside it.
        found = _rang(tone.hz, before, half, reach, known=(found,))
    if found is None:
        return 0j, 0.0
    at_blow = complex(found.amplitude * np.exp(_turn(found) * (before.seconds + GAP_S)))
    mean = math.sqrt(found.captured / before.seconds)
    return at_blow, 2.0 * mean * 10.0 ** (-found.signal_db / 20.0)


def _rang(
    hz: float, before: Segment, half_width_hz: float, reach_hz: float, known: tuple[Tone, ...] = ()
) -> Tone | None:
    return fit_tone(
        before,
        hz,
        half_width_hz=half_width_hz,
        within_hz=(max(hz - reach_hz, 1.0), hz + reach_hz),
        known=known,
        manner="growing",
    )


def _step(tone: Tone, where: Where) -> float:
    """How much stronger the tone is just after the blow than just before."""
    length, gap = round(STEP_S * where.sample_rate), round(GAP_S * where.sample_rate)
    first, last = where.blow - gap - length, where.blow + gap + length
    if first < 0 or last > where.end:
        return 0.0
    turn = np.exp(-2j * math.pi * tone.hz / where.sample_rate * np.arange(length)) * np.hanning(length)
    was = abs(np.sum(turn * where.samples[first : first + length]))
    return float(abs(np.sum(turn * where.samples[last - length : last])) / max(was, 1e-300))


def _stands(tone: Tone, where: Where) -> bool:
    """Whether a tone of which no before is known is as high in the quiet moments of the recording."""
    length = round(STANDING_S * where.sample_rate)
    starts = np.arange(where.blow + length, len(where.samples) - length, length)
    if len(starts) < 5:
        return False
    starts = starts[:: max(1, len(starts) // 40)]
    turn = np.exp(-2j * math.pi * tone.hz / where.sample_rate * np.arange(length)) * np.hanning(length)
    levels = [2.0 * abs(np.sum(turn * where.samples[at : at + length])) for at in starts]
    quiet = float(np.quantile(levels, STANDING_PART)) / (0.5 * length)
    rise = STANDING_RISE * (HUM_UNSURE if where.on_hum(tone.hz) else 1.0)
    return abs(tone.amplitude) < rise * quiet
