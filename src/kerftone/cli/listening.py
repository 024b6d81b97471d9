"""`kerftone listen`: its options and their help. What it does is in `listen`, loaded only when it runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kerftone.cli.options import Json
from kerftone.errors import KerftoneError

DrumHeard = Annotated[
    Path | None,
    typer.Option("--drum", metavar="DRUM", help="The drum that was tapped: taps are matched to its tongues."),
]
TongueHeard = Annotated[
    str | None,
    typer.Option(
        "--tongue", metavar="TONGUE", help="Only this tongue was tapped: its place (L1), note (D4) or number."
    ),
]
Around = Annotated[
    str | None,
    typer.Option(
        "--around",
        metavar="NOTE_OR_HZ",
        help="Look only within 150 cents of this note or pitch; several in quotes, such as 'D3 A3'.",
    ),
]
Picture = Annotated[
    Path | None,
    typer.Option(
        "--picture", metavar="FILE.png", help="Draw the recording, its strikes and decays, as .png or .svg."
    ),
]


def listen(
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="FILE...", help="Recordings: WAV, FLAC, Ogg, MP3, AIFF, m4a, 3gp, webm."),
    ] = None,
    drum: DrumHeard = None,
    tongue: TongueHeard = None,
    around: Around = None,
    reference: Annotated[
        float | None,
        typer.Option("--reference", metavar="HZ", help="The pitch of A4. Without it: the drum's, else 440."),
    ] = None,
    as_json: Json = False,
    picture: Picture = None,
    part: Annotated[
        bool, typer.Option("--part", help="Hear what is there of a recording that breaks off.")
    ] = False,
    live: Annotated[
        bool, typer.Option("--live", help="Listen to the microphone until Ctrl-C (needs kerftone[mic]).")
    ] = False,
) -> int:
    """Hear the taps in a recording: pitch, decay, and which tongue.

    For each strike: the note, the cents from it with their ±, how the pitch drifts and how long it rings.
    Taps of one tongue are also taken together by their median. With --json one file gives one object, several
    give `{"files": [...]}`, each with its `file` and either what was heard or its `error`; the exit code is 2
    when one could not be heard, and the others are heard all the same.
    """
    from kerftone.jobs.expected_taps import TapsRequest

    request = TapsRequest(
        files=tuple(files or ()),
        drum=drum,
        tongue=tongue,
        around=around,
        reference_hz=reference,
        part=part,
        picture=picture,
    )
    if live:
        from kerftone.cli.live import run_live

        if files or picture or as_json:
            raise KerftoneError(
                "--live listens to the microphone until it is stopped, so it takes no file, --json or --picture. "
                "Record first, then listen to the file."
            )
        return run_live(request)
    from kerftone.cli.listen import run

    return run(request, as_json=as_json)
