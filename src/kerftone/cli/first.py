"""The commands that come first: `new`, and the lists a maker chooses from, `scales` and `woods`.

Their options and their help; the work is a job (`kerftone.jobs`) and is loaded only when they run.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kerftone.cli.options import Json
from kerftone.cli.run_job import run_job


def new(
    where: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER",
            help="Where to put drum.toml; made if missing. Or a file of your own name: finch.toml.",
        ),
    ],
    notes: Annotated[
        str | None, typer.Option("--notes", metavar="NOTES", help="The notes, such as 'D3 F3 G3 A3 C4 D4'.")
    ] = None,
    wood: Annotated[
        str | None,
        typer.Option(
            "--wood",
            metavar="WOOD",
            help="The wood of the top, by any name it is sold under: walnut, 'hard maple'. `kerftone woods` lists "
            "all. It cannot be left out.",
        ),
    ] = None,
    scale: Annotated[
        str | None,
        typer.Option(
            "--scale",
            metavar="SCALE",
            help="In place of the notes: a scale, such as 'D minor pentatonic'. `kerftone scales` lists all.",
        ),
    ] = None,
    count: Annotated[
        str | None,
        typer.Option("--count", metavar="N", help="How many notes of the scale. Without it: 6."),
    ] = None,
    first: Annotated[
        str | None,
        typer.Option(
            "--from",
            metavar="NOTE",
            help="The lowest note of the scale, such as A3, or the octave it begins in. Without it: 3.",
        ),
    ] = None,
    board: Annotated[
        str | None,
        typer.Option(
            "--board",
            metavar="SIZES",
            help="The board in hand, length x width x thickness, such as '20 x 8 x 5/8' or '500 x 200 x 16 mm': the "
            "drum is fitted into it.",
        ),
    ] = None,
    thickness: Annotated[
        str | None,
        typer.Option(
            "--thickness", metavar="LENGTH", help="How thick the top is. Without it: 16 mm or 5/8 in."
        ),
    ] = None,
    cut: Annotated[
        str,
        typer.Option(
            "--cut",
            metavar="flatsawn|quartersawn",
            help="How the rings lie in the end grain of the board: flat, or upright.",
        ),
    ] = "flatsawn",
    tongue_width: Annotated[
        str | None,
        typer.Option(
            "--tongue-width", metavar="LENGTH", help="How wide the tongues are, between their saw cuts."
        ),
    ] = None,
    box_height: Annotated[
        str | None,
        typer.Option("--box-height", metavar="LENGTH", help="How high the walls are, below the top."),
    ] = None,
    units: Annotated[
        str | None,
        typer.Option(
            "--units",
            metavar="mm|in",
            help="The units of the new file, and of lengths that name none. Without it: inches where a length is "
            "typed in inches, else mm.",
        ),
    ] = None,
    name: Annotated[
        str | None,
        typer.Option(
            "--name", metavar="NAME", help="What the drum is called. Without it: as the folder or file."
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Write a first drum.toml, with a board in which the notes fit, or with the board in hand.

    Give --notes, or a --scale. The file is commented for someone new to it and says nothing yet of lengths:
    `kerftone fit` finds those. A drum.toml that is already there is never overwritten.
    """
    from kerftone.cli.first_words import show_begun
    from kerftone.jobs.begin_drum import NewDrumRequest, begin_drum
    from kerftone.jobs.drum_wishes import LengthsTyped

    request = NewDrumRequest(
        where=where,
        notes=notes,
        scale=scale,
        count=count,
        first=first,
        wood=wood,
        cut=cut,
        lengths=LengthsTyped(
            board=board, thickness=thickness, tongue_width=tongue_width, box_height=box_height
        ),
        units=units,
        name=name,
    )
    run_job(begin_drum, request, show_begun, as_json=as_json)


def scales(
    scale: Annotated[
        str | None,
        typer.Argument(metavar="SCALE", help="A scale, such as 'D minor pentatonic', or a word of its name."),
    ] = None,
    as_json: Json = False,
) -> None:
    """List the scales a drum can have, with their notes.

    All of them, those with a word in their name, or one on its own note.
    """
    from kerftone.cli.first_words import show_scales
    from kerftone.jobs.list_scales import ScalesRequest, list_scales

    run_job(list_scales, ScalesRequest(typed=scale), show_scales, as_json=as_json)


def woods(
    word: Annotated[
        str | None,
        typer.Argument(metavar="WORD", help="A wood, or a word of any name it is sold under: oak, padauk."),
    ] = None,
    as_json: Json = False,
) -> None:
    """List the woods there are, how heavy and stiff they are, how sure that is and what is missing.

    All of them in a table; those of a few names with everything that is known.
    """
    from kerftone.cli.first_words import show_woods
    from kerftone.jobs.list_woods import WoodsRequest, list_woods

    run_job(list_woods, WoodsRequest(word=word), show_woods, as_json=as_json)
