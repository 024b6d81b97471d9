"""What `kerftone board new`, `tap` and `fit` do."""

from __future__ import annotations

import math
import os
import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.cli.board_words import advice, tone_record
from kerftone.cli.hold import picture, tell_how
from kerftone.cli.place import check_target
from kerftone.cli.screen import Column, emit, say, show, show_table
from kerftone.drum.board_file import NAMES, add_taps, read_board, save_found, save_new
from kerftone.errors import BoardError, WriteError
from kerftone.files import atomic_write
from kerftone.units import Units, typed_length
from kerftone.wood.board import Board, Cut, Motion, Tap, new_board
from kerftone.wood.moisture import check_moisture

if TYPE_CHECKING:
    from kerftone.tune.identify import Identified

GRAMS = {"": 1.0, "g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
"""The avoirdupois pound is 453.59237 g exactly (international yard and pound agreement of 1959)."""
LEAST_CENTS = 0.5
"""No tone of a board is taken as better heard than this: the hold shifts it more."""
ENOUGH = 0.35
"""A constant whose ± fell below this share of what it was is called found from the taps."""


@dataclass(frozen=True, kw_only=True)
class Measured:
    """What was typed for a new board."""

    species: str
    lengths: tuple[str, str, str]
    mass: str
    moisture_pct: float
    cut: Cut
    units: Units


@dataclass(frozen=True, kw_only=True)
class Heard:
    """What was typed for a tap; `motion` is None when nothing was said of it."""

    hz: tuple[float, ...]
    motion: Motion | None
    plus_minus_cents: float
    drawing: Path | None
    recording: Path | None = None


def grams(text: str) -> float:
    """How many grams are written here: "742", "742 g", "0.742 kg", "26 oz". Raises BoardError."""
    match = re.fullmatch(r"\s*(\d{1,9}(?:\.\d{0,9})?|\.\d{1,9})\s*(g|kg|oz|lb)?\s*", text)
    value = float(match[1]) * GRAMS[match[2] or ""] if match else 0.0
    if value <= 0.0:
        shown = repr(text if len(text) <= 40 else text[:37] + "...")
        raise BoardError(
            f"The mass {shown} cannot be read. It is a number above zero with g, kg, oz or lb: write '742 g'.",
            given=text,
        )
    return value


def make(path: Path, measured: Measured, *, as_json: bool) -> None:
    """Write a new board file."""
    if path.suffix.lower() != ".toml":
        raise WriteError(
            f"{path} does not end in .toml, as the file of a board does. Nothing was done: write {path}.toml.",
            given=str(path),
            nearest=f"{path}.toml",
        )
    lengths = [typed_length(text, measured.units) for text in measured.lengths]
    mass_g = grams(measured.mass)
    check_moisture(measured.moisture_pct)
    board = new_board(
        measured.species, (lengths[0], lengths[1], lengths[2]), mass_g, measured.moisture_pct, measured.cut
    )
    save_new(path, board, measured.units)
    if as_json:
        emit(_measured_record(path, board))
        return
    show(
        f"{path}: {board.species.name}, {board.density_kg_m3:.0f} kg/m³ at {board.moisture_pct:g} % moisture."
    )
    say(f"Now hold and tap it: kerftone board tap {path}", wrap=True)


def _measured_record(path: Path, board: Board) -> dict[str, Any]:
    return {
        "board": str(path),
        "species": board.species.name,
        "size_mm": [round(mm, 4) for mm in board.size_mm],
        "mass_g": round(board.mass_g, 4),
        "density_kg_m3": round(board.density_kg_m3, 3),
        "moisture_pct": board.moisture_pct,
        "taps": [{"hz": tap.hz, "motion": tap.motion} for tap in board.taps],
    }


def listen(path: Path, heard: Heard, *, as_json: bool) -> None:
    """Draw where to hold and tap; write the tones heard into the file."""
    board = read_board(path)
    taps = [_tap(hz, heard) for hz in heard.hz]
    if heard.drawing is not None:
        check_target(heard.drawing, ending=".svg", drum=path)
        from kerftone.draw.hold import hold_svg

        atomic_write(
            heard.drawing, hold_svg(board.length_mm, board.width_mm, heard.motion or "along").encode("utf-8")
        )
        say(f"Wrote {heard.drawing}.")
    if taps:
        board = add_taps(path, taps, how="typed in")
    if heard.recording is not None:
        recorded = _recorded(heard.recording, heard.motion or "unknown")
        board = add_taps(path, recorded, how=f"heard in {heard.recording.name}")
        taps += recorded
    if as_json:
        emit(_measured_record(path, board))
        return
    if not taps:
        show(picture(heard.motion or "along"))
        show(tell_how(board, heard.motion or "along"), wrap=True)
        return
    told = ", ".join(f"{tap.hz:.6g} Hz" for tap in taps)
    motion, count = heard.motion or "motion not said", len(board.taps)
    show(f"{path}: {told} ({motion}) added; {count} tone{'s' * (count != 1)} in all.")
    say(f"When all tones are in: kerftone board fit {path}", wrap=True)


def _recorded(path: Path, motion: Motion) -> list[Tap]:
    """The tones tapped in a recording, as entries of the board's file."""
    from kerftone.tune.board_taps import board_tones

    found = board_tones(path)
    for tone in found.tones:
        say(f"{path}: {tone.hz:.1f} Hz (±{tone.plus_minus_cents:.1f} cents), heard {tone.taps} times.")
    for hz in found.rare_hz:
        say(f"{path}: {hz:.1f} Hz is left out, for it was heard far less often.")
    return [
        Tap(hz=tone.hz, motion=motion, plus_minus_cents=max(tone.plus_minus_cents, LEAST_CENTS))
        for tone in found.tones
    ]


def _tap(hz: float, heard: Heard) -> Tap:
    if not (math.isfinite(hz) and 10.0 <= hz <= 20_000.0):
        raise BoardError(
            f"The tone {hz:g} Hz cannot be heard from a board. Tones are from 10 to 20000 Hz: write what the tuner "
            "showed, in hertz.",
            given=hz,
        )
    if not 0.01 <= heard.plus_minus_cents <= 200.0:
        raise BoardError(
            f"The ± of the tone is {heard.plus_minus_cents:g} cents. It must be from 0.01 to 200: write 3 when you "
            "do not know.",
            given=heard.plus_minus_cents,
            nearest=3.0,
        )
    return Tap(hz=hz, motion=heard.motion or "unknown", plus_minus_cents=heard.plus_minus_cents)


def evaluate(path: Path, *, as_json: bool) -> None:
    """Find the board's constants and write them into its file."""
    board = read_board(path)
    folder = path.resolve().parent
    if not os.access(folder, os.W_OK):
        raise WriteError(
            f"The folder {folder} is closed to you, so what is found could not be written. Nothing was done: change "
            "its permissions.",
            given=str(folder),
        )
    from kerftone.tune.identify import identify

    say(f"Fitting {len(board.taps)} tone{'s' * (len(board.taps) != 1)}; this takes some seconds.")
    found = identify(board)
    save_found(path, found.found, remarks(found))
    if as_json:
        emit(_record(path, board, found))
        return
    _show(board, found)
    for paragraph in advice(path, board, found):
        say("")
        say(paragraph, wrap=True)
    say("")
    say(
        f'Written into {path}. A drum file uses it with board = "{path}" in [top], told from its own folder.',
        wrap=True,
    )


def remarks(found: Identified) -> list[str]:
    """For each constant, its ± and how it was found."""
    kinds = sorted({tone.kind for tone in found.tones if tone.kind is not None})
    told = []
    for name, before, after in zip(NAMES, found.before, found.after, strict=True):
        if before == 0.0:
            told.append("as published for the species")
        elif name == "density_kg_m3":
            told.append(f"± {100 * after:.2g} %, weighed and measured")
        elif after < ENOUGH * before:
            told.append(f"± {100 * after:.2g} %, from the taps ({', '.join(kinds)})")
        else:
            told.append(f"± {100 * after:.2g} %, species mean, moved as far as the taps say")
    return told


UNITS = {"e": "GPa", "g": "GPa", "n": "", "d": "kg/m³"}
SHOWN = (Column(head="Constant"), *(Column(head=h, number=True) for h in ("Species", "±", "This board", "±")))


def _show(board: Board, found: Identified) -> None:
    rows = []
    for at, name in enumerate(NAMES):
        if name.startswith("nu_"):
            continue
        expected, got = getattr(found.expected, name), getattr(found.found.elastic, name)
        digits = 0 if name.startswith("d") else 3
        words = name.removesuffix("_gpa").removesuffix("_kg_m3").replace("_", " ")
        rows.append(
            (
                f"{words[0].upper() + words[1:] if name.startswith('d') else words.upper()}, {UNITS[name[0]]}",
                f"{expected:.{digits}f}",
                f"{100 * found.before[at]:.0f} %",
                f"{got:.{digits}f}",
                f"{100 * found.after[at]:.1f} %",
            )
        )
    show(f"{board.species.name} at {board.moisture_pct:g} % moisture: the species' mean, and this board")
    show("")
    show_table(SHOWN, rows)
    show("")
    rows = [
        (f"{t.tap.hz:.1f}", t.tap.motion, t.kind or "left out", f"{t.model_hz:.1f}", f"{t.off_cents:+.1f}")
        for t in found.tones
    ]
    heads = ("Tone, Hz", "Tapped for", "Taken for", "Model, Hz", "Cents off")
    show_table([Column(head=h, number=h in (heads[0], *heads[3:])) for h in heads], rows)


def _record(path: Path, board: Board, found: Identified) -> dict[str, Any]:
    return {
        "board": str(path),
        "species": board.species.name,
        "constants": {
            name: {
                "value": float(f"{getattr(found.found.elastic, name):.6g}"),
                "plus_minus_pct": round(100 * after, 3),
                "species_value": float(f"{getattr(found.expected, name):.6g}"),
                "species_plus_minus_pct": round(100 * before, 3),
                "how": how,
            }
            for name, before, after, how in zip(NAMES, found.before, found.after, remarks(found), strict=True)
        },
        "tones": [
            {
                "hz": tone.tap.hz,
                "tapped_for": tone.tap.motion,
                "taken_for": tone.kind,
                "model_hz": round(tone.model_hz, 3),
                "off_cents": round(tone.off_cents, 3),
            }
            for tone in found.tones
        ],
        "notes_plus_minus_cents": round(found.notes_cents, 2),
        "next_tone": tone_record(found.further),
        "untold": [{"constant": one.name, "tone": tone_record(one.tone)} for one in found.untold],
        "fits_better_cut": found.other_cut,
    }
