"""The drum is cut: its file's text is frozen in a new log beside it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerftone.bench.facts import Entry, Start
from kerftone.bench.log import log_beside, start_log
from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.outline import outline
from kerftone.drum.reading import read_text
from kerftone.jobs.paths import check_open, drum_path
from kerftone.jobs.progress import Progress, job


@dataclass(frozen=True, kw_only=True)
class StartRequest:
    """Which drum."""

    drum: Path


@dataclass(frozen=True, kw_only=True)
class LogStarted:
    """The log, its first entry and the drum as cut."""

    log: Path
    entry: Entry
    drum: Drum

    def document(self) -> dict[str, Any]:
        """As JSON."""
        entry = self.entry
        tongues = len(self.drum.tongues)
        return {"log": str(self.log), "number": entry.number, "at": entry.at, "tongues": tongues}


@job
def start_the_log(request: StartRequest, progress: Progress) -> LogStarted:
    """Begin the log of a drum. Raises BenchError when there is one, NeedsFitError for a drum that is not finished."""
    del progress  # it is there at once
    file = drum_path(request.drum)
    text = read_text(file)
    drum = parse_drum(text, str(file))
    check_outline(drum)
    outline(drum)  # refuses tongues without a length or a place
    check_open(file.parent)
    path = log_beside(file)
    with start_log(path, Start(file=file.name, text=text)) as log:
        entry = log.entries()[-1]
    return LogStarted(log=path, entry=entry, drum=drum)
