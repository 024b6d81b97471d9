"""`kerftone plan`: the main job in one go, from one solve.

Everything is worked out before the first file is written, so that a refusal leaves nothing half done; the
one exception is the drum file, into which `fit` has then written its lengths.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kerftone.cli.answer import Answer, answer, document, stand_ins
from kerftone.cli.fit import fit_file, fit_record, fit_words
from kerftone.cli.layout import layout_bytes
from kerftone.cli.place import check_folder, drum_file, make_folder
from kerftone.cli.screen import emit, json_text, say, show
from kerftone.cli.table import explain, show_answer
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.files import atomic_write

if TYPE_CHECKING:
    from kerftone.tune.fit import Fit
    from kerftone.tune.mend import Mend

MODES, SOUND, LAYOUT, REPORT = "modes.json", "drum.wav", "layout.svg", "report.html"


def run(given: Path, folder: Path, *, as_json: bool) -> None:
    """Write modes, sound, layout and report of a drum into a folder, fitting it first where it needs that."""
    path = drum_file(given)
    drum = read_drum(path)
    check_folder(folder)
    found: Fit | None = None
    mend: Mend | None = None
    if needs_fit(drum):
        found, mend, said = fit_file(path, drum)
        say(f"Lengths written to {path}.")
    else:
        say("Solving the drum; this takes some seconds.")
        said = answer(drum)
    say("Making the sound, the layout and the report.")
    files = results(said)
    make_folder(folder)
    for name, data in files.items():
        atomic_write(folder / name, data)
    written = [str(folder / name) for name in files]
    if as_json:
        extra = {} if found is None else {"fit": fit_record(found, mend)}
        emit(document(said) | extra | {"written": ([str(path)] if found else []) + written})
        return
    show_answer(said)
    show("")
    if found is not None:
        for words in fit_words(found, mend):
            show(words, wrap=True)
    for name, what in (
        (REPORT, "the report: open it in a browser, or print it"),
        (LAYOUT, "the top in plan, at true size"),
        (SOUND, "the sound"),
        (MODES, "the numbers"),
    ):
        show(f"Wrote {folder / name}: {what}.")
    explain(said, stand_ins(said.drum))


def needs_fit(drum: Drum) -> bool:
    """Whether any tongue lacks a length or a place."""
    return any(t.length_mm is None or t.row is None or t.side is None for t in drum.tongues)


def results(said: Answer) -> dict[str, bytes]:
    """The files of a plan, by name."""
    from kerftone.cli.hear import preview_of
    from kerftone.cli.page import report_of
    from kerftone.draw.report import report_html
    from kerftone.sound.wav import wav_bytes

    preview = preview_of(said)
    return {
        MODES: json_text(document(said)).encode("utf-8"),
        SOUND: wav_bytes(preview),
        LAYOUT: layout_bytes(said.drum),
        REPORT: report_html(report_of(said, preview)).encode("utf-8"),
    }
