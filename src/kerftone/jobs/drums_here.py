"""Which drums are in this folder, and how far is each: drawn up, in tune on paper, cut, in tune at the bench?

Only files are read, so the answer is there at once. What could be done next is for the face to say; `stage` tells
where that is.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from kerftone.bench.log import log_beside
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.errors import KerftoneError
from kerftone.jobs.bench_standing import StandingRequest, read_standing
from kerftone.jobs.paths import DRUM_FILE
from kerftone.jobs.progress import Progress, job

MOST = 40
"""No more folders than this are looked into."""
Stage = Literal["broken", "no lengths", "on paper", "untapped", "tuning", "in tune"]


@dataclass(frozen=True, kw_only=True)
class DrumsRequest:
    """The folder: its own drum, or else those in the folders in it."""

    folder: Path


@dataclass(frozen=True, kw_only=True)
class DrumHere:
    """One drum: its file, what it is, how far it is; `trouble`: why its file or log cannot be read.

    in_tune: how many of its tongues are, as last tapped.
    """

    file: Path
    stage: Stage
    drum: Drum | None = None
    in_tune: int = 0
    trouble: KerftoneError | None = None


@dataclass(frozen=True, kw_only=True)
class DrumsFound:
    """The drums in a folder, by name of the file."""

    drums: tuple[DrumHere, ...]

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "drums": [
                {
                    "file": str(one.file),
                    "name": None if one.drum is None else one.drum.name,
                    "stage": one.stage,
                    "in_tune": one.in_tune,
                    "tongues": None if one.drum is None else len(one.drum.tongues),
                }
                for one in self.drums
            ]
        }


@job
def drums_here(request: DrumsRequest, progress: Progress) -> DrumsFound:
    """Look at the drums of a folder. Raises nothing: what is wrong with one is told of it."""
    del progress
    own = request.folder / DRUM_FILE
    try:
        inside = sorted(one / DRUM_FILE for one in request.folder.iterdir() if (one / DRUM_FILE).is_file())
    except OSError:
        inside = []
    files = [own] if own.is_file() else inside[:MOST]
    return DrumsFound(drums=tuple(_look(file) for file in files))


def _look(file: Path) -> DrumHere:
    try:
        drum = read_drum(file)
    except KerftoneError as error:
        return DrumHere(file=file, stage="broken", trouble=error)
    if not log_beside(file).is_file():
        lengths = all(one.length_mm is not None and one.row is not None for one in drum.tongues)
        return DrumHere(file=file, stage="on paper" if lengths else "no lengths", drum=drum)
    try:
        standing = read_standing(StandingRequest(drum=file)).tongues
    except KerftoneError as error:
        return DrumHere(file=file, stage="broken", drum=drum, trouble=error)
    in_tune = sum(one.remains == "nothing" for one in standing)
    stage: Stage = "in tune" if in_tune == len(standing) else "tuning"
    if not any(one.taps for one in standing):
        stage = "untapped"
    return DrumHere(file=file, stage=stage, drum=drum, in_tune=in_tune)
