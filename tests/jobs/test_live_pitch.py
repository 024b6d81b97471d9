"""The tables answer at once for other lengths and exchanged places, and agree with a full solve."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.jobs.live_pitch import (
    LiveModel,
    LookRequest,
    frame_name,
    look_at_drum,
    serves,
    sound_of,
    with_tables,
)
from kerftone.jobs.prediction import predict
from kerftone.jobs.strike_sounds import (
    LONGEST_S,
    PhraseRequest,
    StrikeSounds,
    StrikesRequest,
    sound_phrase,
    strike_sounds,
)
from kerftone.pitch import cents

from ..drums import WREN

DRUM = parse_drum(WREN)


def with_length(mm: float) -> Drum:
    first, *rest = DRUM.tongues
    return replace(DRUM, tongues=(replace(first, length_mm=mm), *rest))


@pytest.fixture(scope="session")
def live(predicted: Any) -> LiveModel:
    """The small drum's tables, on the solve that all tests share."""
    from kerftone.modal.search import search_model

    return with_tables(DRUM, predicted, search_model(predicted.live, (95.0, 160.0)))


def test_at_the_solved_lengths_tables_and_full_solve_say_the_same(live: LiveModel) -> None:
    said = sound_of(live, DRUM)
    for hz, one in zip(said.hz, live.prediction.tongues, strict=True):
        assert cents(hz, one.heard.hz) == pytest.approx(0.0, abs=1e-6)
    assert max(abs(one) for one in live.shift_cents) < 25.0


@pytest.mark.parametrize("mm", [132.0, 147.0])
def test_at_other_lengths_they_agree_with_a_fresh_full_solve_within_two_cents(
    live: LiveModel, mm: float
) -> None:
    drum = with_length(mm)
    assert serves(live, drum)
    full = predict(drum)
    for hz, one in zip(sound_of(live, drum).hz, full.tongues, strict=True):
        assert cents(hz, one.heard.hz) == pytest.approx(0.0, abs=2.0)


def test_slopes_foretell_a_small_step(live: LiveModel) -> None:
    said = sound_of(live, DRUM, slopes=True)
    assert said.slopes is not None
    assert live.document()["slopes"] == said.document()["slopes"]
    grown = sound_of(live, with_length(140.0 * 1.002))
    moved = [cents(after, before) for after, before in zip(grown.hz, said.hz, strict=True)]
    assert [row[0] * np.log(1.002) for row in said.slopes] == pytest.approx(moved, abs=0.1)
    assert moved[0] < -3.0


def test_exchanged_places_are_answered_too(live: LiveModel) -> None:
    one, other = DRUM.tongues
    swapped = replace(
        DRUM,
        tongues=(replace(one, row=other.row, side=other.side), replace(other, row=one.row, side=one.side)),
    )
    assert serves(live, swapped)
    assert cents(sound_of(live, swapped).hz[0], sound_of(live, DRUM).hz[0]) == pytest.approx(0.0, abs=15.0)


def test_what_the_tables_were_not_made_for_is_not_answered(live: LiveModel) -> None:
    assert not serves(live, with_length(161.0))
    assert not serves(live, replace(DRUM, top=replace(DRUM.top, thickness_mm=13.0)))
    assert not serves(live, replace(DRUM, tongues=DRUM.tongues[:1]))


def test_a_tongue_alone_in_its_row_has_its_length_in_the_frames_name() -> None:
    alone = replace(DRUM, tongues=DRUM.tongues[:1])
    longer = replace(alone, tongues=(replace(alone.tongues[0], length_mm=150.0),))
    assert frame_name(alone) != frame_name(longer)
    assert frame_name(DRUM) == frame_name(with_length(150.0))
    assert frame_name(DRUM) == frame_name(replace(DRUM, name="Other"))


@pytest.mark.slow
def test_a_look_keeps_the_tables_while_the_frame_is_the_same() -> None:
    first = look_at_drum(LookRequest(drum=DRUM))
    again = look_at_drum(LookRequest(drum=with_length(138.0), before=first))
    assert again.tables is first.tables
    other = replace(DRUM, top=replace(DRUM.top, thickness_mm=13.0))
    assert look_at_drum(LookRequest(drum=other, before=again)).tables is not again.tables


@pytest.fixture(scope="session")
def struck(live: LiveModel) -> StrikeSounds:
    """With the wooden mallet: a rubber one is as heavy as this small drum's tips, and its second touch stops them."""
    return strike_sounds(StrikesRequest(live=live, mallet="wood"))


def sound(struck: StrikeSounds, place: dict[str, Any], speed: int) -> np.ndarray[Any, Any]:
    at, count = place["sounds"][speed]
    return np.frombuffer(struck.samples, "<i2")[at : at + count] / 32768.0


def test_each_tongue_sounds_its_own_pitch_when_it_is_struck(struck: StrikeSounds, live: LiveModel) -> None:
    for number, one in enumerate(live.prediction.tongues):
        place = next(p for p in struck.places if p["tongue"] == number and p["along"] == 1.0)
        samples = sound(struck, place, 1)[2400:26400]
        window = np.hanning(len(samples))
        spectrum = abs(np.fft.rfft(samples * window, 1 << 20))
        loudest = np.argmax(spectrum) * struck.rate_hz / (1 << 20)
        assert cents(float(loudest), one.heard.hz) == pytest.approx(0.0, abs=3.0)


def test_a_firm_stroke_is_louder_and_one_near_the_root_sounds_less_of_the_note(
    struck: StrikeSounds, live: LiveModel
) -> None:
    turn = np.exp(-2j * np.pi * live.prediction.tongues[0].heard.hz * np.arange(24000) / struck.rate_hz)

    def note(along: float, speed: int) -> float:
        place = next(p for p in struck.places if p["tongue"] == 0 and p["along"] == along)
        return float(abs((sound(struck, place, speed)[:24000] * turn * np.hanning(24000)).sum()))

    assert note(1.0, 1) > 2.0 * note(1.0, 0)
    assert note(0.25, 1) < 0.5 * note(0.6, 1)


def test_the_wood_beside_the_tongues_sounds_too_and_no_sound_clicks_or_clips(struck: StrikeSounds) -> None:
    beside = [place for place in struck.places if place["tongue"] is None]
    assert len(beside) == 4
    for place in struck.places:
        for speed in range(len(struck.speeds_m_s)):
            samples = sound(struck, place, speed)
            assert 0.0 < abs(samples).max() < 0.75
            assert abs(samples[0]) < 0.02 and abs(samples[-1]) < 0.001
            assert len(samples) <= LONGEST_S * struck.rate_hz


def test_a_phrase_is_a_sound_file_with_each_blow_in_its_time(live: LiveModel) -> None:
    import io

    import soundfile

    done = sound_phrase(PhraseRequest(live=live, played=((0.5, 0, 1.0), (1.5, 1, 0.5))))
    samples, rate = soundfile.read(io.BytesIO(done.wav))
    assert abs(samples[: int(0.49 * rate)]).max() < 1e-4
    assert abs(samples[int(0.5 * rate) : int(0.6 * rate)]).max() > 0.1
    assert len(samples) / rate == pytest.approx(done.seconds)
