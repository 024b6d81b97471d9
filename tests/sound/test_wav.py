import io

import numpy as np
import pytest
import soundfile

from kerftone.sound.render import PreviewOptions, render
from kerftone.sound.wav import flac_bytes, wav_bytes


@pytest.fixture(scope="module")
def preview(invented_modes, cherry_top):
    return render(invented_modes, cherry_top, options=PreviewOptions(spacing_s=0.5))


@pytest.mark.roundtrip
def test_the_wav_holds_the_samples_to_24_bits(preview):
    data = wav_bytes(preview)
    info = soundfile.info(io.BytesIO(data))
    assert (info.format, info.subtype, info.channels, info.samplerate) == ("WAV", "PCM_24", 1, 48000)
    read, _ = soundfile.read(io.BytesIO(data))
    assert np.max(np.abs(read - preview.samples)) <= 2.0**-23
    assert 20.0 * np.log10(np.max(np.abs(read))) == pytest.approx(-3.0, abs=0.01)


@pytest.mark.roundtrip
def test_the_flac_for_the_report_holds_them_to_16_bits_and_is_small(preview):
    data = flac_bytes(preview)
    read, rate = soundfile.read(io.BytesIO(data))
    assert rate == 48000
    assert np.max(np.abs(read - preview.samples)) <= 2.0**-15
    assert len(data) < 0.4 * len(wav_bytes(preview))


def test_the_same_preview_makes_the_same_bytes(preview):
    assert wav_bytes(preview) == wav_bytes(preview)
