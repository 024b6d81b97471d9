"""What to look at before the first cut: each check with its numbers, a verdict and the mend.

"good" needs nothing; "mind" can be built but has a catch; "mend" should be changed first. Limits are common
practice or our own judgement, no source, unless one is named. Lengths in mm; what only the sound model knows
(how long the mallet touches) is handed in as a number.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from kerftone.drum.corners import CORNERS
from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.drum.paper import PAPER_NAMES
from kerftone.drum.seat import beside_mm, drop_mm, end_seat_mm, inside_mm, let_in, rise_mm
from kerftone.drum.shop import Paper
from kerftone.shop.board_faults import GRAIN_GOOD_DEG, GRAIN_MIND_DEG, board_faults
from kerftone.shop.lip import lip_checks
from kerftone.shop.measure import Measure
from kerftone.shop.root_bar import bar_check
from kerftone.shop.verdict import Check, Mend, Verdict, judged
from kerftone.shop.wall_holes import (
    BODY_MM,
    LEAST_AT_BUSHING_MM,
    NUT_AND_WASHER_MM,
    counterbore_mm,
    thread_takes_mm,
)
from kerftone.units import least_length, least_mm, most_length, most_mm

ROUND_SHARE = 0.6
"""How much of the thinnest outer wood a round-over may take: our own judgement."""
BODY_SHARE = 0.4
"""How much of the inside a body may reach across: our own judgement."""
LEAST_LIP_MM = 4.0
"""Wood that a step leaves of a wall; thinner chips. Own judgement."""
LEAST_OFF_BENCH_MM = 2.0
"""Between the bottom and a bench, so that neither touches as it swings: own judgement."""
SWING_MM = 4.0
"""How far a tongue's tip swings down at the hardest stroke, more than makers report: our own judgement."""
SAFE_STRIP_MM = 5.0
"""Roots some millimetres past the wall or bar are common practice (no source); with less, a slot sawn a little long
runs into the glue line, and a crack from its end has no wood to be seen in. Own judgement."""
MALLET_GOOD_DB, MALLET_MIND_DB = -6.0, -15.0
"""Of a slow push, at the top note: half of it is well, a sixth is dull. Own judgement."""
BIT_SLACK_MM = 0.05
"""A bore this much off a bit's width is that bit's: widths are told to a tenth of a millimetre."""
END_WALL_SHARE = 0.15
"""How high a hole in an end wall may be against it before its notes mind: own judgement, from one tried."""
HARDER = {"soft rubber": "hard rubber", "hard rubber": "wood"}


def checks_of(drum: Drum, box: Box, words: Measure) -> tuple[Check, ...]:
    """All checks of the wood and the hardware. Held by tests/shop/test_checks.py.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    box : Box
        The box under its top.
    words : Measure
        Words for lengths in the drum's own units.
    """
    return (
        *_threads(drum, box, words),
        *_bits(drum, words),
        _wall_left(drum, box, words),
        *_round_over(drum, box, words),
        *_bench(drum, words),
        _swing(drum, box, words),
        _root(drum, words),
        *lip_checks(drum, box, words),
        *bar_check(drum, box, words),
        _grain(drum),
        *_sound_holes(drum, words),
        *board_faults(drum, words),
    )


def _sound_holes(drum: Drum, words: Measure) -> Iterator[Check]:
    """Sound holes in the walls that the tongues' roots lean on."""
    high = inside_mm(drum)
    for hole in drum.sound_holes:
        if hole.part not in ("left", "right"):
            continue
        yield judged(
            f"Sound hole in the {hole.part} wall",
            "good" if hole.diameter_mm < END_WALL_SHARE * high else "mind",
            f"{words(hole.diameter_mm)} of the {words(high)} that are free inside; the roots lean on this wall",
            "the notes are worked out for whole wood: a hole a third as high as its end wall lowered the note of the "
            "tongue beside it by 6 cents. Put it in the front, the back or the bottom, or make it a lower slot.",
        )


def _threads(drum: Drum, box: Box, words: Measure) -> Iterator[Check]:
    pickup = drum.making.pickup
    if pickup is None:
        return
    wall = drum.box.wall_mm
    for part, thread in (("Jack", pickup.jack_thread_mm), ("Volume control", pickup.pot_thread_mm)):
        stays = thread_takes_mm(thread)
        numbers = (
            f"thread {words(thread)}, wall {words(wall)}, nut and washer {words(NUT_AND_WASHER_MM)}: "
            "the thread takes "
            f"{words(max(stays, 0.0))} of wood"
        )
        name = f"{part} through the wall"
        if stays >= LEAST_AT_BUSHING_MM:
            deep = counterbore_mm(drum, thread)
            mend = (
                f"counterbore {words(deep)} deep from the inside, {words(BODY_MM[drum.units])} wide; "
                f"{words(wall - deep)} of wood stays. Bore the wide hole first."
            )
            yield judged(name, "good" if stays >= wall else "mind", numbers, mend)
            continue
        mend = (
            f"too little wood would stay: take one with {words(LEAST_AT_BUSHING_MM + NUT_AND_WASHER_MM)} of "
            "thread or more, or fix it to a metal plate over a larger hole."
        )
        yield judged(name, "mend", numbers, mend)
    yield _bodies(drum, box, words)


def _bodies(drum: Drum, box: Box, words: Measure) -> Check:
    """Whether the bodies of jack and control have room behind their wall."""
    pickup = drum.making.pickup
    assert pickup is not None
    across = box.width_mm if pickup.wall in ("front", "back") else box.length_mm
    room = across - 2.0 * box.wall_mm
    most = BODY_SHARE * room
    return judged(
        "Room for the bodies",
        "good" if pickup.body_depth_mm <= most else "mend",
        f"they reach in by {words(pickup.body_depth_mm)}; {words(room)} to the wall across",
        f"take bodies {words(most)} deep at most, or a wall with more room behind it: wires need some too.",
    )


def _bits(drum: Drum, words: Measure) -> Iterator[Check]:
    wanted = {bore.diameter_mm for bore in drum.bores}
    if not wanted:
        return
    have = drum.shop.bits_mm
    missing = sorted(d for d in wanted if all(abs(d - bit) > BIT_SLACK_MM for bit in have))
    numbers = (
        f"bores need {', '.join(map(words, sorted(wanted)))}; the shop has {', '.join(map(words, have))}"
    )
    near = ", ".join(words(min(have, key=lambda bit: abs(bit - d))) for d in missing)
    mend = f"get {', '.join(map(words, missing))}, or plan the bores with {near}."
    yield judged("Bits for the bores", "mend" if missing else "good", numbers, mend)


def _wall_left(drum: Drum, box: Box, words: Measure) -> Check:
    """The thinnest wood that any step or slot leaves of a wall."""
    left = [(box.wall_mm - r.width_mm, f"beside the {r.edge} rabbet") for r in box.walls[0].rabbets]
    left += CORNERS[box.joint].wood_left(box)
    if not left:
        return Check(name="Wood behind the joints", verdict="good", numbers=f"the full {words(box.wall_mm)}")
    least, where = min(left)
    return judged(
        "Wood behind the joints",
        "good" if least >= LEAST_LIP_MM else "mind",
        f"{words(least)} {where}, of {words(box.wall_mm)}",
        "it chips easily: cut it in light passes, or use a thicker wall.",
    )


def _round_over(drum: Drum, box: Box, words: Measure) -> Iterator[Check]:
    """Whether rounding the outer edges leaves wood beside the steps and clear of the glue line under the top."""
    radius = drum.box.round_over_mm
    if not radius:
        return
    thin = [
        (box.wall_mm - rabbet.width_mm, f"beside the {rabbet.edge} rabbet") for rabbet in box.walls[0].rabbets
    ]
    if drum.box.mount == "on a lip":
        thin.append((drum.top.lip_thickness_mm, "of the lip over its glue line"))
        if beside_mm(drum) > 0.0:
            thin.append((beside_mm(drum), "of the wall beside the lip"))
    elif not box.offset_mm:
        thin.append((drum.top.thickness_mm, "of the top over its glue line"))
    if not thin:
        return
    least, where = min(thin)
    most = ROUND_SHARE * least
    yield judged(
        "Round-over",
        "good" if radius <= most else "mend",
        f"radius {words(radius)}, {words(least)} {where}",
        f"it eats into the joint: make round_over {most_length(most, drum.units)} or less.",
        Mend(at=("box", "round_over"), mm=most_mm(most, drum.units)),
    )


def _bench(drum: Drum, words: Measure) -> Iterator[Check]:
    """What lies between the bottom and the bench."""
    if drum.bottom is None:
        return
    feet = drum.box.feet
    recess = drum.bottom.recess_mm if let_in(drum.bottom) else 0.0
    clear = (feet.height_mm if feet.kind != "none" else 0.0) + recess
    high = least_mm(LEAST_OFF_BENCH_MM - recess, drum.units)
    by = Mend(at=("box", "feet", "height"), mm=high)
    yield judged(
        "Bottom clear of the bench",
        "good" if clear >= LEAST_OFF_BENCH_MM else "mind",
        f"{words(clear)} of air under it",
        "flat on a bench it is damped and rattles: feet of "
        f"{least_length(LEAST_OFF_BENCH_MM, drum.units)} or more, or a recess.",
        Mend(at=("box", "feet", "kind"), value="rubber") if feet.kind == "none" else by,
    )


def _swing(drum: Drum, box: Box, words: Measure) -> Check:
    """A tongue at full swing against the bottom, and against the pickup's bodies on the wall."""
    holes = [hole for wall in box.walls for hole in wall.holes]
    clear, against = (
        drum.box.height_mm - drop_mm(drum) - rise_mm(drum),
        "the bottom" if drum.bottom is not None else "the walls' lower edge",
    )
    if holes:
        clear = box.flush_mm - max(hole.s_mm for hole in holes) - 0.5 * BODY_MM[drum.units]
        against = "the pickup's bodies"
    need = 3.0 * SWING_MM - clear
    mend = f"make the walls {least_length(drum.box.height_mm + need, drum.units)} high or more."
    by: Mend | None = Mend(at=("box", "height"), mm=least_mm(drum.box.height_mm + need, drum.units))
    if holes:
        by = None
        lower = least_length(need, drum.units)
        mend = f"bore the holes for jack and volume control {lower} lower, or make the walls higher."
    return judged(
        "Tongues clear at full swing",
        "good" if need <= 0.0 else "mend",
        f"{words(clear)} down to {against}; a hard stroke swings {words(SWING_MM)} at most",
        mend,
        by,
    )


def _root(drum: Drum, words: Measure) -> Check:
    """The free strip between the roots and the wall or root bar: where a hard stroke splits the top."""
    hole = drum.slots.stop_hole_mm if drum.slots.stop_hole_mm > drum.slots.kerf_mm else 0.0
    strip = drum.slots.end_margin_mm - end_seat_mm(drum) - 0.5 * hole
    return judged(
        "Weakest root strip",
        "good" if strip >= SAFE_STRIP_MM else "mind",
        f"{words(strip)} between slot ends and glue",
        f"split-prone: make end_margin {words(drum.slots.end_margin_mm + SAFE_STRIP_MM - strip)} or more.",
    )


def _grain(drum: Drum) -> Check:
    angle = abs(drum.top.grain_angle_deg)
    verdict: Verdict = "good" if angle <= GRAIN_GOOD_DEG else "mind" if angle <= GRAIN_MIND_DEG else "mend"
    return judged(
        "Tongues along the grain",
        verdict,
        f"grain runs {angle:g} degrees off the tongues" if angle else "the grain runs along the tongues",
        "tongues break along short grain: lay the top out along it.",
        Mend(at=("top", "grain_angle_deg"), value=0.0),
    )


def paper_check(*, pages: int, paper: Paper) -> Check:
    """How many sheets of paper the full-size templates take, as they will be printed."""
    return judged(
        "Template on paper",
        "good" if pages == 1 else "mind",
        f"the full-size templates take {pages} sheet{'s' * (pages != 1)} of {PAPER_NAMES[paper]}",
        "tape those of one drawing by their marks on a flat board, and check the bar across a joint.",
    )


def mallet_check(*, ball: str, contact_ms: float, note: str, hz: float) -> Check:
    """Whether this mallet lets go soon enough to sound the top note.

    The push of the mallet is taken as half a sine wave `contact_ms` long; its strength at the note's pitch,
    against a slow push, is |cos(pi f T) / (1 - (2 f T)^2)| (the half sine's Fourier transform).

    Parameters
    ----------
    ball : str
        Which ball the mallet has.
    contact_ms : float
        How long it touches, in ms.
    note : str
        The name of the top note.
    hz : float
        Its pitch, in Hz.
    """
    level = pulse_db(hz=hz, contact_ms=contact_ms)
    verdict: Verdict = "good" if level >= MALLET_GOOD_DB else "mind" if level >= MALLET_MIND_DB else "mend"
    return judged(
        "Mallet for the top note",
        verdict,
        f"a {ball} ball touches the wood for {contact_ms:.2g} ms, and brings out {note} ({hz:.0f} Hz) at "
        f"{100.0 * 10.0 ** (level / 20.0):.0f} % of its full strength",
        "the top note will be dull: use a harder or lighter ball.",
        Mend(at=("mallets", "ball"), value=HARDER[ball]) if ball in HARDER else None,
    )


def pulse_db(*, hz: float, contact_ms: float) -> float:
    """How strong a half-sine push this long is at this frequency, in dB against a slow one."""
    turns = hz * contact_ms * 1e-3
    if abs(turns - 0.5) < 1e-6:
        return 20.0 * math.log10(math.pi / 4.0)
    return 20.0 * math.log10(max(abs(math.cos(math.pi * turns) / (1.0 - 4.0 * turns**2)), 1e-6))
