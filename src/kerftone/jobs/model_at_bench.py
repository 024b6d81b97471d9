"""The model of a drum at the bench, with what its log says of it: put together in this one place."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kerftone.bench.replay import Bench
from kerftone.jobs.progress import Progress
from kerftone.tune.history import states

if TYPE_CHECKING:
    from kerftone.tune.belief import Belief
    from kerftone.tune.instrument import Instrument

CACHE = "bench.cache"
"""The folder beside the drum where solved frames are kept; safe to delete."""


def as_cut(bench: Bench, drum_file: Path, progress: Progress) -> Instrument:
    """The drum's model as its wood is on average, for a drum that nobody has heard.

    Parameters
    ----------
    bench : Bench
        The drum at the bench: its log, replayed.
    drum_file : Path
        The drum's file, beside which the cache lies.
    progress : Progress
        Told what is being done; by it the work is stopped.
    """
    from kerftone.tune.instrument import Instrument

    return Instrument(design=bench.design, cache=drum_file.parent / CACHE, progress=progress)


def calibrated(bench: Bench, drum_file: Path, progress: Progress) -> tuple[Instrument, Belief]:
    """The drum's model, each tongue as stiff as its first tap says, and what all taps say of the drum now.

    Parameters
    ----------
    bench : Bench
        The drum at the bench: its log, replayed.
    drum_file : Path
        The drum's file, beside which the cache lies.
    progress : Progress
        Told what is being done; by it the work is stopped.
    """
    from kerftone.tune.belief import believe, corrected

    plain = as_cut(bench, drum_file, progress)
    plain.prepare(states(bench.design, bench.events), bottom_on=bench.design.bottom is not None)
    instrument = corrected(plain, bench.events)
    return instrument, believe(instrument, bench.events, bench.targets_hz)
