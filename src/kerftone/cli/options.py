"""The options and arguments that several commands share."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Paper(StrEnum):
    """What is in the printer."""

    a4 = "a4"
    letter = "letter"


Drum = Annotated[
    Path, typer.Argument(metavar="DRUM", help="The drum file, or the folder that holds its drum.toml.")
]
Json = Annotated[bool, typer.Option("--json", help="Give the result as one JSON document.")]
