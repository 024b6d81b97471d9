"""`kerftone modes`: what this drum, as drawn, would sound; and how that changes with stand and air."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from kerftone.cli.answer import Answer, answer, document, stand_ins
from kerftone.cli.place import drum_file
from kerftone.cli.screen import Column, emit, say, show, show_table
from kerftone.cli.table import explain, show_answer
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.season import in_air
from kerftone.pitch import cents
from kerftone.wood.moisture import check_moisture, emc_pct

Stands = Literal["held", "free"]


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What was asked of `modes`: how many to list, how the drum stands, in what air."""

    count: int
    stands: Stands | None = None
    humidity_pct: float | None = None
    temperature_c: float = 20.0


def run(given: Path, wanted: Asked, *, as_json: bool) -> None:
    """Show the notes of a drum, standing as its file says or as asked, and what other air does to them."""
    drum = read_drum(drum_file(given))
    count, stands = wanted.count, wanted.stands
    moisture = _moisture_pct(wanted)
    asked = drum if stands is None else replace(drum, box=replace(drum.box, stands=stands))
    say("Solving the drum; this takes some seconds.")
    said = answer(asked, count=count)
    moved: tuple[float | None, ...] | None = None
    if asked.box.stands != drum.box.stands:
        say(f"Solving it once more, standing {drum.box.stands} as in its file.")
        moved = shifts_cents(said, drum, count=count)
    air = None
    if moisture is not None:
        say(f"Solving it once more at {moisture:.1f} % moisture.")
        shifts = shifts_cents(said, in_air(asked, moisture), count=count)
        air = Air(wanted, moisture, tuple(None if shift is None else -shift for shift in shifts))
    if as_json:
        emit(_with_air(_with_shifts(document(said, count=count), asked, drum, moved), air))
        return
    show_answer(said, count=count)
    if moved is not None:
        _show_shifts(said, drum, moved)
    if air is not None:
        _show_air(said, air)
    explain(said, stand_ins(drum))


@dataclass(frozen=True)
class Air:
    """What air was asked for, how damp wood becomes in it, and how far each note then moves, in cents."""

    asked: Asked
    moisture_pct: float
    shifts: tuple[float | None, ...]


def _moisture_pct(wanted: Asked) -> float | None:
    """How damp wood becomes in the air asked for. Raises MoistureError before any long work."""
    if wanted.humidity_pct is None:
        return None
    moisture = emc_pct(humidity_pct=wanted.humidity_pct, temperature_c=wanted.temperature_c)
    check_moisture(moisture)
    return moisture


def _with_air(whole: dict[str, Any], air: Air | None) -> dict[str, Any]:
    if air is None:
        return whole
    for record, shift in zip(whole["tongues"], air.shifts, strict=True):
        record["air_shift_cents"] = None if shift is None else round(shift, 3)
    told = {
        "humidity_pct": air.asked.humidity_pct,
        "temperature_c": air.asked.temperature_c,
        "moisture_pct": round(air.moisture_pct, 3),
    }
    return whole | {"air": told}


def _show_air(said: Answer, air: Air) -> None:
    from_pct = said.drum.top.moisture_pct
    show("")
    show(
        f"Long in air of {air.asked.humidity_pct:g} % humidity at {air.asked.temperature_c:g} °C, wood comes to "
        f"{air.moisture_pct:.1f} % moisture. Against the top at {from_pct:g} %, each note moves by:",
        wrap=True,
    )
    rows = [
        (t.tongue.place, t.tongue.note, "no like motion" if shift is None else f"{shift:+.1f} cents")
        for t, shift in zip(said.tongues, air.shifts, strict=True)
    ]
    show_table((Column(head="Place"), Column(head="Note"), Column(head="Shift", number=True)), rows)


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
