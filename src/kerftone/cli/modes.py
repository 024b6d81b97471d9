"""`kerftone modes`: what this drum, as drawn, would sound; and how that changes with how it stands."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

from kerftone.cli.answer import Answer, answer, document, stand_ins
from kerftone.cli.place import drum_file
from kerftone.cli.screen import Column, emit, say, show, show_table
from kerftone.cli.table import explain, show_answer
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.pitch import cents

Stands = Literal["held", "free"]


def run(given: Path, *, count: int, stands: Stands | None, as_json: bool) -> None:
    """Show the notes of a drum, standing as its file says or as asked."""
    drum = read_drum(drum_file(given))
    asked = drum if stands is None else replace(drum, box=replace(drum.box, stands=stands))
    say("Solving the drum; this takes some seconds.")
    said = answer(asked, count=count)
    moved: tuple[float | None, ...] | None = None
    if asked.box.stands != drum.box.stands:
        say(f"Solving it once more, standing {drum.box.stands} as in its file.")
        moved = shifts_cents(said, drum, count=count)
    if as_json:
        emit(_with_shifts(document(said, count=count), asked, drum, moved))
        return
    show_answer(said, count=count)
    if moved is not None:
        _show_shifts(said, drum, moved)
    explain(said, stand_ins(drum))


def shifts_cents(said: Answer, drum: Drum, *, count: int) -> tuple[float | None, ...]:
    """How far each tongue's note lies above what it is with the drum standing as in its file, in cents.

    The mode is followed by its shape; None where no motion of the other drum is like it.
    """
    from kerftone.modal.follow import same_modes
    from kerftone.modal.solve import solve

    usual = solve(drum, count)
    found = same_modes(said.solution, [tongue.heard.mode for tongue in said.tongues], usual)
    return tuple(
        None if mode is None else cents(tongue.heard.hz, float(usual.hz[mode]))
        for tongue, mode in zip(said.tongues, found, strict=True)
    )


def _with_shifts(
    whole: dict[str, Any], asked: Drum, drum: Drum, moved: tuple[float | None, ...] | None
) -> dict[str, Any]:
    """The document with the shifts in it, when the drum was asked to stand otherwise than in its file."""
    if moved is None:
        return whole
    for record, shift in zip(whole["tongues"], moved, strict=True):
        record["shift_cents"] = None if shift is None else round(shift, 3)
    return whole | {"stands": {"asked": asked.box.stands, "file": drum.box.stands}}


def _show_shifts(said: Answer, drum: Drum, moved: tuple[float | None, ...]) -> None:
    show("")
    show(f"Standing {said.drum.box.stands} instead of {drum.box.stands}, each note moves by:")
    rows = [
        (
            tongue.tongue.place,
            tongue.tongue.note,
            "no like motion" if shift is None else f"{shift:+.1f} cents",
        )
        for tongue, shift in zip(said.tongues, moved, strict=True)
    ]
    show_table((Column(head="Place"), Column(head="Note"), Column(head="Shift", number=True)), rows)
