"""The preview as the bytes of a sound file.

Mono, at the preview's own rate. WAV for `kerftone hear`: 24-bit whole numbers, read everywhere. FLAC for
the report, where the sound is part of the page: 16 bit, about a third of the size, nothing lost but the
last bits. Writing the bytes to a file, whole or not at all, is the caller's.
"""

from __future__ import annotations

import io

import soundfile

from kerftone.sound.render import Preview


def wav_bytes(preview: Preview) -> bytes:
    """The sound as a WAV file, PCM 24 bit, mono."""
    return _encoded(preview, container="WAV", subtype="PCM_24")


def flac_bytes(preview: Preview) -> bytes:
    """The sound as a FLAC file, 16 bit, mono: for putting into the report."""
    return _encoded(preview, container="FLAC", subtype="PCM_16")


def _encoded(preview: Preview, *, container: str, subtype: str) -> bytes:
    out = io.BytesIO()
    soundfile.write(out, preview.samples, preview.rate_hz, format=container, subtype=subtype)
    return out.getvalue()
