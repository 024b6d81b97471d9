from __future__ import annotations

import pytest

from kerftone.drum.file import parse_drum
from kerftone.tune.lengths import guess_length_mm


@pytest.mark.outside
def test_a_bar_of_the_guessed_length_has_the_pitch_of_a_cantilever(known_cherry) -> None:
    """Fletcher & Rossing's beta L = 1.8751 (from memory), worked by hand: 11.3 GPa, 560 kg/m3, 16 mm.

    c = sqrt(11.3e9/560) = 4492.1 m/s; f = 1.8751^2 / (2 pi) * c * 0.016 / sqrt(12) / L^2 = 11.611 / L^2.
    """
    assert guess_length_mm(known_cherry, 11.611 / 0.2**2, set_back=0.0) == pytest.approx(200.0, abs=0.1)


def test_an_octave_up_shortens_the_sounding_length_by_the_root_of_two(known_cherry) -> None:
    low, high = (guess_length_mm(known_cherry, hz, set_back=0.0) for hz in (150.0, 300.0))
    assert low / high == pytest.approx(2**0.5)


@pytest.fixture
def known_cherry():
    import json
    from pathlib import Path

    text = (Path(__file__).parents[1] / "reference" / "modes.json").read_text("utf-8")
    return parse_drum(json.loads(text)["drums"][0]["toml"]).top
