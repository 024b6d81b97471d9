"""`kerftone bench start`: freeze the drum file's text in a new log."""

from __future__ import annotations

from pathlib import Path

from kerftone.bench.facts import Start
from kerftone.bench.log import log_beside, start_log
from kerftone.cli.screen import emit, show
from kerftone.drum.check import check_outline
from kerftone.drum.file import parse_drum
from kerftone.drum.outline import outline
from kerftone.drum.reading import read_text
from kerftone.jobs.paths import check_open, drum_path


def run(given: Path, *, as_json: bool) -> None:
    """Begin the log of a drum."""
    file = drum_path(given)
    text = read_text(file)
    drum = parse_drum(text, str(file))
    check_outline(drum)
    outline(drum)  # refuses tongues without a length or a place
    check_open(file.parent)
    path = log_beside(file)
    with start_log(path, Start(file=file.name, text=text)) as log:
        entry = log.entries()[-1]
    if as_json:
        emit({"log": str(path), "number": entry.number, "at": entry.at, "tongues": len(drum.tongues)})
        return
    show(
        f"The log of {drum.name} is {path}. The drum is cut as the file says now, {len(drum.tongues)} "
        f"tongue{'s' * (len(drum.tongues) != 1)}. Tap each tongue, and record what it sounds with "
        "`kerftone bench tap`.",
        wrap=True,
    )
