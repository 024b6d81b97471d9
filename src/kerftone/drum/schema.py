"""The tables of a drum file as they are read, made from what is declared in `design.py` and `shop.py`.

Lengths are read in the file's own units and come out in millimetres (`values.py`). The bounds are wide: they
catch a slipped decimal point or a wrong unit, not a bold design, and are our own judgement. What must fit together
(tongues in rows, bores in wood) is not judged here: see `build.py` for the file as a whole and `outline.py` for the
shape of the top.
"""

from __future__ import annotations

from kerftone.drum.design import Drum
from kerftone.drum.file_keys import table_of, tables
from kerftone.drum.own_wood import ElasticTable
from kerftone.drum.values import Table

DRUM_TABLE: type[Table] = table_of(Drum)
"""The whole file."""

TABLES: dict[str, type[Table]] = {
    path[-1]: table_of(one.table) for path, one in tables(Drum).items() if one.table is not None
} | {"elastic": ElasticTable}
"""The model of each table, by the last name in its header."""
