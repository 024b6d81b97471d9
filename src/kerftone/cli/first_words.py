"""`kerftone new`, `scales` and `woods` in words."""

from __future__ import annotations

import shlex
import textwrap

from kerftone.cli.screen import WIDTH, Column, say, show, show_table
from kerftone.jobs.begin_drum import DrumBegun
from kerftone.jobs.list_scales import ScalesListed
from kerftone.jobs.list_woods import WoodsListed
from kerftone.jobs.paths import DRUM_FILE
from kerftone.jobs.wood_facts import facts, is_checked, missing, percent
from kerftone.scales import Key, scale_notes
from kerftone.wood.names import with_yard_name
from kerftone.wood.species import DENSITY_CV, STIFFNESS_CV, Species, find_species

FEW = 4
"""So many woods are shown one by one, with everything that is known."""
COMPARED_WITH = "maple, sugar"
"""The hardwood most shops know: stiffness is told as a share of its own. Own choice."""


def _share(wood: Species, constant: str) -> str:
    """A stiffness of this wood, that of hard maple 100."""
    maple = find_species(COMPARED_WITH).elastic()
    return f"{100.0 * getattr(wood.elastic(), constant) / getattr(maple, constant):.0f}"


WOOD_COLUMNS: tuple[Column[Species], ...] = (
    Column("Wood", lambda wood: f"{with_yard_name(wood.name)}{'' if is_checked(wood) else '*'}"),
    Column("Density\nkg/m³", lambda wood: f"{wood.elastic().density_kg_m3:.0f}", number=True),
    Column("Stiff\nalong", lambda wood: _share(wood, "e_l_gpa"), number=True),
    Column("Stiff\nacross", lambda wood: _share(wood, "e_t_gpa"), number=True),
    Column("Across\n± %", lambda wood: str(percent(wood, "e_t")), number=True),
    Column("Missing", lambda wood: ", ".join(one for one in missing(wood) if one != "movement") or "nothing"),
)
SCALE_COLUMNS: tuple[Column[Key], ...] = (
    Column("Scale", lambda key: key.scale.name),
    Column("On D", lambda key: " ".join(key.notes)),
    Column("Also called", lambda key: ", ".join(key.scale.also)),
)
_MEANING = (
    "Averages at 12 % moisture. ±: how far one board may be from the average; two boards in three are within it. "
    "Weighing and tapping your board with `kerftone board` brings it down to a few percent."
)
_TABLE_MEANING = (
    "Stiff along, stiff across the grain: hard maple is 100 in each. One board is "
    f"±{100 * DENSITY_CV:.0f} % off in density and "
    f"±{100 * STIFFNESS_CV:.0f} % along the grain, whatever the wood. Missing: not published for this wood, so the "
    "average of the hardwoods that have it stands in. *: not checked against the printed table yet. "
    "`kerftone woods WORD` shows all about one wood, by any name it is sold under, its movement too."
)


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
    show_table(SCALE_COLUMNS, done.keys)
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
        show_table(WOOD_COLUMNS, sorted(done.woods, key=lambda wood: wood.name.casefold()))
    say("")
    say(_MEANING, wrap=True)
    if not few:
        say(_TABLE_MEANING, wrap=True)


def card(wood: Species) -> str:
    """Everything about one wood, a line each."""
    return "\n".join([f"{wood.name} ({wood.botanical})", *(_line(*fact) for fact in facts(wood))])


def _line(label: str, words: str) -> str:
    indent = " " * 15
    return textwrap.fill(words, WIDTH - 1, initial_indent=f"  {label:<13}", subsequent_indent=indent)
