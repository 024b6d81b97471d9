"""How far off the real board may be: the ± beside every pitch.

A species is known by its mean; a board scatters about it. The constants of one board are taken as
lognormal: all its stiffnesses move together (coefficient of variation 22 %, Wood Handbook Table 5-6, from
memory), its density by 10 % (same table), and a constant the handbook does not give for the species scatters
further on its own. Heavier boards are stiffer: the handbook's hardwood relation E ~ G^0.7 (Table 5-11, from
memory) makes 0.7 · 10 % of the 22 % common to both, a correlation of 0.32. The walls and the bottom are
boards of their own, independent of the top.

The ± is one standard deviation, in cents, to first order.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.wood.elastic import CONSTANTS
from kerftone.wood.species import Scatter

DENSITY_POWER = 0.7
"""Of stiffness by specific gravity among hardwoods: Wood Handbook, Table 5-11, from memory."""
MODULI = tuple(name for name in CONSTANTS if name[:2] in ("e_", "g_"))


def covariance(scatter: Scatter) -> Array:
    """The covariance of the natural logarithms of one board's constants, in the order of `CONSTANTS`."""
    if scatter.measured is not None:
        return np.array(scatter.measured)
    shared = np.array([1.0 if name in MODULI else 0.0 for name in CONSTANTS])
    dense = np.array([1.0 if name == "density_kg_m3" else 0.0 for name in CONSTANTS])
    together = DENSITY_POWER * scatter.density
    common = np.outer(shared, shared) * scatter.stiffness**2 + np.outer(dense, dense) * scatter.density**2
    both = np.outer(shared, dense) * together * scatter.density
    own = dict(scatter.own)
    alone = [own.get(_file_name(name), 0.0) ** 2 for name in CONSTANTS]
    return np.asarray(common + both + both.T + np.diag(alone))


def _file_name(constant: str) -> str:
    return constant.removesuffix("_gpa").removesuffix("_kg_m3")


def scatters(drum: Drum) -> dict[str, Scatter]:
    """The scatter of each part of the drum, by the parts' names in `wood_gradients`."""
    parts = {"top": drum.top.scatter, "box": drum.box.scatter}
    return parts if drum.bottom is None else parts | {"bottom": drum.bottom.scatter}


def untested(drum: Drum) -> dict[str, Scatter]:
    """The same as if the top's board had never been tapped."""
    top = drum.top.untested or drum.top.scatter
    return scatters(drum) | {"top": top}


def covariance_cents(gradients: Mapping[str, Array], parts: Mapping[str, Scatter]) -> Array:
    """How modes may be off, each and together, from what is not known of the wood: cents².

    `gradients`: how they answer to it, see `sensitivity.wood_gradients`. `parts`: the scatter of each part.
    """
    together = sum(
        gradients[part] @ covariance(scatter) @ gradients[part].T for part, scatter in parts.items()
    )
    return np.asarray(together)


def spreads_cents(gradients: Mapping[str, Array], parts: Mapping[str, Scatter]) -> tuple[float, ...]:
    """The ± of each of these modes, one standard deviation in cents; as above."""
    return tuple(float(value) for value in np.sqrt(np.diag(covariance_cents(gradients, parts))))
