"""Where each tongue stands by what was heard and done alone: no model is asked.

A tongue's pitch is the mean of its taps since anything was last cut from the drum under it, with the drum standing
as it stood at the last of them; taps surer weigh more. Cents from its note, positive when sharp; mm; Hz.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from kerftone.bench.limits import bores_under
from kerftone.bench.replay import Bench
from kerftone.ear.repeats import SAME_CENTS
from kerftone.pitch import cents, sharpened
from kerftone.tune.history import Bottom, Tap

Remains = Literal["tap", "tap again", "nothing", "raise", "lower"]


@dataclass(frozen=True, kw_only=True)
class Standing:
    """One tongue. number counts from 1; cents ± plus_minus_cents and the bottom are None if it was never tapped.

    taps: how many taps since the tongue was last cut. bores: how many pockets are under it, those of the design too.
    left_under_mm: the wood under the deepest of them, or the whole thickness. apart_cents: how far the taps that are
    taken together lie apart.
    """

    number: int
    note: str
    place: str
    target_hz: float
    cents: float | None
    plus_minus_cents: float | None
    bottom_on: bool | None
    bottom: Bottom | None
    taps: int
    bores: int
    left_under_mm: float
    tolerance_cents: float
    apart_cents: float = 0.0

    @property
    def at_odds(self) -> bool:
        """Whether its taps lie farther apart than taps of one tongue do, so that their mean is of no pitch."""
        return self.apart_cents > SAME_CENTS

    @property
    def now_hz(self) -> float | None:
        """The pitch last heard, in Hz."""
        return None if self.cents is None else sharpened(self.target_hz, self.cents)

    @property
    def remains(self) -> Remains:
        """What is to do: to be tapped, raised, lowered, or nothing."""
        if self.cents is None:
            return "tap"
        if not self.taps or self.at_odds:
            return "tap again"
        if abs(self.cents) <= self.tolerance_cents:
            return "nothing"
        return "raise" if self.cents < 0 else "lower"


def standings(bench: Bench) -> tuple[Standing, ...]:
    """Every tongue, in the drum's order. Held by tests/bench/test_standing.py."""
    return tuple(_standing(bench, number) for number in range(1, len(bench.drum.tongues) + 1))


def _standing(bench: Bench, number: int) -> Standing:
    drum, target = bench.drum, bench.targets_hz[number - 1]
    tongue = drum.tongues[number - 1]
    taps, since_cut = _last_taps(bench, number)
    off, spread = _mean_cents(taps, target) if taps else (None, None)
    under = bores_under(drum, number)
    return Standing(
        number=number,
        note=tongue.note,
        place=tongue.place,
        target_hz=target,
        cents=off,
        plus_minus_cents=spread,
        bottom_on=taps[-1].bottom_on if taps else None,
        bottom=taps[-1].state if taps else None,
        taps=len(taps) if since_cut else 0,
        bores=len(under),
        left_under_mm=drum.top.thickness_mm - max((bore.depth_mm for bore in under), default=0.0),
        tolerance_cents=drum.tuning.tolerance_cents,
        apart_cents=cents(max(tap.hz for tap in taps), min(tap.hz for tap in taps)) if taps else 0.0,
    )


def _last_taps(bench: Bench, number: int) -> tuple[list[Tap], bool]:
    """The taps of one tongue between two cuts of it, the last such; and whether it was left alone since."""
    taps: list[Tap] = []
    cut = False
    for event in bench.events:
        if event.tongue != number - 1:
            continue
        if not isinstance(event, Tap):
            cut = True
            continue
        alike = taps and (taps[-1].state, taps[-1].top_glued) == (event.state, event.top_glued)
        taps = [*taps, event] if alike and not cut else [event]
        cut = False
    return taps, not cut


def _mean_cents(taps: list[Tap], target_hz: float) -> tuple[float, float]:
    weights = [1.0 / tap.plus_minus_cents**2 for tap in taps]
    off = [cents(tap.hz, target_hz) for tap in taps]
    mean = sum(w * o for w, o in zip(weights, off, strict=True)) / sum(weights)
    return mean, 1.0 / math.sqrt(sum(weights))
