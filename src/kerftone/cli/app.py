"""The commands, their options and their help; nothing else.

Each command's work is in the module of its name and is loaded only when it runs, so that help and a
mistyped option answer at once. `docs/cli.md` is written from what stands here (`kerftone.cli.manual`).
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from kerftone import __version__
from kerftone.cli.air import BottomOption, OtherGlue, StandsOption, Vacuo, Warmth, air_asked
from kerftone.cli.bench import bench
from kerftone.cli.board import group as board_group
from kerftone.cli.failure import Answering
from kerftone.cli.first import new, scales, woods
from kerftone.cli.help import Helpful
from kerftone.cli.listening import listen
from kerftone.cli.open import open_page
from kerftone.cli.options import Drum, Json, Paper
from kerftone.cli.run_job import run_job

app = typer.Typer(
    name="kerftone",
    cls=Answering,
    help="Wooden tongue drums: from the notes you want and the board you have to tongue lengths, a sound, drawings "
    "and the tuning at the bench.",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.add_typer(board_group)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"kerftone {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def kerftone(
    context: typer.Context,
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Say which version this is."),
    ] = False,
) -> None:
    """Take the options that stand before a command; without one, say where the drums here stand, or show the help."""
    if context.invoked_subcommand is not None:
        return
    from kerftone.cli.here import show_here
    from kerftone.jobs.drums_here import DrumsRequest, drums_here

    found = drums_here(DrumsRequest(folder=Path()))
    if found.drums:
        show_here(found)
    else:
        typer.echo(context.get_help())


app.add_typer(bench, name="bench")


app.command()(new)
app.command()(scales)
app.command()(woods)
app.command("open")(open_page)


@app.command()
def modes(
    drum: Drum,
    count: Annotated[
        int, typer.Option("--count", metavar="N", min=1, max=120, help="How many modes to list.")
    ] = 20,
    stands: StandsOption = None,
    humidity: Annotated[
        float | None,
        typer.Option(
            "--humidity",
            metavar="PERCENT",
            help="Show how far each note moves from the shop's air once the drum has long stood in air this damp.",
        ),
    ] = None,
    temperature: Warmth = 20.0,
    bottom: BottomOption = None,
    in_vacuo: Vacuo = False,
    other_glue: OtherGlue = False,
    as_json: Json = False,
) -> None:
    """Say what this drum, as drawn, would sound.

    For each tongue: the note it sounds in air, how far that is from the note wanted, how sure it is, how clear and
    how loud.
    """
    from kerftone.cli.modes import show_notes
    from kerftone.jobs.predict_notes import NotesRequest, predict_notes

    request = NotesRequest(
        drum=drum,
        count=count,
        stands=None if stands is None else stands.value,
        humidity_pct=humidity,
        air=air_asked(bottom, temperature, in_vacuo),
        temperature_c=temperature,
        other_glue=other_glue,
    )
    run_job(predict_notes, request, show_notes, as_json=as_json)


@app.command()
def fit(
    drum: Drum,
    explain: Annotated[
        bool,
        typer.Option(
            "--explain",
            help="Say too which tongues pull at which, and which tone of the box is near each note.",
        ),
    ] = False,
    as_json: Json = False,
) -> None:
    """Find the tongue lengths and write them into the file.

    Each tongue is to sound its note, less the allowance for tuning that the file states (`aim_cents`).
    Tongues without a row and side are given places too, those in which the notes come out clearest.
    Comments and everything else in the file stay as they are.
    """
    from kerftone.cli.make import show_lengths
    from kerftone.jobs.find_lengths import LengthsRequest, find_lengths

    run_job(find_lengths, LengthsRequest(drum=drum, explain=explain), show_lengths, as_json=as_json)


@app.command()
def hear(
    drum: Drum,
    output: Annotated[
        Path, typer.Option("--output", "-o", metavar="FILE.wav", help="The sound file to write.")
    ],
    mallet: Annotated[
        str,
        typer.Option("--mallet", metavar="MALLET", help="soft-rubber, hard-rubber or wood."),
    ] = "hard-rubber",
    temperature: Warmth = 20.0,
    bottom: BottomOption = None,
    in_vacuo: Vacuo = False,
    as_json: Json = False,
) -> None:
    """Let the drum be heard: each tongue in turn, then a short phrase."""
    from kerftone.cli.make import show_sound
    from kerftone.jobs.preview_sound import SoundRequest, preview_sound

    request = SoundRequest(
        drum=drum, output=output, mallet=mallet, air=air_asked(bottom, temperature, in_vacuo)
    )
    run_job(preview_sound, request, show_sound, as_json=as_json)


@app.command()
def layout(
    drum: Drum,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="FILE.svg", help="The drawing to write.")],
    as_json: Json = False,
) -> None:
    """Draw the top in plan, at true size, to saw by."""
    from kerftone.cli.make import show_layout
    from kerftone.jobs.draw_layout import LayoutRequest, draw_layout

    run_job(draw_layout, LayoutRequest(drum=drum, output=output), show_layout, as_json=as_json)


@app.command()
def draw(
    drum: Drum,
    output: Annotated[
        Path,
        typer.Option(
            "--output", "-o", metavar="FOLDER", help="The folder for the drawings; made if missing."
        ),
    ],
    formats: Annotated[
        str,
        typer.Option(
            "--format", metavar="LIST", help="Which of pdf, svg, dxf and step, with commas between."
        ),
    ] = "pdf",
    paper: Annotated[
        Paper | None,
        typer.Option(
            "--paper", metavar="a4|letter", help="Without it: as in [shop], or a4, or letter for inches."
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Draw full-size templates: the top from above, its underside with the bores, the walls with their joints.

    pdf: templates.pdf, in pages to tape together, each with bars to check the print by. svg: one file a
    sheet, at true size. dxf: the cuts of top, underside, walls and bottom, in mm, for a machine. step: the top,
    and the box with its joints, as solids.
    """
    from kerftone.cli.make import show_templates
    from kerftone.jobs.draw_templates import TemplatesRequest, draw_templates

    request = TemplatesRequest(
        drum=drum, folder=output, formats=formats, paper=None if paper is None else paper.value
    )
    run_job(draw_templates, request, show_templates, as_json=as_json, quiet=True)


@app.command()
def plan(
    drum: Drum,
    output: Annotated[
        Path,
        typer.Option("--output", "-o", metavar="FOLDER", help="The folder for the results; made if missing."),
    ],
    temperature: Warmth = 20.0,
    bottom: BottomOption = None,
    in_vacuo: Vacuo = False,
    as_json: Json = False,
) -> int:
    """Do all of the above into one folder, with a report.

    Writes modes.json, drum.wav, layout.svg and report.html into the folder. Where a tongue lacks a length or
    a place, `fit` comes first and its lengths are written into the drum file. Lengths that are there are kept; where
    they do not sound the notes, that is said first and the exit code is 3.
    """
    from kerftone.cli.make import show_plan
    from kerftone.jobs.plan_drum import PlanRequest, plan_drum

    request = PlanRequest(drum=drum, folder=output, air=air_asked(bottom, temperature, in_vacuo))
    return run_job(plan_drum, request, show_plan, as_json=as_json)


@app.command()
def build(
    drum: Drum,
    output: Annotated[
        Path,
        typer.Option("--output", "-o", metavar="FOLDER", help="The folder for the results; made if missing."),
    ],
    accept: Annotated[
        Literal["pickup"] | None,
        typer.Option(
            "--accept", metavar="pickup", help="Write the place proposed for the pickup into the drum file."
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Make a shop plan: parts, joints, boards, order of work, checks.

    Writes build.pdf (a booklet to print), cutlist.csv and build.json into the folder, and shows the checks.
    With a [pickup] in the file the drum is solved once, to find a place where it hears all notes.
    """
    from kerftone.cli.build import show_shop_plan
    from kerftone.jobs.plan_shop import ShopRequest, plan_shop

    request = ShopRequest(drum=drum, folder=output, accept_pickup=accept is not None)
    run_job(plan_shop, request, show_shop_plan, as_json=as_json)


@app.command()
def share(
    drum: Drum,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE.pdf",
            help="The file to write. Without it: share.pdf beside the drum file.",
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
    """Make one PDF to give away: picture, shopping list, order of work, templates.

    A poster with the drum's picture and notes, its parts, everything to buy, the order of work with its cautions, a
    tuning sheet to write on, and the templates at full size. Nothing is solved.
    """
    from kerftone.cli.make import show_shared
    from kerftone.jobs.share_drum import ShareRequest, share_drum

    request = ShareRequest(drum=drum, output=output, paper=None if paper is None else paper.value)
    run_job(share_drum, request, show_shared, as_json=as_json, quiet=True)


app.command()(listen)
for _group in (app, bench, board_group):
    for _one in _group.registered_commands:
        _one.cls = Helpful
