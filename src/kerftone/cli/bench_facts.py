"""The commands that tell a fact to the log of a drum, their options and their help; nothing else.

Each command's work is a job (`kerftone.jobs`) and is loaded only when it runs. `bench` takes them in.
"""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kerftone.cli.options import Drum, Json
from kerftone.cli.run_job import run_job
from kerftone.errors import EntryError

if TYPE_CHECKING:
    from kerftone.tune.history import Bottom


class BottomTapped(StrEnum):
    """How the bottom was; on: glued."""

    glued = "glued"
    loose = "loose"
    off = "off"
    table = "table"
    on = "on"

    @property
    def state(self) -> Bottom:
        """The state, in the words of the log."""
        told: dict[BottomTapped, Bottom] = {
            BottomTapped.loose: "loose",
            BottomTapped.off: "off",
            BottomTapped.table: "table",
        }
        return told.get(self, "glued")


class TopHeld(StrEnum):
    """How the top sat on the box."""

    glued = "glued"
    clamped = "clamped"


TongueNamed = Annotated[
    str,
    typer.Option(
        "--tongue",
        metavar="TONGUE",
        help="Which tongue: its place (L1), its note (D4), or its number in the file.",
    ),
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


def tap(
    drum: Drum,
    tongue: Annotated[
        str | None,
        typer.Option(
            "--tongue",
            metavar="TONGUE",
            help="Which tongue: its place (L1), its note (D4), or its number in the file. Left out with --recording, "
            "the taps are matched to the tongues.",
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
        BottomTapped | None,
        typer.Option(
            "--bottom",
            metavar="glued|loose|off|table",
            help="How the bottom was: glued on (or: on), put in but not joined, off, or off with the open side on a "
            "table. Without it: as at the tap before, at first as in the drum file.",
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
        bottom=None if bottom is None else bottom.state,
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


def _check_told(tongue: str | None, hz: float | None, recording: Path | None, instead_of: int | None) -> None:
    """Refuse a tap that does not say what was heard, or says it twice. Raises EntryError."""
    if (hz is None) == (recording is None):
        given = "neither --hz nor --recording is" if hz is None else "--hz and --recording are both"
        raise EntryError(
            f"For this tap {given} given. One of them says what was heard: --hz 231.4, or --recording take.wav."
        )
    if recording is None and tongue is None:
        raise EntryError(
            f"{hz:g} Hz was heard, and no tongue is named. Only a recording can be matched to the tongues: add "
            "--tongue and its place, note or number, such as --tongue L1.",
            given=hz,
        )
    if recording is not None and instead_of is not None:
        raise EntryError(
            f"--instead-of {instead_of} mends one entry, and a recording may hold many taps. Void the entry "
            "with `kerftone bench void`, then record the taps.",
            given=instead_of,
        )


def bore(
    drum: Drum,
    tongue: TongueNamed,
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


def lengthen(
    drum: Drum, tongue: TongueNamed, by: By, instead_of: InsteadOf = None, as_json: Json = False
) -> None:
    """Record that both slots beside a tongue were sawn further at its root."""
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import CutRequest, Manner, record_cut

    manner = Manner(instead_of=instead_of)
    request = CutRequest(drum=drum, tongue=tongue, kind="lengthen", by=by, manner=manner)
    run_job(record_cut, request, show_recorded, as_json=as_json)


def trim(
    drum: Drum, tongue: TongueNamed, by: By, instead_of: InsteadOf = None, as_json: Json = False
) -> None:
    """Record that a tongue's tip was taken back."""
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import CutRequest, Manner, record_cut

    manner = Manner(instead_of=instead_of)
    request = CutRequest(drum=drum, tongue=tongue, kind="trim", by=by, manner=manner)
    run_job(record_cut, request, show_recorded, as_json=as_json)


def weight(
    drum: Drum,
    tongue: TongueNamed,
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


def note(
    drum: Drum,
    words: Annotated[str, typer.Argument(metavar="WORDS", help="What to remember.")],
    tongue: Annotated[
        str | None, typer.Option("--tongue", metavar="TONGUE", help="Which tongue it is about, if one.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Record anything else worth remembering, in words."""
    from kerftone.cli.bench_words import show_recorded
    from kerftone.jobs.record_fact import NoteRequest, record_note

    request = NoteRequest(drum=drum, words=words, tongue=tongue)
    run_job(record_note, request, show_recorded, as_json=as_json)


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


COMMANDS = (tap, bore, lengthen, trim, weight, note, void)
