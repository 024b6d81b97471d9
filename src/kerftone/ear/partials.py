"""Which tones a strike set ringing, and which of them is the fundamental.

Peaks of the spectrum after the attack that stand out of their neighbourhood and of the quiet frames are
fitted one by one (`tone`); which of them are new with the blow is for `struck` to say.

Bars are inharmonic, and the fundamental is not always the loudest tone: it is the lowest of those that hold
a fair share of the strike's energy (amplitude squared times decay time) and ring about as long as the
strongest. That rule is a judgement, tried on struck bars of wood and metal; `doubt` says when it was close.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from kerftone.ear.background import MAINS_HZ
from kerftone.ear.segment import Segment
from kerftone.ear.struck import SKIP_S, Struck, before_blow, new_part
from kerftone.ear.tone import Tone, fit_tone
from kerftone.ear.where import HUM_LINES, Where

Array = NDArray[np.float64]

LOWEST_HZ, HIGHEST_HZ = 40.0, 5000.0
"""Where a fundamental may be; partials are listed up to PARTIALS_HZ."""
PARTIALS_HZ = 12000.0
"""Above it no partial of a tongue is heard; own judgement."""
LONGEST_S, LONGER_S = 0.6, 1.5
"""How much of a strike is searched, and how much where its tones lie close; own judgement."""
STAND_OUT_DB = 11.0
"""How far a peak must stand out of its neighbourhood to be looked at; own judgement."""
NEAR_HZ, NEAR_WIDTHS = 60.0, 16.0
"""How wide that neighbourhood is, in Hz and in widths of a peak, the larger of both; own judgement."""
MOST_PEAKS = 10
"""How many are looked at; own judgement."""
MOST_UNDER, UNDER = 2, 0.6
"""So many more peaks are looked at under the strongest, by this ratio of pitch or more."""
CLEAR_DB = 14.0
"""How clearly a tone must stand out of the noise in its band (energy over density) to be one."""
CLEAR_HINTED_DB = 9.0
"""The same where the tone was expected; own judgement."""
HIGH_SD = 10.0
"""How surely a tone above HIGHEST_HZ must be struck to count; own judgement."""
SHARE_DB = 21.0
"""How much weaker than the strongest a fundamental may be; own judgement."""
SHARE_HINTED_DB = 15.0
"""The same where pitches are expected; own judgement."""
LASTING = 0.3
"""A fundamental rings at least so long, of what the strongest tone rings."""
MUDDY_DB, PLAIN_DB = 10.0, 20.0
"""A tone that is so much less clear than the clearest is not the one, unless it is plain enough: how clear a
strong tone can be is limited by how much it glides, not by the noise."""
THUD_S = 0.1
"""What dies faster than this and is not clear is the noise of the blow."""
BRIEF_PART, BRIEF_LEAST_S, BRIEF_CLEAR_DB = 1.0, 0.06, 21.0
"""A brief tone is fitted again over this part of its T60, at least so long, and must be so clear; own judgement."""
HUM_NEAR_HZ, HUM_T60_S = 0.6, 2.0
"""What is so near a line of the mains and rings so long is that line; own judgement."""
FAINT_DB = 17.0
"""A tone less clear than this is faint; own judgement."""
SHOWN_T60, SHOWN_DB = 0.2, 22.0
"""Where nothing is known of before, a tone whose fall is not known to this part must be so much clearer."""
LATER_S = 0.3
"""Which tone is the strongest is asked so long after the blow, when its noise is over; own judgement."""


def struck_tones(where: Where) -> list[Struck]:
    """Every tone that the blow set ringing, strongest first."""
    segment = where.segment(SKIP_S, LONGEST_S, fall_part=0.9)
    plain = where.segment(SKIP_S, LONGEST_S)
    if segment is None or plain is None:
        return []
    peaks = _peaks(segment, where)
    before = before_blow(where)
    found: list[Struck] = []
    fitted: list[Tone] = []
    main = peaks[:MOST_PEAKS]
    for hz in peaks:
        width = _half_width(hz, main, plain.seconds)
        reach = 0.4 * width
        within = (hz - reach, hz + reach)
        tone = fit_tone(plain, hz, half_width_hz=width, within_hz=within, known=fitted, manner="quick")
        if tone is None or any(abs(tone.hz - one.hz) < 1.0 / plain.seconds for one in fitted):
            continue
        clear = CLEAR_HINTED_DB if where.windows_hz and where.hinted(tone.hz) else CLEAR_DB
        if tone.signal_db < clear:
            continue
        fitted.append(tone)
        struck = new_part(tone, plain, before, where)
        if struck is not None:
            found.append(struck)
    if not _proven(found):
        found = _looked_longer(found, before, where)
    if not _proven(found) or not _more_than_noise(found, where):
        return []
    clearest = max(one.tone.signal_db for one in found)
    kept = [one for one in found if one.tone.t60_s > THUD_S or one.tone.signal_db > clearest - MUDDY_DB]
    return sorted(kept, key=lambda one: one.energy, reverse=True)


def _proven(found: Sequence[Struck]) -> bool:
    """Whether one of these tones shows for itself that something was struck, and one may be its pitch.

    Up where no fundamental is there are many places for noise to stand out: a tone there must be very sure.
    """
    if not any(one.tone.hz <= HIGHEST_HZ for one in found):
        return False
    return any(
        one.firm and (one.tone.hz <= HIGHEST_HZ or (one.certainty > HIGH_SD and not one.brief))
        for one in found
    )


def _more_than_noise(found: Sequence[Struck], where: Where) -> bool:
    """Whether a tone lasts, or a brief one is still a tone where it is looked at closely.

    A burst of noise (a knock, a rustle) looks like brief tones in a long quiet segment; within its own length
    no tone stands out of it.
    """
    firm = [one for one in found if one.firm]
    if not all(one.brief for one in firm):
        return True
    for one in sorted(firm, key=lambda one: one.level, reverse=True)[:2]:
        close = where.segment(SKIP_S, max(BRIEF_PART * one.tone.t60_s, BRIEF_LEAST_S))
        if close is None:
            continue
        reach = 1.5 / close.seconds
        within = (one.tone.hz - reach, one.tone.hz + reach)
        tone = fit_tone(close, one.tone.hz, half_width_hz=6.0 * reach, within_hz=within, manner="quick")
        if tone is not None and tone.signal_db > BRIEF_CLEAR_DB:
            return True
    return False


def _looked_longer(found: list[Struck], before: Segment | None, where: Where) -> list[Struck]:
    """The tones with the likeliest of the lasting ones heard for longer: in noise their decay shows late."""
    plain = where.segment(SKIP_S, LONGER_S)
    if plain is None or plain.seconds < 1.3 * LONGEST_S:
        return found
    doubtful = [one for one in found if not one.firm and one.tone.t60_s > LONGEST_S]
    for one in sorted(doubtful, key=lambda one: one.certainty, reverse=True)[:2]:
        hz, width = one.tone.hz, max(10.0 / plain.seconds, 10.0)
        within = (hz - 2.0 / LONGEST_S, hz + 2.0 / LONGEST_S)
        tone = fit_tone(plain, hz, half_width_hz=width, within_hz=within, manner="quick")
        again = new_part(tone, plain, before, where) if tone is not None else None
        if again is not None and again.firm:
            return [again if other is one else other for other in found]
    return found


def _half_width(hz: float, peaks: Sequence[float], seconds: float) -> float:
    """How wide a band about a tone may be: wide enough for its decay, clear of its neighbours."""
    nearest = min((abs(other - hz) for other in peaks if other != hz), default=math.inf)
    wide = max(10.0 / seconds, min(0.15 * hz, 60.0))
    return float(max(4.0 / seconds, min(wide, 0.8 * nearest, 0.8 * hz)))


def _peaks(segment: Segment, where: Where) -> list[float]:
    """Frequencies of the peaks worth a fit, strongest first; those where one is expected never missing."""
    power = np.abs(segment.spectrum) ** 2
    bin_hz = segment.bin_hz
    top = min(PARTIALS_HZ, 0.46 * segment.sample_rate)
    first, last = max(2, int(LOWEST_HZ / bin_hz)), min(len(power) - 2, int(top / bin_hz))
    if last - first < 8:
        return []
    level = _neighbourhood(power, bin_hz, max(NEAR_HZ, NEAR_WIDTHS / segment.seconds))
    inner = slice(first, last)
    local = (power[inner] > power[first - 1 : last - 1]) & (power[inner] >= power[first + 1 : last + 1])
    stands = power[inner] > 10.0 ** (0.1 * STAND_OUT_DB) * level[inner]
    places = np.flatnonzero(local & stands) + first
    # Strong against what is around them, and strong at all: both count, so rank by the product.
    rank = np.argsort(power[places] * np.sqrt(power[places] / level[places]))[::-1]
    best = places[rank[:MOST_PEAKS]]
    # Upper tones and their skirts can fill the list; what may be the pitch under them must not be missed.
    under = [at for at in places[rank[MOST_PEAKS:]] if at < UNDER * best[0]] if len(best) else []
    chosen = [float(at * bin_hz) for at in [*best, *under[:MOST_UNDER]]]
    for low, high in where.windows_hz:
        a, b = max(first, int(low / bin_hz)), min(last, int(high / bin_hz) + 1)
        inside = [at for at in range(a, b) if power[at] >= power[at - 1] and power[at] >= power[at + 1]]
        inside.sort(key=lambda at: power[at], reverse=True)
        chosen += [at * bin_hz for at in inside[:3] if at * bin_hz not in chosen]
    return chosen


def _neighbourhood(power: Array, bin_hz: float, least_hz: float) -> Array:
    """The level about each frequency that most of its neighbours have: medians over a sixth of an octave or more.

    At least over several widths of a tone's own peak, which is wide where the segment is short.
    """
    count = len(power)
    level = np.empty(count)
    edges = [0]
    while edges[-1] < count:
        edges.append(min(count, edges[-1] + max(int(least_hz / bin_hz), int(0.12 * edges[-1]))))
    centres, medians = [], []
    for low, high in itertools.pairwise(edges):
        centres.append(0.5 * (low + high))
        at = (2 * (high - low)) // 5
        medians.append(float(np.partition(power[low:high], at)[at]))
    smooth = np.minimum(medians, [*medians[1:], math.inf])
    level[:] = np.exp(np.interp(np.arange(count), centres, np.log(np.maximum(medians, 1e-30))))
    return np.maximum(level, 0.3 * np.interp(np.arange(count), centres, smooth))


def _doubtful(one: Struck, where: Where) -> bool:
    """Whether a tone of which no before is known may be of the background.

    Because it is faint, its fall hardly shows, or it lies on a line of the mains.
    """
    if math.isfinite(one.certainty):
        return False
    faint = one.tone.signal_db < (FAINT_DB if one.tone.t60_relative < SHOWN_T60 else SHOWN_DB)
    if faint or where.on_hum(one.tone.hz):
        return True
    if one.tone.t60_s < HUM_T60_S:
        return False
    lines = [(round(one.tone.hz / mains), mains) for mains in MAINS_HZ]
    return any(line <= HUM_LINES and abs(one.tone.hz - line * mains) < HUM_NEAR_HZ for line, mains in lines)


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
    fit = [one for one in fit if one is strongest or not _doubtful(one, where)]
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
