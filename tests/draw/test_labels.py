from dataclasses import replace

import pytest

from kerftone.draw.labels import Spot, on_rule, tongue_words
from kerftone.draw.sheet import text_width_mm
from kerftone.draw.style import SMALLEST_MM


def test_lengths_are_said_as_a_rule_shows_them():
    assert on_rule(150.0, "mm") == "150 mm"
    assert on_rule(131.34, "mm", with_unit=False) == "131.3"
    assert on_rule(25.4 * 5.90625, "in") == "5 29/32 in"
    assert on_rule(25.4 * 1.375, "in", with_unit=False) == "1 3/8"


@pytest.mark.parametrize("width", [10.0, 15.0, 22.0, 43.0, 70.0])
@pytest.mark.parametrize("length", [100.0, 150.0, 320.0])
@pytest.mark.parametrize("left", [True, False])
def test_the_words_stay_between_root_and_strike_mark_and_are_tall_enough(brook, width, length, left):
    root, tip = (32.0, 32.0 + length) if left else (388.0, 388.0 - length)
    spot = Spot(root_x=root, tip_x=tip, y=80.0, width_mm=width, strike_x=tip - 15.0 if left else tip + 15.0)
    tongue = replace(brook.tongues[1], length_mm=length)
    texts = tongue_words(brook, tongue, spot)
    said = " ".join(t.words for t in texts)
    assert "R1" in said and "F#3" in said and f"{length:g} mm" in said
    low, high = sorted((root, spot.strike_x))
    for text in texts:
        wide = text_width_mm(text.words, text.height_mm, bold=text.bold)
        start = text.at[0] - {"start": 0.0, "middle": 0.5 * wide, "end": wide}[text.anchor]
        assert low <= start and start + wide <= high
        assert text.height_mm >= SMALLEST_MM
        assert abs(text.at[1] - 80.0) < 0.5 * width and abs(text.at[1] + text.height_mm - 80.0) < 0.5 * width
