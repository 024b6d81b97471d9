"""A frame and its tongues put by in files, so that the next question need not solve the whole drum again.

The files are a cache: safe to delete, made again when the drum, the program's version or the files' own layout
differs from what is asked for. They hold plain arrays (no pickled objects), and are written whole or not at all.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np

from kerftone.drum.design import Drum, Side
from kerftone.files import atomic_write
from kerftone.modal.frame import Frame, Place
from kerftone.modal.plan import Fineness
from kerftone.modal.result import Array
from kerftone.modal.shelf import model_version
from kerftone.modal.tongue import Root, TongueModel

LAYOUT = 4
"""Of the files; raised when they change, so that old ones are made again."""
MOST_TONGUES = 500
"""How many tongues are kept, the latest made: about 25 kB each."""
TONGUE_PARTS = tuple(field.name for field in fields(TongueModel) if field.name != "live")
SPOILT = (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile)


def fingerprint(drum: Drum) -> str:
    """A short name for this drum's design, different for any other and for another version of the model."""
    return hashlib.sha256(f"{LAYOUT} {model_version()} {drum!r}".encode()).hexdigest()[:24]


def keep_frame(path: Path, frame: Frame, numbers: dict[str, Array]) -> None:
    """Put a frame and further named arrays into a file. Raises WriteError.

    Parameters
    ----------
    path : Path
        The file.
    frame : Frame
        The frame.
    numbers : dict[str, Array]
        Further arrays by name.
    """
    head = {"drum": fingerprint(frame.drum), "layered": frame.layered, "places": list(frame.roots)}
    arrays: dict[str, Any] = {"head": np.array(json.dumps(head))}
    arrays |= {"stiffness": frame.stiffness, "mass": frame.mass, "push": frame.push}
    arrays |= {f"own {name}": array for name, array in numbers.items()}
    for index, root in enumerate(frame.roots.values()):
        arrays[f"marks {index}"], arrays[f"motions {index}"] = root.marks_mm, root.motions
    _write(path, arrays)


def keep_tongues(path: Path, made: Mapping[str, TongueModel]) -> None:
    """Put the latest of these tongues into a file, without their solids. Raises WriteError."""
    arrays: dict[str, Array] = {}
    for name in list(made)[-MOST_TONGUES:]:
        for part in TONGUE_PARTS:
            arrays[f"{name} {part}"] = np.asarray(getattr(made[name], part))
    _write(path, arrays)


def kept_tongues(path: Path) -> dict[str, TongueModel]:
    """The tongues put by in a file; none if there is no such file or it cannot be read."""
    found: dict[str, dict[str, Any]] = {}
    try:
        with np.load(path, allow_pickle=False) as kept:
            for key in kept.files:
                name, part = key.split(" ")
                found.setdefault(name, {})[part] = kept[key]
        return {name: TongueModel(**parts) for name, parts in found.items()}
    except (*SPOILT, TypeError):
        return {}


def _write(path: Path, arrays: dict[str, Any]) -> None:
    room = io.BytesIO()
    np.savez(room, **arrays)
    atomic_write(path, room.getvalue())


def kept_frame(path: Path, drum: Drum) -> tuple[Frame, dict[str, Array]] | None:
    """The frame of this very drum and the arrays kept with it; None if the file does not hold them."""
    try:
        with np.load(path, allow_pickle=False) as kept:
            found = {name: kept[name] for name in kept.files}
            head = json.loads(str(found["head"]))
        if head["drum"] != fingerprint(drum):
            return None
        frame = Frame(
            drum=drum,
            stiffness=found["stiffness"],
            mass=found["mass"],
            push=found["push"],
            roots={
                _place(place): Root(marks_mm=found[f"marks {i}"], motions=found[f"motions {i}"])
                for i, place in enumerate(head["places"])
            },
            fineness=Fineness(),
            layered=bool(head["layered"]),
        )
    except SPOILT:
        return None
    own = {name.removeprefix("own "): array for name, array in found.items() if name.startswith("own ")}
    return frame, own


def _place(place: list[int | str]) -> Place:
    row, side = place
    named: Side = "left" if side == "left" else "right"
    return int(row), named
