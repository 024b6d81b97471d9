"""`python -m kerftone.ear.decoder FILE`: read a sound file in a process that may die without harm.

Speaks to its parent (`guard`) on stdout in messages of a letter, a length (4 bytes, little-endian) and that
many bytes: P for progress, A for what the recording is (JSON), S for samples of the chosen channel (float32),
E for a refusal (JSON: kind and text), Z for the end. Memory is capped where the system can, so that a file
which unpacks without bound ends here and not in the maker's session.
"""

from __future__ import annotations

import json
import struct
import sys
from dataclasses import asdict
from pathlib import Path
from typing import BinaryIO

MOST_MEMORY = 3 * 2**30
"""Bytes: far more than decoding needs; own judgement."""


def send(out: BinaryIO, letter: bytes, body: bytes = b"") -> None:
    """One message to the parent.

    Parameters
    ----------
    out : BinaryIO
        The pipe.
    letter : bytes
        What kind of message it is.
    body : bytes, optional
        Its content.
    """
    out.write(letter + struct.pack("<I", len(body)) + body)
    out.flush()


def cap_memory() -> None:
    """No more address space than a decoder can need."""
    try:
        import resource
    except ImportError:
        return  # not a system of the Unix kind
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    most = MOST_MEMORY if hard == resource.RLIM_INFINITY else min(MOST_MEMORY, hard)
    resource.setrlimit(resource.RLIMIT_AS, (most, hard))


def speak(path: Path, out: BinaryIO) -> None:
    """Read the file twice, once to know it, once for its samples, and tell the parent."""
    import numpy as np

    from kerftone.ear.decode import BrokenError, NoSoundError, open_file
    from kerftone.ear.survey import UnfitError, finite, survey

    try:
        about = survey(open_file(path), tick=lambda: send(out, b"P"))
    except (NoSoundError, UnfitError) as error:
        kind = "unfit" if isinstance(error, UnfitError) else "no sound"
        send(out, b"E", json.dumps({"kind": kind, "text": str(error)}).encode())
        return
    send(out, b"A", json.dumps(asdict(about)).encode())
    try:
        left = about.frames
        for block in open_file(path).blocks:
            one = np.ascontiguousarray(finite(block)[:left, about.chosen], dtype="<f4")
            left -= len(one)
            send(out, b"S", one.tobytes())
    except BrokenError:
        pass  # told in `about` already
    send(out, b"Z")


def main() -> int:
    """Read the file named on the command line."""
    cap_memory()
    out = sys.stdout.buffer
    try:
        speak(Path(sys.argv[1]), out)
    except MemoryError:
        send(
            out,
            b"E",
            json.dumps({"kind": "unfit", "text": "it unpacks to more than fits in memory"}).encode(),
        )
    except BrokenPipeError:
        return 1  # the parent has heard enough
    return 0


if __name__ == "__main__":
    # Leave at once: a damaged file may have left the decoders' own tidying-up in a bad state.
    code = main()
    import os

    os._exit(code)
