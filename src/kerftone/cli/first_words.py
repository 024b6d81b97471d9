"""`kerftone new`, `scales` and `woods` in words."""

from __future__ import annotations

import shlex
import textwrap

from kerftone.cli.screen import WIDTH, Column, say, show, show_table
from kerftone.jobs.begin_drum import DrumBegun
from kerftone.jobs.list_scales import ScalesListed
from kerftone.jobs.list_woods import WoodsListed, missing, source_of
from kerftone.jobs.paths import DRUM_FILE
from kerftone.scales import scale_notes
from kerftone.wood.names import names_of, with_yard_name
from kerftone.wood.species import DENSITY_CV, STIFFNESS_CV, Species

FEW = 4
"""So many woods are shown one by one, with everything that is known."""
LB_FT3_PER_KG_M3 = 0.06242796
"""By definition of pound and foot."""
MILLION_PSI_PER_GPA = 0.1450377
"""By definition of pound and inch."""

WOOD_COLUMNS = (
    Column(head="Wood"),
    Column(head="Density\nkg/m³", number=True),
    Column(head="Along\nGPa", number=True),
    Column(head="Across\nGPa", number=True),
    Column(head="Across\n± %", number=True),
    Column(head="Missing"),
)
SCALE_COLUMNS = (Column(head="Scale"), Column(head="On D"), Column(head="Also called"))
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


def show_begun(done: DrumBegun) -> None:
    """The new file, how what was typed was understood, and what comes next."""
    for remark in done.remarks:
        say(remark, wrap=True)
    if done.units_guessed:
        say("For a drum in millimetres: --units mm.")
    notes = " ".join(tongue.note for tongue in done.drum.tongues)
    show(f"Wrote {done.written}: {notes} on a board {done.board_words}.")
    drum = done.written.parent if done.written.name == DRUM_FILE else done.written
    say(f"Next: look it over, then `kerftone fit {shlex.quote(str(drum))}` finds the tongue lengths.")


def show_scales(done: ScalesListed) -> None:
    """Scales in a table, or one on its own note."""
    if done.on_its_note:
        (key,) = done.keys
        show(f"{key.name}: {' '.join(key.notes)}")
        first = " ".join(scale_notes(key.name, count=len(key.notes) + 1))
        show(f"From {key.tonic}3 up: {first}")
        return
    rows = [(key.scale.name, " ".join(key.notes), ", ".join(key.scale.also)) for key in done.keys]
    show_table(SCALE_COLUMNS, rows)
    say("")
    say(
        "Shown on D; any note will do. A drum in one of them:\n"
        "  kerftone new mydrum --scale 'D minor pentatonic' --count 6 --wood walnut"
    )


def show_woods(done: WoodsListed) -> None:
    """A few woods one by one, more in a table."""
    few = len(done.woods) <= FEW
    if few:
        show("\n\n".join(card(wood) for wood in done.woods))
    else:
        by_name = sorted(done.woods, key=lambda wood: wood.name.casefold())
        show_table(WOOD_COLUMNS, [_row(wood) for wood in by_name])
    say("")
    say(_MEANING, wrap=True)
    if not few:
        say(_TABLE_MEANING, wrap=True)


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
        ("Known from", f"{source_of(wood)}.{checked}"),
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


def _line(label: str, words: str) -> str:
    indent = " " * 15
    return textwrap.fill(words, WIDTH - 1, initial_indent=f"  {label:<13}", subsequent_indent=indent)
