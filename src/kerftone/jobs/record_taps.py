"""Taps heard in a recording into the log: of one tongue, or a run over all of them.

Where each tongue should sound is what is believed of it now, from the model and everything in the log; so this
solves the drum, which takes seconds the first time and is kept beside it after. Of each tongue the median of its taps
is recorded. Nothing is recorded while anything is doubtful, and of a run either all taps are or none.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.bench.facts import Entry, Tapped
from kerftone.bench.likely import check_tap
from kerftone.bench.limits import called
from kerftone.bench.log import Telling, log_beside
from kerftone.bench.replay import Bench
from kerftone.drum.tongue_named import Named, tongue_named
from kerftone.errors import EntryError, Remedy
from kerftone.jobs.drum_at_bench import opened
from kerftone.jobs.entry_words import entry_line, record
from kerftone.jobs.model_at_bench import calibrated
from kerftone.jobs.progress import Progress, job
from kerftone.jobs.record_fact import (
    AS_BEFORE,
    USUAL_MANNER,
    FactRecorded,
    Manner,
    Struck,
    TapRequest,
    as_struck,
    record_tap,
)
from kerftone.pitch import sharpened
from kerftone.stopping import check_stopped

if TYPE_CHECKING:
    from kerftone.bench.recorded import TongueHeard
    from kerftone.tune.match import Expected


@dataclass(frozen=True, kw_only=True)
class TakeRequest:
    """A recording of taps; `tongue`: the only one tapped, by place, note or number. sure: record what is doubtful."""

    drum: Path
    recording: Path
    tongue: Named | None = None
    struck: Struck = AS_BEFORE
    sure: bool = False


@dataclass(frozen=True, kw_only=True)
class ToldRequest:
    """What was heard: of one tongue in Hz, or in a recording of it or of many."""

    drum: Path
    tongue: Named | None = None
    hz: float | None = None
    recording: Path | None = None
    struck: Struck = AS_BEFORE
    manner: Manner = USUAL_MANNER


@dataclass(frozen=True, kw_only=True)
class TakeRecorded:
    """The new entries, each with what was heard of its tongue; what was left out, in words; the drum now."""

    entries: tuple[Entry, ...]
    heard: tuple[TongueHeard, ...]
    left_out: tuple[str, ...]
    bench: Bench

    def words(self) -> list[str]:
        """Each entry in words."""
        return [
            f"{entry_line(entry, self.bench)}, {one.taps} tap{'s' * (one.taps != 1)}."
            for entry, one in zip(self.entries, self.heard, strict=True)
        ]

    def document(self) -> dict[str, Any]:
        """As JSON."""
        taps = [record(entry, self.bench) for entry in self.entries]
        return {"taps": taps, "left_out": list(self.left_out)}


@job
def record_told(request: ToldRequest, progress: Progress) -> FactRecorded | TakeRecorded:
    """Record what was heard, however it is told. Raises EntryError where it is not told, or twice."""
    drum, tongue, hz, recording = request.drum, request.tongue, request.hz, request.recording
    slip = request.manner.instead_of
    if (hz is None) == (recording is None):
        given = "neither a pitch nor a recording is" if hz is None else "a pitch and a recording are both"
        raise EntryError(
            f"For this tap {given} given. One of them says what was heard.",
            remedy=Remedy.SAY_HEARD,
        )
    if hz is not None:
        if tongue is None:
            raise EntryError(
                f"{hz:g} Hz was heard, and no tongue is named. Only a recording can be matched to the tongues.",
                given=hz,
                remedy=Remedy.NAME_TONGUE,
            )
        tapped = TapRequest(drum=drum, tongue=tongue, hz=hz, struck=request.struck, manner=request.manner)
        return record_tap(tapped, progress)
    assert recording is not None
    if slip is not None:
        raise EntryError(
            f"Entry {slip} is to be mended by a recording. A mend is one entry, and a recording may hold many taps: "
            "void the entry, then record the taps.",
            given=slip,
            remedy=Remedy.VOID_ENTRY,
        )
    sure = request.manner.sure
    take = TakeRequest(drum=drum, recording=recording, tongue=tongue, struck=request.struck, sure=sure)
    return record_taps(take, progress)


@job
def record_taps(request: TakeRequest, progress: Progress) -> TakeRecorded:
    """Record the taps in a recording: what is sure of it, or all if the request says that it is so.

    Raises RecordingError, and EntryError where nothing is sure.
    """
    from kerftone.bench.kept_sounds import keep_recording
    from kerftone.bench.recorded import check_sure, hear_taps, left_out
    from kerftone.ear.guard import check_path

    recording = request.recording
    check_path(recording)  # before the solve, not after it
    with opened(request.drum) as drum:
        bench = drum.bench()
        expected = expected_now(bench, drum.file, request, progress)
        heard = hear_taps(recording, expected)
        sounded = check_sure(recording, heard, sure=request.sure)
        out = list(left_out(heard, sounded))
        sounded, unlikely = _likely(bench, sounded, expected, request)
        out += unlikely
        check_stopped()
        name = keep_recording(recording, log_beside(drum.file))

        def tell(entries: tuple[Entry, ...]) -> Sequence[Telling]:
            now = drum.bench(entries)
            if now.events != bench.events:
                raise EntryError(
                    "Another program wrote to the log while the recording was heard. Nothing was recorded, so that "
                    "the taps are not taken for those of another state: record them again."
                )
            return [Telling(fact=_fact(now, one, request, name)) for one in sounded]

        new = drum.log.add(tell)
        after = drum.bench()
    return TakeRecorded(entries=new, heard=sounded, left_out=tuple(out), bench=after)


def _likely(
    bench: Bench, sounded: tuple[TongueHeard, ...], expected: Sequence[Expected], request: TakeRequest
) -> tuple[tuple[TongueHeard, ...], list[str]]:
    """The tongues whose pitch they can have, and the others in words. Raises EntryError when there is none."""
    hz = {one.number: one.hz for one in expected}
    kept, out, last = [], [], None
    for one in sounded:
        try:
            check_tap(bench, _fact(bench, one, request, ""), sure=request.sure, model_hz=hz.get(one.tongue))
        except EntryError as error:
            out.append(error.message)
            last = error
        else:
            kept.append(one)
    if not kept and last is not None:
        raise last
    return tuple(kept), out


def _fact(bench: Bench, one: TongueHeard, request: TakeRequest, recording: str) -> Tapped:
    """A tongue's tap for the log; its ± at least what taps of one tongue differ by."""
    spread = max(one.plus_minus_cents, request.struck.plus_minus_cents / math.sqrt(one.taps))
    return as_struck(
        bench,
        one.tongue,
        request.struck,
        hz=round(one.hz, 3),
        plus_minus_cents=round(spread, 2),
        recording=recording,
    )


def expected_now(
    bench: Bench, drum_file: Path, request: TakeRequest, progress: Progress
) -> tuple[Expected, ...]:
    """Where each tongue should sound as the drum stands when it is tapped; only one if it is named.

    Parameters
    ----------
    bench : Bench
        The drum at the bench: its log, replayed.
    drum_file : Path
        Where its file is; what was solved is kept beside it.
    request : TakeRequest
        How it was struck, and which tongue, if it is named.
    progress : Progress
        Told each step.
    """
    tongue = None if request.tongue is None else tongue_named(bench.design, request.tongue)
    from kerftone.tune.match import Expected

    state = as_struck(bench, 1, request.struck, hz=100.0).state
    _, belief = calibrated(bench, drum_file, progress, state)
    pulled = belief.pulled
    shifts = [0.0] * len(bench.targets_hz) if pulled is None else [float(by) for by in pulled.cents]
    return tuple(
        Expected(
            number=n,
            name=called(bench.design, n),
            hz=sharpened(target, float(belief.cents[n - 1]) + shifts[n - 1]),
            plus_minus_cents=float(belief.plus_minus[n - 1]),
        )
        for n, target in enumerate(bench.targets_hz, start=1)
        if tongue is None or n == tongue
    )
