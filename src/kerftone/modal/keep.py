"""A frame put by in a file, so that the next question need not solve the whole drum again.

The file is a cache: safe to delete, made again when the drum, the program's version or the file's own layout
differs from what is asked for. It holds plain arrays (no pickled objects), and is written whole or not at all.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from pathlib import Path
from typing import Any

import numpy as np

from kerftone import __version__
from kerftone.drum.design import Drum, Side
from kerftone.files import atomic_write
from kerftone.modal.frame import Frame, Place
from kerftone.modal.plan import Fineness
from kerftone.modal.result import Array
from kerftone.modal.tongue import Root

LAYOUT = 1


def fingerprint(drum: Drum) -> str:
    """A short name for this drum's design, different for any other and for another version of the program."""
    return hashlib.sha256(f"{LAYOUT} {__version__} {drum!r}".encode()).hexdigest()[:24]


def keep_frame(path: Path, frame: Frame, numbers: dict[str, Array]) -> None:
    """Put a frame and further named arrays into a file. Raises WriteError."""
    head = {"drum": fingerprint(frame.drum), "layered": frame.layered, "places": list(frame.roots)}
    arrays: dict[str, Any] = {"head": np.array(json.dumps(head))}
    arrays |= {"stiffness": frame.stiffness, "mass": frame.mass, "push": frame.push}
    arrays |= {f"own {name}": array for name, array in numbers.items()}
    for index, root in enumerate(frame.roots.values()):
        arrays[f"marks {index}"], arrays[f"motions {index}"] = root.marks_mm, root.motions
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
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    own = {name.removeprefix("own "): array for name, array in found.items() if name.startswith("own ")}
    return frame, own


def _place(place: list[int | str]) -> Place:
    row, side = place
    named: Side = "left" if side == "left" else "right"
    return int(row), named
