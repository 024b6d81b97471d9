"""Writing files so that a crash never leaves half of one.

The bytes go to a temporary file in the same folder, are forced to the disk, and take the old file's
place in one step. Whatever happens, the file is either the old one or the new one, whole.
"""

from __future__ import annotations

import os
import stat
import tempfile
from contextlib import suppress
from pathlib import Path

from kerftone.errors import WriteError


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


def atomic_write(path: str | os.PathLike[str], data: bytes) -> None:
    """Put these bytes into this file, whole or not at all.

    Keeps the permissions of a file that is already there; follows a link to the file it names. Raises
    WriteError when the folder is missing, full or closed to us; the old file is then untouched.
    """
    target = Path(os.path.realpath(path))
    try:
        if target.is_dir():
            raise IsADirectoryError(21, "it is a folder")
        handle, name = tempfile.mkstemp(prefix=f".{target.name[:80]}.", suffix=".new", dir=target.parent)
    except OSError as error:
        raise _refusal(path, error) from error
    scratch = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        scratch.chmod(_mode_for(target))
        os.replace(scratch, target)  # noqa: PTH105 - named so that one call is the step that counts
    except BaseException as error:
        with suppress(OSError):
            scratch.unlink()
        if isinstance(error, OSError):
            raise _refusal(path, error) from error
        raise
    _sync_folder(target.parent)


def _refusal(path: str | os.PathLike[str], error: OSError) -> WriteError:
    reason = error.strerror or str(error)
    return WriteError(
        f"{os.fspath(path)} cannot be written: {reason}. Nothing was changed: choose a folder that exists, "
        "has room and is yours to write in.",
        given=os.fspath(path),
    )
