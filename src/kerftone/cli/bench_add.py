"""`kerftone bench tap`, `bore`, `lengthen`, `trim`, `weight`, `note`, `void`: one fact into the log.

What is told is held against the drum as the log makes it at that very moment, with no other command between.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from kerftone.bench.facts import (
    BoreMade,
    Entry,
    Fact,
    Noted,
    SlotsLengthened,
    Start,
    Tapped,
    TipTrimmed,
    Voided,
    WeightFixed,
)
from kerftone.bench.likely import check_tap
from kerftone.bench.limits import Place, check_bore, check_change, spot_mm, tongue_of
from kerftone.bench.log import Telling
from kerftone.bench.replay import Bench, event_of
from kerftone.cli.bench_words import tell_edits
from kerftone.cli.screen import emit, show
from kerftone.errors import EntryError, LengthError
from kerftone.jobs.drum_at_bench import opened
from kerftone.jobs.entry_words import in_words, record
from kerftone.tune.history import Lengthened, Tap, Trimmed, Weighted
from kerftone.units import Units, typed_length

LONGEST_WORDS = 2000


@dataclass(frozen=True, kw_only=True)
class Manner:
    """How a fact is told: surely, in place of a slip, with an answer as JSON."""

    sure: bool = False
    instead_of: int | None = None
    as_json: bool = False


@dataclass(frozen=True, kw_only=True)
class Struck:
    """A tap as the command line gives it; None: as at the tap before. hz is None when a recording says it."""

    hz: float | None
    plus_minus_cents: float
    bottom_on: bool | None
    top_glued: bool | None
    temperature_c: float | None
    humidity_pct: float | None


@dataclass(frozen=True, kw_only=True)
class Hole:
    """A bore as the command line gives it, lengths as typed."""

    bit: str
    depth: str
    from_root: str
    from_edge: str | None
    measured: str | None


def check_told(tongue: int | None, hz: float | None, recording: Path | None, manner: Manner) -> None:
    """Refuse a tap that does not say what was heard, or says it twice. Raises EntryError."""
    if (hz is None) == (recording is None):
        given = "neither --hz nor --recording is" if hz is None else "--hz and --recording are both"
        raise EntryError(
            f"For this tap {given} given. One of them says what was heard: --hz 231.4, or --recording take.wav."
        )
    if recording is None and tongue is None:
        raise EntryError(
            f"{hz:g} Hz was heard, and no tongue is named. Only a recording can be matched to the tongues: add "
            "--tongue and its number, counted from 1 as in the drum file.",
            given=hz,
        )
    if recording is not None and manner.instead_of is not None:
        raise EntryError(
            f"--instead-of {manner.instead_of} mends one entry, and a recording may hold many taps. Void the entry "
            "with `kerftone bench void`, then record the taps.",
            given=manner.instead_of,
        )


def add_tap(given: Path, tongue: int, struck: Struck, manner: Manner) -> None:
    """Record a tap."""

    def made(bench: Bench) -> Fact:
        tongue_of(bench.design, tongue)
        assert struck.hz is not None
        fact = as_struck(bench, tongue, struck, hz=struck.hz, plus_minus_cents=struck.plus_minus_cents)
        check_tap(bench, fact, sure=manner.sure)
        return fact

    _add(given, made, manner)


def as_struck(
    bench: Bench,
    tongue: int,
    struck: Struck,
    *,
    hz: float,
    plus_minus_cents: float = 1.5,
    recording: str | None = None,
) -> Tapped:
    """A tap for the log, with the bottom and the top as told or as at the tap before."""
    before = [event for event in bench.events if isinstance(event, Tap)]
    bottom, glued = struck.bottom_on, struck.top_glued
    if bottom is None:
        bottom = before[-1].bottom_on if before else bench.design.bottom is not None
    if glued is None:
        glued = before[-1].top_glued if before else True
    return Tapped(
        tongue=tongue,
        hz=hz,
        plus_minus_cents=plus_minus_cents,
        bottom_on=bottom,
        top_glued=glued,
        temperature_c=struck.temperature_c,
        humidity_pct=struck.humidity_pct,
        recording=recording,
    )


def add_bore(given: Path, tongue: int, hole: Hole, manner: Manner) -> None:
    """Record a bore."""

    def made(bench: Bench) -> Fact:
        drum = bench.drum
        tongue_of(drum, tongue)

        def mm(option: str, text: str) -> float:
            return length_mm(option, text, drum.units)

        edge = None if hole.from_edge is None else mm("--from-edge", hole.from_edge)
        x, y = spot_mm(drum, tongue, Place(from_root_mm=mm("--from-root", hole.from_root), from_edge_mm=edge))
        bit = mm("--bit", hole.bit)
        fact = BoreMade(
            tongue=tongue,
            x_mm=x,
            y_mm=y,
            bit_mm=min((own for own in drum.shop.bits_mm if abs(own - bit) < 0.05), default=bit),
            depth_mm=mm("--depth", hole.depth),
            measured_mm=None if hole.measured is None else mm("--measured", hole.measured),
        )
        check_bore(drum, fact, sure=manner.sure)
        return fact

    _add(given, made, manner)


def add_cut(given: Path, tongue: int, kind: Literal["lengthen", "trim"], by: str, manner: Manner) -> None:
    """Record slots lengthened or a tip trimmed."""

    def made(bench: Bench) -> Fact:
        by_mm = length_mm("--by", by, bench.drum.units)
        if kind == "lengthen":
            return _changed(bench, SlotsLengthened(tongue=tongue, by_mm=by_mm))
        return _changed(bench, TipTrimmed(tongue=tongue, by_mm=by_mm))

    _add(given, made, manner)


def add_weight(given: Path, tongue: int, grams: float, manner: Manner) -> None:
    """Record a weight fixed or taken off."""
    if not (math.isfinite(grams) and abs(grams) <= 500.0):
        raise EntryError(
            f"The weight is {grams:g} g. Tongues carry a few grams, 500 at most: give its mass in grams.",
            given=grams,
            limit=500.0,
        )
    _add(given, lambda bench: _changed(bench, WeightFixed(tongue=tongue, grams=grams)), manner)


def _changed(bench: Bench, fact: SlotsLengthened | TipTrimmed | WeightFixed) -> Fact:
    """The fact, if the drum as it is allows it."""
    tongue_of(bench.drum, fact.tongue)
    change = event_of(fact)
    assert isinstance(change, Lengthened | Trimmed | Weighted)
    check_change(bench.drum, change)
    return fact


def add_note(given: Path, tongue: int | None, words: str, manner: Manner) -> None:
    """Record a note."""
    text = _some_words(words, "A note")

    def made(bench: Bench) -> Fact:
        if tongue is not None:
            tongue_of(bench.design, tongue)
        return Noted(words=text, tongue=tongue)

    _add(given, made, manner)


def add_void(given: Path, number: int, reason: str, manner: Manner) -> None:
    """Record that an entry does not count."""
    text = _some_words(reason, "A reason")
    with opened(given) as drum:

        def tell(entries: tuple[Entry, ...]) -> Sequence[Telling]:
            voidable(entries, number)
            return (Telling(fact=Voided(number=number, reason=text)),)

        new = drum.log.add(tell)
        _acknowledge(new[-1], drum.bench(), manner)


def _some_words(words: str, what: str) -> str:
    text = " ".join(words.split())
    if not 1 <= len(text) <= LONGEST_WORDS:
        raise EntryError(
            f"{what} has {len(text)} characters. It needs 1 to {LONGEST_WORDS} of them: write it in words.",
            given=len(text),
            limit=LONGEST_WORDS,
        )
    return text


def voidable(entries: Sequence[Entry], number: int) -> Entry:
    """The entry with this number, if it can still be voided. Raises EntryError."""
    found = next((entry for entry in entries if entry.number == number), None)
    voided = next((e for e in entries if isinstance(e.fact, Voided) and e.fact.number == number), None)
    if found is None:
        raise EntryError(
            f"There is no entry {number}. The log's entries have numbers: see `kerftone bench log`.",
            given=number,
        )
    if voided is not None:
        raise EntryError(
            f"Entry {number} does not count already: entry {voided.number} voided it. Tell the fact anew if it was "
            "right after all.",
            given=number,
        )
    if isinstance(found.fact, Start | Voided):
        why = "is the drum as cut" if isinstance(found.fact, Start) else "only voids another"
        raise EntryError(
            f"Entry {number} {why}. Taps, bores and other facts can be voided, this cannot: tell a fact anew if it "
            "was voided by mistake.",
            given=number,
        )
    return found


def length_mm(option: str, text: str, units: Units) -> float:
    """A length as typed after an option, in mm. Raises EntryError with the option's name."""
    try:
        found = typed_length(text, units)
    except LengthError as error:
        raise EntryError(
            f"{option} {text[:40]!r} cannot be read as a length. {error.message}", given=text
        ) from error
    if not -5000.0 < found < 5000.0:
        raise EntryError(f"{option} is {found:g} mm. No drum is that large: check the number.", given=found)
    return found


def _add(given: Path, made: Callable[[Bench], Fact], manner: Manner) -> None:
    """Make the fact from the drum as it is, record it, and say so."""
    with opened(given) as drum:

        def tell(entries: tuple[Entry, ...]) -> Sequence[Telling]:
            slip = manner.instead_of
            if slip is None:
                return (Telling(fact=made(drum.bench(entries))),)
            was = voidable(entries, slip).fact.kind
            rest = [entry for entry in entries if entry.number != slip]
            fact = made(drum.bench(rest))
            if fact.kind != was:
                raise EntryError(
                    f"Entry {slip} is a {was}, and this is a {fact.kind}. A mend is of the same kind as the slip: "
                    f"void entry {slip} and tell this one by itself."
                )
            new = entries[-1].number + 2
            return (
                Telling(fact=Voided(number=slip, reason=f"mended by entry {new}")),
                Telling(fact=fact, instead_of=slip),
            )

        new = drum.log.add(tell)
        _acknowledge(new[-1], drum.bench(), manner)


def _acknowledge(entry: Entry, bench: Bench, manner: Manner) -> None:
    if manner.as_json:
        emit(record(entry, bench))
        return
    tell_edits(bench)
    tongue = getattr(entry.fact, "tongue", None)
    whose = f"tongue {tongue} " if tongue is not None else ""
    show(f"Entry {entry.number}: {whose}{in_words(entry.fact, bench)}.", wrap=True)
