"""Writing files so that a crash never leaves half of one.

The bytes go to a temporary file in the same folder, are forced to the disk, and take the old file's
place in one step. Whatever happens, the file is either the old one or the new one, whole; of several files written
together, all are new or all are old.
"""

from __future__ import annotations

import json
import os
import stat
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from kerftone.errors import WriteError
from kerftone.stopping import undisturbed


def _mode_for(target: Path) -> int:
    """The permissions the new file should have: the old file's, or what the umask gives a new one."""
    with suppress(OSError):
        return stat.S_IMODE(target.stat().st_mode)
    umask = os.umask(0)
    os.umask(umask)
    return 0o666 & ~umask


def _sync_folder(folder: Path) -> None:
    """Force the folder's entry to the disk where the system allows it; the file itself already is."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def json_text(document: Mapping[str, object]) -> str:
    """A document as JSON, plain ASCII, so that it survives every terminal, file and pipe.

    Raises ValueError for a number that is not finite.
    """
    return json.dumps(document, indent=2, allow_nan=False) + "\n"


def names_ending(folder: Path, ending: str) -> list[str]:
    """The plain files of a folder that end so, by what stands before it, in order; a link is not one of them."""
    with os.scandir(folder) as entries:
        found = [
            one.name.removesuffix(ending)
            for one in entries
            if one.name.endswith(ending) and one.is_file(follow_symlinks=False)
        ]
    return sorted((name for name in found if name), key=str.casefold)


def atomic_write(path: str | os.PathLike[str], data: bytes) -> None:
    """Put these bytes into this file, whole or not at all.

    Keeps the permissions of a file that is already there; follows a link to the file it names. Raises
    WriteError when the folder is missing, full or closed to us; the old file is then untouched.
    """
    write_together({path: data})


def write_together(files: Mapping[str | os.PathLike[str], bytes]) -> None:
    """Put each of these bytes into its file: all of them, or none of them, whenever the program is stopped.

    Each file as `atomic_write` does. All are first written beside their places and then take them one after the
    other; only a fault of the disk between the first and the last can leave some new and some old, each whole.
    """
    staged: list[tuple[Path, Path]] = []
    path: str | os.PathLike[str] = ""
    try:
        for path, data in files.items():
            _stage(Path(os.path.realpath(path)), data, staged)
        _settle(staged)
    except BaseException as error:
        for scratch, _ in staged:
            with suppress(OSError):
                scratch.unlink()
        if isinstance(error, OSError):
            raise _refusal(path, error) from error
        raise
    for folder in dict.fromkeys(target.parent for _, target in staged):
        _sync_folder(folder)


def _stage(target: Path, data: bytes, staged: list[tuple[Path, Path]]) -> None:
    """Write the bytes beside the target and note where; nothing else is noted, so that it can be taken away."""
    if target.is_dir():
        raise IsADirectoryError(21, "it is a folder")
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:80]}.", suffix=".new", dir=target.parent)
    scratch = Path(name)
    staged.append((scratch, target))
    with os.fdopen(handle, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
    scratch.chmod(_mode_for(target))


def _settle(staged: list[tuple[Path, Path]]) -> None:
    """Every staged file into its place."""
    with undisturbed():
        for scratch, target in staged:
            os.replace(scratch, target)  # noqa: PTH105 - named so that one call is the step that counts


def _refusal(path: str | os.PathLike[str], error: OSError) -> WriteError:
    reason = error.strerror or str(error)
    return WriteError(
        f"{os.fspath(path)} cannot be written: {reason}. Nothing was changed: choose a folder that exists, "
        "has room and is yours to write in.",
        given=os.fspath(path),
    )
