"""`kerftone new`, `scales` and `woods` in words."""

from __future__ import annotations

import shlex

from kerftone.cli.screen import Table, beside, say, show, show_table
from kerftone.jobs.begin_drum import DrumBegun
from kerftone.jobs.list_scales import ScalesListed
from kerftone.jobs.list_woods import WoodsListed
from kerftone.jobs.paths import DRUM_FILE
from kerftone.jobs.wood_facts import facts, is_checked, missing, percent, stiffness_pct
from kerftone.scales import Key, scale_notes
from kerftone.wood.names import with_yard_name
from kerftone.wood.species import DENSITY_CV, STIFFNESS_CV, Species

COLUMN = 15
"""Where the words about one wood begin."""
FEW = 4
"""So many woods are shown one by one, with everything that is known."""
WOODS: Table[Species] = {
    "Wood": lambda wood: f"{with_yard_name(wood.name)}{'' if is_checked(wood) else '*'}",
    ">Density\nkg/m³": lambda wood: f"{wood.elastic().density_kg_m3:.0f}",
    ">Stiff\nalong": lambda wood: f"{stiffness_pct(wood, 'e_l_gpa'):.0f}",
    ">Stiff\nacross": lambda wood: f"{stiffness_pct(wood, 'e_t_gpa'):.0f}",
    ">Across\n± %": lambda wood: str(percent(wood, "e_t")),
    "Missing": lambda wood: ", ".join(one for one in missing(wood) if one != "movement") or "nothing",
}
SCALES: Table[Key] = {
    "Scale": lambda key: key.scale.name,
    "On D": lambda key: " ".join(key.notes),
    "Also called": lambda key: ", ".join(key.scale.also),
}
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
    say(*done.remarks)
    if done.units_guessed:
        say("For a drum in millimetres: --units mm.")
    notes = " ".join(tongue.note for tongue in done.drum.tongues)
    show(f"Wrote {done.written}: {notes} on a board {done.board_words}.", wrap=False)
    drum = shlex.quote(str(done.written.parent if done.written.name == DRUM_FILE else done.written))
    say(f"Next: look it over, then `kerftone fit {drum}` finds the tongue lengths.", wrap=False)


def show_scales(done: ScalesListed) -> None:
    """Scales in a table, or one on its own note."""
    if done.on_its_note:
        (key,) = done.keys
        first = " ".join(scale_notes(key.name, count=len(key.notes) + 1))
        show(f"{key.name}: {' '.join(key.notes)}", f"From {key.tonic}3 up: {first}")
        return
    show_table(SCALES, done.keys)
    typed = "kerftone new mydrum --scale 'D minor pentatonic' --count 6 --wood walnut"
    say("", "Shown on D; any note will do. A drum in one of them:", f"  {typed}")


def show_woods(done: WoodsListed) -> None:
    """A few woods one by one, more in a table."""
    if len(done.woods) <= FEW:
        show("\n\n".join(card(wood) for wood in done.woods))
    else:
        show_table(WOODS, sorted(done.woods, key=lambda wood: wood.name.casefold()))
    say("", _MEANING, *([_TABLE_MEANING] if len(done.woods) > FEW else []))


def card(wood: Species) -> str:
    """Everything about one wood, a line each."""
    return "\n".join([f"{wood.name} ({wood.botanical})", *(beside(*fact, COLUMN) for fact in facts(wood))])
