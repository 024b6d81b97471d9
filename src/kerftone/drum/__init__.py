"""The drum as intended: its file, its values, its outline.

Terms: docs/glossary.md.
"""

from kerftone.drum.check import check_outline
from kerftone.drum.design import Bore, Bottom, Box, Drum, Slots, Tongue, Top, Tuning
from kerftone.drum.file import parse_drum, read_drum
from kerftone.drum.outline import Outline
from kerftone.drum.save import save_lengths
from kerftone.drum.shop import Shop
from kerftone.drum.template import drum_text

__all__ = [
    "Bore",
    "Bottom",
    "Box",
    "Drum",
    "Outline",
    "Shop",
    "Slots",
    "Tongue",
    "Top",
    "Tuning",
    "check_outline",
    "drum_text",
    "parse_drum",
    "read_drum",
    "save_lengths",
]
