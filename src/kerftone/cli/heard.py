"""What was heard, said: as the JSON object of one recording, or as a table for a maker.

A pitch is told as the nearest note and the cents from it; a tap that was matched to a tongue of a drum as
that tongue's note and the cents from its target. Digits stop where the ± does: the ± is rounded up to one
figure (two when it begins with 1), and the value to the same place, never finer than 0.1 cent or 0.01 Hz.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from kerftone.cli.screen import WIDTH, Column, show, show_table
from kerftone.ear.repeats import Repeated, same_pitch, together
from kerftone.ear.result import Heard, Strike
from kerftone.pitch import cents, nearest_note

SLIGHT = 0.1
"""A ± is not rounded up for the sake of this share of its last figure."""
CENT_OF_HZ = math.log(2.0) / 1200.0


@dataclass(frozen=True, kw_only=True)
class Aim:
    """A tongue that may be heard: its number from 1, its place, its note and the pitch that note has."""

    number: int
    place: str
    note: str
    target_hz: float


@dataclass(frozen=True, kw_only=True)
class Said:
    """One strike with its tongue, where it has one, and every doubt: the ear's and the matching's."""

    strike: Strike
    aim: Aim | None
    doubt: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Report:
    """One recording as heard. `shift_cents`: how far the drum as a whole sounds from its model."""

    file: str
    heard: Heard
    said: tuple[Said, ...]
    reference_hz: float
    shift_cents: float | None = None
    remarks: tuple[str, ...] = ()


def named(hz: float, aim: Aim | None, reference_hz: float) -> tuple[str, float]:
    """The note of a pitch and the cents from it, positive when sharp."""
    if aim is not None:
        return aim.note, cents(hz, aim.target_hz)
    near = nearest_note(hz, reference_hz=reference_hz)
    return near.name, near.cents


def document(report: Report) -> dict[str, Any]:
    """The JSON object of one recording. What is not known is null."""
    heard = report.heard
    return {
        "strikes": [_record(one, report.reference_hz) for one in report.said],
        "sample_rate": heard.sample_rate,
        "clipped": heard.clipped,
        "noise_db": round(heard.noise_db, 1),
        "hum_hz": heard.hum_hz,
    }


def _record(said: Said, reference_hz: float) -> dict[str, Any]:
    strike = said.strike
    note, off = named(strike.hz, said.aim, reference_hz) if math.isfinite(strike.hz) else (None, math.nan)
    return {
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
        "tongue": None if said.aim is None else said.aim.number,
        "doubt": list(said.doubt),
    }


def _round(value: float, digits: int) -> float | None:
    return round(value, digits) if math.isfinite(value) else None


def with_its_digits(
    value: float, plus_minus: float, *, least: int = 1, signed: bool = False
) -> tuple[str, str]:
    """A value and its ± with as many digits as the ± supports; `least`: most decimals.

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


def show_report(report: Report) -> None:
    """Give one recording in words: its strikes, then the taps of one tongue taken together."""
    heard = report.heard
    many = "s" * (len(report.said) != 1)
    facts = [f"{len(report.said)} strike{many} in {heard.seconds:.1f} s"]
    facts += [f"noise at {heard.noise_db:.0f} dB"] if math.isfinite(heard.noise_db) else []
    facts += [f"mains hum at {heard.hum_hz:.0f} Hz"] if heard.hum_hz else []
    facts += ["clipped"] if heard.clipped else []
    told = ", ".join(facts)
    show(f"{report.file}: {told}" if len(report.file) + len(told) + 2 <= WIDTH else f"{report.file}:\n{told}")
    show("")
    doubts = _lettered(report.said)
    with_tongues = any(one.aim is not None for one in report.said)
    show_table(_columns(with_tongues), [_row(one, report, doubts, with_tongues) for one in report.said])
    _show_together(report, with_tongues)
    if doubts:
        show("")
    for words, letter in doubts.items():
        show(f"{letter}  {words}")


def _columns(with_tongues: bool) -> tuple[Column, ...]:
    tongue = (Column(head="Tongue"),) if with_tongues else ()
    return (
        Column(head="Time\ns", number=True),
        *tongue,
        Column(head="Note"),
        Column(head="Cents", number=True),
        Column(head="±", number=True),
        Column(head="Hz", number=True),
        Column(head="Drift\ncents", number=True),
        Column(head="T60\ns", number=True),
        Column(head="Loud\ndB", number=True),
        Column(head="Doubt"),
    )


def _lettered(said: Sequence[Said]) -> dict[str, str]:
    """Each doubt once, with the letter that stands in the table."""
    letters: dict[str, str] = {}
    for one in said:
        for words in one.doubt:
            at = len(letters)
            letters.setdefault(words, chr(97 + at) if at < 26 else f"{chr(96 + at // 26)}{chr(97 + at % 26)}")
    return letters


def _row(said: Said, report: Report, doubts: dict[str, str], with_tongues: bool) -> tuple[str, ...]:
    strike = said.strike
    letters = " ".join(doubts[words] for words in said.doubt)
    start = (f"{strike.t_s:.2f}", *(("" if said.aim is None else said.aim.place,) if with_tongues else ()))
    if not math.isfinite(strike.hz):
        return (*start, "none", "", "", "", "", "", f"{strike.loudness_db:.0f}", letters)
    cells = _pitch(strike.hz, strike.plus_minus_cents, said.aim, report.reference_hz)
    drift, _ = with_its_digits(strike.drift_cents, max(strike.plus_minus_cents, 0.1), signed=True)
    return (
        *start,
        *cells,
        drift if strike.drift_cents else "",
        _ring(strike.t60_s),
        f"{strike.loudness_db:.0f}",
        letters,
    )


def _pitch(hz: float, plus_minus_cents: float, aim: Aim | None, reference_hz: float) -> tuple[str, ...]:
    note, off = named(hz, aim, reference_hz)
    off_words, spread_words = with_its_digits(off, plus_minus_cents, signed=True)
    hz_words, _ = with_its_digits(hz, plus_minus_cents * hz * CENT_OF_HZ, least=2)
    return note, off_words, spread_words, hz_words


def _ring(t60_s: float) -> str:
    decimals = 2 if t60_s < 1.0 else 1 if t60_s < 10.0 else 0
    return f"{t60_s:.{decimals}f}" if math.isfinite(t60_s) else ""


def grouped(said: Sequence[Said]) -> list[tuple[Aim | None, Repeated]]:
    """The taps of each tongue together: by tongue where it is known, else by like pitch."""
    groups: list[tuple[Aim | None, list[Strike]]] = []
    by_aim: dict[int, list[Strike]] = {}
    for one in said:
        if one.aim is not None and math.isfinite(one.strike.hz):
            if one.aim.number not in by_aim:
                by_aim[one.aim.number] = []
                groups.append((one.aim, by_aim[one.aim.number]))
            by_aim[one.aim.number].append(one.strike)
    loose = [one.strike for one in said if one.aim is None]
    groups += [(None, [loose[n] for n in group]) for group in same_pitch(loose)]
    return sorted(((aim, together(some)) for aim, some in groups), key=lambda pair: pair[1].hz)


def _show_together(report: Report, with_tongues: bool) -> None:
    groups = grouped(report.said)
    if all(taps.taps == 1 for _, taps in groups):
        return
    show("")
    show("Taps of one tongue together (median):")
    columns = _columns(with_tongues)
    head = (Column(head="Taps", number=True), *columns[1:-2])
    rows = [
        (
            str(taps.taps),
            *(("" if aim is None else aim.place,) if with_tongues else ()),
            *_pitch(taps.hz, taps.plus_minus_cents, aim, report.reference_hz),
            with_its_digits(taps.drift_cents, max(taps.plus_minus_cents, 0.1), signed=True)[0]
            if taps.drift_cents
            else "",
            _ring(taps.t60_s),
        )
        for aim, taps in groups
    ]
    show_table(head, rows)
