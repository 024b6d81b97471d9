from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from kerftone.sound.mallet import HARD_RUBBER, MALLETS, SOFT_RUBBER, WOOD
from kerftone.sound.render import FreeRing, PreviewOptions, SoundError, render

RATE = 48000
ALONE = PreviewOptions(with_phrase=False)


def _only(modes, *tongues):
    """The drum with these tongues only; all its modes."""
    chosen = list(tongues)
    return replace(modes, strike=modes.strike[chosen], sweep=modes.sweep[chosen])


def _line(samples, hz):
    """How much of one frequency there is: a windowed Fourier integral at exactly that frequency."""
    t = np.arange(len(samples)) / RATE
    window = np.blackman(len(samples))
    return np.abs(np.sum(window * samples * np.exp(-2j * np.pi * hz * t))) / np.sum(window)


def _peak_hz(samples, near_hz):
    found = minimize_scalar(
        lambda hz: -_line(samples, hz), bounds=(near_hz - 1.5, near_hz + 1.5), options={"xatol": 1e-5}
    )
    return float(found.x)


def _centroid_hz(samples):
    power = np.abs(np.fft.rfft(samples)) ** 2
    return float(np.sum(power * np.fft.rfftfreq(len(samples), 1.0 / RATE)) / np.sum(power))


@pytest.mark.parametrize("tongue", range(6))
def test_the_rendered_notes_are_the_modes_of_the_drum(tongue, invented_modes, cherry_top):
    preview = render(_only(invented_modes, tongue), cherry_top, options=ALONE)
    note = preview.samples[6000 : 6000 + RATE // 2]
    own = invented_modes.hz[np.argmax(np.abs(invented_modes.strike[tongue] * invented_modes.volume))]
    assert abs(1200.0 * np.log2(_peak_hz(note, own) / own)) < 0.2


def test_the_modes_ring_as_long_as_stated(invented_modes, cherry_top):
    preview = render(_only(invented_modes, 4), cherry_top, options=ALONE)
    # A single mode of its own: rendered with the others gone, so that nothing leaks into the measurement.
    for n in (0, 5, 6):
        alone = replace(
            invented_modes,
            hz=invented_modes.hz[n : n + 1],
            strike=invented_modes.strike[4:5, n : n + 1],
            sweep=invented_modes.volume[None, n : n + 1],
            volume=invented_modes.volume[n : n + 1],
        )
        sound = render(alone, cherry_top, options=ALONE)
        length = 4800 if invented_modes.hz[n] < 1000.0 else 1200
        early = _line(sound.samples[6000 : 6000 + length], invented_modes.hz[n])
        late = _line(sound.samples[6000 + 2 * length : 6000 + 3 * length], invented_modes.hz[n])
        fall_db = 20.0 * np.log10(early / late)
        measured = 60.0 * (2 * length / RATE) / fall_db
        assert measured == pytest.approx(sound.t60_s[0], rel=1e-3)
        assert sound.t60_s[0] == pytest.approx(preview.t60_s[n], rel=1e-12)


@pytest.mark.parametrize("mallet", MALLETS.values(), ids=lambda m: m.name)
def test_the_peak_is_three_decibels_under_full_scale(mallet, invented_modes, cherry_top):
    preview = render(invented_modes, cherry_top, mallet=mallet)
    assert 20.0 * np.log10(np.max(np.abs(preview.samples))) == pytest.approx(-3.0, abs=1e-6)
    assert np.all(np.isfinite(preview.samples))


def _loudest_tick(samples):
    """The loudest 2 ms above 12 kHz, in dB under the loudest 2 ms of all: the trace a click leaves."""
    spectrum = np.fft.rfft(samples)
    spectrum[np.fft.rfftfreq(len(samples), 1.0 / RATE) < 12000.0] = 0.0
    high = np.fft.irfft(spectrum, len(samples))
    frames = len(samples) // 96
    energy = (samples[: 96 * frames].reshape(frames, 96) ** 2).sum(axis=1)
    tick = (high[: 96 * frames].reshape(frames, 96) ** 2).sum(axis=1)
    return 10.0 * np.log10(tick.max() / energy.max())


def test_nothing_clicks_at_the_blows_the_cuts_and_the_end(invented_modes, cherry_top):
    for mallet in MALLETS.values():
        preview = render(invented_modes, cherry_top, mallet=mallet)
        assert _loudest_tick(preview.samples) < -65.0
        assert abs(preview.samples[0]) < 1e-6
        assert abs(preview.samples[-1]) < 1e-6
        clicked = preview.samples.copy()
        clicked[200000:] += 0.03  # a step 27 dB under the peak: the test must hear it
        assert _loudest_tick(clicked) > -55.0


def test_no_sample_jumps_further_than_its_sinusoids_can(invented_modes, cherry_top):
    preview = render(_only(invented_modes, 0), cherry_top, mallet=WOOD, options=ALONE)
    ringing = preview.samples[6000:]
    slope = 2.0 * np.pi * invented_modes.hz / RATE
    sizes = np.array([2.0 * _line(ringing[:9600], hz) for hz in invented_modes.hz])
    # Measured over 0.2 s of decay: the first amplitude is larger, by the decay to the window's middle.
    sizes *= 1000.0 ** (0.1 / preview.t60_s)
    assert np.max(np.abs(np.diff(ringing))) < 1.05 * np.sum(sizes * slope)


def test_a_harder_mallet_sounds_brighter(invented_modes, cherry_top):
    soft, hard, wood = (
        _centroid_hz(render(invented_modes, cherry_top, mallet=m).samples)
        for m in (SOFT_RUBBER, HARD_RUBBER, WOOD)
    )
    assert soft < 0.95 * hard < 0.9 * wood


def test_pressure_is_volume_acceleration_so_twice_the_air_is_twice_the_sound(invented_modes, cherry_top):
    once = render(invented_modes, cherry_top, options=ALONE)
    twice = render(replace(invented_modes, sweep=2.0 * invented_modes.sweep), cherry_top, options=ALONE)
    assert twice.pascal_at_1_m == pytest.approx(2.0 * once.pascal_at_1_m, rel=1e-4)


def test_a_tongue_is_heard_close_by_however_its_neighbours_cancel_it_far_away(invented_modes, cherry_top):
    cancelled = replace(invented_modes, volume=np.zeros(12))
    one = render(cancelled, cherry_top, order=[2], options=ALONE)
    own = invented_modes.hz[np.argmax(np.abs(invented_modes.strike[2] * invented_modes.sweep[2]))]
    start = int(0.2 * RATE)
    sound = one.samples[start : start + RATE // 2]
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), 2**18))
    assert np.argmax(spectrum) * RATE / 2**18 == pytest.approx(own, abs=0.5)


def test_modes_above_hearing_change_nothing(invented_modes, cherry_top):
    more = replace(
        invented_modes,
        hz=np.append(invented_modes.hz, [18500.0, 40000.0]),
        strike=np.hstack([invented_modes.strike, np.full((6, 2), 5.0)]),
        sweep=np.hstack([invented_modes.sweep, np.full((6, 2), 0.1)]),
        volume=np.append(invented_modes.volume, [0.02, 0.02]),
    )
    assert np.array_equal(
        render(more, cherry_top, options=ALONE).samples,
        render(invented_modes, cherry_top, options=ALONE).samples,
    )


def test_the_same_drum_sounds_the_same_every_time(invented_modes, cherry_top):
    first, again = render(invented_modes, cherry_top), render(invented_modes, cherry_top)
    assert np.array_equal(first.samples, again.samples)


def test_tongues_sound_from_low_to_high_unless_an_order_is_given(invented_modes, cherry_top):
    preview = render(invented_modes, cherry_top)
    own = invented_modes.hz[np.argmax(np.abs(invented_modes.strike * invented_modes.volume), axis=1)]
    assert list(preview.order) == list(np.argsort(own))
    given = render(invented_modes, cherry_top, order=[3, 1], options=ALONE)
    assert [h.tongue for h in given.hits] == [3, 1]
    assert len(given.contact_ms) == 2


def test_the_ring_made_in_blocks_is_the_sum_of_its_exponentials():
    pole = np.array([-3.0 + 900.0j, -20.0 + 5000.0j])
    ring = np.array([1.0 - 0.5j, 0.3 + 0.2j])
    t = np.arange(10000) / RATE
    assert FreeRing(pole, RATE).samples(ring, 10000) == pytest.approx(
        sum(np.real(c * np.exp(s * t)) for c, s in zip(ring, pole, strict=True)), abs=1e-12
    )


def test_the_preview_says_what_it_was_played_with(invented_modes, cherry_top):
    words = render(invented_modes, cherry_top).in_words()
    assert words.startswith(
        "Mallet: hard rubber (a rubber ball of about Shore A 85, 24 mm or 15/16 in across, 11 g), 1 m/s;"
    )
    assert "ms on a board that does not give" in words


@pytest.mark.refusal
def test_a_drum_without_tongues_or_modes_cannot_be_heard(invented_modes, cherry_top):
    with pytest.raises(SoundError, match="0 tongues and 12 modes up to 18000 Hz"):
        render(_only(invented_modes), cherry_top)
    mute = replace(invented_modes, sweep=np.zeros((6, 12)))
    with pytest.raises(SoundError, match="pushes any air"):
        render(mute, cherry_top)
