"""The whole shop plan of one drum: parts, settings, boards, order, checks, moving wood, pickup, weight.

Made in one go and refused as a whole. What only the models of vibration and sound know comes in as plain
numbers (`Heard`); without them the plan is whole but for the pickup's best place and the mallet's check.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.drum.outline import outline
from kerftone.drum.paper import paper_of
from kerftone.shop.box import box_of
from kerftone.shop.buzz import Shakes, buzz_checks
from kerftone.shop.checks import checks_of, mallet_check, paper_check
from kerftone.shop.cutlist import Cutting, cutting_of, weight_g
from kerftone.shop.hardware import Bought, bought_of
from kerftone.shop.lip import glue_check
from kerftone.shop.measure import measure_of
from kerftone.shop.movement import Air, Move, air_of, movement_checks, moves_of
from kerftone.shop.order import order_of
from kerftone.shop.parts import Part, Setting, parts_of, settings_of
from kerftone.shop.pickup import Places, Signal, check_disc, place_check, places_on
from kerftone.shop.pickup_bass import Bass, bass_of, loss_words
from kerftone.shop.step import Step
from kerftone.shop.verdict import Check


@dataclass(frozen=True, kw_only=True)
class Heard:
    """What other rooms know: how long the mallet touches; where asked, what a disc hears over each face, and the
    checks of what it hears of knocks and by its mounting.

    `template_pages`: how many sheets the full-size templates take; None while they cannot be drawn. `glue_cents`,
    `glue_words`: how far each note moves if the gap round a top on a ledge is glued otherwise. `shakes`: how hard a
    blow shakes the places where something may buzz. `round_words`: what rounding over the slots' edges does.
    """

    contact_ms: float
    faces: tuple[Signal, ...] = ()
    pickup_checks: tuple[Check, ...] = ()
    template_pages: int | None = None
    glue_cents: tuple[float, ...] | None = None
    glue_words: str = ""
    shakes: Shakes | None = None
    round_words: str = ""


@dataclass(frozen=True, kw_only=True)
class ShopPlan:
    """Everything the booklet, the cut list and the terminal show. `weight_g` is None while lengths are missing.

    `places`: of the face that the pickup's disc goes to; `best_places`: of the face where it hears the notes best.
    """

    drum: Drum
    box: Box
    parts: tuple[Part, ...]
    settings: tuple[Setting, ...]
    cutting: Cutting
    steps: tuple[Step, ...]
    checks: tuple[Check, ...]
    air: Air
    moves: tuple[Move, ...]
    bought: tuple[Bought, ...]
    bass: Bass | None
    places: Places | None
    best_places: Places | None
    weight_g: float | None

    def left_over_words(self) -> str:
        """How many parts the boards on hand have no room for; nothing without such boards."""
        left = sum(len(buy.parts) for buy in self.cutting.buy)
        if not (self.drum.making.stock and left):
            return ""
        finds = "1 part finds" if left == 1 else f"{left} parts find"
        return f"{finds} no place on the boards on hand: the booklet says what to buy."


def fitted(drum: Drum) -> bool:
    """Whether every tongue has its place and length, so that the top can be drawn."""
    return all(None not in (t.row, t.side, t.length_mm) for t in drum.tongues)


def shop_plan(drum: Drum, heard: Heard | None = None) -> ShopPlan:
    """What the shop needs to know of this drum. Raises OutlineError and ShopError."""
    words = measure_of(drum)
    check_outline(drum)
    box = box_of(drum)
    if fitted(drum):
        check_disc(drum, outline(drum))
    parts = parts_of(drum, box)
    cutting = cutting_of(parts, drum.making.stock, kerf_mm=drum.shop.saw_kerf_mm)
    moves = moves_of(drum, box)
    top, pitches = _pitches(drum)
    checks = [*checks_of(drum, box, words), *movement_checks(moves, words)]
    if heard is not None:
        hz = pitches[top]
        note = drum.tongues[top].note
        ball = drum.making.mallets.ball
        checks.append(mallet_check(ball=ball, contact_ms=heard.contact_ms, note=note, hz=hz))
    if heard is not None and heard.template_pages is not None:
        checks.append(paper_check(pages=heard.template_pages, paper=paper_of(drum)))
    if heard is not None and heard.glue_cents is not None:
        checks.append(glue_check(drum, heard.glue_cents, heard.glue_words))
    if heard is not None and heard.round_words:
        checks.append(Check(name="Slots' edges", verdict="good", numbers=heard.round_words))
    weight = weight_g(drum, box, top_mm2=float(outline(drum).top.area)) if fitted(drum) else None
    if heard is not None and heard.shakes is not None and weight is not None:
        checks += buzz_checks(drum, heard.shakes, weight_g=weight, bottom_g=_bottom_g(drum, parts))
    bass, places, best = _pickup(drum, heard, min(pitches))
    if bass is not None:
        checks.append(_bass_check(bass))
    place = None if places is None or best is None else place_check(places, best, words)
    if place is not None:
        checks.append(place)
    if heard is not None:
        checks += heard.pickup_checks
    return ShopPlan(
        drum=drum,
        box=box,
        parts=parts,
        settings=settings_of(drum, box, words),
        cutting=cutting,
        steps=order_of(drum, box),
        checks=tuple(checks),
        air=air_of(drum.making.climate),
        moves=moves,
        bought=bought_of(drum, words),
        bass=bass,
        places=places,
        best_places=best,
        weight_g=weight,
    )


def _bottom_g(drum: Drum, parts: tuple[Part, ...]) -> float:
    """How heavy the bottom is; 0 without one."""
    if drum.bottom is None:
        return 0.0
    sizes = [part.size_mm for part in parts if part.name == "Bottom"]
    return sum(1e-6 * a * b * c for a, b, c in sizes) * drum.bottom.elastic.density_kg_m3


def _pitches(drum: Drum) -> tuple[int, tuple[float, ...]]:
    """The number of the highest tongue, and the pitches all are to have."""
    pitches = drum.targets_hz
    return int(np.argmax(pitches)), pitches


def _pickup(
    drum: Drum, heard: Heard | None, lowest_hz: float
) -> tuple[Bass | None, Places | None, Places | None]:
    """The disc's bass, where it is heard on the face it goes to, and on the best face."""
    pickup = drum.making.pickup
    if pickup is None:
        return None, None, None
    bass = bass_of(disc_mm=pickup.disc_mm, load_kohm=pickup.load_kohm, lowest_hz=lowest_hz)
    if heard is None or not heard.faces:
        return bass, None, None
    return bass, *places_on(drum, outline(drum), heard.faces)


def _bass_check(bass: Bass) -> Check:
    low, high = bass.corner_hz
    numbers = (
        f"disc {bass.capacitance_nf[0]:.0f} to {bass.capacitance_nf[1]:.0f} nF into {bass.load_kohm:g} kOhm: bass "
        f"falls off below {low:.0f} to {high:.0f} Hz, the lowest note, {bass.lowest_hz:.0f} Hz, loses "
        f"{loss_words(bass)}"
    )
    if bass.loss_db[1] <= 3.0:
        return Check(name="Pickup's bass", verdict="good", numbers=numbers)
    need = bass.load_kohm * bass.corner_hz[1] / bass.lowest_hz
    return Check(
        name="Pickup's bass",
        verdict="mind",
        numbers=numbers,
        mend=f"a load of {need:.0f} kOhm or more keeps the loss under 3 dB, or a small buffer "
        "amplifier in the box.",
    )
