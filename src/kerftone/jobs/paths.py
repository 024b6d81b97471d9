"""Where a job reads and where it may write, judged before any long work begins.

A drum is named by its file or by the folder that holds its `drum.toml`. What a job writes goes into a
folder that exists, under a name whose ending fits, and never over the drum file itself. The writing is
`kerftone.files`; here is only what can be refused early.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from kerftone.errors import WriteError
from kerftone.files import write_together

DRUM_FILE = "drum.toml"


def drum_path(given: Path) -> Path:
    """The file meant by a drum's name: itself, or the drum.toml inside when a folder is named."""
    inside = given / DRUM_FILE
    return inside if os.path.isdir(given) and os.path.isfile(inside) else given  # noqa: PTH112, PTH113 - never raise


def new_drum_path(given: Path) -> Path:
    """Where a new drum's file is put: the file itself where one ending in .toml is named, else into that folder."""
    return given if given.suffix.lower() == ".toml" and not os.path.isdir(given) else given / DRUM_FILE  # noqa: PTH112


def check_target(target: Path, *, ending: str, drum: Path) -> None:
    """Refuse a file that could not be written in the end. Raises WriteError.

    Parameters
    ----------
    target : Path
        The file to be written.
    ending : str
        What its name must end with.
    drum : Path
        The drum's file, which is never written over.
    """
    if target.suffix.lower() != ending:
        better = target.with_suffix(ending) if target.name else Path("drum" + ending)
        raise WriteError(
            f"{target} does not end in {ending}, but {ending} is what is written. Nothing was done: "
            f"name it {better}.",
            given=str(target),
            nearest=str(better),
        )
    if os.path.realpath(target) == os.path.realpath(drum):
        raise WriteError(
            f"{target} is the drum file itself. A result never replaces it: choose another name.",
            given=str(target),
        )
    if os.path.isdir(target):  # noqa: PTH112 - never raises
        raise WriteError(
            f"{target} is a folder. The result is one file: name it {target / ('drum' + ending)}.",
            given=str(target),
            nearest=str(target / ("drum" + ending)),
        )
    if os.path.exists(target) and not os.path.isfile(target):  # noqa: PTH110, PTH113
        raise WriteError(
            f"{target} is not a plain file. Only plain files are written: choose another name.",
            given=str(target),
        )
    folder = target.parent
    if not os.path.isdir(folder):  # noqa: PTH112
        raise WriteError(
            f"{target} cannot be written: there is no folder {folder}. Files go into folders that exist: "
            f"make it first, or name it {target.name} to put the file here.",
            given=str(target),
            nearest=target.name,
        )
    check_open(folder)


def check_open(folder: Path) -> None:
    """Refuse a folder that is not ours to write in. Raises WriteError."""
    if not os.access(folder, os.W_OK | os.X_OK):
        raise WriteError(
            f"The folder {folder} is closed to you. Results need a folder you may write in: choose another, "
            "or change its permissions.",
            given=str(folder),
        )


def check_folder(folder: Path) -> None:
    """Refuse a folder that could be neither used nor made. Raises WriteError."""
    at = folder
    while not os.path.lexists(at) and at != at.parent:
        at = at.parent
    if not os.path.isdir(at):  # noqa: PTH112
        raise WriteError(
            f"{folder} cannot be a folder, for {at} is a file. Results go into a folder of their own: choose "
            "another name.",
            given=str(folder),
        )
    check_open(at)


def write_results(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Put these files, by name, into a folder, which is made if missing: all of them or none. Raises WriteError."""
    make_folder(folder)
    write_together({folder / name: data for name, data in files.items()})
    return tuple(folder / name for name in files)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, unless it is there."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise WriteError(
            f"The folder {folder} cannot be made: {reason}. Choose another name or place.", given=str(folder)
        ) from error
