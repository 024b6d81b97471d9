"""The strikes of a recording in a table's words, the same on a screen, on paper and on a page.

Digits stop where the ± does: the ± is rounded up to one figure (two when it begins with 1), and the value to the
same place, never finer than 0.1 cent or 0.01 Hz.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from kerftone.ear.heard import Strike
from kerftone.ear.repeats import Repeated
from kerftone.jobs.recording_heard import Aim, RecordingHeard, named, with_its_digits

CENT_OF_HZ = math.log(2.0) / 1200.0
"""A cent as a share of a frequency, for small ones."""
SMALLEST_DRIFT = 0.1
"""A drift is told to no more than this many cents, as a pitch is: own judgement."""


@dataclass(frozen=True, kw_only=True)
class StrikeTold:
    """A strike, or the taps of one tongue together, in a cell for each thing told; what is not known is empty."""

    time_s: str = ""
    taps: str = ""
    tongue: str = ""
    note: str = "none"
    cents: str = ""
    plus_minus: str = ""
    hz: str = ""
    drift: str = ""
    t60_s: str = ""
    loud_db: str = ""
    doubts: str = ""


def doubts_lettered(recording: RecordingHeard) -> dict[str, str]:
    """Each doubt once, with the letter that stands for it in the table."""
    letters: dict[str, str] = {}
    for one in recording.strikes:
        for words in one.doubt:
            at = len(letters)
            letters.setdefault(words, chr(97 + at) if at < 26 else f"{chr(96 + at // 26)}{chr(97 + at % 26)}")
    return letters


def strikes_told(recording: RecordingHeard) -> list[StrikeTold]:
    """Every strike, in the order of time."""
    letters = doubts_lettered(recording)
    found = []
    for placed in recording.strikes:
        strike = placed.strike
        told = StrikeTold(tongue="" if placed.aim is None else placed.aim.place)
        if math.isfinite(strike.hz):
            told = _pitch(strike, placed.aim, recording.reference_hz)
        found.append(
            replace(
                told,
                time_s=f"{strike.t_s:.2f}",
                loud_db=f"{strike.loudness_db:.0f}",
                doubts=" ".join(letters[words] for words in placed.doubt),
            )
        )
    return found


def buzz_words(recording: RecordingHeard) -> list[str]:
    """What buzzes with which notes, the loudest first, and what to look at; nothing where nothing does."""
    heard = [one for one in recording.strikes if one.strike.buzz is not None]
    if not heard:
        return []
    names: dict[str, float] = {}
    for one in heard:
        assert one.strike.buzz is not None
        note, _ = named(one.strike.hz, one.aim, recording.reference_hz)
        name = note if one.aim is None else f"{note} ({one.aim.place})"
        names[name] = max(names.get(name, -math.inf), one.strike.buzz.below_db)
    told = ", ".join(
        f"{name} ({-db:.0f} dB under it)" for name, db in sorted(names.items(), key=lambda pair: -pair[1])
    )
    return [
        f"Something buzzes with {told}: noise comes with each swing of the tone. Look for what is loose: feet, a "
        "bottom that is only laid in, wires, a nut, a crack."
    ]


def taps_told(recording: RecordingHeard) -> list[StrikeTold]:
    """The taps of each tongue together; none where every tongue was tapped once."""
    groups = recording.grouped()
    if all(taps.taps == 1 for _, taps in groups):
        return []
    return [replace(_pitch(taps, aim, recording.reference_hz), taps=str(taps.taps)) for aim, taps in groups]


def _pitch(heard: Strike | Repeated, aim: Aim | None, reference_hz: float) -> StrikeTold:
    note, off = named(heard.hz, aim, reference_hz)
    spread = heard.plus_minus_cents
    cents, plus_minus = with_its_digits(off, spread, signed=True)
    drift, _ = with_its_digits(heard.drift_cents, max(spread, SMALLEST_DRIFT), signed=True)
    return StrikeTold(
        tongue="" if aim is None else aim.place,
        note=note,
        cents=cents,
        plus_minus=plus_minus,
        hz=with_its_digits(heard.hz, spread * heard.hz * CENT_OF_HZ, least=2)[0],
        drift=drift if heard.drift_cents else "",
        t60_s=_ring(heard.t60_s),
    )


def _ring(t60_s: float) -> str:
    decimals = 2 if t60_s < 1.0 else 1 if t60_s < 10.0 else 0
    return f"{t60_s:.{decimals}f}" if math.isfinite(t60_s) else ""
