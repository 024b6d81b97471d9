"""`kerftone board` in words: a drawing of the hold, and the constants found as a table."""

from __future__ import annotations

from collections.abc import Mapping

from kerftone.cli.screen import Column, say, show, show_table
from kerftone.drum.board_file import NAMES
from kerftone.drum.own_wood import constant_words
from kerftone.jobs.board_advice import advice, tone_to_tap
from kerftone.jobs.board_holding import NODE, tell_how
from kerftone.jobs.fit_board import BoardFitted
from kerftone.jobs.measure_board import BoardKept
from kerftone.tune.identify import Identified, ToneFit
from kerftone.wood.board import Board, Motion

SIGNS = (53, 9)
"""How wide and how high the drawing of a board is, in signs."""
NODES, MIDDLE = (NODE, 1.0 - NODE), (0.5,)
"""Where a free bar stands still when it bends, and when it twists, as shares of its length."""
HOLDS: Mapping[Motion, tuple[tuple[float, ...], tuple[float, ...], tuple[int, int]]] = {
    "along": (NODES, (), (51, 4)),
    "unknown": (NODES, (), (51, 4)),
    "across": ((), NODES, (26, 0)),
    "twisting": (MIDDLE, MIDDLE, (51, 0)),
}
"""For each motion: where along and where across to hold, as shares of the board, and which sign to tap at."""
TONES: tuple[Column[ToneFit], ...] = (
    Column("Tone, Hz", lambda tone: f"{tone.tap.hz:.1f}", number=True),
    Column("Tapped for", lambda tone: tone.tap.motion),
    Column("Taken for", lambda tone: tone.kind or "left out"),
    Column("Model, Hz", lambda tone: f"{tone.model_hz:.1f}", number=True),
    Column("Cents off", lambda tone: f"{tone.off_cents:+.1f}", number=True),
)


def show_measured(done: BoardKept) -> None:
    """The new board, and what comes next."""
    board = done.board
    show(
        f"{done.file}: {board.species.name}, {board.density_kg_m3:.0f} kg/m³ at {board.moisture_pct:g} % moisture."
    )
    say(f"Now hold and tap it: kerftone board tap {done.file}", wrap=True)


def show_tapped(done: BoardKept) -> None:
    """The tones added; without any, where to hold and tap."""
    if not done.added:
        show(picture(done.motion or "along"))
        show(tell_how(done.board, done.motion or "along"), wrap=True)
        return
    tones = ", ".join(f"{tap.hz:.6g} Hz" for tap in done.added)
    motion, count = done.motion or "motion not said", len(done.board.taps)
    show(f"{done.file}: {tones} ({motion}) added; {count} tone{'s' * (count != 1)} in all.")
    say(f"When all tones are in: kerftone board fit {done.file}", wrap=True)


def show_fitted(done: BoardFitted) -> None:
    """The constants with their ±, what each tone was taken for, and what to tap next."""
    _show(done.board, done.found)
    for paragraph in advice(done.file, done.board, done.found):
        say("")
        say(paragraph, wrap=True)
    tone = tone_to_tap(done.found)
    if tone is not None:
        say(f"Write it with: kerftone board tap {done.file} --motion {tone.kind} --hz HZ", wrap=True)
    say("")
    say(
        f'Written into {done.file}. A drum file uses it with board = "{done.file}" in [top], told from its own '
        "folder.",
        wrap=True,
    )


def _show(board: Board, found: Identified) -> None:
    names = [name for name in NAMES if not name.startswith("nu_")]
    show(
        f"{board.species.name} at {board.moisture_pct:g} % moisture: this board beside the mean of its species. The "
        "numbers themselves are in the board's file.",
        wrap=True,
    )
    show("")
    show_table(_constants(found), names)
    show("")
    show_table(TONES, found.tones)


def _constants(found: Identified) -> tuple[Column[str], ...]:
    """By the constant's name: what this board has of its species' mean, and how far either is known."""

    def title(name: str) -> str:
        words = constant_words(name)
        return f"{words[0].upper()}{words[1:]}"

    def share(name: str) -> str:
        return f"{100 * getattr(found.found.elastic, name) / getattr(found.expected, name):.0f} %"

    return (
        Column("What it is", title),
        Column("Of the\nmean", share, number=True),
        Column(
            "± before\nthe taps", lambda name: f"{100 * found.before[NAMES.index(name)]:.0f} %", number=True
        ),
        Column("± now", lambda name: f"{100 * found.after[NAMES.index(name)]:.1f} %", number=True),
    )


def picture(motion: Motion) -> str:
    """The board seen from above, grain running across the page: ":" and "." where to hold, "X" where to tap."""
    along, across, tapped = HOLDS[motion]
    wide, high = SIGNS
    columns = {round(share * (wide - 1)) for share in along}
    lines = {round(share * (high - 1)) for share in across}

    def sign(row: int, column: int) -> str:
        if (column, row) == tapped:
            return "X"
        return "." if row in lines and column % 2 == 0 else ":" if column in columns else " "

    edge = "+" + "-" * wide + "+"
    rows = ["|" + "".join(sign(row, column) for column in range(wide)) + "|" for row in range(high)]
    told = "  grain and length run this way -->   hold on : and .   tap at X"
    return "\n".join([edge, *rows, edge, told])
