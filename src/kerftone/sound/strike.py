"""What one blow does to the tongue: the push of the mallet in time, and the ringing it leaves behind.

The mallet is a free mass flying at the wood; between the two sits Hertz's contact spring; the wood is
its modes. A tongue gives way under the blow (its tip weighs little more than the mallet), so the touch
is longer or shorter than on an unyielding block, and a light tongue may come back and knock twice:
both come out of stepping the motion. Then the modes ring freely and are known exactly.

Steps: half a push, a free flight, half a push. The free flight of every mode is exact, damping
included; the error falls with the square of the step. Modes above 18 kHz are left out. The hand
is left out (no force on the stick while it touches), and so is wood already ringing from an earlier blow.
Strikes are taken together: arrays are strikes × modes (s, n). Down is positive for mallet and push.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Top
from kerftone.sound.mallet import Mallet, contact_stiffness, rigid_contact_ms

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

STEPS_PER_CONTACT = 240
"""Held by the test of step halving in tests/sound/test_strike.py."""
# After this the player has lifted the mallet: once off the wood it stays off.
LIFTED_S = 0.030
# No touch lasts longer: a bound for the loop, far above any real blow (slowest here: some 6 ms).
LONGEST_S = 0.200


@dataclass(frozen=True, kw_only=True)
class Blow:
    """Which tongues are struck how, with what: tongue (s,), speed_m_s (s,)."""

    tongue: NDArray[np.intp]
    speed_m_s: Array
    mallet: Mallet
    top: Top
    rate_hz: int = 48000
    steps_per_contact: int = STEPS_PER_CONTACT


@dataclass(frozen=True, kw_only=True)
class Ringing:
    """What s strikes leave behind.

    force_n (s, m): the push at each audio sample until the last mallet is off. attack (s, m): volume
    acceleration of the swinging wood at those samples, m³/s². ring (s, n): complex volume acceleration of
    each mode at the sample after the last of them; from there each turns by its own pole. contact_ms (s,):
    of the first touch. knocks (s,): how many separate touches. speed_after_m_s (s,): of the mallet, down
    positive. energy_j (s,): in the modes after the blow.
    """

    force_n: Array
    attack: Array
    ring: Complex
    contact_ms: Array
    knocks: NDArray[np.intp]
    speed_after_m_s: Array
    energy_j: Array


@dataclass
class _Motion:
    """The moving state between steps: modal phasors z = q' - conj(pole) q, and the mallets."""

    z: Complex
    depth_m: Array
    speed_m_s: Array
    force_n: Array
    lifted: NDArray[np.bool_]


def strike(*, shape: Array, volume: Array, poles: Complex, blow: Blow) -> Ringing:
    """What happens when these tongues are struck: the push, the sound of the attack, the ringing after.

    shape (t, n): vertical motion of the modes where each tongue is struck, kg^-1/2. volume (n,) or (s, n):
    the volume each mode pushes as heard of each strike, m² kg^-1/2. poles (n,): from `decay.poles`. Held by
    the tests of energy, momentum and step halving in tests/sound/test_strike.py.

    Parameters
    ----------
    shape : Array
        Vertical motion of the modes where each tongue is struck, (t, n), in kg^-1/2.
    volume : Array
        What each mode pushes as heard of each strike, (n,) or (s, n), in m² kg^-1/2.
    poles : Complex
        (n,), per second, from `decay.poles`.
    blow : Blow
        Which tongues are struck how, with what.
    """
    u = np.asarray(shape, dtype=float)[blow.tongue]
    step_s, per_sample = _step(blow)
    stiffness = contact_stiffness(blow.mallet, blow.top)
    mass = 1e-3 * blow.mallet.mass_g
    flight = np.exp(poles * step_s)
    s = len(u)
    m = _Motion(
        z=np.zeros((s, len(poles)), dtype=complex),
        depth_m=np.zeros(s),
        speed_m_s=np.array(blow.speed_m_s, dtype=float),
        force_n=np.zeros(s),
        lifted=np.zeros(s, dtype=bool),
    )
    log = _Log(poles=poles, volume=np.asarray(volume, dtype=float), strikes=s)
    for i in range(per_sample * math.ceil(LONGEST_S * blow.rate_hz)):
        if i % per_sample == 0:
            log.sample(m)
            if i and _all_off(m, u, poles, i * step_s):
                break
        m.speed_m_s -= 0.5 * step_s / mass * m.force_n
        m.z -= (0.5 * step_s) * m.force_n[:, None] * u
        m.depth_m += step_s * m.speed_m_s
        m.z *= flight
        dent = np.where(m.lifted, 0.0, np.maximum(m.depth_m - _tip_down(m.z, u, poles), 0.0))
        m.force_n = stiffness * dent**1.5
        m.speed_m_s -= 0.5 * step_s / mass * m.force_n
        m.z -= (0.5 * step_s) * m.force_n[:, None] * u
        log.touch(m.force_n > 0.0)
    else:
        log.sample(m)
    return log.ringing(m, poles, step_s)


def _step(blow: Blow) -> tuple[float, int]:
    """Seconds per step, a whole number of steps to an audio sample, fine enough for the shortest touch."""
    fastest = float(np.max(blow.speed_m_s))
    contact_s = 1e-3 * rigid_contact_ms(blow.mallet, blow.top, speed_m_s=fastest)
    per_sample = max(1, math.ceil(blow.steps_per_contact / (contact_s * blow.rate_hz)))
    return 1.0 / (blow.rate_hz * per_sample), per_sample


def _tip_down(z: Complex, u: Array, poles: Complex) -> Array:
    """How far the struck points have gone down: modal motion q is Im z over the damped frequency."""
    return np.asarray(-np.einsum("sn,sn->s", u, z.imag / poles.imag))


def _all_off(m: _Motion, u: Array, poles: Complex, time_s: float) -> bool:
    """Whether no mallet can touch again; marks those that are off for good.

    A mallet flying up that is already higher than the struck point can ever swing stays off.
    """
    reach = np.sum(np.abs(u) * np.abs(m.z) / poles.imag, axis=1)
    away = (m.speed_m_s <= 0.0) & (m.depth_m < -reach)
    m.lifted |= (m.force_n == 0.0) & (away | (time_s > LIFTED_S))
    return bool(np.all(m.lifted))


class _Log:
    """What is written down on the way: the push and the sound at the audio samples, and the touches.

    The sound is the volume acceleration of the swinging alone. From z: q' = Re((1 + i a/w) z) with pole
    -a + i w, and of itself z' = pole z. While the mallet touches, its push adds -u F to q''. That is left
    out: in the modes too high to be computed push and spring cancel, so that the sum over the low ones would
    be a knock that the whole board does not make.
    """

    def __init__(self, *, poles: Complex, volume: Array, strikes: int) -> None:
        """Start with nothing written."""
        self.gain = volume * poles * (1.0 - 1j * poles.real / poles.imag)
        self.force: list[Array] = []
        self.sound: list[Array] = []
        self.first_steps = np.zeros(strikes, dtype=np.intp)
        self.knocks = np.zeros(strikes, dtype=np.intp)
        self.touching = np.zeros(strikes, dtype=bool)

    def sample(self, m: _Motion) -> None:
        """Keep the push and the sound at one audio sample."""
        self.force.append(m.force_n.copy())
        self.sound.append(np.real((m.z * self.gain).sum(axis=1)))

    def touch(self, touching: NDArray[np.bool_]) -> None:
        """Keep how long each mallet first touched, and how often it came back."""
        self.knocks += touching & ~self.touching
        self.first_steps += touching & (self.knocks == 1)
        self.touching = touching

    def ringing(self, m: _Motion, poles: Complex, step_s: float) -> Ringing:
        """All that was written, and how the modes ring from the last sample on."""
        return Ringing(
            force_n=np.stack(self.force[:-1], axis=1),
            attack=np.stack(self.sound[:-1], axis=1),
            ring=m.z * self.gain,
            contact_ms=np.asarray(1e3 * step_s * self.first_steps, dtype=np.float64),
            knocks=self.knocks,
            speed_after_m_s=m.speed_m_s,
            energy_j=_energy_j(m.z, poles),
        )


def _energy_j(z: Complex, poles: Complex) -> Array:
    """Kinetic plus spring energy of the modes: q'²/2 + |pole|² q²/2, summed."""
    q = z.imag / poles.imag
    speed = z.real + poles.real * q
    return np.asarray(0.5 * np.sum(speed**2 + np.abs(poles) ** 2 * q**2, axis=1))
