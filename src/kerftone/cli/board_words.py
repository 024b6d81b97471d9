"""`kerftone board` in words: a drawing of the hold, and the constants found as a table."""

from __future__ import annotations

from kerftone.cli.screen import Table, say, show, show_table
from kerftone.draw.hold import HOLDS
from kerftone.jobs.board_advice import advice, tone_to_tap
from kerftone.jobs.board_holding import tell_how
from kerftone.jobs.fit_board import BoardFitted, ConstantFound
from kerftone.jobs.measure_board import BoardKept
from kerftone.tune.identify import ToneFit
from kerftone.wood.board import Motion

SIGNS = (53, 9)
"""How wide and how high the drawing of a board is, in signs."""
CONSTANTS: Table[ConstantFound] = {
    "What it is": lambda one: one.words,
    ">Of the\nmean": lambda one: f"{100 * one.of_mean:.0f} %",
    ">± before\nthe taps": lambda one: f"{100 * one.before:.0f} %",
    ">± now": lambda one: f"{100 * one.after:.1f} %",
}
TONES: Table[ToneFit] = {
    ">Tone, Hz": lambda tone: f"{tone.tap.hz:.1f}",
    "Tapped for": lambda tone: tone.tap.motion,
    "Taken for": lambda tone: tone.kind or "left out",
    ">Model, Hz": lambda tone: f"{tone.model_hz:.1f}",
    ">Cents off": lambda tone: f"{tone.off_cents:+.1f}",
}


def show_measured(done: BoardKept) -> None:
    """The new board, and what comes next."""
    board = done.board
    show(
        f"{done.file}: {board.species.name}, {board.density_kg_m3:.0f} kg/m³ at {board.moisture_pct:g} % moisture.",
        wrap=False,
    )
    say(f"Now hold and tap it: kerftone board tap {done.file}")


def show_tapped(done: BoardKept) -> None:
    """The tones added; without any, where to hold and tap."""
    if not done.added:
        show(picture(done.motion or "along"), tell_how(done.board, done.motion or "along"))
        return
    tones = ", ".join(f"{tap.hz:.6g} Hz" for tap in done.added)
    motion, count = done.motion or "motion not said", len(done.board.taps)
    many = "s" * (count != 1)
    show(f"{done.file}: {tones} ({motion}) added; {count} tone{many} in all.", wrap=False)
    say(f"When all tones are in: kerftone board fit {done.file}")


def show_fitted(done: BoardFitted) -> None:
    """The constants with their ±, what each tone was taken for, and what to tap next."""
    board, found = done.board, done.found
    show(
        f"{board.species.name} at {board.moisture_pct:g} % moisture: this board beside the mean of its species. The "
        "numbers themselves are in the board's file.",
        "",
    )
    show_table(CONSTANTS, done.constants())
    show("")
    show_table(TONES, found.tones)
    for paragraph in advice(done.file, board, found):
        say("", paragraph)
    tone = tone_to_tap(found)
    if tone is not None:
        say(f"Write it with: kerftone board tap {done.file} --motion {tone.kind} --hz HZ")
    uses = f'A drum file uses it with board = "{done.file}" in [top], told from its own folder.'
    say("", f"Written into {done.file}. {uses}")


def picture(motion: Motion) -> str:
    """The board seen from above, grain running across the page: ":" and "." where to hold, "X" where to tap."""
    wide, high = SIGNS
    hold = HOLDS[motion]
    columns = {round(share * (wide - 1)) for share in hold.along}
    lines = {round(share * (high - 1)) for share in hold.across}
    tapped = round(hold.tap[0] * (wide - 1)), round(hold.tap[1] * (high - 1))

    def sign(row: int, column: int) -> str:
        if (column, row) == tapped:
            return "X"
        return "." if row in lines and column % 2 == 0 else ":" if column in columns else " "

    edge = "+" + "-" * wide + "+"
    rows = ["|" + "".join(sign(row, column) for column in range(wide)) + "|" for row in range(high)]
    told = "  grain and length run this way -->   hold on : and .   tap at X"
    return "\n".join([edge, *rows, edge, told])
