"""What a blow shakes hard enough to buzz: feet, a bottom only laid in, joints, wires, nuts; and what holds each.

A thing that lies on wood by its weight alone leaves it when that is shaken harder than gravity, 9.81 m/s²: then it
comes back as a rattle. What is pressed on stays as long as the press is more than mass times what is beyond that. A
foot stays on the table while the corner moves less than the foot is squeezed by the drum's weight: so soft feet
never chatter and hard ones on a hard table do. Accelerations and ways are handed in, of a medium blow with the drum's
own mallet; mm, g, N.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from kerftone.drum.design import Drum
from kerftone.drum.shop import RUBBER_MPA
from kerftone.shop.measure import measure_of
from kerftone.shop.verdict import Check, Mend, judged
from kerftone.units import Units, format_mass, from_mm

G_M_S2 = 9.81
"""Standard gravity, rounded."""
FEET = 4  # one under each corner
WIRE_G_M = 15.0
"""Thin screened cable, by the metre: own estimate."""
NUT_G = 3.0
"""A panel nut with its washer: own estimate."""
NAMED = 3
"""So many notes are named; more are counted."""
TIE_MM: dict[Units, float] = {"mm": 50.0, "in": 50.8}
"""How far apart wires are tied, and the length of wire that a press is told for: own judgement."""
SPARE = 2.0
"""What is to hold is to hold so many times what a medium blow asks, for harder ones: own judgement."""


@dataclass(frozen=True, kw_only=True)
class Shakes:
    """By a blow on each tongue, in the drum's order: how far the corners move (mm), and how hard the box's lower rim,
    its floor and its walls are shaken at the hardest (m/s²)."""

    corners_mm: tuple[float, ...]
    rim_m_s2: tuple[float, ...]
    floor_m_s2: tuple[float, ...]
    walls_m_s2: tuple[float, ...]


def buzz_checks(drum: Drum, shakes: Shakes, *, weight_g: float, bottom_g: float) -> Iterator[Check]:
    """Which loose things this drum shakes hard enough to buzz, each with the mend.

    Parameters
    ----------
    drum : Drum
        With its feet, bottom and pickup.
    shakes : Shakes
        What a medium blow on each tongue does.
    weight_g : float
        Of the whole drum.
    bottom_g : float
        Of its bottom; 0 without one.
    """
    yield _feet(drum, shakes, weight_g)
    if drum.bottom is not None:
        yield _laid_in(drum, shakes, bottom_g)
    yield _joints(drum, shakes)
    if drum.making.pickup is not None:
        yield _wires(drum, shakes)
        yield _nuts(drum, shakes)


def _feet(drum: Drum, shakes: Shakes, weight_g: float) -> Check:
    """Feet that leave a hard table at each swing chatter."""
    feet = drum.box.feet
    load_n = 1e-3 * weight_g * G_M_S2 / FEET
    moved = max(shakes.corners_mm)
    squeezed = load_n / feet.stiff_n_mm
    softest = load_n / (SPARE * max(moved, 1e-9))
    said = partial(_small, units=drum.units)
    loud = _notes(drum, [way / squeezed for way in shakes.corners_mm])
    words = measure_of(drum)
    what = "the walls" if feet.kind == "none" else f"feet of {feet.kind}"
    return judged(
        "Feet on a hard table",
        "good" if not loud else "mind",
        f"{what} give {said(squeezed)} under the weight; a medium blow moves a corner by {said(moved)}",
        f"they chatter from {loud}: put rubber or felt under the corners, such as soft rubber "
        f"{words(_high(softest, feet.area_mm2))} high or more and {words(feet.diameter_mm)} across; or play on a "
        "cloth.",
        Mend(at=("box", "feet", "kind"), value="rubber"),
    )


def _high(stiff_n_mm: float, area_mm2: float) -> float:
    """How high a rubber foot of this area must be to be no stiffer, mm; 3 at the least."""
    return max(3.0, math.ceil(RUBBER_MPA * area_mm2 / stiff_n_mm))


def _laid_in(drum: Drum, shakes: Shakes, bottom_g: float) -> Check:
    """A bottom that lies in its place while the drum is tuned."""
    most = max(shakes.rim_m_s2)
    loud = _notes(drum, [one / G_M_S2 for one in shakes.rim_m_s2])
    need_n = SPARE * 1e-3 * bottom_g * max(most - G_M_S2, 0.0)
    return judged(
        "Bottom before it is glued",
        "good" if not loud else "mind",
        f"{format_mass(bottom_g, drum.units)}; a medium blow shakes the rim {_times(most)} its weight holds it",
        f"laid in loose it rattles from {loud}, and is heard in every tap: clamp it on, or press it down with "
        f"{format_mass(1e3 * need_n / G_M_S2, drum.units)} or more in all, or tap with it off.",
    )


def _joints(drum: Drum, shakes: Shakes) -> Check:
    """Wood that lies on wood without glue: a dry spot of a joint, or an edge in a gap that something bridges."""
    hard = [max(pair) for pair in zip(shakes.rim_m_s2, shakes.walls_m_s2, strict=True)]
    loud = _notes(drum, [one / G_M_S2 for one in hard])
    words = measure_of(drum)
    numbers = (
        f"a medium blow shakes the joints {_times(max(hard))} its weight holds a piece to one it only touches"
    )
    gap = gap_mm(drum)
    if gap is not None:
        numbers += (
            f"; the gap of {words(gap)} round the top is {gap / max(shakes.corners_mm):.0f} times its swing"
        )
    mend = (
        f"where a joint has a dry spot it buzzes from {loud}: glue each along its whole length, and see that it is "
        "squeezed out all along."
    )
    if gap is not None:
        mend += " Keep the gap free of glue and dust, or lay a strip of felt or wax in it."
    return judged("Wood on wood", "good" if not loud else "mind", numbers, mend)


def gap_mm(drum: Drum) -> float | None:
    """How wide the open gap round the top is, in mm; None where its edges are glued or free."""
    return drum.box.clearance_mm if drum.box.mount == "in ledge" and drum.box.glued == "ledge" else None


def _wires(drum: Drum, shakes: Shakes) -> Check:
    """Wires that lie on the floor or against a wall of the box."""
    words = measure_of(drum)
    hard = [max(pair) for pair in zip(shakes.floor_m_s2, shakes.walls_m_s2, strict=True)]
    loud = _notes(drum, [one / G_M_S2 for one in hard])
    press = SPARE * 1e-3 * WIRE_G_M * max(max(hard) - G_M_S2, 0.0)
    return judged(
        "Wires in the box",
        "good" if not loud else "mind",
        f"a medium blow shakes floor and walls {_times(max(hard))} a loose wire's weight holds it",
        f"lying loose they tick from {loud}: tie them every {words(TIE_MM[drum.units])}, or lay foam on them that "
        f"presses with {format_mass(press / G_M_S2 * TIE_MM[drum.units], drum.units)} on each "
        f"{words(TIE_MM[drum.units])} of wire.",
    )


def _nuts(drum: Drum, shakes: Shakes) -> Check:
    """The nuts of jack and volume control, should they come loose."""
    most = max(shakes.walls_m_s2)
    press = SPARE * 1e-3 * NUT_G * max(most - G_M_S2, 0.0)
    loud = _notes(drum, [one / G_M_S2 for one in shakes.walls_m_s2])
    return judged(
        "Nuts of jack and volume control",
        "good" if not loud else "mind",
        f"a medium blow shakes the walls {_times(most)} the weight of a loose nut holds it; one that is pressed on "
        f"by the weight of {format_mass(1e3 * press / G_M_S2, drum.units)} stays",
        f"a nut that comes loose rattles from {loud}: put a toothed or rubber washer under each, tighten again after "
        "a season, for the wall shrinks under it.",
    )


def _notes(drum: Drum, shares: Sequence[float]) -> str:
    """Which notes go beyond what holds, the hardest first; empty if none does."""
    pairs = zip(shares, drum.tongues, strict=True)
    over = sorted(((share, tongue.note) for share, tongue in pairs if share > 1.0), reverse=True)
    names = ", ".join(note for _, note in over[:NAMED])
    return names + (f" and {len(over) - NAMED} more" if len(over) > NAMED else "")


def _times(m_s2: float) -> str:
    """How hard something is shaken beside what holds it by its weight: "3.6 times as hard as"."""
    return f"{m_s2 / G_M_S2:.1f} times as hard as"


def _small(mm: float, units: Units) -> str:
    """A way too small for a rule: to two figures, a thousandth of a mm or ten-thousandth of an inch at the least."""
    value, least = from_mm(mm, units), 0.001 if units == "mm" else 0.0001
    return f"less than {least:g} {units}" if value < least else f"{value:.2g} {units}"
