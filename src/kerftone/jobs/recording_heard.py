"""What was heard in one recording, tongue by tongue, and as JSON.

A pitch is told as the nearest note and the cents from it; a tap that was matched to a tongue of a drum as
that tongue's note and the cents from its target.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from kerftone.ear.heard import Heard, Strike
from kerftone.ear.repeats import Repeated, same_pitch, together
from kerftone.pitch import cents, nearest_note

SLIGHT = 0.1
"""A ± is not rounded up for the sake of this share of its last figure: own judgement."""


@dataclass(frozen=True, kw_only=True)
class Aim:
    """A tongue that may be heard: its number from 1, its place, its note and the pitch that note has."""

    number: int
    place: str
    note: str
    target_hz: float


@dataclass(frozen=True, kw_only=True)
class PlacedStrike:
    """One strike with its tongue, where it has one, and every doubt: the ear's and the matching's."""

    strike: Strike
    aim: Aim | None
    doubt: tuple[str, ...]

    def named(self, reference_hz: float) -> tuple[str, float] | None:
        """The note of its pitch and the cents from it, positive when sharp; None where it has no pitch."""
        hz = self.strike.hz
        return named(hz, self.aim, reference_hz) if math.isfinite(hz) else None


@dataclass(frozen=True, kw_only=True)
class RecordingHeard:
    """One recording as heard. `shift_cents`: how far the drum as a whole sounds from its model."""

    file: str
    heard: Heard
    strikes: tuple[PlacedStrike, ...]
    reference_hz: float
    shift_cents: float | None = None
    remarks: tuple[str, ...] = ()

    def document(self) -> dict[str, Any]:
        """As JSON. What is not known is null."""
        heard = self.heard
        return {
            "strikes": [_record(one, self.reference_hz) for one in self.strikes],
            "sample_rate": heard.sample_rate,
            "clipped": heard.clipped,
            "noise_db": round(heard.noise_db, 1),
            "hum_hz": heard.hum_hz,
        }

    def facts(self) -> str:
        """How much was heard, and what of the recording may have disturbed it."""
        heard, count = self.heard, len(self.strikes)
        facts = [f"{count} strike{'s' * (count != 1)} in {heard.seconds:.1f} s"]
        facts += [f"noise at {heard.noise_db:.0f} dB"] if math.isfinite(heard.noise_db) else []
        facts += [f"mains hum at {heard.hum_hz:.0f} Hz"] if heard.hum_hz else []
        return ", ".join(facts + (["clipped"] if heard.clipped else []))

    def grouped(self) -> list[tuple[Aim | None, Repeated]]:
        """The taps of each tongue together, lowest first: by tongue where it is known, else by like pitch."""
        return grouped(self.strikes)


def named(hz: float, aim: Aim | None, reference_hz: float) -> tuple[str, float]:
    """The note of a pitch and the cents from it, positive when sharp.

    Parameters
    ----------
    hz : float
        The pitch, in Hz.
    aim : Aim | None
        What was expected; None to take the nearest note.
    reference_hz : float
        The pitch of A4, in Hz.
    """
    if aim is not None:
        return aim.note, cents(hz, aim.target_hz)
    near = nearest_note(hz, reference_hz=reference_hz)
    return near.name, near.cents


def _record(placed: PlacedStrike, reference_hz: float) -> dict[str, Any]:
    strike, buzz = placed.strike, placed.strike.buzz
    note, off = placed.named(reference_hz) or (None, math.nan)
    buzzes = {}
    if buzz is not None:
        low, high = buzz.bands_hz
        buzzes = {"buzz": {"from_hz": round(low), "to_hz": round(high), "below_db": _round(buzz.below_db, 1)}}
    return buzzes | {
        "t_s": _round(strike.t_s, 4),
        "hz": _round(strike.hz, 4),
        "plus_minus_cents": _round(strike.plus_minus_cents, 3),
        "note": note,
        "cents": _round(off, 3),
        "t60_s": _round(strike.t60_s, 4),
        "loudness_db": _round(strike.loudness_db, 2),
        "partials": [
            {"hz": _round(one.hz, 4), "db": _round(one.db, 2), "t60_s": _round(one.t60_s, 4)}
            for one in strike.partials
        ],
        "tongue": None if placed.aim is None else placed.aim.number,
        "doubt": list(placed.doubt),
    }


def _round(value: float, digits: int) -> float | None:
    return round(value, digits) if math.isfinite(value) else None


def grouped(strikes: Sequence[PlacedStrike]) -> list[tuple[Aim | None, Repeated]]:
    """The taps of each tongue together, lowest first: by tongue where it is known, else by like pitch."""
    found = [(aim, together([strikes[n].strike for n in group])) for aim, group in groups_of(strikes)]
    return sorted(found, key=lambda pair: pair[1].hz)


def groups_of(strikes: Sequence[PlacedStrike]) -> list[tuple[Aim | None, tuple[int, ...]]]:
    """Which strikes were on one tongue, by their numbers: as it is known, else by like pitch."""
    by_aim: dict[int, tuple[Aim, tuple[int, ...]]] = {}
    for n, one in enumerate(strikes):
        if one.aim is not None and math.isfinite(one.strike.hz):
            _, before = by_aim.get(one.aim.number, (one.aim, ()))
            by_aim[one.aim.number] = one.aim, (*before, n)
    loose = [n for n, one in enumerate(strikes) if one.aim is None]
    alike = same_pitch([strikes[n].strike for n in loose])
    return [*by_aim.values(), *((None, tuple(loose[n] for n in group)) for group in alike)]


def with_its_digits(
    value: float, plus_minus: float, *, least: int = 1, signed: bool = False
) -> tuple[str, str]:
    """A value and its ± with as many digits as the ± supports; `least`: most decimals.

    Parameters
    ----------
    value : float
        In any unit.
    plus_minus : float
        One standard deviation, in the same.
    least : int, optional
        Most decimals.
    signed : bool, optional
        Whether a plus is written.

    Examples
    --------
    >>> with_its_digits(-12.3456, 0.234), with_its_digits(-12.3456, 3.2), with_its_digits(148.2, 0.02, least=2)
    (('-12.3', '0.3'), ('-12', '4'), ('148.20', '0.02'))
    """
    sign = "+" if signed else ""
    if not (math.isfinite(value) and math.isfinite(plus_minus)):
        return "", ""
    lead = math.floor(math.log10(max(plus_minus, 10.0**-least)))
    figures = 1 if plus_minus < 2.0 * 10.0**lead else 0
    decimals = min(least, figures - lead)
    step = 10.0**-decimals
    up = step * math.ceil(max(plus_minus, 10.0**-least) / step - SLIGHT)
    rounded = step * round(value / step)
    shown = max(decimals, 0)
    return f"{rounded + 0.0:{sign}.{shown}f}", f"{up:.{shown}f}"
