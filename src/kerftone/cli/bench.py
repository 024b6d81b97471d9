"""The commands at the bench, their options and their help; nothing else.

Each command's work is a job (`kerftone.jobs`) and is loaded only when it runs.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kerftone.cli import bench_facts
from kerftone.cli.failure import HelpfulGroup
from kerftone.cli.options import Drum, Json, Paper
from kerftone.cli.run_job import run_job
from kerftone.cli.screen import show
from kerftone.errors import EntryError

bench = typer.Typer(
    name="bench",
    cls=HelpfulGroup,
    help="Tune the drum: keep the log of taps and bores, and ask where to bore next.\n\nThe log is bench.sqlite "
    "beside the drum file. A tongue is named by its place (L1), its note (D4) or its number in the file. Lengths are "
    "in the units of the drum file, in inches also as fractions; a length may also say its own, as '20 mm' does. "
    "Facts are never changed or erased: a slip is voided, or mended with --instead-of.",
    rich_markup_mode=None,
)


@bench.command()
def start(drum: Drum, as_json: Json = False) -> None:
    """Begin the log: the drum is cut as its file says now.

    The file's text is frozen in the log. From then on the top, slots, tongues, box and bores are as cut; notes,
    tuning and [shop] may still be changed in the file.
    """
    from kerftone.cli.bench_words import show_started
    from kerftone.jobs.start_log import StartRequest, start_the_log

    run_job(start_the_log, StartRequest(drum=drum), show_started, as_json=as_json)


for _command in bench_facts.COMMANDS:
    bench.command()(_command)


@bench.command()
def log(
    drum: Drum,
    as_csv: Annotated[bool, typer.Option("--csv", help="Give it as CSV, one entry a line.")] = False,
    as_json: Json = False,
) -> None:
    """Print every entry of the log."""
    from kerftone.cli.bench_words import show_log, tell_edits
    from kerftone.jobs.read_log import LogRead, ReadLogRequest, csv_text, read_log

    def show_csv(done: LogRead) -> None:
        tell_edits(done.bench)
        show(csv_text(done.lines()).rstrip("\n"))

    if as_csv and as_json:
        raise EntryError("Both --csv and --json are given. The log is printed in one form: leave one out.")
    run_job(read_log, ReadLogRequest(drum=drum), show_csv if as_csv else show_log, as_json=as_json)


@bench.command()
def status(drum: Drum, as_json: Json = False) -> None:
    """Say where every tongue stands, and what remains to do."""
    from kerftone.cli.bench_words import show_standing
    from kerftone.jobs.bench_standing import StandingRequest, read_standing

    run_job(read_standing, StandingRequest(drum=drum), show_standing, as_json=as_json)


@bench.command("map")
def map_(
    drum: Drum,
    output: Annotated[
        Path,
        typer.Option("--output", "-o", metavar="FILE", help="The map to write, .pdf or .svg by its ending."),
    ],
    bit: Annotated[
        str | None,
        typer.Option(
            "--bit", metavar="LENGTH", help="Which bit the map is for. Without it: the one nearest 20 mm."
        ),
    ] = None,
    paper: Annotated[
        Paper | None,
        typer.Option(
            "--paper", metavar="a4|letter", help="Without it: as in [shop], or a4, or letter for inches."
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Draw the underside at full size, mirrored as you see it, with what a bore does at every place.

    Lines of cents per millimetre of depth, the line where boring does nothing, places to be left alone, the bores
    made and the next one.
    """
    from kerftone.cli.bench_words import show_map
    from kerftone.jobs.map_bores import MapRequest, map_bores

    request = MapRequest(drum=drum, output=output, bit=bit, paper=None if paper is None else paper.value)
    run_job(map_bores, request, show_map, as_json=as_json)


@bench.command("next")
def next_(
    drum: Drum,
    tongue: Annotated[
        str | None,
        typer.Option(
            "--tongue",
            metavar="TONGUE",
            help="Advise on this tongue. Without it: on the one whose turn it is.",
        ),
    ] = None,
    confirm: Annotated[
        bool,
        typer.Option("--confirm", help="Solve the whole drum before and after the step too; some 15 s more."),
    ] = False,
    as_json: Json = False,
) -> None:
    """Say what to do next: which tongue, which bit, where, how deep, and what it will do."""
    from kerftone.cli.bench_words import show_advice
    from kerftone.jobs.advise_next import AdviceRequest, advise_next

    request = AdviceRequest(drum=drum, tongue=tongue, confirm=confirm)
    run_job(advise_next, request, show_advice, as_json=as_json)
