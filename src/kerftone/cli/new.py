"""`kerftone new`: a first drum.toml, with a board in which the notes fit.

The size is worked out by `kerftone.tune.begin`. Before anything is written, the new text is read back as any
drum file is, so that what this command writes is never refused by the next.
"""

from __future__ import annotations

import math
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from kerftone.cli.place import DRUM_FILE, check_folder, make_folder
from kerftone.cli.screen import emit, say, show
from kerftone.draw.labels import on_rule
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.schema import TopTable
from kerftone.drum.template import drum_text
from kerftone.errors import DrumFileError, KerftoneError, LengthError, NoteError, WriteError
from kerftone.files import atomic_write
from kerftone.pitch import note_number
from kerftone.units import format_length, typed_length

Units = Literal["mm", "in"]
LONGEST_NAME = 60


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What the maker asked for, as typed."""

    notes: str
    wood: str
    thickness: str | None
    units: Units
    name: str | None


def run(folder: Path, wanted: Wanted, *, as_json: bool) -> None:
    """Write the file, or refuse; nothing is made on a refusal."""
    target = folder / DRUM_FILE
    if os.path.lexists(target):
        raise WriteError(
            f"{target} is already there. A drum file is never overwritten: choose another folder, or move "
            "that file away first.",
            given=str(target),
        )
    check_folder(folder)
    drum = _drum(folder, wanted)
    text = drum_text(drum)
    _check_reads_back(text)
    make_folder(folder)
    atomic_write(target, text.encode("utf-8"))
    if as_json:
        emit(
            {
                "written": [str(target)],
                "board": {
                    "length_mm": round(drum.top.length_mm, 4),
                    "width_mm": round(drum.top.width_mm, 4),
                    "thickness_mm": round(drum.top.thickness_mm, 4),
                },
            }
        )
        return
    show(f"Wrote {target}: {' '.join(tongue.note for tongue in drum.tongues)} on a board {_board(drum)}.")
    say(f"Next: look it over, then `kerftone fit {_quoted(folder)}` finds the tongue lengths.")


def _drum(folder: Path, wanted: Wanted) -> Drum:
    from kerftone.tune.begin import Wishes, first_drum

    thickness = None if wanted.thickness is None else _thickness_mm(wanted.thickness, wanted.units)
    drum = first_drum(
        _name(folder, wanted.name),
        _notes(wanted.notes),
        wanted.wood,
        wishes=Wishes(thickness_mm=thickness),
        units=wanted.units,
    )
    _check_width(drum)
    return drum


def _check_width(drum: Drum) -> None:
    """Refuse more notes than the widest board has room for, two to a row."""
    widest = TopTable.model_fields["width"].metadata[0].high
    if drum.top.width_mm <= widest:
        return
    rows = math.ceil(len(drum.tongues) / 2)
    margins = 2.0 * drum.slots.side_margin_mm
    most = 2 * int((widest - margins) / (drum.top.width_mm - margins) * rows)
    raise NoteError(
        f"{len(drum.tongues)} notes need a board {format_length(drum.top.width_mm, drum.units)} wide. The widest "
        f"there can be is {format_length(widest, drum.units)}: give {most} notes at most.",
        given=len(drum.tongues),
        limit=most,
        nearest=most,
    )


def _notes(typed: str) -> tuple[str, ...]:
    """The notes, between spaces or commas; each must be readable."""
    notes = tuple(typed.replace(",", " ").replace(";", " ").split())
    if not notes:
        raise NoteError(
            "No notes are given. A drum needs one at least: write --notes 'D3 F3 G3 A3 C4 D4'.", given=typed
        )
    for note in notes:
        note_number(note)
    return notes


def _thickness_mm(typed: str, units: Units) -> float:
    """The thickness in mm, within what a drum file may say."""
    mm = typed_length(typed, units)
    bounds = TopTable.model_fields["thickness"].metadata[0]
    if not bounds.low <= mm <= bounds.high:
        near = bounds.words(bounds.nearest(mm), units)
        raise LengthError(
            f"The thickness is {bounds.words(mm, units)}. It must be from {bounds.words(bounds.low, units)} "
            f"to {bounds.words(bounds.high, units)}: the nearest that works is {near}.",
            given=mm,
            limit=bounds.nearest(mm),
            nearest=bounds.nearest(mm),
        )
    return mm


def _name(folder: Path, given: str | None) -> str:
    """The drum's name: as given, or the folder's own, with a capital."""
    words = given if given is not None else Path(os.path.abspath(folder)).name  # noqa: PTH100 - keep links
    words = " ".join(words.replace("_", " ").split())[:LONGEST_NAME] if given is None else words.strip()
    words = words.encode("utf-8", "replace").decode("utf-8")  # what a file of text can hold
    if not words:
        if given is not None:
            raise KerftoneError(
                "The name is empty. A drum is called something: write --name Brook.", given=given
            )
        return "Drum"
    return words[0].upper() + words[1:] if given is None else words


def _check_reads_back(text: str) -> None:
    """Refuse what the file reader would refuse, in its words but without its line: there is no file yet."""
    try:
        parse_drum(text)
    except DrumFileError as error:
        raise KerftoneError(
            error.message, given=error.given, limit=error.limit, nearest=error.nearest
        ) from error


def _board(drum: Drum) -> str:
    sizes = (drum.top.length_mm, drum.top.width_mm, drum.top.thickness_mm)
    if drum.units == "in":
        return " x ".join(on_rule(mm, "in", with_unit=False) for mm in sizes) + " in"
    return " x ".join(on_rule(mm, "mm", with_unit=False) for mm in sizes) + " mm"


def _quoted(folder: Path) -> str:
    """The folder as the maker can type it again."""
    import shlex

    return shlex.quote(str(folder))
