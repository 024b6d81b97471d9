"""What is known of one wood, in a maker's words: what a face shows of it, line by line."""

from __future__ import annotations

import math

from kerftone.wood.loss import loss_of
from kerftone.wood.names import names_of
from kerftone.wood.species import Species, find_species

LB_FT3_PER_KG_M3 = 0.06242796
"""By definition of pound and foot."""
COMPARED_WITH = "maple, sugar"
"""The hardwood most shops know: stiffness is told as a share of its own. Own choice."""
RING_HZ = 220.0
"""The tone whose ringing is told: A3, in the middle of what drums sound."""
MILLION_PSI_PER_GPA = 0.1450377
"""By definition of pound and inch."""
ACROSS, SHEAR = ("e_r", "e_t"), ("g_lr", "g_lt", "g_rt")
_MISSING_WORDS = {
    "across": "stiffness across the grain",
    "shear": "shear stiffness",
    "part of shear": "part of the shear stiffness",
    "movement": "movement",
}


def of_boards(share: float) -> str:
    """On how many boards something is so, for a share of them between 0 and 1."""
    return "no board" if share < 0.005 else f"{100.0 * share:.0f} of 100 boards"


def missing(wood: Species) -> tuple[str, ...]:
    """What is not published for this wood, in a word each."""
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


def source_of(wood: Species) -> str:
    """Where its numbers are from."""
    return f"Wood Handbook, {wood.source}" if wood.source.startswith("Table") else wood.source


def is_checked(wood: Species) -> bool:
    """Whether its numbers were checked against the printed table."""
    return wood.known["specific gravity, modulus"] == "read"


def percent(wood: Species, constant: str) -> int:
    """How far one board may be off in this constant, one standard deviation."""
    return round(100.0 * wood.scatter().of(constant))


def stiffness_pct(wood: Species, constant: str) -> float:
    """A stiffness of this wood, that of hard maple being 100."""
    own, hard_maple = (getattr(one.elastic(), constant) for one in (wood, find_species(COMPARED_WITH)))
    return float(100.0 * own / hard_maple)


def facts(wood: Species) -> list[tuple[str, str]]:
    """Everything about one wood: what is told, and how it is."""
    elastic, lacks = wood.elastic(), missing(wood)
    stands_in = "; the average of the hardwoods that have it stands in" if lacks else ""
    checked = "" if is_checked(wood) else " Not checked against the printed table yet."
    return [
        ("Sold also as", ", ".join(names_of(wood.name)) or "no other name we know"),
        (
            "Density",
            f"{elastic.density_kg_m3:.0f} kg/m³ ({elastic.density_kg_m3 * LB_FT3_PER_KG_M3:.0f} lb/ft³) "
            f"±{percent(wood, 'density')} %",
        ),
        (
            "Stiffness",
            f"along the grain {elastic.e_l_gpa:.1f} GPa ({elastic.e_l_gpa * MILLION_PSI_PER_GPA:.2f} million psi) "
            f"±{percent(wood, 'e_l')} %; across it {elastic.e_t_gpa:.2f} GPa flatsawn, {elastic.e_r_gpa:.2f} "
            f"quartersawn ±{percent(wood, 'e_t')} %",
        ),
        ("Rings", _rings(wood)),
        ("Movement", _movement(wood)),
        ("Missing", f"{', '.join(_MISSING_WORDS[one] for one in lacks) or 'nothing'}{stands_in}"),
        ("Known from", f"{source_of(wood)}.{checked}"),
    ]


def _rings(wood: Species) -> str:
    """How long a tone of it rings."""
    loss = loss_of(wood.name, wood.elastic())
    seconds = math.log(1000.0) / (math.pi * RING_HZ * loss.along)
    told = f"a thin strip at {RING_HZ:.0f} Hz about {seconds:.1f} s (60 dB down) ±{100 * loss.cv:.0f} %, loss factor "
    told += f"{loss.along:.4f}"
    if loss.source is None:
        return f"{told}: no figure for this wood is known to us, that of woods as stiff for their weight stands in"
    return f"{told}: {loss.source}"


def _movement(wood: Species) -> str:
    if wood.c_r is None or wood.c_t is None:
        return "not published for this wood"
    return (
        f"a flatsawn board {100 * wood.c_t:.2f} % wider for each percent of moisture, a quartersawn one "
        f"{100 * wood.c_r:.2f} %"
    )
