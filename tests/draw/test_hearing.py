"""The picture of what was heard."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest

from kerftone.draw.hearing import HearingMap, Mark, _ends, hearing_png

matplotlib_image = pytest.importorskip("matplotlib.image")


def empty() -> HearingMap:
    return HearingMap(
        title="a $tap$ of wood.wav",
        db=np.full((60, 100), -90.0),
        edges_hz=np.geomspace(40.0, 8000.0, 61),
        column_s=0.05,
    )


def picture(marks: list[Mark]) -> np.ndarray:
    return np.asarray(matplotlib_image.imread(io.BytesIO(hearing_png(empty(), marks)), format="png"))


def test_a_strike_changes_the_picture_at_its_time_and_a_later_one_elsewhere() -> None:
    bare = picture([])
    early = picture([Mark(t_s=1.0, hz=300.0, t60_s=0.8, name="D4 +37")])
    late = picture([Mark(t_s=4.0, hz=300.0, t60_s=0.8, name="D4 +37")])
    assert bare.shape == early.shape
    top = slice(0, 540)  # the map; the levels below it take their scale from the strikes
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
