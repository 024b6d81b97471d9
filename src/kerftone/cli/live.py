"""`kerftone listen --live`: the last strike's note, cents and a needle, until Ctrl-C.

On a terminal one line is written over and over; elsewhere each strike has a line of its own. When it is
stopped the taps are shown once more, those of one tongue together.
"""

from __future__ import annotations

import sys
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING

from kerftone.cli.command import told
from kerftone.cli.failure import DONE
from kerftone.cli.recording_words import show_recording
from kerftone.cli.screen import needle, say
from kerftone.jobs.expected_taps import TapsRequest
from kerftone.jobs.hear_live import hear_live
from kerftone.jobs.recording_heard import PlacedStrike, with_its_digits

if TYPE_CHECKING:
    from kerftone.ear.microphone import Listening


def line(placed: PlacedStrike, reference_hz: float) -> str:
    """One strike in one line: tongue where known, note, cents with ±, needle, hertz."""
    strike, near = placed.strike, placed.named(reference_hz)
    if near is None:
        return "a strike without a clear pitch"
    note, off = near
    place = "" if placed.aim is None else f"{placed.aim.place} "
    off_words, spread = with_its_digits(off, strike.plus_minus_cents, signed=True)
    doubt = "  in doubt" if placed.doubt else ""
    return f"{place}{note:<3} {off_words:>6} ±{spread:<4} {needle(off)} {strike.hz:7.1f} Hz{doubt}"


def run_live(request: TapsRequest, *, source: AbstractContextManager[Listening] | None = None) -> int:
    """Listen until stopped. `source`: what to listen to, the system's microphone unless another is given."""
    hearing = hear_live(request, told())
    say("Tap; stop with Ctrl-C.")
    try:
        for strike in hearing.strikes(source):
            _show(line(strike, hearing.expected.reference_hz))
    except KeyboardInterrupt:
        pass
    if sys.stdout.isatty():
        print()
    summary = hearing.summary()
    if summary is None:
        say("No strike was heard.")
    else:
        show_recording(summary)
    return DONE


def _show(words: str) -> None:
    """Over the last line on a terminal, below it elsewhere."""
    if sys.stdout.isatty():
        print(f"\r{words:<79}", end="", flush=True)
    else:
        print(words, flush=True)
