"""`kerftone bench tap --recording`: taps heard in a recording into the log, a run over all tongues at once too.

Where each tongue should sound is what is believed of it now, from the model and everything in the log; so this
solves the drum, which takes seconds the first time and is kept beside it after. Of each tongue the median of its taps
is recorded. Nothing is recorded while anything is doubtful, and of a run either all taps are or none.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kerftone.bench.facts import Entry, Tapped
from kerftone.bench.likely import check_tap
from kerftone.bench.limits import called, tongue_of
from kerftone.bench.log import Telling, log_beside
from kerftone.bench.replay import Bench
from kerftone.cli.bench_add import Manner, Struck, as_struck
from kerftone.cli.bench_next import CACHE
from kerftone.cli.bench_words import tell_edits
from kerftone.cli.screen import emit, say, show
from kerftone.errors import EntryError
from kerftone.jobs.drum_at_bench import opened
from kerftone.jobs.entry_words import in_words, record
from kerftone.pitch import sharpened

if TYPE_CHECKING:
    from kerftone.bench.recorded import TongueHeard
    from kerftone.tune.match import Expected


def add_recording(given: Path, tongue: int | None, recording: Path, struck: Struck, manner: Manner) -> None:
    """Record the taps in a recording: of one tongue, or of all that were tapped."""
    from kerftone.bench.keep import keep_recording
    from kerftone.bench.recorded import check_sure, hear_taps
    from kerftone.ear.guard import check_path

    check_path(recording)  # before the solve, not after it
    with opened(given) as drum:
        bench = drum.bench()
        expected = expected_now(bench, drum.file.parent / CACHE, tongue, struck)
        heard = hear_taps(recording, expected)
        sounded = check_sure(recording, heard, sure=manner.sure)
        name = keep_recording(recording, log_beside(drum.file))

        def tell(entries: tuple[Entry, ...]) -> Sequence[Telling]:
            now = drum.bench(entries)
            if now.events != bench.events:
                raise EntryError(
                    "Another command wrote to the log while the recording was heard. Nothing was recorded, so that "
                    "the taps are not taken for those of another state: run the command again."
                )
            return [Telling(fact=_fact(now, one, struck, name, manner)) for one in sounded]

        new = drum.log.add(tell)
        after = drum.bench()
    if manner.as_json:
        emit({"taps": [record(entry, after) for entry in new], "left_out": list(heard.unplaced)})
        return
    tell_edits(after)
    for entry, one in zip(new, sounded, strict=True):
        taps = f"{one.taps} tap{'s' * (one.taps != 1)}"
        show(f"Entry {entry.number}: tongue {one.tongue} {in_words(entry.fact, after)}, {taps}.", wrap=True)
    for words in heard.unplaced:
        say(f"Left out: {words}", wrap=True)


def _fact(bench: Bench, one: TongueHeard, struck: Struck, recording: str, manner: Manner) -> Tapped:
    """A tongue's tap for the log; its ± at least what taps of one tongue differ by."""
    spread = max(one.plus_minus_cents, struck.plus_minus_cents / math.sqrt(one.taps))
    fact = as_struck(
        bench,
        one.tongue,
        struck,
        hz=round(one.hz, 3),
        plus_minus_cents=round(spread, 2),
        recording=recording,
    )
    check_tap(bench, fact, sure=manner.sure)
    return fact


def expected_now(bench: Bench, cache: Path, tongue: int | None, struck: Struck) -> tuple[Expected, ...]:
    """Where each tongue should sound as the drum stands when it is tapped; only one if it is named."""
    if tongue is not None:
        tongue_of(bench.design, tongue)
    from kerftone.tune.belief import believe, grained
    from kerftone.tune.instrument import Instrument
    from kerftone.tune.match import Expected

    instrument = grained(Instrument(design=bench.design, cache=cache, progress=say), bench.events)
    belief = believe(instrument, bench.events, bench.targets_hz)
    ratios = [1.0] * len(bench.targets_hz)
    if bench.design.bottom is not None and not as_struck(bench, 1, struck, hz=100.0).bottom_on:
        whole, open_box = (instrument.notes(bench.drum, bottom_on=on) for on in (True, False))
        ratios = [off.hz / on.hz for on, off in zip(whole, open_box, strict=True)]
    return tuple(
        Expected(
            number=n,
            name=called(bench.design, n),
            hz=sharpened(target, float(belief.cents[n - 1])) * ratios[n - 1],
            plus_minus_cents=float(belief.plus_minus[n - 1]),
        )
        for n, target in enumerate(bench.targets_hz, start=1)
        if tongue is None or n == tongue
    )
