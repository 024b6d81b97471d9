"""The commands of one measured board: `kerftone board new`, `tap` and `fit`.

Only their options and help stand here; the work is a job (`kerftone.jobs`) and is loaded when a command runs.
"""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from kerftone.cli.failure import HelpfulGroup
from kerftone.cli.options import Json
from kerftone.cli.run_job import run_job

group = typer.Typer(
    name="board",
    cls=HelpfulGroup,
    help="Measure, weigh and tap a sawn board, and find what its wood is made of.",
    rich_markup_mode=None,
)


class Motion(StrEnum):
    """Which motion the hold and the tap are meant to bring out."""

    along = "along"
    twisting = "twisting"
    across = "across"
    unknown = "unknown"


class BoardCut(StrEnum):
    """How the growth rings lie."""

    flatsawn = "flatsawn"
    quartersawn = "quartersawn"


class BoardUnits(StrEnum):
    """The units of a board file."""

    mm = "mm"
    inches = "in"


File = Annotated[
    Path, typer.Argument(metavar="BOARD", help="The board's file, such as boards/cherry-2.toml.")
]


@group.command("new")
def new(
    board: File,
    species: Annotated[
        str, typer.Option("--species", metavar="SPECIES", help="The wood, such as 'cherry, black'.")
    ],
    length: Annotated[str, typer.Option("--length", metavar="LENGTH", help="Along the grain.")],
    width: Annotated[str, typer.Option("--width", metavar="LENGTH", help="Across the grain.")],
    thickness: Annotated[
        str, typer.Option("--thickness", metavar="LENGTH", help="The mean of several places.")
    ],
    mass: Annotated[str, typer.Option("--mass", metavar="GRAMS", help="What it weighs: 742 or '742 g'.")],
    moisture: Annotated[
        float, typer.Option("--moisture", metavar="PERCENT", help="From a moisture meter.")
    ] = 12.0,
    cut: Annotated[
        BoardCut, typer.Option("--cut", metavar="flatsawn|quartersawn", help="How the growth rings lie.")
    ] = BoardCut.flatsawn,
    units: Annotated[
        BoardUnits, typer.Option("--units", metavar="mm|in", help="The units of the lengths.")
    ] = BoardUnits.mm,
    as_json: Json = False,
) -> None:
    """Write a new board file from a rule, a scale and a moisture meter.

    A file that is there already is never overwritten. An offcut strip is a board too. The mass may be written
    with its unit: g, kg, oz or lb.
    """
    from kerftone.cli.board_words import show_measured
    from kerftone.jobs.measure_board import BoardRequest, measure_board

    request = BoardRequest(
        file=board,
        species=species,
        lengths=(length, width, thickness),
        mass=mass,
        moisture_pct=moisture,
        cut=cut.value,
        units=units.value,
    )
    run_job(measure_board, request, show_measured, as_json=as_json)


@group.command("tap")
def tap(
    board: File,
    hz: Annotated[
        list[float] | None,
        typer.Option("--hz", metavar="HZ", help="A tone that was heard; may be given several times."),
    ] = None,
    recording: Annotated[
        Path | None,
        typer.Option("--recording", metavar="FILE", help="A recording of taps, all for the one motion."),
    ] = None,
    motion: Annotated[
        Motion | None,
        typer.Option(
            "--motion",
            metavar="along|twisting|across|unknown",
            help="How it was held and struck: bending along, twisting, bending across. Not said: the fit finds out.",
        ),
    ] = None,
    plus_minus: Annotated[
        float, typer.Option("--plus-minus", metavar="CENTS", help="How surely the tone is known.")
    ] = 3.0,
    drawing: Annotated[
        Path | None,
        typer.Option(
            "--drawing", metavar="FILE.svg", help="Write the drawing of hold and tap as a file too."
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Show where to hold and where to tap, and write the tone heard into the board's file.

    Without --hz or --recording it only draws: bending along, if no --motion is given. Hold the board loosely
    between finger and thumb, or lay it on strips of soft foam, where the drawing says; tap with a knuckle or a
    soft mallet.
    """
    from kerftone.cli.board_words import show_tapped
    from kerftone.jobs.measure_board import BoardTapsRequest, tap_board

    request = BoardTapsRequest(
        file=board,
        hz=tuple(hz or ()),
        motion=None if motion is None else motion.value,
        plus_minus_cents=plus_minus,
        drawing=drawing,
        recording=recording,
    )
    run_job(tap_board, request, lambda done: show_tapped(done, request), as_json=as_json)


@group.command("fit")
def fit(board: File, as_json: Json = False) -> None:
    """Find the stiffness of this board from its taps, and write it into the board's file.

    Gives every constant with its ±, before and after the taps, says which tone was taken for which motion and
    which was left out, and which further tone would tell most. A drum file uses the board with
    board = "boards/cherry-2.toml" in [top].
    """
    from kerftone.cli.board_words import show_fitted
    from kerftone.jobs.fit_board import BoardFitRequest, fit_board

    run_job(fit_board, BoardFitRequest(file=board), show_fitted, as_json=as_json)
