"""Which woods are there, how heavy and stiff are they, and how far can that be trusted?

The numbers come from `kerftone.wood`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kerftone.jobs.progress import Progress, job
from kerftone.jobs.wood_facts import source_of
from kerftone.wood.loss import loss_of
from kerftone.wood.names import names_of
from kerftone.wood.species import Species, find_species, matching_species, species_table


@dataclass(frozen=True, kw_only=True)
class WoodsRequest:
    """A word of any name a wood is sold under; None: all."""

    word: str | None = None


@dataclass(frozen=True, kw_only=True)
class WoodsListed:
    """The woods, in the table's order but for those that a word names outright, which come first."""

    woods: tuple[Species, ...]

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {"woods": [_record(wood) for wood in self.woods]}


@job
def list_woods(request: WoodsRequest, progress: Progress) -> WoodsListed:
    """All woods, or those with this word in a name, first those that bear it themselves, not as another trade name.

    Raises SpeciesError when there is none, with the nearest.
    """
    del progress  # it is there at once
    if request.word is None:
        return WoodsListed(woods=tuple(species_table().values()))
    word = request.word.casefold()
    found = matching_species(request.word) or (find_species(request.word),)
    return WoodsListed(woods=tuple(sorted(found, key=lambda one: word not in one.name.casefold())))


def _record(wood: Species) -> dict[str, object]:
    """One wood as JSON: every constant with its scatter, and how it is known."""
    elastic, scatter = wood.elastic(), wood.scatter()
    loss = loss_of(wood.name, elastic)
    return {
        "name": wood.name,
        "botanical": wood.botanical,
        "also_called": list(names_of(wood.name)),
        "density_kg_m3": round(elastic.density_kg_m3, 1),
        "density_cv": round(scatter.of("density"), 4),
        "e_l_gpa": round(elastic.e_l_gpa, 4),
        "e_l_cv": round(scatter.of("e_l"), 4),
        "e_r_gpa": round(elastic.e_r_gpa, 4),
        "e_r_cv": round(scatter.of("e_r"), 4),
        "e_t_gpa": round(elastic.e_t_gpa, 4),
        "e_t_cv": round(scatter.of("e_t"), 4),
        "loss_along": round(loss.along, 5),
        "loss_cv": round(loss.cv, 3),
        "loss_known": loss.known or "mean of all woods",
        "c_r_per_percent": wood.c_r,
        "c_t_per_percent": wood.c_t,
        "missing": [*wood.fallback, *(["movement"] if wood.c_r is None or wood.c_t is None else [])],
        "known": dict(wood.known),
        "source": source_of(wood),
    }
