"""Single blows at any place: a tongue's own place sounds as in the preview, twice the push is twice as loud."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from kerftone.sound.mallet import HARD_RUBBER
from kerftone.sound.render import PreviewOptions, SoundError, Spots, render_hits, single_blows
from kerftone.sound.score import Hit


@pytest.fixture
def modes(predicted: Any) -> Any:
    return predicted.modes


def blows(modes: Any, predicted: Any, lift: Any, push: Any) -> list[Any]:
    return single_blows(modes, predicted.drum.top, Spots(lift=lift, push=push), mallet=HARD_RUBBER)


def test_a_tongues_own_place_sounds_as_one_hit_of_the_preview(modes: Any, predicted: Any) -> None:
    (own, _) = blows(modes, predicted, modes.strike, modes.sweep)
    hit = Hit(at_s=0.0, tongue=0, speed_m_s=PreviewOptions().speed_m_s)
    preview = render_hits(modes, predicted.drum.top, (hit,)).samples
    assert own / abs(own).max() == pytest.approx(preview / abs(preview).max(), abs=1e-12)


def test_twice_the_air_pushed_is_twice_the_sound(modes: Any, predicted: Any) -> None:
    lift, push = np.repeat(modes.strike[:1], 2, axis=0), np.array([modes.sweep[0], 2.0 * modes.sweep[0]])
    once, twice = blows(modes, predicted, lift, push)
    # The cut where it is 100 dB down is the same, so the two are sample by sample.
    assert twice == pytest.approx(2.0 * once, abs=1e-15)


@pytest.mark.refusal
def test_a_phrase_without_a_blow_is_refused(modes: Any, predicted: Any) -> None:
    with pytest.raises(SoundError, match="strike a tongue"):
        render_hits(modes, predicted.drum.top, ())
