"""The nine elastic constants and the density of one piece of wood.

L is along the grain, R across the growth rings, T along them. nu_ij is minus the strain along j
over the strain along i when the wood is pulled along i, the convention of the Wood Handbook
(FPL-GTR-282, ch. 5).

Matrices here act on six engineering components in the order LL, RR, TT, RT, LT, LR (shear strains are
the engineering ones, twice the tensor's), in GPa or 1/GPa. No solid gives energy away when it is
squeezed, so the matrix must be positive definite; `why_unstable` says in words when it is not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.floating[Any]]

MARGIN = 1e-6
"""How far from the edge of what a solid can be the constants must stay, as the smallest allowed
eigenvalue of the matrix of the scaled Poisson's ratios (which is 1 when there are none)."""


@dataclass(frozen=True, kw_only=True)
class Elastic:
    """Stiffness in GPa, Poisson's ratios without unit, density in kg/m³."""

    e_l_gpa: float
    e_r_gpa: float
    e_t_gpa: float
    g_lr_gpa: float
    g_lt_gpa: float
    g_rt_gpa: float
    nu_lr: float
    nu_lt: float
    nu_rt: float
    density_kg_m3: float

    def compliance(self) -> Matrix:
        """How much the wood gives: strain for stress, 6 by 6, in 1/GPa.

        Components in the order LL, RR, TT, RT, LT, LR, shear strains engineering.
        """
        e_l, e_r, e_t = self.e_l_gpa, self.e_r_gpa, self.e_t_gpa
        give = np.diag([1 / e_l, 1 / e_r, 1 / e_t, 1 / self.g_rt_gpa, 1 / self.g_lt_gpa, 1 / self.g_lr_gpa])
        give[0, 1] = give[1, 0] = -self.nu_lr / e_l
        give[0, 2] = give[2, 0] = -self.nu_lt / e_l
        give[1, 2] = give[2, 1] = -self.nu_rt / e_r
        return give

    def stiffness(self) -> Matrix:
        """How hard the wood resists: stress for strain, 6 by 6, in GPa; order LL, RR, TT, RT, LT, LR.

        Meaningful only when `is_stable`.
        """
        return np.linalg.inv(self.compliance())

    def _poisson_matrix(self) -> Matrix:
        """The direct part of the compliance scaled to a unit diagonal: minus nu_ij times sqrt(E_j/E_i)."""
        lr = -self.nu_lr * math.sqrt(self.e_r_gpa / self.e_l_gpa)
        lt = -self.nu_lt * math.sqrt(self.e_t_gpa / self.e_l_gpa)
        rt = -self.nu_rt * math.sqrt(self.e_t_gpa / self.e_r_gpa)
        return np.array([[1.0, lr, lt], [lr, 1.0, rt], [lt, rt, 1.0]])

    def poisson_scale(self) -> float:
        """How much the three Poisson's ratios together could grow before no solid could have them.

        Above 1 the constants are sound; at or below 1 the ratios must shrink to less than this share.
        Infinite when all three are zero.
        """
        lowest = float(np.linalg.eigvalsh(self._poisson_matrix() - np.eye(3))[0])
        return math.inf if lowest >= 0.0 else (1.0 - MARGIN) / -lowest

    def is_stable(self) -> bool:
        """Could a solid have these constants: stiffnesses above zero, the compliance positive definite."""
        return self.why_unstable() is None

    def why_unstable(self) -> str | None:
        """Why no solid could have these constants, with the mend; None when all is well."""
        for name, value in vars(self).items():
            if not math.isfinite(value) or (not name.startswith("nu_") and value <= 0.0):
                kind = "a finite number" if name.startswith("nu_") else "a number above zero"
                return f"{name} is {value}. It must be {kind}."
        pairs = (
            ("nu_lr", self.nu_lr, math.sqrt(self.e_l_gpa / self.e_r_gpa), "e_l / e_r"),
            ("nu_lt", self.nu_lt, math.sqrt(self.e_l_gpa / self.e_t_gpa), "e_l / e_t"),
            ("nu_rt", self.nu_rt, math.sqrt(self.e_r_gpa / self.e_t_gpa), "e_r / e_t"),
        )
        for name, value, limit, ratio in pairs:
            if abs(value) >= limit:
                return (
                    f"{name} is {value:g}. No solid has it at or above the square root of {ratio}, here "
                    f"{limit:.3f}: write a smaller {name}."
                )
        scale = self.poisson_scale()
        if scale <= 1.0:
            return (
                f"nu_lr {self.nu_lr:g}, nu_lt {self.nu_lt:g} and nu_rt {self.nu_rt:g} do not go together: "
                "no solid has all three with these stiffnesses. "
                f"Make all three smaller, to {math.floor(scale * 100) / 100:.2f} times what they are."
            )
        return None


CONSTANTS = tuple(field.name for field in fields(Elastic))
"""The names of the constants, in the order of every array of them."""
