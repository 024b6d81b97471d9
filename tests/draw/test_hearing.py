"""The picture of what was heard."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
from PIL import Image

from kerftone.draw.hearing import MAP, HearingMap, Mark, _ends, hearing_png, hearing_sheet, hearing_svg


def empty() -> HearingMap:
    return HearingMap(
        title="a $tap$ of wood.wav",
        db=np.full((60, 100), -90.0),
        edges_hz=np.geomspace(40.0, 8000.0, 61),
        column_s=0.05,
    )


def picture(marks: list[Mark]) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(hearing_png(empty(), marks))))


def test_a_strike_changes_the_picture_at_its_time_and_a_later_one_elsewhere() -> None:
    bare = picture([])
    early = picture([Mark(t_s=1.0, hz=300.0, t60_s=0.8, name="D4 +37")])
    late = picture([Mark(t_s=4.0, hz=300.0, t60_s=0.8, name="D4 +37")])
    assert bare.shape == early.shape
    top = slice(
        80, 520
    )  # the map; its heading counts strikes, the levels below it take their scale from them
    middle = [np.mean(np.nonzero((one != bare)[top].any(axis=(0, 2)))[0]) for one in (early, late)]
    assert middle[0] < middle[1] - 200


def test_lines_end_when_the_next_strike_begins_or_the_tone_has_died() -> None:
    marks = [
        Mark(t_s=t, hz=300.0, t60_s=t60, name="") for t, t60 in ((0.0, 5.0), (1.0, 0.5), (3.0, math.nan))
    ]
    assert _ends(marks, 3.2) == pytest.approx([1.0, 1.5, 3.2])


def test_strikes_without_pitch_or_decay_and_many_of_them_are_drawn() -> None:
    marks = [
        Mark(t_s=0.02 * n, hz=math.nan if n % 3 else 200.0, t60_s=math.nan, name="A3 +0") for n in range(200)
    ]
    assert picture(marks).size


def test_a_tone_lies_on_the_map_at_its_octave_and_its_second() -> None:
    heard = empty()
    heard.db[np.searchsorted(heard.edges_hz, 880.0) - 1, 60] = -10.0  # one dark spot: 880 Hz at 3 s of 5
    image = np.asarray(Image.open(io.BytesIO(hearing_png(heard, []))).convert("L")).astype(float)
    high, wide = image.shape
    west, south, east, north = MAP
    sheet = hearing_sheet(heard, [])
    rows = slice(
        round(high * (1 - north / sheet.height_mm)) + 4, round(high * (1 - south / sheet.height_mm)) - 4
    )
    columns = slice(round(wide * west / sheet.width_mm) + 4, round(wide * east / sheet.width_mm) - 4)
    part = image[rows, columns]
    y, x = np.unravel_index(np.argmin(part), part.shape)
    assert (x + 4) / (part.shape[1] + 8) == pytest.approx(60.5 / 100.0, abs=0.01)
    share = math.log(880.0 / 40.0) / math.log(8000.0 / 40.0)
    assert 1.0 - (y + 4) / (part.shape[0] + 8) == pytest.approx(share, abs=0.02)


def test_the_scale_is_octaves_of_a_and_whole_seconds_with_no_box_over_the_curves() -> None:
    words = [
        shape.words
        for layer in hearing_sheet(empty(), []).layers
        for shape in layer.shapes
        if hasattr(shape, "words")
    ]
    assert [w for w in words if w.startswith("A")] == ["A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8"][
        : len([w for w in words if w.startswith("A")])
    ]
    assert "440" in words and "5" in words and "level of the fundamental" in words


def test_as_svg_it_is_one_file_with_its_map_inside() -> None:
    text = hearing_svg(empty(), [Mark(t_s=1.0, hz=300.0, t60_s=0.8, name="D4 <+37>")]).decode()
    assert (
        "data:image/png;base64," in text
        and "D4 &lt;+37&gt;" in text
        and "http://" not in text.replace("http://www.w3.org", "")
    )
