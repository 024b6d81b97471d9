"""A measured board as a file: reading it, making a new one, adding a tap, writing what was found.

`boards/NAME.toml` holds what the maker measured, a [[taps]] table for every tone heard, and, once the tones
have been evaluated, [found] with the constants. Lengths are in the file's units, mass in g, moisture in percent.
Comments and everything else the maker wrote stay: a tap is added at the end of the taps, and only [found] is ever
replaced, as a whole.

Whatever is wrong comes out as a DrumFileError with its line.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import fields
from pathlib import Path
from typing import Annotated, Literal, NoReturn

from pydantic import BaseModel, ConfigDict, ValidationError

from kerftone.drum.lines import KeyPath
from kerftone.drum.reading import first_refusal, load, read_text
from kerftone.drum.values import Within
from kerftone.drum.writer import Writer
from kerftone.errors import BoardError, DrumFileError, KerftoneError, MoistureError, Remedy, WriteError
from kerftone.files import atomic_write
from kerftone.units import Units
from kerftone.wood.board import Board, Found, Tap, check_board
from kerftone.wood.elastic import Elastic
from kerftone.wood.moisture import HIGHEST_PCT, LOWEST_PCT, check_moisture
from kerftone.wood.species import find_species

NAMES = tuple(field.name for field in fields(Elastic))
MARK = "# -- what the taps told;"
TABLE = f"{MARK} written by a fit of the board, which replaces it to the end of the file --"
MOTIONS = ("along", "twisting", "across", "unknown")


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class TapTable(_Table):
    """[[taps]]: a tone in Hz, which motion it was tapped for, and how surely it was heard."""

    hz: Annotated[float, Within(10.0, 20_000.0, "Hz")]
    motion: Literal["along", "twisting", "across", "unknown"] = "along"
    plus_minus_cents: Annotated[float, Within(0.01, 200.0, "cents")] = 3.0
    how: str | None = None


class FoundTable(_Table):
    """[found]: what a fit of the board wrote."""

    e_l_gpa: Annotated[float, Within(0.001, 100.0, "GPa")]
    e_r_gpa: Annotated[float, Within(0.001, 100.0, "GPa")]
    e_t_gpa: Annotated[float, Within(0.001, 100.0, "GPa")]
    g_lr_gpa: Annotated[float, Within(0.001, 100.0, "GPa")]
    g_lt_gpa: Annotated[float, Within(0.001, 100.0, "GPa")]
    g_rt_gpa: Annotated[float, Within(0.0001, 100.0, "GPa")]
    nu_lr: Annotated[float, Within(-2.0, 5.0, "")]
    nu_lt: Annotated[float, Within(-2.0, 5.0, "")]
    nu_rt: Annotated[float, Within(-2.0, 5.0, "")]
    density_kg_m3: Annotated[float, Within(50.0, 2000.0, "kg/m³")]
    covariance: list[list[float]]
    by_thickness: list[float]


class BoardTable(_Table):
    """The whole file."""

    units: Literal["mm", "in"] = "mm"
    species: str
    length: Annotated[float, Within(50.0, 3000.0, "length")]
    width: Annotated[float, Within(5.0, 1500.0, "length")]
    thickness: Annotated[float, Within(2.0, 100.0, "length")]
    mass: Annotated[float, Within(0.001, 1e8, "g")]
    moisture: Annotated[float, Within(LOWEST_PCT, HIGHEST_PCT, "%")] = 12.0
    cut: Literal["flatsawn", "quartersawn"] = "flatsawn"
    taps: list[TapTable] = []
    found: FoundTable | None = None


def read_board(path: str | os.PathLike[str]) -> Board:
    """What board this file describes. Raises DrumFileError, with the line."""
    name = os.fspath(path)
    if not Path(path).exists():
        raise DrumFileError(
            "there is no such file. Check the name, or make a new board.",
            path=name,
            remedy=Remedy.NEW_BOARD,
        )
    if Path(path).is_dir():
        raise DrumFileError(
            "this is a folder. Give the name of a board's file in it, such as cherry-2.toml.", path=name
        )
    return parse_board(read_text(path), name)


def parse_board(text: str, path: str | None = None) -> Board:
    """What board this text describes. `path` only names the file in a refusal. Raises DrumFileError."""
    raw, index = load(text, path)

    def refuse(at: KeyPath, message: str, cause: KerftoneError | None = None) -> NoReturn:
        raise DrumFileError.because(cause, message, path=path, line=index.of(at)) from cause

    units = raw.get("units", "mm")
    try:
        table = BoardTable.model_validate(raw, context={"units": units if units in ("mm", "in") else "mm"})
    except ValidationError as error:
        raise first_refusal(error, raw, index, path, BoardTable) from None
    try:
        species = find_species(table.species)
    except KerftoneError as error:
        message = error.message.replace(", or give all ten constants in the elastic table", "")
        refuse(("species",), message, error)
    board = Board(
        species=species,
        length_mm=table.length,
        width_mm=table.width,
        thickness_mm=table.thickness,
        mass_g=table.mass,
        moisture_pct=table.moisture,
        cut=table.cut,
        units=table.units,
        taps=tuple(
            Tap(hz=tap.hz, motion=tap.motion, plus_minus_cents=tap.plus_minus_cents) for tap in table.taps
        ),
        found=None if table.found is None else _found(table.found, refuse),
    )
    try:
        check_moisture(board.moisture_pct)
        check_board(board)
    except MoistureError as error:
        refuse(("moisture",), error.message, error)
    except BoardError as error:
        refuse(("mass",) if error.given == board.mass_g else ("thickness",), error.message, error)
    return board


def _found(table: FoundTable, refuse: object) -> Found:
    size = len(NAMES)
    whole = len(table.covariance) == size and all(len(row) == size for row in table.covariance)
    if not whole or len(table.by_thickness) != size:
        message = (
            f"[found] is not as a fit of the board writes it: covariance needs {size} rows of {size} numbers. "
            "Take [found] out and fit the board again."
        )
        refuse(("found",), message, KerftoneError(message, remedy=Remedy.FIT_BOARD))  # type: ignore[operator]
    return Found(
        elastic=Elastic(**{name: getattr(table, name) for name in NAMES}),
        covariance=tuple(tuple(row) for row in table.covariance),
        by_thickness=tuple(table.by_thickness),
    )


def board_text(board: Board, units: Units) -> str:
    """The text of a new board file, commented for someone new to it."""
    write = Writer(units)
    length, width, thick = (write.length(mm) for mm in board.size_mm)
    cent = "0.1 mm" if units == "mm" else "4 thousandths of an inch"
    return f"""# A board, measured, weighed and tapped. Lengths in {units}, mass in g.
units = "{units}"
species = "{board.species.name}"
length = {length}  # along the grain
width = {width}
thickness = {thick}  # as near as you can: {cent} is ten cents in every tone
mass = {board.mass_g:.6g}  # g
moisture = {board.moisture_pct:g}  # %, from a meter, or from the air of the shop
cut = "{board.cut}"  # or "quartersawn", when the growth rings stand upright in the end of the board

# Each tone you hear goes into a table of its own, [[taps]].
"""


def add_taps(path: str | os.PathLike[str], taps: Sequence[Tap], *, how: str) -> Board:
    """Write these tones into the file, after the taps it has; the board as the file now has it.

    Raises DrumFileError, or WriteError; the file is then as it was.

    Parameters
    ----------
    path : str | os.PathLike[str]
        The board's file.
    taps : Sequence[Tap]
        The tones that were heard.
    how : str
        Where they come from, in words for the file.
    """
    text = read_text(path)
    parse_board(text, os.fspath(path))
    body, found = _split(text)
    for tap in taps:
        body = body.rstrip("\n") + "\n\n[[taps]]\n"
        body += f'hz = {tap.hz:.7g}\nmotion = "{tap.motion}"\nplus_minus_cents = {tap.plus_minus_cents:.3g}\n'
        body += f'how = "{how}"\n'
    return _write(path, body + (f"\n{found}" if found else ""), text)


def save_found(path: str | os.PathLike[str], found: Found, remarks: Sequence[str]) -> Board:
    """Write what was found into the file; the board as the file now has it.

    `remarks`: for each constant, in their order, its ± and how it was found. Raises DrumFileError or WriteError.

    Parameters
    ----------
    path : str | os.PathLike[str]
        The board's file.
    found : Found
        The constants that were fitted.
    remarks : Sequence[str]
        For each constant, in their order, its ± and how it was found.
    """
    text = read_text(path)
    body, _ = _split(text)
    lines = [TABLE, "[found]"]
    for name, remark in zip(NAMES, remarks, strict=True):
        lines.append(f"{name} = {getattr(found.elastic, name):.6g}  # {remark}")
    lines += [
        "# Covariance of the natural logarithms of the ten constants, in the order above.",
        "covariance = [",
    ]
    lines += ["  [" + ", ".join(_float(c) for c in row) + "]," for row in found.covariance]
    lines += [
        "]",
        "# What one standard deviation of the thickness's error would add to each, if the board is planed.",
    ]
    lines.append("by_thickness = [" + ", ".join(_float(slip) for slip in found.by_thickness) + "]")
    return _write(path, body.rstrip("\n") + "\n\n" + "\n".join(lines) + "\n", text)


def _float(value: float) -> str:
    return f"{value:.9e}"


def _split(text: str) -> tuple[str, str]:
    """The maker's part of the file, and [found] as it was written, if it stands at the end."""
    at = text.find(MARK)
    if at >= 0:
        return text[:at], text[at:]
    line = load(text, None)[1].lines.get(("found",))
    if line is None:
        return text, ""
    parts = text.split("\n")
    return "\n".join(parts[: line - 1]), "\n".join(parts[line - 1 :])


def _write(path: str | os.PathLike[str], new: str, old: str) -> Board:
    """Write the new text if it still means the same board as the old one in all the maker measured."""
    board = parse_board(new, os.fspath(path))
    before, now = load(old, os.fspath(path))[0], load(new, os.fspath(path))[0]
    taps, taps_now = before.pop("taps", []), now.pop("taps", [])
    before.pop("found", None)
    now.pop("found", None)
    if before != now or taps_now[: len(taps)] != taps:
        raise DrumFileError(
            "this cannot be written without changing something else. The file is left as it is: put [found] at the "
            "end of the file, after the taps.",
            path=os.fspath(path),
        )
    atomic_write(path, new.encode("utf-8"))
    return board


def save_new(path: str | os.PathLike[str], board: Board, units: Units) -> None:
    """Write a new board file. Raises WriteError when there is one already, which is never overwritten.

    Parameters
    ----------
    path : str | os.PathLike[str]
        The new file.
    board : Board
        What was measured.
    units : Units
        Of the lengths in the file.
    """
    if os.path.lexists(path):
        raise WriteError(
            f"{os.fspath(path)} is there already, and a board's measurements are not written over. Choose another "
            "name, or change the file by hand.",
            given=os.fspath(path),
        )
    text = board_text(board, units)
    parse_board(text, os.fspath(path))
    Path(path).parent.mkdir(parents=True, exist_ok=True)
    atomic_write(path, text.encode("utf-8"))
