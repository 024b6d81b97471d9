"""[top.elastic], [box.elastic], [bottom.elastic]: the maker's own constants of a wood, in the file.

All of them or some: those that are left out are the species' own. The names in the file are shorter than those
in `Elastic`. Bounds are wide, our own judgement, and catch a slipped decimal point.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import create_model

from kerftone.drum.values import Table, Within
from kerftone.wood.elastic import Elastic

OWN_WOOD = "own values"
"""The name of a wood given only by its constants."""


@dataclass(frozen=True)
class Constant:
    """One constant: the field of `Elastic` it fills, its bounds, what it is."""

    field: str
    within: Within
    about: str


CONSTANTS = {
    "e_l": Constant("e_l_gpa", Within(0.1, 100.0, "GPa"), "stiffness along the grain"),
    "e_r": Constant("e_r_gpa", Within(0.01, 100.0, "GPa"), "stiffness across the growth rings"),
    "e_t": Constant("e_t_gpa", Within(0.01, 100.0, "GPa"), "stiffness along the growth rings"),
    "g_lr": Constant(
        "g_lr_gpa", Within(0.001, 50.0, "GPa"), "shear stiffness, along the grain and across the rings"
    ),
    "g_lt": Constant(
        "g_lt_gpa", Within(0.001, 50.0, "GPa"), "shear stiffness, along the grain and along the rings"
    ),
    "g_rt": Constant("g_rt_gpa", Within(0.001, 50.0, "GPa"), "shear stiffness in the end grain"),
    "nu_lr": Constant(
        "nu_lr", Within(-1.0, 2.0, ""), "Poisson's ratio: pulled along the grain, across the rings"
    ),
    "nu_lt": Constant(
        "nu_lt", Within(-1.0, 2.0, ""), "Poisson's ratio: pulled along the grain, along the rings"
    ),
    "nu_rt": Constant("nu_rt", Within(-1.0, 2.0, ""), "Poisson's ratio: pulled across the rings, along them"),
    "density": Constant("density_kg_m3", Within(80.0, 3000.0, "kg/m3"), "density"),
}
"""The ten constants by their names in the file."""

ABOUT = "this very wood, in place of the species' mean: GPa, no unit, kg/m3"

_KEYS: dict[str, Any] = {
    key: (Annotated[float | None, constant.within], None) for key, constant in CONSTANTS.items()
}
ElasticTable: type[Table] = create_model("ElasticTable", __base__=Table, **_KEYS)
"""The table as it is read."""


def elastic_keys(elastic: Elastic) -> dict[str, float]:
    """The ten constants under the names the file uses."""
    return {key: getattr(elastic, constant.field) for key, constant in CONSTANTS.items()}


def constant_words(name: str) -> str:
    """What a constant is, in words, by its name in the file or in `Elastic`.

    >>> constant_words("g_rt"), constant_words("e_l_gpa")
    ('shear stiffness in the end grain', 'stiffness along the grain')
    """
    by_field = {one.field: one.about for one in CONSTANTS.values()}
    return CONSTANTS[name].about if name in CONSTANTS else by_field.get(name, name)


def gaps_in_words(names: Sequence[str]) -> list[str]:
    """Which of these constants a maker need know of, in few words; what a pull does to the width goes with the rest.

    >>> gaps_in_words(["e_t", "g_rt", "g_lt", "nu_rt"])
    ['stiffness across the grain', 'shear stiffness']
    """
    said = {"e": "stiffness across the grain", "g": "shear stiffness"}
    if "e_l" in names:
        said["e"] = "stiffness"
    found = [words for letter, words in said.items() if any(name.startswith(f"{letter}_") for name in names)]
    return found or (["Poisson's ratio"] if names else [])
