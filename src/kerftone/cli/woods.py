"""`kerftone woods`: which woods the program knows, how heavy and stiff they are, and how far that can be trusted.

All woods in a table; those a word picks out, if they are few, one by one with everything that is known. The
numbers come from `kerftone.wood`; here are only words.
"""

from __future__ import annotations

import textwrap

from kerftone.cli.screen import WIDTH, Column, emit, say, show, show_table
from kerftone.wood.names import names_of, with_yard_name
from kerftone.wood.species import (
    DENSITY_CV,
    STIFFNESS_CV,
    Species,
    find_species,
    matching_species,
    species_table,
)

FEW = 4
LB_FT3_PER_KG_M3 = 0.06242796
MILLION_PSI_PER_GPA = 0.1450377
ACROSS, SHEAR = ("e_r", "e_t"), ("g_lr", "g_lt", "g_rt")

COLUMNS = (
    Column(head="Wood"),
    Column(head="Density\nkg/m³", number=True),
    Column(head="Along\nGPa", number=True),
    Column(head="Across\nGPa", number=True),
    Column(head="Across\n± %", number=True),
    Column(head="Missing"),
)


def run(word: str | None, *, as_json: bool) -> None:
    """Show the woods; raises SpeciesError when the word is in no wood's names."""
    woods = tuple(species_table().values()) if word is None else matching_species(word)
    if word is not None and not woods:
        woods = (find_species(word),)  # which refuses, and offers the nearest
    if as_json:
        emit({"woods": [document(wood) for wood in woods]})
    elif len(woods) <= FEW:
        show("\n\n".join(card(wood) for wood in woods))
        say("")
        say(_MEANING, wrap=True)
    else:
        show_table(COLUMNS, [_row(wood) for wood in sorted(woods, key=lambda wood: wood.name.casefold())])
        say("")
        say(_MEANING, wrap=True)
        say(_TABLE_MEANING, wrap=True)


_MEANING = (
    "Averages at 12 % moisture. ±: how far one board may be from the average, one standard deviation. Weighing and "
    "tapping your board with `kerftone board` brings it down to a few percent."
)
_TABLE_MEANING = (
    f"Along, across: stiffness along and across the grain. One board is ±{100 * DENSITY_CV:.0f} % off in density and "
    f"±{100 * STIFFNESS_CV:.0f} % along the grain, whatever the wood. Missing: not published for this wood, so the "
    "average of the hardwoods that have it stands in. *: not checked against the printed table yet. "
    "`kerftone woods WORD` shows all about one wood, by any name it is sold under, its movement too."
)
_MISSING_WORDS = {
    "across": "stiffness across the grain",
    "shear": "shear stiffness",
    "part of shear": "part of the shear stiffness",
    "movement": "movement",
}


def missing(wood: Species) -> tuple[str, ...]:
    """What is not published for this wood, in a maker's words."""
    gone = set(wood.fallback)
    found = []
    if gone.intersection(ACROSS):
        found.append("across")
    if gone.issuperset(SHEAR):
        found.append("shear")
    elif gone.intersection(SHEAR):
        found.append("part of shear")
    if wood.c_r is None or wood.c_t is None:
        found.append("movement")
    return tuple(found)


def _from_memory(wood: Species) -> bool:
    return wood.known["specific gravity, modulus"] != "read"


def _percent(wood: Species, constant: str) -> int:
    return round(100.0 * wood.scatter().of(constant))


def _row(wood: Species) -> tuple[str, ...]:
    elastic = wood.elastic()
    return (
        f"{with_yard_name(wood.name)}{'*' if _from_memory(wood) else ''}",
        f"{elastic.density_kg_m3:.0f}",
        f"{elastic.e_l_gpa:.1f}",
        f"{elastic.e_t_gpa:.2f}",
        str(_percent(wood, "e_t")),
        ", ".join(one for one in missing(wood) if one != "movement") or "nothing",
    )


def card(wood: Species) -> str:
    """Everything about one wood, a line each."""
    elastic = wood.elastic()
    lacks = missing(wood)
    stands_in = "; the average of the hardwoods that have it stands in" if lacks else ""
    checked = " Not checked against the printed table yet." if _from_memory(wood) else ""
    lines = [
        ("Sold also as", ", ".join(names_of(wood.name)) or "no other name we know"),
        (
            "Density",
            f"{elastic.density_kg_m3:.0f} kg/m³ ({elastic.density_kg_m3 * LB_FT3_PER_KG_M3:.0f} lb/ft³) "
            f"±{_percent(wood, 'density')} %",
        ),
        (
            "Stiffness",
            f"along the grain {elastic.e_l_gpa:.1f} GPa ({elastic.e_l_gpa * MILLION_PSI_PER_GPA:.2f} million psi) "
            f"±{_percent(wood, 'e_l')} %; across it {elastic.e_t_gpa:.2f} GPa flatsawn, {elastic.e_r_gpa:.2f} "
            f"quartersawn ±{_percent(wood, 'e_t')} %",
        ),
        ("Movement", _movement(wood)),
        ("Missing", f"{', '.join(_MISSING_WORDS[one] for one in lacks) or 'nothing'}{stands_in}"),
        ("Known from", f"{_source(wood)}.{checked}"),
    ]
    head = f"{wood.name} ({wood.botanical})"
    return "\n".join([head, *(_line(label, words) for label, words in lines)])


def _movement(wood: Species) -> str:
    if wood.c_r is None or wood.c_t is None:
        return "not published for this wood"
    return (
        f"a flatsawn board {100 * wood.c_t:.2f} % wider for each percent of moisture, a quartersawn one "
        f"{100 * wood.c_r:.2f} %"
    )


def _source(wood: Species) -> str:
    return f"Wood Handbook, {wood.source}" if wood.source.startswith("Table") else wood.source


def _line(label: str, words: str) -> str:
    indent = " " * 15
    return textwrap.fill(words, WIDTH - 1, initial_indent=f"  {label:<13}", subsequent_indent=indent)


def document(wood: Species) -> dict[str, object]:
    """One wood for a script: every constant with its scatter, and how it is known."""
    elastic, scatter = wood.elastic(), wood.scatter()
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
        "c_r_per_percent": wood.c_r,
        "c_t_per_percent": wood.c_t,
        "missing": [*wood.fallback, *(["movement"] if wood.c_r is None or wood.c_t is None else [])],
        "known": dict(wood.known),
        "source": _source(wood),
    }
