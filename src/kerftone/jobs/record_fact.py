"""What was heard or done at the bench, one fact into the log: a tap, a bore, a cut, a weight, a note, a slip voided.

What is told is held against the drum as the log makes it at that very moment, with no other command between.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

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
from kerftone.drum.tongue_named import Named, tongue_named
from kerftone.errors import EntryError, LengthError, Remedy
from kerftone.jobs.drum_at_bench import opened
from kerftone.jobs.entry_words import entry_line, record
from kerftone.jobs.progress import Progress, job
from kerftone.tune.history import Bottom, Lengthened, Tap, Trimmed, Weighted
from kerftone.tune.pull import finished
from kerftone.units import Units, parse_length

LONGEST_WORDS = 2000
"""Characters of a note or a reason: a page of text. Own judgement."""


@dataclass(frozen=True, kw_only=True)
class Manner:
    """How a fact is told: surely, however unlikely it is; in place of the entry that was a slip."""

    sure: bool = False
    instead_of: int | None = None


@dataclass(frozen=True, kw_only=True)
class Struck:
    """How it was while a tongue was tapped; None: as at the tap before, or not said."""

    plus_minus_cents: float = 1.5
    bottom: Bottom | None = None
    top_glued: bool | None = None
    temperature_c: float | None = None
    humidity_pct: float | None = None


USUAL_MANNER = Manner()
AS_BEFORE = Struck()


@dataclass(frozen=True, kw_only=True)
class TapRequest:
    """A tongue of a drum by its place, note or number from 1, here as below; and what it sounded, in Hz."""

    drum: Path
    tongue: Named
    hz: float
    struck: Struck = AS_BEFORE
    manner: Manner = USUAL_MANNER


@dataclass(frozen=True, kw_only=True)
class BoreRequest:
    """A bore under a tongue, lengths as typed, in the units of the drum file unless they say their own.

    depth: as meant, from the underside; measured: as it came out. from_root, from_edge: from the tongue's root line
    and its front edge to the middle; without the edge, on the centre line.
    """

    drum: Path
    tongue: Named
    bit: str
    depth: str
    from_root: str
    from_edge: str | None = None
    measured: str | None = None
    manner: Manner = USUAL_MANNER


@dataclass(frozen=True, kw_only=True)
class CutRequest:
    """Both slots beside a tongue sawn further at its root, or its tip taken back; `by`: a length as typed."""

    drum: Path
    tongue: Named
    kind: Literal["lengthen", "trim"]
    by: str
    manner: Manner = USUAL_MANNER


@dataclass(frozen=True, kw_only=True)
class WeightRequest:
    """A weight fixed under a tongue near its tip; negative when it was taken off again."""

    drum: Path
    tongue: Named
    grams: float
    manner: Manner = USUAL_MANNER


@dataclass(frozen=True, kw_only=True)
class NoteRequest:
    """Anything worth remembering, in words; `tongue`: which one it is about, if one."""

    drum: Path
    words: str
    tongue: Named | None = None


@dataclass(frozen=True, kw_only=True)
class VoidRequest:
    """An entry that was a slip, by its number, and why it does not count."""

    drum: Path
    number: int
    reason: str


@dataclass(frozen=True, kw_only=True)
class FactRecorded:
    """The new entry, and the drum as the log makes it now. left_out: nothing of one fact is."""

    entry: Entry
    bench: Bench
    left_out: tuple[str, ...] = ()

    def words(self) -> list[str]:
        """The entry in words."""
        return [f"{entry_line(self.entry, self.bench)}."]

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return record(self.entry, self.bench)


@job
def record_tap(request: TapRequest, progress: Progress) -> FactRecorded:
    """Record what a tongue sounded. Raises EntryError for what cannot be, or is doubtful and not said to be sure."""
    del progress  # it is there at once, as all facts are

    def made(bench: Bench) -> Fact:
        struck = request.struck
        tongue = tongue_named(bench.design, request.tongue)
        fact = as_struck(bench, tongue, struck, hz=request.hz, plus_minus_cents=struck.plus_minus_cents)
        check_tap(bench, fact, sure=request.manner.sure)
        return fact

    return _add(request.drum, made, request.manner)


def as_struck(
    bench: Bench,
    tongue: int,
    struck: Struck,
    *,
    hz: float,
    plus_minus_cents: float = 1.5,
    recording: str | None = None,
) -> Tapped:
    """A tap for the log, with the bottom and the top as told or as at the tap before.

    Parameters
    ----------
    bench : Bench
        The drum at the bench: its log, replayed.
    tongue : int
        Which tongue, counted from 1.
    struck : Struck
        In which state it was struck, as far as it is told.
    hz : float
        What was heard, in Hz.
    plus_minus_cents : float, optional
        One standard deviation.
    recording : str | None, optional
        The name of the sound kept; None where a tuner was read.
    """
    before = [event for event in bench.events if isinstance(event, Tap)]
    bottom, glued = struck.bottom, struck.top_glued
    if bottom is None:
        bottom = before[-1].state if before else finished(bench.design)
    if glued is None:
        glued = before[-1].top_glued if before else True
    return Tapped(
        tongue=tongue,
        hz=hz,
        plus_minus_cents=plus_minus_cents,
        bottom_on=bottom == "glued",
        bottom=bottom,
        top_glued=glued,
        temperature_c=struck.temperature_c,
        humidity_pct=struck.humidity_pct,
        recording=recording,
    )


@job
def record_bore(request: BoreRequest, progress: Progress) -> FactRecorded:
    """Record a bore. Raises EntryError for what cannot be, or is doubtful and not said to be sure."""
    del progress

    def made(bench: Bench) -> Fact:
        drum = bench.drum
        tongue = tongue_named(drum, request.tongue)

        def mm(what: str, text: str) -> float:
            return length_mm(what, text, drum.units)

        edge = None if request.from_edge is None else mm("distance from the edge", request.from_edge)
        place = Place(from_root_mm=mm("distance from the root", request.from_root), from_edge_mm=edge)
        x, y = spot_mm(drum, tongue, place)
        bit = mm("width of the bit", request.bit)
        fact = BoreMade(
            tongue=tongue,
            x_mm=x,
            y_mm=y,
            bit_mm=min((own for own in drum.shop.bits_mm if abs(own - bit) < 0.05), default=bit),
            depth_mm=mm("depth", request.depth),
            measured_mm=None if request.measured is None else mm("depth measured", request.measured),
        )
        check_bore(drum, fact, sure=request.manner.sure)
        return fact

    return _add(request.drum, made, request.manner)


@job
def record_cut(request: CutRequest, progress: Progress) -> FactRecorded:
    """Record slots lengthened or a tip trimmed. Raises EntryError for what cannot be."""
    del progress

    def made(bench: Bench) -> Fact:
        by_mm = length_mm("length taken", request.by, bench.drum.units)
        tongue = tongue_named(bench.drum, request.tongue)
        if request.kind == "lengthen":
            return _changed(bench, SlotsLengthened(tongue=tongue, by_mm=by_mm))
        return _changed(bench, TipTrimmed(tongue=tongue, by_mm=by_mm))

    return _add(request.drum, made, request.manner)


@job
def record_weight(request: WeightRequest, progress: Progress) -> FactRecorded:
    """Record a weight fixed or taken off. Raises EntryError for what cannot be."""
    del progress
    grams = request.grams
    if not (math.isfinite(grams) and abs(grams) <= 500.0):
        raise EntryError(
            f"The weight is {grams:g} g. Tongues carry a few grams, 500 at most: give its mass in grams.",
            given=grams,
            limit=500.0,
        )

    def made(bench: Bench) -> Fact:
        return _changed(bench, WeightFixed(tongue=tongue_named(bench.drum, request.tongue), grams=grams))

    return _add(request.drum, made, request.manner)


def _changed(bench: Bench, fact: SlotsLengthened | TipTrimmed | WeightFixed) -> Fact:
    """The fact, if the drum as it is allows it."""
    tongue_of(bench.drum, fact.tongue)
    change = event_of(fact)
    assert isinstance(change, Lengthened | Trimmed | Weighted)
    check_change(bench.drum, change)
    return fact


@job
def record_note(request: NoteRequest, progress: Progress) -> FactRecorded:
    """Record a note. Raises EntryError for one that is empty or longer than a page."""
    del progress
    text = _some_words(request.words, "A note")

    def made(bench: Bench) -> Fact:
        named = request.tongue
        return Noted(words=text, tongue=None if named is None else tongue_named(bench.design, named))

    return _add(request.drum, made, USUAL_MANNER)


@job
def void_entry(request: VoidRequest, progress: Progress) -> FactRecorded:
    """Record that an entry does not count. Raises EntryError for one that cannot be voided."""
    del progress
    text = _some_words(request.reason, "A reason")
    with opened(request.drum) as drum:

        def tell(entries: tuple[Entry, ...]) -> Sequence[Telling]:
            voidable(entries, request.number)
            return (Telling(fact=Voided(number=request.number, reason=text)),)

        new = drum.log.add(tell)
        return FactRecorded(entry=new[-1], bench=drum.bench())


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
            f"There is no entry {number}. The log's entries have numbers, from 1 to {len(entries)}.",
            given=number,
            limit=len(entries),
            remedy=Remedy.SEE_LOG,
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


def length_mm(what: str, text: str, units: Units) -> float:
    """A length as typed, in mm. Raises EntryError that says what it is.

    Parameters
    ----------
    what : str
        Which length, in words.
    text : str
        As typed.
    units : Units
        Of a length that names none.
    """
    try:
        found = parse_length(text, units)
    except LengthError as error:
        raise EntryError(
            f"The {what}, {text[:40]!r}, cannot be read as a length. {error.message}", given=text
        ) from error
    if not -5000.0 < found < 5000.0:
        raise EntryError(
            f"The {what} is {found:g} mm. No drum is that large: check the number.", given=found, limit=5000.0
        )
    return found


def _add(given: Path, made: Callable[[Bench], Fact], manner: Manner) -> FactRecorded:
    """Make the fact from the drum as it is, and record it."""
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
        return FactRecorded(entry=new[-1], bench=drum.bench())
