"""The free motions of wood and air: their frequencies, how fast they die, and what they are made of.

Found first with the air outside as at one frequency (a plain eigenproblem), then each by Newton's method on its own
frequency: with T complex symmetric, x T x = 0 gives the frequency of a motion x, and T^-1 T' x a better motion.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.air.coupled import Coupled

Array = NDArray[np.floating[Any]]
Complex = NDArray[np.complexfloating[Any, Any]]
STEPS, GOOD = 12, 1e-9
"""Steps of Newton's method, and the change of frequency at which it has settled. Own judgement."""
NUDGE = 1e-5
"""The share of its frequency by which a slope is taken: far above rounding, far below what bends it."""
RIGID_HZ = 20.0
"""Motions below this are the drum moving as a whole, or flows round in a circle."""


@dataclass(frozen=True, kw_only=True)
class Pole:
    """One free motion. omega: exp(-i omega t), so that its imaginary part is negative. shape (m,), of unit mass.

    wood: the share of its energy of motion that is in the wood.
    """

    omega: complex
    shape: Complex
    wood: float

    @property
    def hz(self) -> float:
        """Its frequency."""
        return self.omega.real / (2.0 * np.pi)

    @property
    def q(self) -> float:
        """How slowly it dies of all that takes energy here."""
        return self.omega.real / max(-2.0 * self.omega.imag, 1e-300)


def poles(system: Coupled, *, near_hz: float, up_to_hz: float) -> tuple[Pole, ...]:
    """All free motions up to a frequency, rising.

    Held by tests/air/test_poles.py.

    Parameters
    ----------
    system : Coupled
        Wood and air.
    near_hz : float
        Where the first guess is best, in Hz: the system is made linear there.
    up_to_hz : float
        Motions above it are left out, in Hz.
    """
    stiff, mass = system.near(2.0 * np.pi * near_hz)
    values, shapes = np.linalg.eig(np.linalg.solve(mass, stiff))
    shapes = shapes[: len(system.stiff)]
    omegas = np.sqrt(values)
    hz = omegas.real / (2.0 * np.pi)
    found: list[Pole] = []
    for number in np.flatnonzero((hz > RIGID_HZ) & (hz < up_to_hz)):
        pole = refined(system, complex(omegas[number]), shapes[:, number])
        if pole is not None and not any(abs(pole.omega - one.omega) < 1e-6 * abs(one.omega) for one in found):
            found.append(pole)
    return tuple(sorted(found, key=lambda pole: pole.hz))


def refined(system: Coupled, guess: complex, shape: Array | Complex) -> Pole | None:
    """The free motion next to a guess; None where Newton's method does not settle.

    Parameters
    ----------
    system : Coupled
        Wood and air.
    guess : complex
        The complex angular frequency to begin from, in rad/s.
    shape : Array | Complex
        The motion to begin from, (unknowns,); any size.
    """
    x, omega = shape.astype(complex), guess
    for _ in range(STEPS):
        at: Complex = system.system(omega)
        step = NUDGE * abs(omega)
        slope = (system.system(omega + step) - at) / step
        try:
            x = np.linalg.solve(at, slope @ x)
        except np.linalg.LinAlgError:  # the guess is the answer to the last bit: a motion that pushes no air
            break
        x /= np.linalg.norm(x)
        change = (x @ at @ x) / (x @ slope @ x)
        omega = complex(omega - change)
        if abs(change) < GOOD * abs(omega):
            break
    else:
        return None
    x = x / np.sqrt(-(x @ slope @ x) / (2.0 * omega))
    wood = float(np.sum(np.abs(x[: system.wood]) ** 2))
    whole = float(np.real(x.conj() @ system.mass @ x))
    return Pole(omega=complex(omega), shape=x, wood=wood / max(whole, 1e-300))
