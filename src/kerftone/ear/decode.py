"""The samples in an audio file, block by block, whatever the file's name says.

What is inside decides, not the ending: libsndfile is asked first (WAV, FLAC, Ogg, MP3, AIFF and its kin),
then libav (what phones write: m4a, 3gp, webm, and more). Samples come as (n, channels) fractions of full
scale at the file's own rate.

The decoders are C code and a spoiled file may bring them down: commands read files through `guard`, which
runs this module in a process of its own. A file may not lead to the network or to playlists of other files:
libav is held to plain files and to containers that hold sound themselves.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Block = NDArray[np.float32]

FRAMES = 16384
"""Frames a block, at most."""
CONTAINERS = (
    "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,ogg,mp3,aac,amr,amrnb,amrwb,flac,wav,w64,aiff,au,caf,asf,avi,"
    "mpegts,mpeg,wv,tta,ape,ac3,loas,latm"
)
"""Containers that carry their own sound, in libav's names: no playlists, no lists of other files."""
NO_SIZE = (0, 0x7FFF0000)
"""Sizes a recorder writes while it does not know the length yet: zero, or this and more."""
OGG_PAGE = 65307
"""The longest page of an Ogg stream, in bytes (RFC 3533)."""
SHORT = re.compile(r"(?:data|SSND)\s*:\s*(\d+) \(should be (\d+)\)")
"""How libsndfile's log says that a chunk is not as long as its head claims."""


class NoSoundError(Exception):
    """This is no sound file that either library can read; the text says what they said."""


class BrokenError(Exception):
    """Reading had begun and could not go on; the text says why."""


@dataclass(kw_only=True)
class Open:
    """An open file: its rate, its channels, how many frames it says it has, and its blocks, to be read once.

    `cut`: the file's own head or tail shows that its end is missing. `estimate`: about how many frames it should
    have, where only that is known.
    """

    sample_rate: int
    channels: int
    promised: int | None
    blocks: Iterator[Block] = field(repr=False)
    cut: bool = False
    estimate: int | None = None


def open_file(path: Path) -> Open:
    """Open a sound file. Raises NoSoundError; its blocks may raise BrokenError."""
    try:
        return _with_sndfile(path)
    except NoSoundError as first:
        try:
            return _with_libav(path)
        except NoSoundError as second:
            raise NoSoundError(f"{first}; {second}") from second


def _with_sndfile(path: Path) -> Open:
    import soundfile

    try:
        file = soundfile.SoundFile(str(path))
    except (soundfile.SoundFileError, TypeError, ValueError) as error:
        raise NoSoundError(str(error)) from error
    short = [(int(a), int(b)) for a, b in SHORT.findall(file.extra_info)]
    cut = any(claimed > there and NO_SIZE[0] < claimed < NO_SIZE[1] for claimed, there in short)
    known = file.frames if 0 < file.frames < 2**62 else None
    rough = file.format in ("MP3", "MPEG")  # its length is the library's estimate
    return Open(
        sample_rate=file.samplerate,
        channels=file.channels,
        promised=None if rough else known,
        blocks=_sndfile_blocks(file),
        cut=cut or _ogg_cut(path),
        estimate=known if rough else None,
    )


def _ogg_cut(path: Path) -> bool:
    """Whether this is an Ogg file whose last page is not marked as the last of its stream (RFC 3533)."""
    with path.open("rb") as file:
        if file.read(4) != b"OggS":
            return False
        file.seek(max(0, path.stat().st_size - OGG_PAGE))
        tail = file.read()
    page = tail.rfind(b"OggS")
    return page < 0 or page + 5 >= len(tail) or not tail[page + 5] & 0x04


def _sndfile_blocks(file: Any) -> Iterator[Block]:
    import soundfile

    with closing(file):
        while True:
            try:
                block = file.read(FRAMES, dtype="float32", always_2d=True)
            except (soundfile.SoundFileError, RuntimeError, ValueError) as error:
                raise BrokenError(str(error)) from error
            if not len(block):
                return
            yield block


def _with_libav(path: Path) -> Open:
    import av

    av.logging.set_level(None)
    only = {"format_whitelist": CONTAINERS, "protocol_whitelist": "file"}
    try:
        # By name, not as an open file: on damaged heads libav can seek for ever in a file it is handed.
        container = av.open(f"file:{path.absolute()}", metadata_errors="ignore", options=only)
    except (av.FFmpegError, ValueError, OSError, UnicodeError) as error:
        raise NoSoundError(str(error)) from error
    try:
        audio = container.streams.audio[0]
        rate, channels = int(audio.rate or 0), int(audio.channels or 0)
        base, ticks = audio.time_base, audio.duration
        promised = round(ticks * base * rate) if ticks and base and ticks > 0 else None
    except (IndexError, AttributeError, av.FFmpegError, ValueError) as error:
        container.close()
        raise NoSoundError("there is no sound in it") from error
    blocks = _libav_blocks(container, audio)
    if rate and channels:
        return Open(sample_rate=rate, channels=channels, promised=promised, blocks=blocks, cut=_ogg_cut(path))
    container.close()
    raise NoSoundError("there is no sound in it")


def _libav_blocks(container: Any, audio: Any) -> Iterator[Block]:
    import av

    rate, channels = audio.rate, audio.channels
    with closing(container):
        try:
            for frame in container.decode(audio):
                if (frame.sample_rate, frame.layout.nb_channels) != (rate, channels):
                    raise BrokenError("its rate or its channels change half-way")
                yield _as_fractions(frame.to_ndarray(), planar=frame.format.is_planar, channels=channels)
        except (av.FFmpegError, ValueError, OSError, MemoryError, RuntimeError) as error:
            raise BrokenError(str(error)) from error


def _as_fractions(values: NDArray[Any], *, planar: bool, channels: int) -> Block:
    """Samples as libav gives them, as (n, channels) fractions of full scale."""
    block = values.T if planar else values.reshape(-1, channels)
    if block.dtype == np.uint8:
        return (block.astype(np.float32) - 128.0) / 128.0
    if np.issubdtype(block.dtype, np.integer):
        full = -float(np.iinfo(block.dtype).min)
        return np.asarray(block / full, dtype=np.float32)
    return np.ascontiguousarray(block, dtype=np.float32)
