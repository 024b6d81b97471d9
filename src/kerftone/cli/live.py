"""`kerftone listen --live`: the last strike's note, cents and a needle, until Ctrl-C.

On a terminal one line is written over and over; elsewhere each strike has a line of its own. When it is
stopped the taps are shown once more, those of one tongue together.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING

from kerftone.cli.failure import DONE
from kerftone.cli.heard import Report, Said, named, show_report, with_its_digits
from kerftone.cli.hints import Hints, match
from kerftone.cli.screen import say

if TYPE_CHECKING:
    from kerftone.ear.microphone import Listening
    from kerftone.ear.result import Strike

HALF = 20
"""Places of the needle's scale to each side of its middle."""
FULL_CENTS = 50.0


def needle(off_cents: float) -> str:
    """A scale from -50 to +50 cents with a mark where the pitch is; beyond it, an arrow at the end.

    >>> needle(0.0)
    '[--------------------|--------------------]'
    >>> needle(25.0)
    '[--------------------:---------|----------]'
    >>> needle(-180.0)
    '<--------------------:--------------------]'
    """
    scale = ["-"] * (2 * HALF + 1)
    scale[HALF] = ":"
    ends = ["[", "]"]
    if abs(off_cents) <= FULL_CENTS:
        scale[HALF + round(HALF * off_cents / FULL_CENTS)] = "|"
    else:
        ends[off_cents > 0] = ">" if off_cents > 0 else "<"
    return ends[0] + "".join(scale) + ends[1]


def line(said: Said, reference_hz: float) -> str:
    """One strike in one line: tongue where known, note, cents with ±, needle, hertz."""
    strike = said.strike
    if not math.isfinite(strike.hz):
        return "a strike without a clear pitch"
    note, off = named(strike.hz, said.aim, reference_hz)
    place = "" if said.aim is None else f"{said.aim.place} "
    off_words, spread = with_its_digits(off, strike.plus_minus_cents, signed=True)
    doubt = "  in doubt" if said.doubt else ""
    return f"{place}{note:<3} {off_words:>6} ±{spread:<4} {needle(off)} {strike.hz:7.1f} Hz{doubt}"


def run_live(hints: Hints, *, source: AbstractContextManager[Listening] | None = None) -> int:
    """Listen until stopped. `source`: what to listen to, the system's microphone unless another is given."""
    from kerftone.ear.follow import follow
    from kerftone.ear.microphone import open_microphone

    strikes: list[Strike] = []
    with source or open_microphone() as heard:
        say(f"Listening to {heard.name}. Tap; stop with Ctrl-C.")
        try:
            for strike in follow(
                heard.blocks, heard.sample_rate, around_hz=hints.around_hz, hint_cents=hints.within_cents
            ):
                strikes.append(strike)
                _show(line(_matched(strikes, hints)[-1], hints.reference_hz))
        except KeyboardInterrupt:
            pass
    if sys.stdout.isatty():
        print()
    if strikes:
        _summary(strikes, hints, heard)
    else:
        say("No strike was heard.")
    return DONE


def _matched(strikes: Sequence[Strike], hints: Hints) -> tuple[Said, ...]:
    return match(strikes, hints)[0]


def _show(words: str) -> None:
    """Over the last line on a terminal, below it elsewhere."""
    if sys.stdout.isatty():
        print(f"\r{words:<79}", end="", flush=True)
    else:
        print(words, flush=True)


def _summary(strikes: list[Strike], hints: Hints, heard: Listening) -> None:
    from kerftone.ear.result import Heard

    whole = Heard(
        strikes=tuple(strikes),
        sample_rate=heard.sample_rate,
        clipped=False,
        noise_db=math.nan,
        hum_hz=None,
        seconds=strikes[-1].t_s,
    )
    said = _matched(strikes, hints)
    show_report(Report(file="Heard live", heard=whole, said=said, reference_hz=hints.reference_hz))
