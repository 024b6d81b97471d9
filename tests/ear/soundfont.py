"""Real struck bars: the samples inside a SoundFont file, by the name in its sample headers.

Reads what the tests need of the SoundFont 2 layout (a RIFF file: 16-bit samples in `smpl`, one 46-byte
header a sample in `shdr`; E-mu's SoundFont 2.01 specification, from memory). No audio is kept here: the
bank is the Debian package fluid-soundfont-gm (MIT licence).

The truths are in tests/reference/recordings.json, established while planning by two independent methods
(long zero-padded FFT with parabolic interpolation; one damped sinusoid fitted).
"""

from __future__ import annotations

import json
import mmap
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

BANK = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
TRUTHS = Path(__file__).parents[1] / "reference" / "recordings.json"
HEADER = struct.Struct("<20sIIIIIBbHH")

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Truth:
    """One recording and what is known of it."""

    name: str
    bank_name: str
    material: str
    master: str
    tier: str
    hz: float
    drift_cents: float
    t60_s: float
    t60_ok: bool


def truths(*, tier: str | None = None) -> list[Truth]:
    """Every recording of the list, or those of one tier."""
    entries: list[dict[str, Any]] = json.loads(TRUTHS.read_text("utf-8"))["recordings"]
    return [
        Truth(
            name=entry["id"],
            bank_name=entry["bank_name"],
            material=entry["material"],
            master=entry["master"],
            tier=entry["tier"],
            hz=entry["f_truth_hz"],
            drift_cents=entry["drift_cents"],
            t60_s=entry["t60_s"],
            t60_ok=entry["t60_ok"],
        )
        for entry in entries
        if tier in (None, entry["tier"])
    ]


class Bank:
    """The samples of a SoundFont file, read when asked for."""

    def __init__(self, path: Path = BANK) -> None:
        with path.open("rb") as stream:
            self._bytes = mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ)
        chunks = dict(_chunks(self._bytes, 12, len(self._bytes)))
        self._sound_at = chunks[b"smpl"][0]
        start, size = chunks[b"shdr"]
        self._headers = {}
        for at in range(start, start + size - HEADER.size, HEADER.size):
            name, first, last, _, _, rate, *_ = HEADER.unpack_from(self._bytes, at)
            self._headers[name.split(b"\0")[0].decode("latin-1").strip()] = (first, last, rate)

    def sample(self, name: str) -> tuple[Array, int]:
        """The sound of this name, in -1..1, and its sample rate."""
        first, last, rate = self._headers[name]
        whole = np.frombuffer(self._bytes, dtype="<i2", count=last - first, offset=self._sound_at + 2 * first)
        return whole.astype(np.float64) / 32768.0, rate


def _chunks(data: mmap.mmap, at: int, end: int) -> list[tuple[bytes, tuple[int, int]]]:
    """Every chunk of a RIFF file between two places, lists opened: name, and where its body is."""
    found = []
    while at + 8 <= end:
        name, size = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "little")
        body = at + 8
        if name == b"LIST":
            found += _chunks(data, body + 4, body + size)
        else:
            found.append((name, (body, size)))
        at = body + size + size % 2
    return found
