"""What a fit of a board says beside its numbers: what is not told yet, and what to tap next."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.jobs.board_holding import tell_how, tell_symmetry
from kerftone.wood.board import Board, Motion

if TYPE_CHECKING:
    from kerftone.tune.identify import Identified
    from kerftone.tune.next_tone import NextTone

MOTIONS: dict[str, Motion] = {"along": "along", "twisting": "twisting", "across": "across"}
ODD = 2.5
"""Standard deviations of the species: of a hundred boards, one is as odd."""
CUT_LOOKS = {
    "flatsawn": "the growth rings lie flat in the end of the board",
    "quartersawn": "the growth rings stand upright in the end of the board",
}


def advice(path: Path, board: Board, found: Identified) -> list[str]:
    """One paragraph for each thing worth saying, the most pressing first.

    Parameters
    ----------
    path : Path
        The board's file, to name it.
    board : Board
        What was measured.
    found : Identified
        What its taps told.
    """
    said = []
    if any(tone.kind is None for tone in found.tones):
        said.append(
            "A tone is left out when what the others and the species say of it lies more than four standard "
            "deviations away. Was it another motion, an upper tone, or the bench?"
        )
    if found.other_cut is not None:
        said.append(
            f"These tones would fit a {found.other_cut} board better. If {CUT_LOOKS[found.other_cut]}, write "
            f'cut = "{found.other_cut}" in {path} and fit again.'
        )
    stiff = found.found.elastic.e_l_gpa / found.expected.e_l_gpa
    if abs(math.log(stiff)) > ODD * found.before[0]:
        said.append(
            f"Along the grain this board would be {stiff:.2f} times as stiff as the mean of {board.species.name}, as "
            "hardly any board is. Check its sizes, its mass and the tones before you trust it."
        )
    said += _readings(found)
    said += [_untold(board, one.name, one.after, one.tone) for one in found.untold]
    said.append(_notes(board, found, tone_to_tap(found)))
    return said


def tone_to_tap(found: Identified) -> NextTone | None:
    """The one further tone that would tell most of a drum's notes, unless the advice names others already."""
    return None if any(one.tone for one in found.untold) else found.further


def _readings(found: Identified) -> list[str]:
    """Tones read otherwise than they were written down, and another reading that is nearly as likely."""
    said = []
    odd = [
        tone
        for tone in found.tones
        if tone.kind is not None and tone.tap.motion not in ("unknown", tone.kind)
    ]
    if odd:
        told = ", ".join(f"{tone.tap.hz:.1f} Hz for {motion_words(tone.kind)}" for tone in odd)
        said.append(
            f"Taken for another motion than they were written down for, because they fit it better: {told}."
        )
    if found.otherwise is not None:
        pairs = zip(found.tones, found.otherwise, strict=True)
        other = [
            f"{tone.tap.hz:.1f} Hz {'left out' if kind is None else 'as ' + motion_words(kind)}"
            for tone, kind in pairs
            if kind != tone.kind
        ]
        told = f": {', '.join(other)}" if other else ""
        said.append(
            f"The tones could be read otherwise, which is nearly as likely{told}. Say which motion it was, or "
            "tap one more tone, and fit again."
        )
    return said


def motion_words(kind: str | None) -> str:
    """A motion as a maker would say it."""
    words = {"along": "bending along", "across": "bending across", "other": "a motion in the board's plane"}
    return words.get(str(kind), str(kind))


def _untold(board: Board, name: str, after: float, tone: NextTone | None) -> str:
    twisting = "How stiff it is against twisting"
    which = {"e_l_gpa": "How stiff it is along the grain", "g_lt_gpa": twisting, "g_lr_gpa": twisting}
    said = (
        f"{which.get(name, 'How stiff it is across the grain')} is not told by these tones: it stays near the "
        f"species' mean, ± {100 * after:.0f} %. "
    )
    if tone is None:
        return (
            said
            + "None of the lower tones of so narrow a piece would tell it: tap a wider one of the same board."
        )
    return said + (
        f"A tone near {tone.hz:.0f} Hz, {motion_words(tone.kind)}, would tell it. {_how(board, tone)}"
    )


def _notes(board: Board, found: Identified, tone: NextTone | None) -> str:
    if tone is None:
        return (
            f"So far as its wood goes, the notes of a drum cut from this board are known to about ± "
            f"{found.notes_cents:.0f} cents."
        )
    higher = "" if tone.first else " in one of its higher ways"
    return (
        f"The one further tone that would tell most of a drum's notes lies near {tone.hz:.0f} Hz "
        f"(± {tone.plus_minus_cents:.0f} cents): {motion_words(tone.kind)}{higher}. "
        f"{_how(board, tone)} With it, the notes of a drum cut from this board would be known to "
        f"about ± {tone.then:.0f} cents, so far as the wood goes; without it, to ± {tone.now:.0f}."
    )


def _how(board: Board, tone: NextTone) -> str:
    """Where to hold and tap for it."""
    if tone.first and tone.kind in MOTIONS:
        said = tell_how(board, MOTIONS[tone.kind]).split(": ", 1)[1]
        return said[0].upper() + said[1:]
    return tell_symmetry(board, tone.symmetry)


def tone_record(tone: NextTone | None) -> dict[str, Any] | None:
    """A tone worth tapping, as JSON."""
    if tone is None:
        return None
    return {
        "hz": round(tone.hz, 2),
        "plus_minus_cents": round(tone.plus_minus_cents, 1),
        "motion": tone.kind,
    }
