"""What was heard in a recording, as plain numbers.

A recording holds strikes; a strike has a pitch (that of its fundamental), a decay and partials. Times are
seconds from the start of the recording, pitches hertz, levels decibels. What a pitch is called as a note,
and which tongue it belongs to, is for others: the ear knows neither drums nor targets.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Partial:
    """One tone of a struck bar: its pitch, how loud it began and how long it rings.

    hz: mean pitch over the segment it was measured on. db: level just after the attack against the loudest
    partial of the same strike, 0 or less. t60_s: time to fall by 60 dB; nan where it could not be measured.
    """

    hz: float
    db: float
    t60_s: float


@dataclass(frozen=True, kw_only=True)
class Buzz:
    """Something loose that sounds with each swing of a tone.

    bands_hz: from where to where it is heard. below_db: how far under the tone it is, in dB, negative. locked: how
    much the loudest band swings with the note, 1 and more being all of it.
    """

    bands_hz: tuple[float, float]
    below_db: float
    locked: float


@dataclass(frozen=True, kw_only=True)
class Strike:
    """One tap: when, what pitch, how sure, how long it rings.

    t_s: start of the strike. hz: pitch of the fundamental; nan where none was found.
    plus_minus_cents: one standard deviation; the truth should lie within twice that nine times in ten.
    drift_cents: how far the pitch moves while it rings, end against beginning, positive when it rises; 0
    where that cannot be told from nothing. t60_s: decay of the fundamental; nan where not measured.
    loudness_db: peak against full scale, 0 or less. partials: strongest first, the fundamental among them.
    doubt: sentences that say what may be wrong with this reading; empty when nothing is known to be. buzz: what
    buzzes with it; None where nothing is heard to.
    """

    t_s: float
    hz: float
    plus_minus_cents: float
    drift_cents: float
    t60_s: float
    loudness_db: float
    partials: tuple[Partial, ...]
    doubt: tuple[str, ...]
    buzz: Buzz | None = None


@dataclass(frozen=True, kw_only=True)
class Heard:
    """Everything heard in one recording.

    noise_db: level of the quiet frames against full scale (-200 for digital silence). hum_hz: the mains
    frequency (50 or 60) where its hum is heard, else None. clipped: whether peaks were cut off.
    """

    strikes: tuple[Strike, ...]
    sample_rate: int
    clipped: bool
    noise_db: float
    hum_hz: float | None
    seconds: float
