"""A recording is heard, watched while it is, and refused when there is no strike in it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from kerftone.ear.hear_recording import hear_recording
from kerftone.ear.recording import About, Array
from kerftone.errors import RecordingError

from .recordings import taps, written


def test_strikes_are_heard_and_the_recording_is_described(tmp_path: Path) -> None:
    file = written(tmp_path / "tap.wav", taps([(220.0, 0.4), (330.0, 1.4)]))
    heard, about = hear_recording(file)
    assert [one.hz for one in heard.strikes] == pytest.approx([220.0, 330.0], rel=1e-4)
    assert (about.sample_rate, about.channels) == (44100, 1)
    near, _ = hear_recording(file, around_hz=[330.0], within_cents=50.0)
    assert [one.hz for one in near.strikes if not one.doubt] == pytest.approx([330.0], rel=1e-4)


def test_who_watches_sees_every_sample_once(tmp_path: Path) -> None:
    file = written(tmp_path / "tap.wav", taps([(220.0, 0.4)]))
    seen: list[int] = []

    def watch(blocks: Iterator[Array], about: About) -> Iterator[Array]:
        for block in blocks:
            seen.append(len(block))
            yield block

    _, about = hear_recording(file, watch=watch)
    assert sum(seen) == about.frames == 3 * 44100


@pytest.mark.refusal
def test_a_recording_without_a_strike_is_refused_with_how_loud_it_is(tmp_path: Path) -> None:
    still = 0.05 * np.random.default_rng(1).standard_normal(3 * 44100)
    file = written(tmp_path / "still.wav", still)
    with pytest.raises(RecordingError, match=r"no strike is heard in its 3\.0 s") as refused:
        hear_recording(file)
    assert refused.value.given == pytest.approx(20.0 * np.log10(np.max(np.abs(still))), abs=0.1)
