"""Measured boards on the page: the files of a folder `boards`, made, tapped and taken for a drum's top.

The folder lies beside the drums, or in the drum's own folder where one drum alone was opened; a drum names a board's
file from its own place. A board is only ever looked up among the files there are, and a link is not followed.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, get_args

from kerftone.app.drum_folders import Shelf, plain_name
from kerftone.drum.board_file import NAMES, read_board
from kerftone.drum.design import Drum
from kerftone.drum.edit import Change
from kerftone.errors import KerftoneError
from kerftone.files import names_ending
from kerftone.jobs.board_holding import tell_how
from kerftone.jobs.measure_board import BoardRequest, BoardTapsRequest, measure_board, tap_board
from kerftone.jobs.paths import make_folder
from kerftone.wood.board import Board, Cut, Motion

FOLDER, ENDING = "boards", ".toml"
MOTIONS: tuple[Motion, ...] = ("along", "twisting", "across")
LONGEST = 60
"""Letters of what is typed, at most: own judgement."""


class Boards:
    """The boards that a drum may be sawn from."""

    def __init__(self, shelf: Shelf, drum_file: Path) -> None:
        """Those of this shelf; of the drum's own folder where it stands alone."""
        self.drum_folder = drum_file.parent
        self.folder = (shelf.root if shelf.only is None else self.drum_folder) / FOLDER

    def names(self) -> list[str]:
        """What they are called, in order."""
        if not self.folder.is_dir() or self.folder.is_symlink():
            return []
        return names_ending(self.folder, ENDING)

    def file(self, name: str) -> Path:
        """The file of one of them. Raises KerftoneError where there is none of that name."""
        if name not in self.names():
            raise KerftoneError(
                f"There is no board called {name[:LONGEST]!r} here: choose one of those listed.", given=name
            )
        return self.folder / f"{name}{ENDING}"

    def from_drum(self, name: str) -> str:
        """The board's file as the drum's own file names it."""
        return Path(os.path.relpath(self.file(name), self.drum_folder)).as_posix()

    def listed(self) -> list[dict[str, Any]]:
        """Every board with what is known of it."""
        return [self._told(name) for name in self.names()]

    def _told(self, name: str) -> dict[str, Any]:
        told: dict[str, Any] = {"name": name, "file": self.from_drum(name)}
        try:
            return told | board_document(read_board(self.file(name)))
        except KerftoneError as error:
            return told | {"trouble": str(error)}

    def new(self, sent: dict[str, Any]) -> str:
        """A new board as typed; its name. Raises KerftoneError for what cannot be."""
        name = plain_name(_word(sent, "name"), "board")
        cut: Cut = "quartersawn" if sent.get("cut") == "quartersawn" else "flatsawn"
        make_folder(self.folder)
        request = BoardRequest(
            file=self.folder / f"{name}{ENDING}",
            species=_word(sent, "wood"),
            length=_word(sent, "length"),
            width=_word(sent, "width"),
            thickness=_word(sent, "thickness"),
            mass=_word(sent, "mass"),
            moisture_pct=_number(_word(sent, "moisture") or "12"),
            cut=cut,
            units="in" if sent.get("unit") == "in" else "mm",
        )
        measure_board(request)
        return name

    def tap(self, name: str, sent: dict[str, Any]) -> None:
        """Tones of a board, in Hz as typed, tapped for one of its motions."""
        motion = sent.get("motion")
        if motion not in get_args(Motion):
            motion = "unknown"
        tones = tuple(_number(part) for part in _word(sent, "hz").replace(";", " ").split())
        if not tones:
            raise KerftoneError("No tone was given. A tap gives one at least: type it in Hz, such as 412.5.")
        tap_board(BoardTapsRequest(file=self.file(name), hz=tones, motion=motion))


def _word(sent: dict[str, Any], key: str) -> str:
    return str(sent.get(key) or "")[:LONGEST].strip()


def _number(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError as error:
        raise KerftoneError(
            f"{text[:LONGEST]!r} is no number. It is written in figures, with a point or a comma: write 412.5.",
            given=text,
        ) from error


def board_document(board: Board) -> dict[str, Any]:
    """A board as the page shows it; `constants` with the share each may be off, None before its taps are fitted."""
    found = board.found
    spreads = None if found is None else dict(zip(NAMES, found.spreads(), strict=True))
    return {
        "wood": board.species.name,
        "size_mm": list(board.size_mm),
        "mass_g": board.mass_g,
        "density_kg_m3": board.density_kg_m3,
        "moisture_pct": board.moisture_pct,
        "cut": board.cut,
        "taps": [{"hz": tap.hz, "motion": tap.motion} for tap in board.taps],
        "how": {motion: tell_how(board, motion) for motion in MOTIONS},
        "constants": None
        if found is None or spreads is None
        else {name: [getattr(found.elastic, name), spreads[name]] for name in SHOWN},
    }


SHOWN = ("e_l_gpa", "e_r_gpa", "e_t_gpa", "g_lr_gpa", "g_lt_gpa")


def board_changes(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """The top sawn from a board's file; `cut` is the board's own. Raises ValueError for what names no file."""
    file, cut = wish["file"], wish["cut"]
    if not isinstance(file, str) or not file or cut not in get_args(Cut):
        raise ValueError(file)
    gone = [Change(at=("top", key), value=None) for key in ("wood", "elastic")]
    new = [Change(at=("top", "board"), value=file), Change(at=("top", "cut"), value=cut)]
    return [*gone, *new], f"the top from the board {Path(file).stem}"
