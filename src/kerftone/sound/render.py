"""What the drum will sound like: from its modes to the samples of a sound.

Each blow is worked out by `strike.py`; after it every mode is an exactly known dying sinusoid. What is
heard close to the struck tongue is proportional to its volume acceleration: each mode weighs in with how
well the blow drives it, how much air that tongue then pushes, and its frequency squared. That is the rule by
which a mode is called a tongue's note; from far off, neighbours moving the other way would cancel part of
it. Only the level is free: the whole is brought to a stated peak. Modes above 18 kHz are left out.

The blows add up (each struck as if the wood were at rest). A preview, not a recording: no room, no air
resonance of the box, no knock of the stick, and only as many modes as the model has computed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Top
from kerftone.errors import KerftoneError
from kerftone.modal.result import Modes
from kerftone.sound import decay
from kerftone.sound.air import Air
from kerftone.sound.mallet import HARD_RUBBER, Mallet, rigid_contact_ms
from kerftone.sound.score import PAUSE_S, Hit, in_turn, phrase
from kerftone.sound.strike import Blow, Ringing, strike
from kerftone.units import inch_fraction

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

HIGHEST_HZ = 18000.0
"""Above it hardly anybody hears: from memory."""
TAIL_DB = -100.0
"""A mode is sounded until it has fallen by so much from the blow, below what a quiet room leaves. Own judgement."""
FADE_S = 0.05
"""The last of the sound is faded over this, so that it does not end in a click. Own judgement."""
BLOCK = 4096
"""Samples made at once: a few megabytes for all modes of a drum. Own judgement."""


class SoundError(KerftoneError):
    """There is no tongue, or no mode, to hear."""


@dataclass(frozen=True, kw_only=True)
class PreviewOptions:
    """How the preview is played and how loud it is written.

    with_phrase False leaves each tongue in turn only. The peak is in dB below full scale. held_loss (n,): what hands,
    feet or a lap take of each mode besides, as 1/Q; None: nothing.
    """

    rate_hz: int = 48000
    speed_m_s: float = 1.0
    spacing_s: float = 1.2
    with_phrase: bool = True
    peak_dbfs: float = -3.0
    air: Air = field(default_factory=Air)
    held_loss: Array | None = None


@dataclass(frozen=True, kw_only=True)
class Preview:
    """The sound, and what went into it.

    samples (m,): -1 to 1. hits: what was struck when. order (t,): tongues as sounded in turn, by their
    place in the drum's list. contact_ms, knocks (t,): in that order, how long the mallet first touches and
    how often it does, at the full speed. rigid_contact_ms: the touch on a board that does not give. hz,
    t60_s (n,): the modes sounded and how long each takes to fall by 60 dB. pascal_at_1_m: the pressure a
    metre away that the peak stands for, a monopole's.
    """

    samples: Array
    rate_hz: int
    mallet: Mallet
    hits: tuple[Hit, ...]
    order: tuple[int, ...]
    contact_ms: Array
    knocks: NDArray[np.intp]
    rigid_contact_ms: float
    hz: Array
    t60_s: Array
    pascal_at_1_m: float

    def in_words(self) -> str:
        """What was played with what, in a sentence or two for the maker."""
        m = self.mallet
        shortest, longest = f"{np.min(self.contact_ms):.1f}", f"{np.max(self.contact_ms):.1f}"
        touch = shortest if shortest == longest else f"{shortest} to {longest}"
        across = 2.0 * m.radius_mm
        twice = int(np.sum(self.knocks > 1))
        again = f" Tongues that come back and meet it a second time: {twice}." if twice else ""
        return (
            f"Mallet: {m.name} ({m.head}, {across:g} mm or {inch_fraction(across, parts=16)} in across, "
            f"{m.mass_g:g} g), {max(h.speed_m_s for h in self.hits):g} m/s; it touches for {touch} ms "
            f"({self.rigid_contact_ms:.1f} ms on a board that does not give).{again}"
        )


def render(
    modes: Modes,
    top: Top,
    *,
    mallet: Mallet = HARD_RUBBER,
    order: Sequence[int] | None = None,
    options: PreviewOptions | None = None,
) -> Preview:
    """What the drum sounds like, each tongue in turn and then in a short phrase.

    Raises SoundError when no tongue or no mode can sound. Held by
    tests/sound/test_render.py.

    Parameters
    ----------
    modes : Modes
        Of the drum, as they are heard.
    top : Top
        The top, for the losses of its wood and the push of the mallet.
    mallet : Mallet, optional
        What strikes it.
    order : Sequence[int], optional
        Tongues by their place in the drum's list, from 0, lowest note first; without it sorted by the mode in
        which a blow makes each push most air.
    options : PreviewOptions, optional
        How fast, how loud, in which air.
    """
    options = options or PreviewOptions()
    chosen = tuple(order) if order is not None else _by_pitch(_voice(modes, top, options))
    return render_hits(modes, top, _score(chosen, options), mallet=mallet, options=options)


def render_hits(
    modes: Modes,
    top: Top,
    hits: tuple[Hit, ...],
    *,
    mallet: Mallet = HARD_RUBBER,
    options: PreviewOptions | None = None,
) -> Preview:
    """What the drum sounds like when it is played so. The contacts told are those of each tongue's first blow.

    Raises SoundError when nothing is struck, and when no tongue or no mode can sound.

    Parameters
    ----------
    modes : Modes
        Of the drum, as they are heard.
    top : Top
        The top, for the losses of its wood and the push of the mallet.
    hits : tuple[Hit, ...]
        Which tongue is struck when (s) and how fast (m/s).
    mallet : Mallet, optional
        What strikes it.
    options : PreviewOptions, optional
        Sample rate and air.
    """
    options = options or PreviewOptions()
    if not hits:
        raise SoundError("Nothing has been struck. A sound needs one blow at least: strike a tongue.")
    voice = _voice(modes, top, options)
    chosen = tuple(dict.fromkeys(hit.tongue for hit in hits))
    places = {key: i for i, key in enumerate(dict.fromkeys((h.tongue, h.speed_m_s) for h in hits))}
    blow = Blow(
        tongue=np.array([tongue for tongue, _ in places]),
        speed_m_s=np.array([speed for _, speed in places]),
        mallet=mallet,
        top=top,
        rate_hz=options.rate_hz,
    )
    rung = strike(shape=voice.shape, volume=voice.sweep[blow.tongue], poles=voice.pole, blow=blow)
    samples = _mix([(h.at_s, places[h.tongue, h.speed_m_s]) for h in hits], rung, voice, options.rate_hz)
    peak = float(np.max(np.abs(samples)))
    if peak == 0.0:
        raise SoundError(
            "None of the modes these blows drive pushes any air. A sound needs one that does: "
            "compute more modes."
        )
    first = {hit.tongue: places[hit.tongue, hit.speed_m_s] for hit in reversed(hits)}
    full = [first[tongue] for tongue in chosen]
    return Preview(
        samples=samples * (10.0 ** (options.peak_dbfs / 20.0) / peak),
        rate_hz=options.rate_hz,
        mallet=mallet,
        hits=hits,
        order=chosen,
        contact_ms=rung.contact_ms[full],
        knocks=rung.knocks[full],
        rigid_contact_ms=rigid_contact_ms(mallet, top, speed_m_s=options.speed_m_s),
        hz=voice.hz,
        t60_s=decay.t60_s(voice.hz, voice.loss),
        pascal_at_1_m=peak * options.air.pressure_per_volume_acceleration(distance_m=1.0),
    )


@dataclass(frozen=True, kw_only=True)
class Spots:
    """Places that are struck. lift (p, n): how far each mode lifts them, kg^-1/2. push (p, n): the air that each
    mode then pushes as heard of that strike, m² kg^-1/2: a tongue's own, or the whole drum's beside the tongues."""

    lift: Array
    push: Array


def single_blows(
    modes: Modes, top: Top, spots: Spots, *, mallet: Mallet, options: PreviewOptions | None = None
) -> list[Array]:
    """Each of these places struck once at the options' speed, as a sound of its own, silent before the touch.

    All on one scale, volume acceleration in m³/s², so that what is louder stays louder. The list has an array for
    each place. Held by tests/sound/test_single_blows.py.

    Parameters
    ----------
    modes : Modes
        Of the drum, as they are heard.
    top : Top
        The top, for the losses of its wood and the push of the mallet.
    spots : Spots
        Where it is struck, and what air that pushes.
    mallet : Mallet
        What strikes it.
    options : PreviewOptions, optional
        Sample rate, speed of the blow and air.
    """
    options = options or PreviewOptions()
    voice = _voice(replace(modes, strike=spots.lift, sweep=spots.push), top, options)
    count = len(spots.lift)
    blow = Blow(
        tongue=np.arange(count),
        speed_m_s=np.full(count, options.speed_m_s),
        mallet=mallet,
        top=top,
        rate_hz=options.rate_hz,
    )
    rung = strike(shape=voice.shape, volume=voice.sweep, poles=voice.pole, blow=blow)
    return _notes(rung, voice, options.rate_hz)


@dataclass(frozen=True, kw_only=True)
class _Voice:
    """The modes that are heard: shape where struck and own sweep (t, n); volume, loss and pole (n,)."""

    hz: Array
    shape: Array
    sweep: Array
    volume: Array
    loss: Array
    pole: Complex


def _voice(modes: Modes, top: Top, options: PreviewOptions) -> _Voice:
    hz = np.asarray(modes.hz, dtype=float)
    heard = (hz > 0.0) & (hz <= HIGHEST_HZ)
    hz = hz[heard]
    shape = np.asarray(modes.strike, dtype=float)[:, heard]
    sweep = np.asarray(modes.sweep, dtype=float)[:, heard]
    volume = np.asarray(modes.volume, dtype=float)[heard]
    if shape.size == 0:
        raise SoundError(
            f"The drum has {shape.shape[0]} tongues and {len(hz)} modes up to {HIGHEST_HZ:g} Hz. "
            "A sound needs at least one of each: add a tongue, or compute more modes."
        )
    loss = decay.wood_loss(hz, top) + decay.radiation_loss(hz, volume, options.air)
    if options.held_loss is not None:
        loss = loss + np.asarray(options.held_loss, dtype=float)[heard]
    return _Voice(hz=hz, shape=shape, sweep=sweep, volume=volume, loss=loss, pole=decay.poles(hz, loss))


def _by_pitch(voice: _Voice) -> tuple[int, ...]:
    """Tongues from low to high, each at the mode in which a blow makes it push most air itself."""
    notes = voice.hz[np.argmax(np.abs(voice.shape * voice.sweep), axis=1)]
    return tuple(int(t) for t in np.argsort(notes, kind="stable"))


def _score(order: tuple[int, ...], options: PreviewOptions) -> tuple[Hit, ...]:
    singles = in_turn(order, spacing_s=options.spacing_s, speed_m_s=options.speed_m_s)
    if not options.with_phrase:
        return singles
    starts = singles[-1].at_s + options.spacing_s + PAUSE_S
    return (*singles, *phrase(order, starts_s=starts, speed_m_s=options.speed_m_s))


def _mix(placed: list[tuple[float, int]], rung: Ringing, voice: _Voice, rate_hz: int) -> Array:
    """Lay the blows on the time line, each until it is 100 dB down, and fade out the end."""
    notes = _notes(rung, voice, rate_hz)
    starts = [round(at_s * rate_hz) for at_s, _ in placed]
    out = np.zeros(max(start + len(notes[i]) for start, (_, i) in zip(starts, placed, strict=True)))
    for start, (_, i) in zip(starts, placed, strict=True):
        out[start : start + len(notes[i])] += notes[i]
    return out


def _notes(rung: Ringing, voice: _Voice, rate_hz: int) -> list[Array]:
    """Each blow as sound of its own, cut where it is 100 dB down, with the last bit faded to nothing."""
    loudest = np.sum(np.abs(rung.ring), axis=1)
    freely = FreeRing(voice.pole, rate_hz)
    fade = round(FADE_S * rate_hz)
    window = 0.5 + 0.5 * np.cos(np.pi * (np.arange(fade) + 1) / fade)
    notes = []
    for attack, ring, loud in zip(rung.attack, rung.ring, loudest, strict=True):
        count = _audible_samples(ring, voice, loud, rate_hz) + fade
        note = np.concatenate([attack, freely.samples(ring, count)])
        note[-fade:] *= window
        notes.append(note)
    return notes


def _audible_samples(ring: Complex, voice: _Voice, loud: float, rate_hz: int) -> int:
    """Until when any mode of this blow is above the cut: 100 dB under the blow's own first amplitude."""
    level_db = 20.0 * np.log10(np.maximum(np.abs(ring), 1e-300) / max(loud, 1e-300))
    fall_db_s = 60.0 / decay.t60_s(voice.hz, voice.loss)
    return round(rate_hz * float(np.max(np.maximum(level_db - TAIL_DB, 0.0) / fall_db_s)))


class FreeRing:
    """What modes left to themselves sound like: the real part of the sum of ring exp(pole t).

    Exact: the exponentials of one block are made once, and each block starts from its own exact phasors.
    """

    def __init__(self, pole: Complex, rate_hz: int) -> None:
        """Make the exponentials of one block: pole (n,), per second."""
        self.pole = pole
        self.rate_hz = rate_hz
        within = np.exp(np.outer(pole, np.arange(BLOCK) / rate_hz))
        self.within = np.concatenate([within.real, -within.imag])

    def samples(self, ring: Complex, count: int) -> Array:
        """The first count samples from these complex amplitudes (n,)."""
        blocks = max(1, -(-count // BLOCK))
        starts = ring * np.exp(np.outer(np.arange(blocks) * (BLOCK / self.rate_hz), self.pole))
        sound = np.concatenate([starts.real, starts.imag], axis=1) @ self.within
        return np.asarray(sound.ravel()[:count])
