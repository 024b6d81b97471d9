"""What an entry of the log says, in words and as JSON."""

from __future__ import annotations

from typing import Any

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
    body,
)
from kerftone.bench.limits import place_of
from kerftone.bench.replay import Bench
from kerftone.drum.design import Bore
from kerftone.drum.plan_lines import layout
from kerftone.drum.tongue_named import on_paper
from kerftone.jobs.air_asked import bottom_listed
from kerftone.pitch import cents
from kerftone.shop.measure import measure_of
from kerftone.units import bit_width, tool_length


def flat_or_sharp(off_cents: float) -> str:
    """How far off in words, to a cent."""
    if abs(off_cents) < 0.5:
        return "right on its note"
    size = f"{abs(off_cents):.0f}"
    return f"{size} cent{'s' * (size != '1')} {'flat' if off_cents < 0 else 'sharp'}"


def in_words(fact: Fact, bench: Bench) -> str:
    """A fact as one line for the maker."""
    units = bench.design.units

    def length(mm: float) -> str:
        return tool_length(mm, units)

    if isinstance(fact, Start):
        return f"the drum as cut, from {fact.file}"
    if isinstance(fact, Tapped):
        return _tap(fact, bench)
    if isinstance(fact, BoreMade):
        depth = length(fact.depth_mm)
        depth += "" if fact.measured_mm is None else f" meant, {length(fact.measured_mm)} measured"
        return f"bored {bit_width(fact.bit_mm, units)} wide, {depth} deep, {where(fact, bench)}"
    if isinstance(fact, SlotsLengthened):
        return f"slots lengthened by {length(fact.by_mm)}"
    if isinstance(fact, TipTrimmed):
        return f"tip trimmed by {length(fact.by_mm)}"
    if isinstance(fact, WeightFixed):
        return f"{fact.grams:g} g fixed" if fact.grams > 0 else f"{-fact.grams:g} g taken off"
    if isinstance(fact, Noted):
        return f"note: {fact.words}"
    return f"entry {fact.number} does not count: {fact.reason}"


def entry_line(entry: Entry, bench: Bench) -> str:
    """A new entry in words: its number, its tongue, and what it says."""
    tongue = getattr(entry.fact, "tongue", None)
    whose = "" if tongue is None else f"{on_paper(bench.design, tongue)} "
    return f"Entry {entry.number}: {whose}{in_words(entry.fact, bench)}"


def _tap(fact: Tapped, bench: Bench) -> str:
    off = cents(fact.hz, bench.targets_hz[fact.tongue - 1])
    words = f"sounds {fact.hz:g} Hz, {flat_or_sharp(off)} (±{fact.plus_minus_cents:g})"
    if bench.design.bottom is not None or fact.state != "off":
        words += f", {bottom_listed(fact.state)}"
    words += "" if fact.top_glued else ", top clamped"
    words += "" if fact.temperature_c is None else f", {fact.temperature_c:g} °C"
    return words + ("" if fact.humidity_pct is None else f", {fact.humidity_pct:g} % humidity")


def where(fact: BoreMade, bench: Bench) -> str:
    """Where a bore is, from its tongue's root and front edge."""
    drum = bench.design
    place = place_of(drum, fact.tongue, bore_of(fact))
    row = drum.tongues[fact.tongue - 1].row
    assert place.from_edge_mm is not None and row is not None
    on_rule = measure_of(drum)
    root = on_rule(place.from_root_mm)
    if abs(fact.y_mm - layout(drum).centre_at_mm(row, fact.x_mm)) < 0.05:
        return f"{root} from the root on the centre line"
    return f"{root} from the root, {on_rule(place.from_edge_mm)} from the front edge"


def bore_of(fact: BoreMade) -> Bore:
    """The pocket, as deep as it is known to be."""
    depth = fact.depth_mm if fact.measured_mm is None else fact.measured_mm
    return Bore(x_mm=fact.x_mm, y_mm=fact.y_mm, diameter_mm=fact.bit_mm, depth_mm=depth)


def record(entry: Entry, bench: Bench, voided_by: int | None = None) -> dict[str, Any]:
    """An entry as JSON. `voided_by`: the number of the entry that says it does not count.

    Parameters
    ----------
    entry : Entry
        Of the log.
    bench : Bench
        The drum at the bench: its log, replayed.
    voided_by : int | None, optional
        The number of the entry that says it does not count.
    """
    fact = entry.fact
    more: dict[str, Any] = {}
    if isinstance(fact, Tapped):
        more["bottom"] = fact.state
        more["cents"] = round(cents(fact.hz, bench.targets_hz[fact.tongue - 1]), 3)
    if isinstance(fact, BoreMade):
        place = place_of(bench.design, fact.tongue, bore_of(fact))
        assert place.from_edge_mm is not None
        more["from_root_mm"] = round(place.from_root_mm, 4)
        more["from_edge_mm"] = round(place.from_edge_mm, 4)
        more["left_under_mm"] = round(bench.design.top.thickness_mm - bore_of(fact).depth_mm, 4)
    fields = {
        ("voids" if isinstance(fact, Voided) and key == "number" else key): v for key, v in body(fact).items()
    }
    head = {"number": entry.number, "at": entry.at, "kind": fact.kind}
    return head | fields | more | {"instead_of": entry.instead_of, "voided_by": voided_by}
