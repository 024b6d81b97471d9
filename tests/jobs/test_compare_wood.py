"""The drum in another wood: the model's own answer for a drum whose file names that wood, and its sound."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.errors import SpeciesError
from kerftone.jobs import compare_wood as module
from kerftone.jobs.compare_wood import OtherWoodRequest, compare_wood, in_wood, known_to_cents
from kerftone.wood.species import find_species

from ..drums import WREN


def test_the_drum_in_a_wood_is_the_drum_whose_file_names_it() -> None:
    assert in_wood(parse_drum(WREN), "walnut") == parse_drum(
        WREN.replace('wood = "cherry, black"', 'wood = "walnut, black"')
    )
    with pytest.raises(SpeciesError):
        in_wood(parse_drum(WREN), "cardboard")


def test_its_sound_is_its_notes_in_turn(monkeypatch: pytest.MonkeyPatch, predicted: Any) -> None:
    import soundfile

    monkeypatch.setattr(module, "predict", lambda drum: predicted)
    done = compare_wood(OtherWoodRequest(drum=parse_drum(WREN), wood="cherry"))
    samples, rate = soundfile.read(io.BytesIO(done.wav))
    at = round((0.1 + 0.05) * rate)
    spectrum = abs(np.fft.rfft(samples[at : at + rate // 3] * np.hanning(rate // 3), 1 << 19))
    loudest = float(np.argmax(spectrum)) * rate / (1 << 19)
    lowest = min(one.heard.hz for one in predicted.tongues)
    assert abs(1200 * np.log2(loudest / lowest)) < 5.0
    assert done.weight_g is not None and 200 < done.weight_g < 2000
    assert all(0.1 < one < 10 for one in done.t60_s)


@pytest.mark.outside
def test_an_untested_boards_notes_are_known_to_what_the_handbooks_scatter_gives() -> None:
    """Wood Handbook (FPL-GTR-282), table 5-6: 22 % in stiffness, 10 % in density; by hand 0.5 × √(0.22² + 0.1²)."""
    assert known_to_cents(find_species("cherry, black")) == pytest.approx(209.2, abs=1.0)
