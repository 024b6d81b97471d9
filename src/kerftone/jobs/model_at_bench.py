"""The model of a drum at the bench, with what its log says of it: put together in this one place."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kerftone.bench.replay import Bench
from kerftone.jobs.progress import Progress
from kerftone.modal.shelf import shelf_beside
from kerftone.tune.history import Bottom, Tap, states

if TYPE_CHECKING:
    from kerftone.tune.belief import Belief
    from kerftone.tune.instrument import Instrument

CACHE = "bench.cache"
"""The folder beside the drum where solved frames are kept; safe to delete."""


def as_cut(bench: Bench, drum_file: Path, progress: Progress, bottom: Bottom | None = None) -> Instrument:
    """The drum's model as its wood is on average, for a drum that nobody has heard.

    Parameters
    ----------
    bench : Bench
        The drum at the bench: its log, replayed.
    drum_file : Path
        The drum's file, beside which the cache lies.
    progress : Progress
        Told what is being done; by it the work is stopped.
    bottom : Bottom, optional
        How the bottom is just now, if that is told.
    """
    from kerftone.tune.instrument import Instrument
    from kerftone.tune.pull import BenchAir, finished

    taps = [event.state for event in bench.events if isinstance(event, Tap)]
    bottoms = tuple(dict.fromkeys([finished(bench.design), *taps, *([] if bottom is None else [bottom])]))
    return Instrument(
        design=bench.design,
        cache=drum_file.parent / CACHE,
        progress=progress,
        air=BenchAir(bottoms=bottoms, shelf=shelf_beside(drum_file)),
    )


def calibrated(
    bench: Bench, drum_file: Path, progress: Progress, bottom: Bottom | None = None
) -> tuple[Instrument, Belief]:
    """The drum's model, each tongue as stiff as its first tap says, and what all taps say of the drum now.

    Parameters
    ----------
    bench : Bench
        The drum at the bench: its log, replayed.
    drum_file : Path
        The drum's file, beside which the cache lies.
    progress : Progress
        Told what is being done; by it the work is stopped.
    bottom : Bottom, optional
        How the bottom is just now; as at the last tap if not said.
    """
    from kerftone.tune.belief import believe, corrected

    plain = as_cut(bench, drum_file, progress, bottom)
    plain.prepare(states(bench.design, bench.events), bottom_on=bench.design.bottom is not None)
    instrument = corrected(plain, bench.events)
    return instrument, believe(instrument, bench.events, bench.targets_hz, bottom)
