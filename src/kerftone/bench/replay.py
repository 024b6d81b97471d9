"""What a drum has become: its log played again from the first fact that counts to the last.

The design as cut is the text frozen when the log was begun. The drum file as it is now is asked only for what is a
wish and can change at any time: notes, tuning and the shop's limits; whatever else was edited since is told apart
and changes nothing here. A fact that mends a slip takes the slip's place in the order. Tongues count from 1 in the
log and from 0 in the events that calibration and advice read (`kerftone.tune.history`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from kerftone.bench.facts import (
    BoreMade,
    Entry,
    Fact,
    SlotsLengthened,
    Start,
    Tapped,
    TipTrimmed,
    Voided,
    WeightFixed,
)
from kerftone.drum.design import Bore, Drum
from kerftone.drum.file import parse_drum
from kerftone.errors import BenchError, Remedy
from kerftone.tune.history import Bored, Event, Lengthened, Tap, Trimmed, Weighted, after


@dataclass(frozen=True, kw_only=True)
class Bench:
    """A drum at the bench.

    design: as cut, with the notes, tuning and shop of the drum file now. entries: the facts that count, in order.
    events: those of them that the model knows, in order. drum: as it is now. edited: what of the drum file was
    changed since it was cut, in words; it does not count.
    """

    design: Drum
    entries: tuple[Entry, ...]
    events: tuple[Event, ...]
    drum: Drum
    edited: tuple[str, ...]

    @property
    def targets_hz(self) -> tuple[float, ...]:
        """The pitch each tongue is to sound, in Hz."""
        return self.design.targets_hz


def bench_of(entries: Sequence[Entry], wished: Drum | None = None) -> Bench:
    """The drum that these entries of its log make. `wished`: the drum file as it is now.

    Raises BenchError when the log does not say how the drum was cut. Held by tests/bench/test_replay.py.
    """
    counted = counting(entries)
    start = next((entry.fact for entry in counted if isinstance(entry.fact, Start)), None)
    if start is None:
        raise BenchError(
            "The log does not say how the drum was cut. Everything else in it is kept: begin again, which takes "
            "the design from the drum file.",
            remedy=Remedy.START_LOG,
        )
    cut = parse_drum(start.text, f"{start.file} as cut")
    design = cut if wished is None else _as_wished(cut, wished)
    events = tuple(event for entry in counted if (event := event_of(entry.fact)) is not None)
    return Bench(
        design=design,
        entries=counted,
        events=events,
        drum=after(design, events),
        edited=() if wished is None else edits(cut, wished),
    )


def counting(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """The entries that count: not voided, and each that mends a slip in the slip's place."""
    voided = {entry.fact.number for entry in entries if isinstance(entry.fact, Voided)}
    place: dict[int, int] = {}
    for entry in entries:
        earlier = entry.instead_of
        place[entry.number] = entry.number if earlier is None else place.get(earlier, earlier)
    kept = [e for e in entries if e.number not in voided and not isinstance(e.fact, Voided)]
    return tuple(sorted(kept, key=lambda entry: place[entry.number]))


def event_of(fact: Fact) -> Event | None:
    """What a fact is to the model; None for what does not touch the sound."""
    if isinstance(fact, Tapped):
        return Tap(
            tongue=fact.tongue - 1,
            hz=fact.hz,
            plus_minus_cents=fact.plus_minus_cents,
            bottom_on=fact.bottom_on,
            top_glued=fact.top_glued,
            bottom=fact.bottom,
        )
    if isinstance(fact, BoreMade):
        measured = fact.measured_mm is not None
        depth = fact.depth_mm if fact.measured_mm is None else fact.measured_mm
        bore = Bore(x_mm=fact.x_mm, y_mm=fact.y_mm, diameter_mm=fact.bit_mm, depth_mm=depth)
        return Bored(tongue=fact.tongue - 1, bore=bore, measured=measured)
    if isinstance(fact, SlotsLengthened):
        return Lengthened(tongue=fact.tongue - 1, by_mm=fact.by_mm)
    if isinstance(fact, TipTrimmed):
        return Trimmed(tongue=fact.tongue - 1, by_mm=fact.by_mm)
    if isinstance(fact, WeightFixed):
        return Weighted(tongue=fact.tongue - 1, grams=fact.grams)
    return None


def _as_wished(cut: Drum, wished: Drum) -> Drum:
    """The drum as cut with the tuning and shop wished now, and the notes while there are as many."""
    tongues = cut.tongues
    if len(wished.tongues) == len(tongues):
        tongues = tuple(replace(was, note=now.note) for was, now in zip(tongues, wished.tongues, strict=True))
    return replace(
        cut, name=wished.name, units=wished.units, tuning=wished.tuning, shop=wished.shop, tongues=tongues
    )


def edits(cut: Drum, now: Drum) -> tuple[str, ...]:
    """What of the drum file was changed since the drum was cut, apart from what may change, in words."""
    found = []
    if len(cut.tongues) != len(now.tongues):
        found.append(f"it has {len(now.tongues)} tongues, and {len(cut.tongues)} were cut")
    else:
        for number, (was, is_now) in enumerate(zip(cut.tongues, now.tongues, strict=True), start=1):
            if (was.row, was.side) != (is_now.row, is_now.side):
                found.append(
                    f"tongue {number} is in row {is_now.row}, {is_now.side}, and was cut in {was.place}"
                )
            if was.length_mm != is_now.length_mm:
                told = "no length" if is_now.length_mm is None else f"length {is_now.length_mm:g} mm"
                found.append(f"tongue {number} has {told}, and was cut {was.length_mm:g} mm long")
    if cut.bores != now.bores:
        found.append("its [[bores]] are others than when it was cut")
    for part in ("top", "slots", "box", "bottom"):
        found += _differences(part, getattr(cut, part), getattr(now, part))
    return tuple(found)


def _differences(part: str, cut: object, now: object) -> list[str]:
    """Which fields of one table differ."""
    if cut == now:
        return []
    if cut is None or now is None:
        return [f"[{part}] was {'added' if cut is None else 'taken out'} since"]
    names = [name for name, value in vars(cut).items() if value != getattr(now, name)]
    return [
        f"{name.removesuffix('_mm')} in [{part}] is {_shown(getattr(now, name))}, and was {_shown(vars(cut)[name])}"
        for name in names
        if name != "scatter"
    ]


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    return value if isinstance(value, str) else "other values"
