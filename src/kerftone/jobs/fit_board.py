"""What is the wood of this board? Its stiffness from its taps, written into its file."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.drum.board_file import NAMES, read_board, save_found
from kerftone.drum.own_wood import constant_words
from kerftone.errors import WriteError
from kerftone.jobs.board_advice import tone_record
from kerftone.jobs.progress import Progress, job
from kerftone.wood.board import Board

if TYPE_CHECKING:
    from kerftone.tune.identify import Identified

ENOUGH = 0.35
"""A constant whose ± fell below this share of what it was is called found from the taps: own judgement."""


@dataclass(frozen=True, kw_only=True)
class BoardFitRequest:
    """Which board's file."""

    file: Path


@dataclass(frozen=True, kw_only=True)
class ConstantFound:
    """One constant of a board beside the mean of its species, as shares of that mean.

    before, after: how far either may be off, without the taps and with them.
    """

    words: str
    of_mean: float
    before: float
    after: float


@dataclass(frozen=True, kw_only=True)
class BoardFitted:
    """The board as tapped, and what was found of it."""

    file: Path
    board: Board
    found: Identified

    def constants(self) -> list[ConstantFound]:
        """What was found of each constant that taps can tell: all but how the wood bulges."""
        each = zip(NAMES, self.found.before, self.found.after, strict=True)
        return [
            ConstantFound(
                words=constant_words(name).capitalize(),
                of_mean=getattr(self.found.found.elastic, name) / getattr(self.found.expected, name),
                before=before,
                after=after,
            )
            for name, before, after in each
            if not name.startswith("nu_")
        ]

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return _record(self.file, self.board, self.found)


@job
def fit_board(request: BoardFitRequest, progress: Progress) -> BoardFitted:
    """Find the board's constants and write them into its file. Raises BoardError, WriteError."""
    path = request.file
    board = read_board(path)
    folder = path.resolve().parent
    if not os.access(folder, os.W_OK):
        raise WriteError(
            f"The folder {folder} is closed to you, so what is found could not be written. Nothing was done: change "
            "its permissions.",
            given=str(folder),
        )
    from kerftone.tune.identify import identify

    progress(f"Fitting {len(board.taps)} tone{'s' * (len(board.taps) != 1)}; this takes some seconds.")
    found = identify(board)
    save_found(path, found.found, remarks(found))
    return BoardFitted(file=path, board=board, found=found)


def remarks(found: Identified) -> list[str]:
    """For each constant, its ± and how it was found."""
    kinds = sorted({tone.kind for tone in found.tones if tone.kind is not None})
    told = []
    for name, before, after in zip(NAMES, found.before, found.after, strict=True):
        if before == 0.0:
            told.append("as published for the species")
        elif name == "density_kg_m3":
            told.append(f"± {100 * after:.2g} %, weighed and measured")
        elif after < ENOUGH * before:
            told.append(f"± {100 * after:.2g} %, from the taps ({', '.join(kinds)})")
        else:
            told.append(f"± {100 * after:.2g} %, species mean, moved as far as the taps say")
    return told


def _record(path: Path, board: Board, found: Identified) -> dict[str, Any]:
    return {
        "board": str(path),
        "species": board.species.name,
        "constants": {
            name: {
                "value": float(f"{getattr(found.found.elastic, name):.6g}"),
                "plus_minus_pct": round(100 * after, 3),
                "species_value": float(f"{getattr(found.expected, name):.6g}"),
                "species_plus_minus_pct": round(100 * before, 3),
                "how": how,
            }
            for name, before, after, how in zip(NAMES, found.before, found.after, remarks(found), strict=True)
        },
        "tones": [
            {
                "hz": tone.tap.hz,
                "tapped_for": tone.tap.motion,
                "taken_for": tone.kind,
                "model_hz": round(tone.model_hz, 3),
                "off_cents": round(tone.off_cents, 3),
            }
            for tone in found.tones
        ],
        "notes_plus_minus_cents": round(found.notes_cents, 2),
        "next_tone": tone_record(found.further),
        "untold": [{"constant": one.name, "tone": tone_record(one.tone)} for one in found.untold],
        "fits_better_cut": found.other_cut,
    }
