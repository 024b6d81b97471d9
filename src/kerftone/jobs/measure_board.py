"""A sawn board: measured, weighed, and the tones it gives when it is tapped, kept in a file of its own."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerftone.drum.board_file import add_taps, read_board, save_new
from kerftone.errors import BoardError, WriteError
from kerftone.files import atomic_write
from kerftone.jobs.paths import check_target
from kerftone.jobs.progress import Progress, job
from kerftone.units import Units, parse_grams, parse_length
from kerftone.wood.board import Board, Cut, Motion, Tap, new_board
from kerftone.wood.moisture import check_moisture

LEAST_CENTS = 0.5
"""No tone of a board is taken as better heard than this: the hold shifts it more. Own judgement."""


@dataclass(frozen=True, kw_only=True)
class BoardRequest:
    """A new board as typed: the file to write, the wood, length, width and thickness, mass, moisture."""

    file: Path
    species: str
    length: str
    width: str
    thickness: str
    mass: str
    moisture_pct: float = 12.0
    cut: Cut = "flatsawn"
    units: Units = "mm"


@dataclass(frozen=True, kw_only=True)
class BoardTapsRequest:
    """Tones of a board: typed in (Hz), or in a recording; `motion` is None when nothing was said of it.

    drawing: an .svg file to draw the hold in.
    """

    file: Path
    hz: tuple[float, ...] = ()
    motion: Motion | None = None
    plus_minus_cents: float = 3.0
    drawing: Path | None = None
    recording: Path | None = None


@dataclass(frozen=True, kw_only=True)
class BoardKept:
    """The board as its file now has it; `added`: the taps that are new in it; `motion`: what they were asked for."""

    file: Path
    board: Board
    motion: Motion | None = None
    added: tuple[Tap, ...] = ()

    def document(self) -> dict[str, Any]:
        """As JSON."""
        board = self.board
        return {
            "board": str(self.file),
            "species": board.species.name,
            "size_mm": [round(mm, 4) for mm in board.size_mm],
            "mass_g": round(board.mass_g, 4),
            "density_kg_m3": round(board.density_kg_m3, 3),
            "moisture_pct": board.moisture_pct,
            "taps": [{"hz": tap.hz, "motion": tap.motion} for tap in board.taps],
        }


def grams(text: str) -> float:
    """How many grams are written here: "742", "742 g", "0.742 kg", "1 lb 10 oz". Raises BoardError."""
    value = parse_grams(text)
    if value is None:
        shown = repr(text if len(text) <= 40 else text[:37] + "...")
        raise BoardError(
            f"The mass {shown} cannot be read. It is a number above zero with g, kg, oz or lb: write '742 g' or "
            "'1 lb 10 oz'.",
            given=text,
        )
    return value


@job
def measure_board(request: BoardRequest, progress: Progress) -> BoardKept:
    """Write a new board file; one that is there is never overwritten. Raises BoardError, WriteError."""
    del progress  # it is there at once
    path = request.file
    if path.suffix.lower() != ".toml":
        raise WriteError(
            f"{path} does not end in .toml, as the file of a board does. Nothing was done: write {path}.toml.",
            given=str(path),
            nearest=f"{path}.toml",
        )
    typed = (request.length, request.width, request.thickness)
    length, width, thickness = (parse_length(text, request.units) for text in typed)
    mass_g = grams(request.mass)
    check_moisture(request.moisture_pct)
    board = new_board(request.species, (length, width, thickness), mass_g, request.moisture_pct, request.cut)
    save_new(path, board, request.units)
    return BoardKept(file=path, board=board)


@job
def tap_board(request: BoardTapsRequest, progress: Progress) -> BoardKept:
    """Write the tones heard into the board's file, and draw where to hold and tap where that is asked."""
    path = request.file
    board = read_board(path)
    taps = [_tap(hz, request) for hz in request.hz]
    if request.drawing is not None:
        check_target(request.drawing, ending=".svg", drum=path)
        from kerftone.draw.hold import hold_svg

        drawn = hold_svg(board.length_mm, board.width_mm, request.motion or "along")
        atomic_write(request.drawing, drawn.encode("utf-8"))
        progress(f"Wrote {request.drawing}.")
    if taps:
        board = add_taps(path, taps, how="typed in")
    if request.recording is not None:
        recorded = _recorded(request.recording, request.motion or "unknown", progress)
        board = add_taps(path, recorded, how=f"heard in {request.recording.name}")
        taps += recorded
    return BoardKept(file=path, board=board, motion=request.motion, added=tuple(taps))


def _recorded(path: Path, motion: Motion, progress: Progress) -> list[Tap]:
    """The tones tapped in a recording, as entries of the board's file."""
    from kerftone.tune.board_taps import board_tones

    found = board_tones(path)
    for tone in found.tones:
        progress(f"{path}: {tone.hz:.1f} Hz (±{tone.plus_minus_cents:.1f} cents), heard {tone.taps} times.")
    for hz in found.rare_hz:
        progress(f"{path}: {hz:.1f} Hz is left out, for it was heard far less often.")
    return [
        Tap(hz=tone.hz, motion=motion, plus_minus_cents=max(tone.plus_minus_cents, LEAST_CENTS))
        for tone in found.tones
    ]


def _tap(hz: float, request: BoardTapsRequest) -> Tap:
    if not (math.isfinite(hz) and 10.0 <= hz <= 20_000.0):
        raise BoardError(
            f"The tone {hz:g} Hz cannot be heard from a board. Tones are from 10 to 20000 Hz: write what the tuner "
            "showed, in hertz.",
            given=hz,
        )
    if not 0.01 <= request.plus_minus_cents <= 200.0:
        raise BoardError(
            f"The ± of the tone is {request.plus_minus_cents:g} cents. It must be from 0.01 to 200: write 3 when you "
            "do not know.",
            given=request.plus_minus_cents,
            nearest=3.0,
        )
    return Tap(hz=hz, motion=request.motion or "unknown", plus_minus_cents=request.plus_minus_cents)
