"""`kerftone bench log`: every entry of a drum's log, in words, as CSV or as JSON."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from kerftone.bench.facts import Entry, Voided
from kerftone.bench.replay import Bench
from kerftone.cli.bench_place import opened, tell_edits
from kerftone.cli.bench_words import in_words, record
from kerftone.cli.screen import Column, emit, show, show_table
from kerftone.errors import EntryError

COLUMNS = (
    *("number", "at", "kind", "tongue", "hz", "cents", "plus_minus_cents", "bottom_on", "top_glued"),
    *("temperature_c", "humidity_pct", "recording", "x_mm", "y_mm", "from_root_mm", "from_edge_mm"),
    *("bit_mm", "depth_mm", "measured_mm", "left_under_mm", "by_mm", "grams", "words", "file"),
    *("voids", "reason", "voided_by", "instead_of"),
)
"""The columns of the CSV. The frozen text of the drum file is in the JSON only."""


def run(given: Path, *, as_csv: bool, as_json: bool) -> None:
    """Print the log."""
    if as_csv and as_json:
        raise EntryError("Both --csv and --json are given. The log is printed in one form: leave one out.")
    with opened(given) as drum:
        entries = drum.log.entries()
        bench = drum.bench(entries)
    voided = {entry.fact.number: entry.number for entry in entries if isinstance(entry.fact, Voided)}
    records = [record(entry, bench, voided.get(entry.number)) for entry in entries]
    if as_json:
        emit({"entries": records, "edited": list(bench.edited)})
        return
    tell_edits(bench)
    if as_csv:
        show(csv_text(records).rstrip("\n"))
        return
    heads = (Column(head="Entry", number=True), Column(head="When (UTC)"), Column(head="Tongue"))
    show_table(
        (*heads, Column(head="What")), [_row(entry, bench, voided.get(entry.number)) for entry in entries]
    )


def _row(entry: Entry, bench: Bench, voided_by: int | None) -> tuple[str, ...]:
    tongue = getattr(entry.fact, "tongue", None)
    words = in_words(entry.fact, bench)
    if voided_by is not None:
        words += f" (void: see {voided_by})"
    if entry.instead_of is not None:
        words += f" (in place of {entry.instead_of})"
    return str(entry.number), entry.at[:16].replace("T", " "), "" if tongue is None else str(tongue), words


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
