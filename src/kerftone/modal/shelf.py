"""Answers kept in a folder beside the drum file, so that the second question need not solve the drum again.

An answer is kept under a fingerprint of all that it depends on: the drum without what the solver takes no notice of
(its name, its notes and their tuning), how many modes were asked for, the source of the rooms that solve it, and the
version of the solver. A changed drum or a changed program therefore finds nothing and solves. The folder is safe to
delete and holds what was asked last, of some half a dozen drums; a file that is damaged, or stands under another's
name, is not read; a folder that cannot be written in keeps nothing. Plain arrays, no pickled objects; each file is
written whole or not at all. Nothing here loads the solver.
"""

from __future__ import annotations

import hashlib
import io
import os
import zipfile
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import numpy as np

from kerftone import __version__
from kerftone.drum.design import Drum, Tuning
from kerftone.errors import WriteError
from kerftone.files import atomic_write
from kerftone.modal.notes import enough_modes
from kerftone.modal.result import Array, Modes, Solved, TopView

FOLDER = "solved.cache"
LAYOUT = 3
"""Of the files; to be raised when what stands in them changes."""
MOST_KEPT = 24
"""So many answers are kept, those last asked for: some four of a drum, of which the largest is about a megabyte."""
ROOMS = ("wood", "drum", "modal", "air", "tune")
"""The rooms whose source decides what is kept."""
SPOILT = (OSError, ValueError, KeyError, EOFError, TypeError, zipfile.BadZipFile)
NAME, LIFT, GRADIENT, JOINT = "name", "view lift", "gradient ", "joint "


@lru_cache(maxsize=1)
def model_version() -> str:
    """A short name for the model as it stands: another for any change of its source or of the solver."""
    found = hashlib.sha256(f"{LAYOUT} {__version__}".encode())
    with suppress(PackageNotFoundError):
        found.update(version("ngsolve").encode())
    home = Path(__file__).parents[1]
    for path in sorted(path for room in ROOMS for path in (home / room).glob("*.py")):
        found.update(path.name.encode() + path.read_bytes())
    return found.hexdigest()[:24]


def as_solved(drum: Drum) -> Drum:
    """The drum without what the solver takes no notice of."""
    tongues = tuple(replace(tongue, note="") for tongue in drum.tongues)
    return replace(drum, name="", tuning=Tuning(), tongues=tongues)


def name_of(*parts: object) -> str:
    """A name for what this model says of these: drums, counts and words."""
    told = [repr(as_solved(part)) if isinstance(part, Drum) else repr(part) for part in parts]
    return hashlib.sha256("\n".join([model_version(), *told]).encode()).hexdigest()[:32]


@dataclass(frozen=True)
class Shelf:
    """The folder; None keeps nothing. Held by tests/modal/test_shelf.py."""

    folder: Path | None = None

    def solved(self, drum: Drum, count: int) -> Solved | None:
        """What a solve of this very drum for so many modes said; None if it is not here."""
        found = self.arrays(_question(drum, count))
        if found is None:
            return None
        try:
            return _solved(found)
        except SPOILT:
            return None

    def keep(self, drum: Drum, count: int, answer: Solved) -> None:
        """Keep what a solve of this drum for so many modes said.

        Parameters
        ----------
        drum : Drum
            The drum, in mm.
        count : int
            How many modes were solved for.
        answer : Solved
            What the solve said.
        """
        if self.folder is None:
            return
        modes, view = answer.modes, answer.modes.view
        arrays = {
            "hz": modes.hz,
            "strike": modes.strike,
            "sweep": modes.sweep,
            "volume": modes.volume,
            "rounded": answer.rounded,
            "model": np.array([modes.unknowns, modes.seconds]),
        }
        if view is not None:
            arrays |= {"view points": view.points_mm, "view triangles": view.triangles, LIFT: view.lift}
        arrays |= {GRADIENT + part: array for part, array in answer.gradients.items()}
        arrays |= {JOINT + name: array for name, array in answer.joints.items()}
        self.keep_arrays(_question(drum, count), arrays)

    def arrays(self, name: str) -> dict[str, Array] | None:
        """What is kept under this name; None if there is nothing or it cannot be read."""
        if self.folder is None:
            return None
        path = self.folder / f"{name}.npz"
        try:
            with np.load(path, allow_pickle=False) as kept:
                found = {key: kept[key] for key in kept.files}
            if str(found.pop(NAME)) != name:
                return None
        except SPOILT:
            return None
        with suppress(OSError):
            os.utime(path)
        return found

    def keep_arrays(self, name: str, arrays: Mapping[str, Array]) -> None:
        """Keep these under this name, and no more than `MOST_KEPT` in all."""
        if self.folder is None:
            return
        room = io.BytesIO()
        np.savez(room, **{NAME: np.array(name)}, **arrays)  # type: ignore[arg-type]
        with suppress(OSError, WriteError):
            self.folder.mkdir(exist_ok=True)
            atomic_write(self.folder / f"{name}.npz", room.getvalue())
            self._tidy()

    def _tidy(self) -> None:
        """Leave the answers last asked for."""
        assert self.folder is not None
        kept = sorted(self.folder.glob("*.npz"), key=lambda path: path.stat().st_mtime)
        for path in kept[:-MOST_KEPT]:
            path.unlink(missing_ok=True)


def shelf_beside(drum_file: Path) -> Shelf:
    """The shelf of the drums in this file's folder."""
    return Shelf(drum_file.parent / FOLDER)


def _question(drum: Drum, count: int) -> str:
    return name_of("modes", drum, enough_modes(drum, count))


def _solved(found: Mapping[str, Array]) -> Solved:
    view = None
    if LIFT in found:
        view = TopView(
            points_mm=found["view points"], triangles=found["view triangles"].astype(int), lift=found[LIFT]
        )
    return Solved(
        modes=Modes(
            hz=found["hz"],
            strike=found["strike"],
            sweep=found["sweep"],
            volume=found["volume"],
            view=view,
            unknowns=int(found["model"][0]),
            seconds=float(found["model"][1]),
        ),
        gradients=_named(found, GRADIENT),
        joints=_named(found, JOINT),
        rounded=found["rounded"],
    )


def _named(found: Mapping[str, Array], start: str) -> dict[str, Array]:
    """The arrays whose names begin so, under what follows that."""
    return {name.removeprefix(start): array for name, array in found.items() if name.startswith(start)}
