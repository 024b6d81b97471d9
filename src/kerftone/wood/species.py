"""What is known about a species of wood before anyone has tapped the board.

The table `species.csv` holds published means and, column by column, how each number is known. From a
row come the elastic constants at 12 % moisture, the scatter between boards of that species, and the
list of constants the source does not give: those are taken from the mean of the hardwoods in the table
that do have them, and scatter more.

Rules, with their sources:

- E_L is 1.10 times the bending modulus (Wood Handbook FPL-GTR-282, note to Table 5-1, read).
- Density at 12 % moisture is 1000 kg/m³ times 1.12 times the specific gravity on oven-dry mass and volume
  at 12 % (the handbook's definition of specific gravity, ch. 4, from memory).
- A specific gravity on green volume is first brought to the volume at 12 %: the wood shrinks by
  26.5 G_b percent of its volume from green to oven-dry, evenly below 30 % moisture (ch. 4, from memory).
- Boards of one species scatter by 22 % in stiffness and 10 % in density, as coefficients of variation
  (Table 5-6, from memory).
"""

from __future__ import annotations

import csv
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import cache
from importlib import resources

from kerftone.errors import Remedy, SpeciesError
from kerftone.wood.elastic import Elastic
from kerftone.wood.names import names_of, nearest_names, plain, species_called, with_yard_name

E_L_PER_MOE = 1.10
"""Stiffness along the grain over the modulus from bending tests, which shear lowers (Wood Handbook, FPL-GTR-282,
ch. 5)."""
STIFFNESS_CV = 0.22
"""Of one board from its species' mean (Wood Handbook, FPL-GTR-282, table of coefficients of variation)."""
DENSITY_CV = 0.10
"""The same for density, same table."""
GREEN_DENSITY_CV = 0.03
"""Added scatter of a density reckoned from green volume: our own estimate. The shrinkage rule may be out
by a third for one species, which is 3 to 4 % in density for the heavy woods."""

RATIOS: Mapping[str, str] = {
    "e_r": "er_el",
    "e_t": "et_el",
    "g_lr": "glr_el",
    "g_lt": "glt_el",
    "g_rt": "grt_el",
    "nu_lr": "nu_lr",
    "nu_lt": "nu_lt",
    "nu_rt": "nu_rt",
}
"""The column of the table behind each elastic constant; the moduli are ratios to E_L."""


ELASTIC_NAMES = tuple(field.name.removesuffix("_gpa").removesuffix("_kg_m3") for field in fields(Elastic))
"""The constants of `Elastic` in its order, without their units."""


@dataclass(frozen=True, kw_only=True)
class Scatter:
    """How far a board may be from the mean, as coefficients of variation (0.22 is 22 %).

    `stiffness` moves all moduli of a board together, `density` its density. `own` pairs each constant
    that was not known for the species with a further scatter of that constant alone: the spread of its
    ratio between the hardwoods that were averaged. For a measured board, `measured` is the covariance of the
    natural logarithms of all constants, in the order of `Elastic`, and stands in place of the rest.
    """

    stiffness: float = STIFFNESS_CV
    density: float = DENSITY_CV
    own: tuple[tuple[str, float], ...] = ()
    measured: tuple[tuple[float, ...], ...] | None = None

    def of(self, constant: str) -> float:
        """The whole scatter of one constant, such as "e_l", "g_lt", "nu_rt" or "density"."""
        if self.measured is not None:
            at = ELASTIC_NAMES.index(constant)
            return float(self.measured[at][at] ** 0.5)
        shared = (
            self.density if constant == "density" else 0.0 if constant.startswith("nu_") else self.stiffness
        )
        return float((shared**2 + dict(self.own).get(constant, 0.0) ** 2) ** 0.5)

    def without(self, constants: frozenset[str]) -> Scatter:
        """The same scatter where the maker has written these constants: no longer unknown ratios."""
        kept = tuple((name, cv) for name, cv in self.own if name not in constants)
        return replace(self, own=kept)


USUAL_SCATTER = Scatter()
"""The scatter of a species all of whose constants are known."""


@dataclass(frozen=True, kw_only=True)
class Species:
    """One row of the table, as published; `source` names the table or sheet behind density and stiffness.

    `sg` is the specific gravity on oven-dry mass; `sg_volume` says on which volume. `ratios` holds what the
    source gives, by the names in `RATIOS`. `known` says how each table's numbers are known ("read" or
    "memory"), by table. `c_r`, `c_t`: change of width per 1 % moisture, radial and tangential; None if
    not given.
    """

    name: str
    botanical: str
    sg: float
    sg_volume: str
    moe12_gpa: float
    ratios: Mapping[str, float]
    c_r: float | None
    c_t: float | None
    known: Mapping[str, str]
    source: str

    @property
    def fallback(self) -> tuple[str, ...]:
        """Which constants the source does not give, so that the mean of the hardwoods stands in."""
        return tuple(name for name in RATIOS if name not in self.ratios)

    @property
    def density_kg_m3(self) -> float:
        """What a cubic metre of it weighs at 12 % moisture, in kg."""
        sg12 = self.sg if self.sg_volume == "12 %" else sg12_from_green(self.sg)
        return 1000.0 * sg12 * 1.12

    def elastic(self) -> Elastic:
        """What a mean board of this species is like at 12 % moisture. Look at `fallback` too."""
        e_l = E_L_PER_MOE * self.moe12_gpa
        ratios = {name: self.ratios.get(name, _hardwood(name)[0]) for name in RATIOS}
        return Elastic(
            e_l_gpa=e_l,
            e_r_gpa=e_l * ratios["e_r"],
            e_t_gpa=e_l * ratios["e_t"],
            g_lr_gpa=e_l * ratios["g_lr"],
            g_lt_gpa=e_l * ratios["g_lt"],
            g_rt_gpa=e_l * ratios["g_rt"],
            nu_lr=ratios["nu_lr"],
            nu_lt=ratios["nu_lt"],
            nu_rt=ratios["nu_rt"],
            density_kg_m3=self.density_kg_m3,
        )

    def scatter(self) -> Scatter:
        """How far a board of this species may be from `elastic`."""
        own = [(name, _hardwood(name)[1]) for name in self.fallback]
        if self.sg_volume == "green":
            own.append(("density", GREEN_DENSITY_CV))
        return Scatter(own=tuple(own))


def sg12_from_green(sg_green: float) -> float:
    """What the specific gravity on the volume at 12 % moisture is, given that on the green volume.

    From green to oven-dry the volume shrinks by 26.5 G_b percent, in proportion to the moisture lost below
    30 %: at 12 % it has shrunk by 18/30 of that. Source: Wood Handbook ch. 4, from memory.
    """
    shrunk = 0.265 * sg_green * (30.0 - 12.0) / 30.0
    return sg_green / (1.0 - shrunk)


def _row(raw: Mapping[str, str]) -> Species:
    green = raw["sg12"].endswith("g")
    return Species(
        name=raw["species"],
        botanical=raw["botanical"],
        sg=float(raw["sg12"].removesuffix("g")),
        sg_volume="green" if green else "12 %",
        moe12_gpa=float(raw["moe12_gpa"]),
        ratios={name: float(raw[column]) for name, column in RATIOS.items() if raw[column]},
        c_r=float(raw["c_r"]) if raw["c_r"] else None,
        c_t=float(raw["c_t"]) if raw["c_t"] else None,
        known={
            "specific gravity, modulus": raw["known_53"],
            "ratios": raw["known_51"],
            "movement": raw["known_135"],
        },
        source=raw["source"],
    )


@cache
def species_table() -> Mapping[str, Species]:
    """All the species the program knows, by name, in the table's order."""
    text = (resources.files("kerftone.wood") / "species.csv").read_text("utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if line and not line.startswith("#"))
    return {row["species"]: _row(row) for row in rows}


@cache
def _hardwood(ratio: str) -> tuple[float, float]:
    """The mean of one ratio over the species that have it, and its coefficient of variation."""
    known = [row.ratios[ratio] for row in species_table().values() if ratio in row.ratios]
    mean = statistics.fmean(known)
    return mean, statistics.stdev(known) / mean


def matching_species(word: str) -> tuple[Species, ...]:
    """All woods one of whose names has this word, or part of a word, in it; as many as there are."""
    wanted = plain(word[:80])
    exact = species_called(word[:80], _botanical())
    return tuple(
        row
        for row in species_table().values()
        if row.name in exact
        or (wanted and any(wanted in plain(one) for one in (row.name, row.botanical, *names_of(row.name))))
    )


@cache
def _botanical() -> Mapping[str, str]:
    return {row.name: row.botanical for row in species_table().values()}


def nearest_species(name: str, *, count: int = 3) -> tuple[str, ...]:
    """Which species are called most like this: by spelling, by any word, by any name they are sold under."""
    return nearest_names(name[:80], _botanical(), count=count)


def find_species(name: str) -> Species:
    """What the table says about this wood, by the table's name or one that a timber yard uses.

    "Black Cherry" is "cherry, black", and so is "cherry"; "hard maple" is "maple, sugar". Raises SpeciesError, which
    offers all the woods that the name may mean, or the nearest names.
    """
    table = species_table()
    if name in table:
        return table[name]
    meant = species_called(name[:80], _botanical())
    if len(meant) == 1:
        return table[meant[0]]
    shown = repr(name if len(name) <= 40 else name[:37] + "...")
    if meant:
        raise SpeciesError(
            f"The wood {shown} may be {_offers(meant)} in the species table. They differ in stiffness and weight: "
            "write the name of the one you have.",
            given=name,
            nearest=meant,
        )
    near = nearest_species(name)
    raise SpeciesError(
        f"The wood {shown} is not in the species table. Nearest there: {_offers(near)}. Write one of those, "
        "or give all ten constants in the elastic table.",
        given=name,
        nearest=near,
        remedy=Remedy.LIST_WOODS,
    )


def _offers(names: Sequence[str]) -> str:
    """Names of the table in quotes, as they must be written, each with what a timber yard calls it."""
    return " or ".join(f'"{name}"{with_yard_name(name).removeprefix(name)}' for name in names)
