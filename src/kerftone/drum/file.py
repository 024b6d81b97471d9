"""Reading `drum.toml`: from the maker's text to a Drum, or one clear refusal with its line.

Steps: bytes to text in `reading.py`, what the maker wrote to TOML in `written.py`, the trade's other words for a
choice to ours in `trade_words.py`, TOML to the tables of `schema.py`, tables to a Drum in
`build.py`; a measured board that [top] names is read by `board_file.py`. Whatever is wrong comes out as a
DrumFileError, which says what was given, which limit it crosses and the nearest that works. When several
things are wrong, the first in the file is told.

Writing lengths back is in `save.py`, the text of a new file in `template.py`.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import NoReturn

from pydantic import ValidationError

from kerftone.drum.board_file import read_board
from kerftone.drum.build import build_drum
from kerftone.drum.build_shop import Refuse
from kerftone.drum.design import Drum, Units
from kerftone.drum.file_keys import with_usual
from kerftone.drum.lines import KeyPath
from kerftone.drum.reading import first_refusal, load, read_text
from kerftone.drum.schema import DRUM_TABLE
from kerftone.errors import DrumFileError, KerftoneError
from kerftone.wood.board import Board


def read_drum(path: str | os.PathLike[str]) -> Drum:
    """What drum this file describes, with lengths in mm and woods looked up.

    Raises DrumFileError, with the line, for anything that cannot be used: held by tests/drum/test_file.py.
    """
    return parse_drum(read_text(path), os.fspath(path))


def check_drum_text(text: str, path: str | None = None) -> None:
    """Refuse what the reader would refuse, in its words but without its line: the text is in no file yet.

    Raises KerftoneError. Held by tests/drum/test_file.py.
    """
    try:
        parse_drum(text, path)
    except DrumFileError as error:
        raise KerftoneError(
            error.message,
            given=error.given,
            limit=error.limit,
            nearest=error.nearest,
            remedy=error.remedies,
        ) from error


def parse_drum(text: str, path: str | None = None) -> Drum:
    """What drum this text describes. `path` is only for naming the file in a refusal.

    Raises DrumFileError.
    """
    raw, index = load(text, path)

    def refuse(at: KeyPath, message: str, cause: KerftoneError | None = None) -> NoReturn:
        raise DrumFileError.because(cause, message, path=path, line=index.of(at)) from cause

    units: Units = "in" if raw.get("units") == "in" else "mm"
    try:
        table = DRUM_TABLE.model_validate(with_usual(Drum, raw, units), context={"units": units})
    except ValidationError as error:
        raise first_refusal(error, raw, index, path) from None
    return build_drum(table, refuse, board=_board(table.top.board, path, refuse))


def _board(name: str | None, path: str | None, refuse: Refuse) -> Board | None:
    """The measured board that [top] names; its place is told from the drum file's folder."""
    if name is None:
        return None
    at: KeyPath = ("top", "board")
    folder = Path(path).parent if path is not None else Path()
    try:
        return read_board(folder / name)
    except DrumFileError as error:
        refuse(at, f"board in [top] names {name}, which cannot be used: {error}", error)
