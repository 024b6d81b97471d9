"""Wood: species, elastic constants, scatter.

Terms: docs/glossary.md.
"""

from kerftone.wood.elastic import Elastic
from kerftone.wood.species import (
    Scatter,
    Species,
    find_species,
    matching_species,
    nearest_species,
    species_table,
)

__all__ = [
    "Elastic",
    "Scatter",
    "Species",
    "find_species",
    "matching_species",
    "nearest_species",
    "species_table",
]
