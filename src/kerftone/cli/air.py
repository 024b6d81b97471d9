"""The options that say how a drum stands, what its bottom is, and in which air, when it is asked about."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from kerftone.jobs.air_asked import AirAsked


class BottomIs(StrEnum):
    """What the bottom is while the drum is played."""

    glued = "glued"
    loose = "loose"
    off = "off"
    table = "table"


class Stands(StrEnum):
    """How the drum stands while it is struck."""

    held = "held"
    free = "free"


StandsOption = Annotated[
    Stands | None,
    typer.Option(
        "--stands",
        metavar="held|free",
        help="Let the drum stand otherwise than its file says, and show how far each note moves.",
    ),
]
BottomOption = Annotated[
    BottomIs | None,
    typer.Option(
        "--bottom",
        metavar="glued|loose|off|table",
        help="The bottom: glued on, put in but not glued, off, or off with the drum on a table. Without it: as in "
        "the file.",
    ),
]
Vacuo = Annotated[
    bool, typer.Option("--in-vacuo", help="Leave the air out: what the wood alone would sound.")
]
OtherGlue = Annotated[
    bool,
    typer.Option(
        "--other-glue",
        help="Show how far each note moves if glue fills the gap round a top on a ledge, or leaves it open.",
    ),
]
Warmth = Annotated[float, typer.Option("--temperature", metavar="CELSIUS", help="The warmth of the air.")]


def air_asked(bottom: BottomIs | None, temperature: float, in_vacuo: bool) -> AirAsked | None:
    """The air asked for on the command line."""
    from kerftone.jobs.air_asked import AirAsked

    if in_vacuo:
        return None
    return AirAsked(bottom=None if bottom is None else bottom.value, temperature_c=temperature)
