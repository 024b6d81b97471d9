"""The same drum, its box or a tongue a little stiffer: modes again in half a millisecond.

What is not known of a drum's wood is mostly how stiff its box is against its top, and each tongue against the
others. In the lowest modes of the drum as modelled, both are a few numbers a mode: how much of its energy lies in
the frame and in each tongue (with the products between modes). So a drum with another box and other tongues is a
dense problem of some thirty unknowns, and hundreds of them can be asked what a tongue would sound.

Factors are those of stiffness. Good for changes of a third; held by tests/modal/test_detuned.py against the assembled
drum itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg import eigh

from kerftone.modal.frame import Assembly
from kerftone.modal.notes import weights
from kerftone.modal.result import Array, Modes

KEPT = 40
"""How many of the lowest modes the changed drum may move in."""


@dataclass(frozen=True, kw_only=True)
class Detuned:
    """A drum's own modes, and the shares of their stiffness: of the frame (n, n), and of each tongue (t, n, n).

    probes (t, 9, n): strain and motion where a shaving is thought taken from each tongue, see TongueModel. factors
    (t,): how many times as stiff as the board each tongue's wood is.
    """

    modes: Modes
    frame: Array
    tongues: Array
    probes: Array
    factors: Array

    def changed(self, frame: float = 1.0, tongues: Array | None = None) -> Detuned:
        """The same when the frame is so many times as stiff, and each tongue (t,)."""
        own = (2.0 * math.pi * self.modes.hz) ** 2
        stiff = np.diag(own) + (frame - 1.0) * self.frame
        if tongues is not None:
            stiff = stiff + np.tensordot(tongues - 1.0, self.tongues, axes=1)
        values, mix = eigh(stiff)
        modes = replace(
            self.modes,
            hz=np.sqrt(np.maximum(values, 1e-9)) / (2.0 * math.pi),
            strike=self.modes.strike @ mix,
            sweep=self.modes.sweep @ mix,
            volume=self.modes.volume @ mix,
        )
        factors = np.ones(len(self.tongues)) if tongues is None else tongues
        return Detuned(
            modes=modes,
            frame=mix.T @ (frame * self.frame) @ mix,
            tongues=factors[:, None, None] * (mix.T @ self.tongues @ mix),
            probes=np.sqrt(_of_energy(factors))[:, :, None] * (self.probes @ mix),
            factors=factors * self.factors,
        )

    def heard_hz(self, tongue: int) -> float:
        """What a tongue sounds: the heaviest mode, see `notes.read_notes`."""
        return float(self.modes.hz[np.argmax(weights(self.modes)[tongue])])

    def shares(self) -> Array:
        """How much of the stiffness of each tongue's own note lies in its own wood (t,), 0 to 1.

        Its note rises by 600 cents times that for each doubling of its wood's stiffness, to first order.
        """
        own = np.argmax(weights(self.modes), axis=1)
        energies = self.tongues[np.arange(len(own)), own, own]
        return np.asarray(energies / (2.0 * math.pi * self.modes.hz[own]) ** 2)

    def shaved(self, modes: Array) -> Array:
        """How far each of these modes rises when each tongue is shaved near its tip (t, modes): see
        Assembly.shaved."""
        local = self.probes[:, :, modes]
        energy, motion = (local[:, :6] ** 2).sum(axis=1), (local[:, 6:] ** 2).sum(axis=1)
        return np.asarray(motion - energy / (2.0 * math.pi * self.modes.hz[modes]) ** 2)


def _of_energy(factors: Array) -> Array:
    """What the rows of a probe are multiplied by: six of strain by the stiffness, three of motion by nothing."""
    return np.concatenate([np.repeat(factors[:, None], 6, axis=1), np.ones((len(factors), 3))], axis=1)


def detuned(model: Assembly) -> Detuned:
    """What is needed to change a drum's wood, from its frame-and-tongues model."""
    modes = model.modes(KEPT)
    # The assembly's eigenvalues are scaled mode by mode to the full solve; so are its stiffnesses here.
    scale = 2.0 * math.pi * modes.hz / np.sqrt(model.values[:KEPT])
    shapes = model.shapes[:KEPT, : len(model.frame.stiffness)] * scale[:, None]
    factors = np.array(model.stiffer or (1.0,) * len(model.tongues))
    parts = [model.part(number)[:KEPT] for number in range(len(model.tongues))]
    scaled = [part * scale[:, None] for part in parts]
    energies = [part @ tongue.stiffness @ part.T for part, tongue in zip(scaled, model.tongues, strict=True)]
    probes = np.array([tongue.probe @ part.T for part, tongue in zip(parts, model.tongues, strict=True)])
    probes[:, :6] *= scale
    return Detuned(
        modes=modes,
        frame=shapes @ model.frame.stiffness @ shapes.T,
        tongues=factors[:, None, None] * np.array(energies),
        probes=np.sqrt(_of_energy(factors))[:, :, None] * probes,
        factors=factors,
    )
