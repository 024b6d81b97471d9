"""The commands at the bench, their options and their help; nothing else.

Each command's work is a job (`kerftone.jobs`) and is loaded only when it runs.
"""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from kerftone.cli.run_job import run_job
from kerftone.cli.screen import show
from kerftone.errors import EntryError

bench = typer.Typer(
    name="bench",
    help="Tune the drum: keep the log of taps and bores, and ask where to bore next.\n\nThe log is bench.sqlite "
    "beside the drum file. Tongues are numbered from 1, as in the file. Lengths are in the units of the drum file, "
    'in inches also as fractions; a length may also say its own, as "20 mm" does. Facts are never changed or '
    "erased: a slip is voided, or mended with --instead-of.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


class OnOff(StrEnum):
    """Whether the bottom was on."""

    on = "on"
    off = "off"


class Paper(StrEnum):
    """What the map is printed on."""

    a4 = "a4"
    letter = "letter"


class TopHeld(StrEnum):
    """How the top sat on the box."""

    glued = "glued"
    clamped = "clamped"


Drum = Annotated[
    Path, typer.Argument(metavar="DRUM", help="The drum file, or the folder that holds its drum.toml.")
]
Json = Annotated[bool, typer.Option("--json", help="Give the result as one JSON document.")]
TongueNumber = Annotated[
    int, typer.Option("--tongue", metavar="N", help="Which tongue, counted from 1 as in the drum file.")
]
Sure = Annotated[bool, typer.Option("--sure", help="It is so, however unlikely: record it.")]
InsteadOf = Annotated[
    int | None,
    typer.Option(
        "--instead-of",
        metavar="ENTRY",
        help="This mends a slip: void that entry and put this one in its place.",
    ),
]


@bench.command()
def start(drum: Drum, as_json: Json = False) -> None:
    """Begin the log: the drum is cut as its file says now.

    The file's text is frozen in the log. From then on the top, slots, tongues, box and bores are as cut; notes,
    tuning and [shop] may still be changed in the file.
    """
    from kerftone.cli.bench_words import show_started
    from kerftone.jobs.start_log import StartRequest, start_the_log

    run_job(start_the_log, StartRequest(drum=drum), show_started, as_json=as_json)


@bench.command()
def tap(
    drum: Drum,
    tongue: Annotated[
        int | None,
        typer.Option(
            "--tongue",
            metavar="N",
            help="Which tongue, counted from 1 as in the drum file. Left out with --recording, the taps are "
            "matched to the tongues.",
        ),
    ] = None,
    hz: Annotated[float | None, typer.Option("--hz", metavar="HZ", help="The pitch heard, in hertz.")] = None,
    recording: Annotated[
        Path | None,
        typer.Option(
            "--recording",
            metavar="FILE",
            help="A recording of the taps instead of --hz: of one tongue, or a run over several. Its sound is kept "
            "beside the log.",
        ),
    ] = None,
    plus_minus: Annotated[
        float,
        typer.Option("--plus-minus", metavar="CENTS", help="How sure the pitch is.", min=0.01, max=200.0),
    ] = 1.5,
    bottom: Annotated[
        OnOff | None,
        typer.Option(
            "--bottom",
            metavar="on|off",
            help="Whether the bottom was on. Without it: as at the tap before, at first as in the drum file.",
        ),
    ] = None,
    top: Annotated[
        TopHeld | None,
        typer.Option(
            "--top",
            metavar="glued|clamped",
            help="How the top sat on the box. Without it: as at the tap before, at first glued.",
        ),
    ] = None,
    temperature: Annotated[
        float | None,
        typer.Option("--temperature", metavar="C", help="In degrees Celsius.", min=-40.0, max=60.0),
    ] = None,
    humidity: Annotated[
        float | None,
        typer.Option(
            "--humidity", metavar="PERCENT", help="Relative humidity of the air.", min=0.0, max=100.0
        ),
    ] = None,
    sure: Sure = False,
    instead_of: InsteadOf = None,
    as_json: Json = False,
) -> None:
    """Record what a tongue sounded when it was tapped."""
    from kerftone.cli.bench_words import show_recorded, show_take
    from kerftone.jobs.record_fact import Manner, Struck, TapRequest, record_tap
    from kerftone.jobs.record_taps import TakeRequest, record_taps

    struck = Struck(
        plus_minus_cents=plus_minus,
        bottom_on=None if bottom is None else bottom is OnOff.on,
        top_glued=None if top is None else top is TopHeld.glued,
        temperature_c=temperature,
        humidity_pct=humidity,
    )
    _check_told(tongue, hz, recording, instead_of)
    if recording is not None:
        take = TakeRequest(drum=drum, recording=recording, tongue=tongue, struck=struck, sure=sure)
        run_job(record_taps, take, show_take, as_json=as_json)
        return
    assert tongue is not None and hz is not None
    manner = Manner(sure=sure, instead_of=instead_of)
    one = TapRequest(drum=drum, tongue=tongue, hz=hz, struck=struck, manner=manner)
    run_job(record_tap, one, show_recorded, as_json=as_json)


def _check_told(tongue: int | None, hz: float | None, recording: Path | None, instead_of: int | None) -> None:
    """Refuse a tap that does not say what was heard, or says it twice. Raises EntryError."""
    if (hz is None) == (recording is None):
        given = "neither --hz nor --recording is" if hz is None else "--hz and --recording are both"
        raise EntryError(
            f"For this tap {given} given. One of them says what was heard: --hz 231.4, or --recording take.wav."
        )
    if recording is None and tongue is None:
        raise EntryError(
            f"{hz:g} Hz was heard, and no tongue is named. Only a recording can be matched to the tongues: add "
            "--tongue and its number, counted from 1 as in the drum file.",
            given=hz,
        )
    if recording is not None and instead_of is not None:
        raise EntryError(
            f"--instead-of {instead_of} mends one entry, and a recording may hold many taps. Void the entry "
            "with `kerftone bench void`, then record the taps.",
            given=instead_of,
        )


@bench.command()
def bore(
    drum: Drum,
    tongue: TongueNumber,
    bit: Annotated[str, typer.Option("--bit", metavar="LENGTH", help="How wide the bit is.")],
    depth: Annotated[
        str,
        typer.Option(
            "--depth",
            metavar="LENGTH",
            help="How deep, from the underside; the whole depth if it goes on in a hole.",
        ),
    ],
    from_root: Annotated[
        str,
        typer.Option(
            "--from-root",
            metavar="LENGTH",
            help="From the tongue's root line along it to the middle of the bore.",
        ),
    ],
    from_edge: Annotated[
        str | None,
        typer.Option(
            "--from-edge",
            metavar="LENGTH",
            help="Across the tongue, from its edge towards the front of the drum to the middle of the bore. "
            "Without it: on the centre line.",
        ),
    ] = None,
    measured: Annotated[
        str | None,
        typer.Option("--measured", metavar="LENGTH", help="How deep it came out, if you measured it."),
    ] = None,
    sure: Sure = False,
    instead_of: InsteadOf = None,
    as_json: Json = False,
) -> None:
    """Record a pocket bored into the underside of a tongue.

    The front is the edge of the drum from which the file counts its rows. With the top turned over, the front edge of
    a tongue is still the one towards that edge.
    """
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import BoreRequest, Manner, record_bore

    request = BoreRequest(
        drum=drum,
        tongue=tongue,
        bit=bit,
        depth=depth,
        from_root=from_root,
        from_edge=from_edge,
        measured=measured,
        manner=Manner(sure=sure, instead_of=instead_of),
    )
    run_job(record_bore, request, show_recorded, as_json=as_json)


By = Annotated[str, typer.Option("--by", metavar="LENGTH", help="How much wood was taken.")]


@bench.command()
def lengthen(
    drum: Drum, tongue: TongueNumber, by: By, instead_of: InsteadOf = None, as_json: Json = False
) -> None:
    """Record that both slots beside a tongue were sawn further at its root."""
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import CutRequest, Manner, record_cut

    manner = Manner(instead_of=instead_of)
    request = CutRequest(drum=drum, tongue=tongue, kind="lengthen", by=by, manner=manner)
    run_job(record_cut, request, show_recorded, as_json=as_json)


@bench.command()
def trim(
    drum: Drum, tongue: TongueNumber, by: By, instead_of: InsteadOf = None, as_json: Json = False
) -> None:
    """Record that a tongue's tip was taken back."""
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import CutRequest, Manner, record_cut

    manner = Manner(instead_of=instead_of)
    request = CutRequest(drum=drum, tongue=tongue, kind="trim", by=by, manner=manner)
    run_job(record_cut, request, show_recorded, as_json=as_json)


@bench.command()
def weight(
    drum: Drum,
    tongue: TongueNumber,
    grams: Annotated[
        float, typer.Option("--grams", metavar="G", help="Its mass; negative when it was taken off again.")
    ],
    instead_of: InsteadOf = None,
    as_json: Json = False,
) -> None:
    """Record a weight fixed under a tongue, on its centre line 10 mm from its tip."""
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import Manner, WeightRequest, record_weight

    request = WeightRequest(drum=drum, tongue=tongue, grams=grams, manner=Manner(instead_of=instead_of))
    run_job(record_weight, request, show_recorded, as_json=as_json)


@bench.command()
def note(
    drum: Drum,
    words: Annotated[str, typer.Argument(metavar="WORDS", help="What to remember.")],
    tongue: Annotated[
        int | None, typer.Option("--tongue", metavar="N", help="Which tongue it is about, if one.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Record anything else worth remembering, in words."""
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import NoteRequest, record_note

    request = NoteRequest(drum=drum, words=words, tongue=tongue)
    run_job(record_note, request, show_recorded, as_json=as_json)


@bench.command()
def void(
    drum: Drum,
    number: Annotated[
        int, typer.Argument(metavar="ENTRY", help="The entry's number in `kerftone bench log`.")
    ],
    reason: Annotated[str, typer.Option("--reason", metavar="WORDS", help="Why it does not count.")],
    as_json: Json = False,
) -> None:
    """Say that an entry was a slip: it stays in the log and counts no longer."""
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import VoidRequest, void_entry

    request = VoidRequest(drum=drum, number=number, reason=reason)
    run_job(void_entry, request, show_recorded, as_json=as_json)


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
        show(csv_text(done.records()).rstrip("\n"))

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
        int | None,
        typer.Option(
            "--tongue", metavar="N", help="Advise on this tongue. Without it: on the one whose turn it is."
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
