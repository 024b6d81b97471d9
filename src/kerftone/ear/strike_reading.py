"""What one strike says: the pitch of its fundamental with a ±, its drift, its decay, and what is doubtful.

The fundamental is fitted again, on the segment that serves it: from soon after the attack until it has fallen
by 25 dB or the next strike comes. Just after the blow real bars are not yet one damped sinusoid, so the
segment is also begun later; where the two part by more than the noise explains, the later one is right, and
where the noise is all there is, the earlier one is the surer. Clipping leaves the pitch alone but ruins the
decay, so the decay is read behind the last cut-off peak.

The ± is one standard deviation: the noise's share, the difference of the two beginnings, the second opinion
of the spectral peak, what is left over beside the tone, and a part of the drift, because the pitch of a
tone that glides is a matter of when.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kerftone.ear.background import Background
from kerftone.ear.heard import Partial, Strike
from kerftone.ear.struck import Struck
from kerftone.ear.tone import Tone, fit_tone
from kerftone.ear.tone_buzz import buzz_of
from kerftone.ear.where import Where

Array = NDArray[np.float64]

FALL_DB = 25.0
"""A tone is read while it falls by this much; later its noise tells more than it does. Own judgement."""
LONGEST_S = 1.6
"""But no longer than this: a room and a hand come in. Own judgement."""
# Of T60, and in seconds: see below.
EARLY, LATE = 0.03, 0.08
EARLY_MOST_S, LATE_MOST_S = 0.03, 0.08
"""How much of T60 the two beginnings leave out, and at most."""
MOST_HALVINGS, LEAST_HALVED_S = 2, 0.3
"""How often the segment is halved where a tone was cut off, and not below this length; own judgement."""
DAMPED, SURE_T60 = 1.3, 0.1
"""How much longer the first half must ring than the whole, and how surely, to tell that a tone was cut off."""
PART_SD = 2.5
"""When the two beginnings differ by more of their standard deviations, the later one is told; own judgement."""
LEAST_CENTS = 0.05
"""No pitch is stated better than this: the recorder's clock alone is no better (from memory: 20 parts in a
million is 0.03 cents)."""
UNREST = 0.5
"""What part of a tone's unrest counts in its ±; own judgement."""
SPREAD_CENTS = 2.0
"""Partials of one bar that differ by more are told; own judgement."""
MOST_PARTIALS = 8
"""As many as are told of one strike; own judgement."""


@dataclass(frozen=True, kw_only=True)
class Pitch:
    """The fundamental, read carefully.

    tone: the fit that the pitch is taken from, early in the sound or late; later: the late one, where it is steady
    enough to tell the decay by. spread_cents: how far the fit is from the peak of the spectrum.
    """

    tone: Tone
    plus_minus_cents: float
    spread_cents: float
    later: Tone | None = None


def read_strike(where: Where, tones: list[Struck], chosen: Struck | None, ground: Background) -> Strike:
    """One strike in plain numbers: Hz, cents, s, dB.

    tones: all that were struck by this blow; chosen: the fundamental among them, None where none is one, and then the
    strike says so in its doubts. ground: the noise before the blow.

    Parameters
    ----------
    where : Where
        The blow and the sound after it.
    tones : list[Struck]
        All that were struck by this blow.
    chosen : Struck | None
        The fundamental among them; None where none is one.
    ground : Background
        The noise before the blow.
    """
    blow_s = where.blow / where.sample_rate
    loudness = _loudness_db(where)
    partials = _partials(tones)
    if chosen is None:
        return Strike(
            t_s=blow_s,
            hz=math.nan,
            plus_minus_cents=math.nan,
            drift_cents=0.0,
            t60_s=math.nan,
            loudness_db=loudness,
            partials=partials,
            doubt=("No tone was found where one is expected.",),
        )
    beside = [
        one.tone.hz
        for one in tones
        if one.level > 0.05 * chosen.level and one.tone.signal_db > chosen.tone.signal_db - 15.0
    ]
    pitch = read_pitch(where, chosen, beside)
    tone = pitch.tone
    sure = abs(tone.drift_cents) > 2.0 * math.hypot(tone.drift_sd_cents, 0.05)
    t60 = _decay_s(where, chosen, pitch, beside, ground)
    return Strike(
        t_s=blow_s,
        hz=tone.hz,
        plus_minus_cents=pitch.plus_minus_cents,
        drift_cents=tone.drift_cents if sure else 0.0,
        t60_s=t60,
        loudness_db=loudness,
        partials=partials,
        doubt=_doubts(where, chosen, tones, pitch, ground),
        buzz=buzz_of(where.samples[where.blow : where.end], where.sample_rate, tone.hz),
    )


def read_pitch(where: Where, chosen: Struck, all_hz: list[float]) -> Pitch:
    """The pitch of one tone and its ±: one standard deviation, cents. all_hz: its own and the tones beside it, Hz.

    Parameters
    ----------
    where : Where
        The blow and the sound after it.
    chosen : Struck
        The tone.
    all_hz : list[float]
        Its own pitch and those beside it, in Hz.
    """
    early = _fitted(where, chosen.tone, all_hz, EARLY, EARLY_MOST_S)
    late = _fitted(where, early or chosen.tone, all_hz, LATE, LATE_MOST_S, rounds=1)
    if early is None or late is None:
        tone = early or chosen.tone
        return Pitch(tone=tone, plus_minus_cents=_plus_minus(tone, 0.0), spread_cents=abs(tone.peak_cents))
    apart = 1200.0 * math.log2(late.hz / early.hz)
    # The noise of the two is shared in part; what the later one has more is what parts them by chance.
    chance = math.sqrt(max(late.crb_cents**2 - early.crb_cents**2, 0.0)) + 0.1 * late.crb_cents
    tone = late if abs(apart) > PART_SD * max(chance, 0.02) else early
    return Pitch(
        tone=tone,
        plus_minus_cents=_plus_minus(tone, apart),
        spread_cents=abs(tone.peak_cents),
        later=late if late.t60_relative < 0.12 else None,
    )


def _plus_minus(tone: Tone, apart_cents: float) -> float:
    drift = math.sqrt(max(tone.drift_cents**2 - tone.drift_sd_cents**2, 0.0))
    parts = (
        tone.crb_cents,
        0.5 * apart_cents,
        0.5 * tone.peak_cents,
        0.15 * drift,
        UNREST * tone.unrest_cents,
        LEAST_CENTS,
    )
    return math.sqrt(sum(part**2 for part in parts))


def _fitted(
    where: Where, first: Tone, all_hz: list[float], part: float, most_s: float, *, rounds: int = 2
) -> Tone | None:
    """The tone fitted on its own segment, the segment corrected by the decay found."""
    tone = first
    for _ in range(rounds):
        skip = min(max(part * tone.t60_s, 0.004), most_s)
        seconds = min(max(tone.t60_s * FALL_DB / 60.0, 12.0 / tone.hz, 0.05), LONGEST_S)
        segment = where.segment(skip, seconds)
        if segment is None:
            return None
        width = _half_width(tone, all_hz, segment.seconds)
        reach = max(1.5 / segment.seconds, 0.006 * tone.hz)
        found = fit_tone(segment, tone.hz, half_width_hz=width, within_hz=(tone.hz - reach, tone.hz + reach))
        if found is None:
            return None
        tone = found
    return tone


def _undamped(where: Where, chosen: Struck, all_hz: list[float]) -> Tone | None:
    """The tone up to where it is damped or cut off, though noise hides that; None where it rings freely.

    A tone that rings freely never falls faster later than it fell at first (upper stages of decay are faster).
    So when the first half of the segment rings clearly longer than the whole, something ended it.
    """
    found = None
    for _ in range(MOST_HALVINGS):
        whole = _fitted(where, chosen.tone, all_hz, EARLY, EARLY_MOST_S, rounds=1)
        if whole is None or whole.seconds < LEAST_HALVED_S:
            break
        half = round((EARLY_MOST_S + 0.5 * whole.seconds) * where.sample_rate)
        where = replace(where, end=min(where.end, where.blow + half))
        part = _fitted(where, whole, all_hz, EARLY, EARLY_MOST_S, rounds=1)
        if part is None or part.t60_relative > SURE_T60 or part.t60_s < DAMPED * whole.t60_s:
            break
        found = part
    return found


def _half_width(tone: Tone, all_hz: list[float], seconds: float) -> float:
    own = 1.5 / seconds
    nearest = min((abs(hz - tone.hz) for hz in all_hz if abs(hz - tone.hz) > own), default=math.inf)
    wide = max(10.0 / seconds, 0.12 * tone.hz)
    return float(max(5.0 / seconds, min(wide, 0.7 * nearest, 0.8 * tone.hz)))


def _decay_s(where: Where, chosen: Struck, pitch: Pitch, beside: list[float], ground: Background) -> float:
    """How long the fundamental takes to fall by 60 dB; nan where the segment is too short to tell."""
    tone = pitch.later or pitch.tone
    cut = ground.flat_tops[(ground.flat_tops >= where.blow) & (ground.flat_tops < where.end)]
    if ground.clipped and len(cut):
        skip = (int(cut[-1]) - where.blow) / where.sample_rate + 0.002
        segment = where.segment(skip, min(max(0.4 * tone.t60_s, 0.1), LONGEST_S))
        if segment is not None:
            width = max(8.0 / segment.seconds, 0.05 * tone.hz)
            again = fit_tone(segment, tone.hz, half_width_hz=width)
            tone = again or tone
    else:
        tone = _undamped(where, chosen, beside) or tone
    if tone.t60_relative > 0.5:
        return math.nan
    return tone.t60_s


def _partials(tones: list[Struck]) -> tuple[Partial, ...]:
    """The main tones, strongest at the blow first, levels against the strongest."""
    listed = sorted(tones, key=lambda one: one.level, reverse=True)[:MOST_PARTIALS]
    top = listed[0].level if listed else 1.0
    return tuple(
        Partial(
            hz=one.tone.hz,
            db=20.0 * math.log10(max(one.level / top, 1e-10)),
            t60_s=one.tone.t60_s if one.tone.t60_relative < 0.5 else math.nan,
        )
        for one in listed
    )


def _loudness_db(where: Where) -> float:
    piece = where.samples[where.blow : min(where.end, where.blow + round(0.2 * where.sample_rate))]
    return 20.0 * math.log10(max(float(np.max(np.abs(piece), initial=0.0)), 1e-10))


def _doubts(
    where: Where, chosen: Struck, tones: list[Struck], pitch: Pitch, ground: Background
) -> tuple[str, ...]:
    tone = pitch.tone
    doubts = []
    rung = (where.end - where.blow) / where.sample_rate
    if rung < 0.15 or tone.seconds * tone.hz < 10.0:
        doubts.append(f"Only {rung:.2f} s were heard before it ended or the next strike came.")
    if pitch.spread_cents > SPREAD_CENTS:
        doubts.append(
            f"Two ways of reading the pitch differ by {pitch.spread_cents:.1f} cents: it beats or glides."
        )
    louder = [one for one in tones if one.level > 1.2 * chosen.level and one.tone.hz > chosen.tone.hz]
    if louder:
        doubts.append(f"A partial at {louder[0].tone.hz:.0f} Hz is louder than the fundamental.")
    if ground.hum_hz is not None:
        line = round(tone.hz / ground.hum_hz) * ground.hum_hz
        if abs(tone.hz - line) < 2.0 and line <= 10 * ground.hum_hz:
            doubts.append(f"Mains hum has a line at {line:.0f} Hz, on this pitch.")
    cut = np.any((ground.flat_tops >= where.blow) & (ground.flat_tops < where.end))
    if ground.clipped and cut:
        doubts.append("The recording is clipped here: the pitch stands, loudness and decay are less sure.")
    if pitch.tone.signal_db < 20.0:
        doubts.append("The tone is faint against the noise.")
    return tuple(doubts)
