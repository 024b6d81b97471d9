"""What has been told of this drum at the bench? Every entry of its log, in words, as CSV and as JSON."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerftone.bench.facts import Entry, Voided
from kerftone.bench.replay import Bench
from kerftone.drum.tongue_named import on_paper
from kerftone.jobs.drum_at_bench import opened
from kerftone.jobs.entry_words import in_words, record
from kerftone.jobs.progress import Progress, job

COLUMNS = (
    *("number", "at", "kind", "tongue", "hz", "cents", "plus_minus_cents", "bottom_on", "top_glued"),
    *("bottom", "temperature_c", "humidity_pct", "recording", "x_mm", "y_mm", "from_root_mm", "from_edge_mm"),
    *("bit_mm", "depth_mm", "measured_mm", "left_under_mm", "by_mm", "grams", "words", "file"),
    *("voids", "reason", "voided_by", "instead_of", "said"),
)
"""The columns of the CSV; `said` is the entry as the log shows it, in the drum's own units. The frozen text of the
drum file is in the JSON only."""


@dataclass(frozen=True, kw_only=True)
class ReadLogRequest:
    """Which drum."""

    drum: Path


@dataclass(frozen=True, kw_only=True)
class LogRead:
    """Every entry, and the drum that they make."""

    entries: tuple[Entry, ...]
    bench: Bench

    def records(self) -> list[dict[str, Any]]:
        """Each entry as JSON."""
        voided = self._voided()
        return [record(entry, self.bench, voided.get(entry.number)) for entry in self.entries]

    def lines(self) -> list[dict[str, Any]]:
        """Each entry as a line of the CSV."""
        said = (in_words(entry.fact, self.bench) for entry in self.entries)
        return [one | {"said": words} for one, words in zip(self.records(), said, strict=True)]

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {"entries": self.records(), "edited": list(self.bench.edited)}

    def rows(self) -> list[tuple[str, str, str, str]]:
        """Each entry in words: its number, when it was told (UTC), the tongue and what."""
        voided = self._voided()
        return [_row(entry, self.bench, voided.get(entry.number)) for entry in self.entries]

    def _voided(self) -> dict[int, int]:
        """Which entry voided which."""
        return {one.fact.number: one.number for one in self.entries if isinstance(one.fact, Voided)}


@job
def read_log(request: ReadLogRequest, progress: Progress) -> LogRead:
    """Read the log of a drum. Raises BenchError when there is none."""
    del progress  # it is there at once
    with opened(request.drum) as drum:
        entries = drum.log.entries()
        return LogRead(entries=entries, bench=drum.bench(entries))


def _row(entry: Entry, bench: Bench, voided_by: int | None) -> tuple[str, str, str, str]:
    tongue = getattr(entry.fact, "tongue", None)
    words = in_words(entry.fact, bench)
    if voided_by is not None:
        words += f" (void: see {voided_by})"
    if entry.instead_of is not None:
        words += f" (in place of {entry.instead_of})"
    return (
        str(entry.number),
        entry.at[:16].replace("T", " "),
        "" if tongue is None else on_paper(bench.design, tongue),
        words,
    )


def csv_text(records: list[dict[str, Any]]) -> str:
    """The entries as CSV with a line of heads, and an empty cell where something was not told."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(_cells(one) for one in records)
    return out.getvalue()


def _cells(one: Mapping[str, Any]) -> dict[str, Any]:
    said = {True: "yes", False: "no"}
    return {key: said[value] if isinstance(value, bool) else value for key, value in one.items()}
