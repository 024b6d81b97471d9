"""Finding a drum's log: the drum file, the log beside it, and the drum that the two make."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from kerftone.bench.facts import Entry, Start
from kerftone.bench.log import Log, log_beside, open_log
from kerftone.bench.replay import Bench, bench_of
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.errors import BenchError
from kerftone.jobs.paths import drum_path


@dataclass(frozen=True, kw_only=True)
class Opened:
    """A drum file as it is now, and its open log."""

    file: Path
    wished: Drum
    log: Log

    def bench(self, entries: Sequence[Entry] | None = None) -> Bench:
        """The drum that these entries make; those in the log if none are given."""
        return bench_of(self.log.entries() if entries is None else entries, self.wished)


@contextmanager
def opened(given: Path) -> Iterator[Opened]:
    """The drum meant by this name, with its log open."""
    file = drum_path(given)
    wished = read_drum(file)
    with open_log(log_beside(file)) as log:
        for entry in log.entries():
            if isinstance(entry.fact, Start):
                _check_same(file, entry.fact.file)
        yield Opened(file=file, wished=wished, log=log)


def _check_same(file: Path, begun_for: str) -> None:
    """Refuse to write about one drum into the log of another."""
    if begun_for != file.name and (file.parent / begun_for).is_file():
        raise BenchError(
            f"The log beside {file} is that of {begun_for}. A folder holds one drum at the bench: put {file.name} "
            "into a folder of its own."
        )


def edits_words(edited: Sequence[str]) -> list[str]:
    """What was edited in the drum file since the drum was cut, and that it does not count; nothing where none was."""
    told = "; ".join(edited)
    return (
        [f"The drum file was edited since the drum was cut: {told}. The log keeps to what was cut."]
        if told
        else []
    )
