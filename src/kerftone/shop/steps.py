"""The steps of making a drum: what is done, with which tools, how long to wait, what to beware of.

Words for the bench, common practice, no source. `order.py` puts the steps in order.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.drum.shop import Pickup
from kerftone.shop.measure import Measure, measure_of
from kerftone.shop.parts import ROUGH_MM
from kerftone.shop.root_bar import glue_step
from kerftone.shop.step import GLUE_HOURS, Step

REST_HOURS = 168.0


def steps_of(drum: Drum, box: Box) -> tuple[Step, ...]:
    """The steps this drum needs, in the order a maker would tell them."""
    words = measure_of(drum)
    return (
        *_wood(words),
        *_walls(drum, box, words),
        *_gluing(drum, box, words),
        *_top(drum, words),
        *_on_the_box(drum, words),
        *_tuning(drum, words),
        *_last(drum, words),
    )


def _wood(words: Measure) -> Iterator[Step]:
    longer, wider, thicker = ROUGH_MM[words.units]
    yield Step(
        name="rest",
        title="Saw the parts rough and let them rest",
        words=f"Saw every part to its rough size from the cutting plan: {words(longer)} longer, "
        f"{words(wider)} wider and {words(thicker)} thicker than finished, where "
        "the board "
        "allows. Mark the grain and the face that grew outside. Stand them on edge with air on both sides.",
        tools=("saw", "pencil", "stickers"),
        cautions=("blade", "dust"),
        wait_hours=REST_HOURS,
        wait_for="the wood to settle in the shop's air",
    )
    yield Step(
        name="size",
        title="Plane and saw to finished size",
        words="Plane one face flat, joint an edge square to it, plane to thickness, rip to width, "
        "crosscut to length. "
        "Cut parts that must be alike against one stop, without moving it.",
        tools=("jointer or hand planes", "planer", "saw with stop block", "square"),
        cautions=("blade", "small stock", "dust", "noise"),
    )


_JOINTS = {
    "mitre": "Cut all eight mitres at 45 degrees, the long points on the outer face, to the lengths in the table of "
    "settings. Try two "
    "offcuts in a square first: an error of half a degree at each end shows eight times round the box.",
    "butt": "Crosscut the end walls square. They stand between the front and back walls.",
    "finger": "Cut the fingers with a jig at the height in the table. Try the fit in scrap of the same thickness: "
    "fingers go together with hand pressure. Mark which edge of every wall is the lower one before "
    "you begin.",
    "rabbet": "Cut the rabbets across the inner face at both ends of the front and back walls. The end walls sit in "
    "them.",
}


def _walls(drum: Drum, box: Box, words: Measure) -> Iterator[Step]:
    wall = box.walls[0]
    if wall.rabbets:
        stopped = any(not r.through for w in box.walls for r in w.rabbets)
        yield Step(
            name="rabbets",
            title="Cut the rabbets along the walls",
            words="Cut the steps for the top and the bottom by the table of settings, inner face to "
            "the cutter. "
            + (
                "Some are stopped: mark both ends on the outer face, cut between the marks, and "
                "square the ends "
                "with a chisel."
                if stopped
                else "All of them run through from end to end."
            ),
            tools=("router table or dado blade", "featherboard", *(("chisel",) if stopped else ())),
            cautions=("blade", "stop cuts", "noise"),
        )
    yield Step(
        name="joints",
        title=f"Cut the corners: {drum.box.joint}",
        words=_JOINTS["mitre" if wall.ends == "mitre" else str(drum.box.joint)],
        tools=("saw with mitre gauge or sled", "stop block", "square"),
        cautions=("blade", "stop cuts"),
    )
    if wall.relief is not None:
        yield Step(
            name="relief",
            title="Cut the foot relief",
            words=_relief_words(drum, box, words),
            tools=("jigsaw or bandsaw", "spokeshave or sanding drum"),
            cautions=("blade",),
        )
    if drum.making.pickup is not None:
        yield _bore_pickup(drum.making.pickup, box, words)


def _gluing(drum: Drum, box: Box, words: Measure) -> Iterator[Step]:
    mitred = box.walls[0].ends == "mitre"
    yield Step(
        name="sand inside",
        title="Sand the inside faces",
        words="Sand the inner faces of walls, top and bottom to 180 grit. Keep the sander off the "
        "joint faces.",
        tools=("sander or block",),
        cautions=("dust",),
    )
    yield from glue_step(drum, box, words)
    yield Step(
        name="dry fit",
        title="Put it together dry",
        words="Clamp the four walls without glue, each where it belongs, and try in them what the box must take: "
        f"{_taken(drum)}. Measure both diagonals: they must be equal. Rehearse the glue-up.",
        tools=("band clamp", "tape"),
    )
    if drum.making.finish.when == "before glue-up" and drum.making.finish.coats:
        yield _finish(drum, "finish loose", "Finish the loose parts")
    yield Step(
        name="glue box",
        title="Glue the four walls",
        words="Glue, clamp with a band, check the diagonals again and that the box lies flat. "
        + ("Size the end grain of the mitres with a thin first coat. " if mitred else "")
        + "Wipe the squeeze-out from the inside now.",
        tools=("glue", "band clamp", "tape", "damp rag"),
        cautions=("labels",),
        wait_hours=GLUE_HOURS,
        wait_for="the glue, before any load",
    )
    if box.joint == "mitre with keys":
        yield Step(
            name="keys",
            title="Slot the corners and glue the keys",
            words=f"Cradle the box corner down at 45 degrees and saw {drum.box.keys.count} slots "
            "across each corner, "
            f"{words(box.key_depth_mm)} deep from the corner, at the heights in the table. Glue the "
            "keys in, grain "
            "across the corner. When dry, saw and plane them flush towards the corner, never away from it.",
            tools=("saw with a 45 degree cradle", "glue", "flush saw", "block plane"),
            cautions=("blade", "small stock", "labels"),
            wait_hours=GLUE_HOURS,
            wait_for="the keys' glue",
        )


def _relief_words(drum: Drum, box: Box, words: Measure) -> str:
    relief = drum.box.foot_relief
    assert relief is not None
    found = f"Draw it from {words(relief.inset_mm)} in from each outer corner of the box, "
    found += f"{words(relief.rise_mm)} high"
    if relief.shape == "arch":
        found += (
            " in the middle: bend a thin batten through the three points, or trace the wall's full-size sheet"
        )
    return f"{found}. Saw on the waste side, then smooth to the line."


def _taken(drum: Drum) -> str:
    """What is tried in the dry box."""
    parts = ["the top"]
    parts += ["the bottom"] if drum.bottom is not None else []
    parts += ["jack and volume control"] if drum.making.pickup is not None else []
    return ", ".join(parts)


def _bore_pickup(pickup: Pickup, box: Box, words: Measure) -> Step:
    """The holes in the wall, each with its place, the wide shallow one first where the thread is short."""
    wall, fine = box.wall(pickup.wall), replace(words, parts=64)
    places = [
        f"The {hole.what}: {words(wall.from_inside(hole)[0])} from the left end, {words(hole.s_mm)} up from "
        "the lower edge."
        + (
            f" From the inner face first {words(hole.wide_mm)} wide, {words(hole.deep_mm)} deep, which leaves "
            f"{words(wall.thickness_mm - hole.deep_mm)} for its thread."
            if hole.deep_mm
            else ""
        )
        for hole in wall.holes
    ]
    across = fine(wall.holes[0].diameter_mm)
    tools = ["drill press", "bit of the bushing's size", "square", "clamps"]
    if any(hole.deep_mm for hole in wall.holes):
        tools.insert(2, "Forstner bit for the wide holes")
    return Step(
        name="bore pickup",
        title=f"Bore the {pickup.wall} wall for jack and volume control",
        words=f"Two holes {across} across, a close fit for the bushings: try it in scrap. Lay the wall inner face "
        f"up, upper edge away from you, as its full-size sheet shows it. {' '.join(places)}",
        tools=tuple(tools),
        cautions=("boring",),
    )


def _start_words(drum: Drum) -> str:
    """How a blade gets into a slot that begins inside the board."""
    short = "The short cuts across, at the tips, are made with a jigsaw or a coping saw."
    if drum.slots.stop_hole_mm > drum.slots.kerf_mm:
        return f"Start each in its stop hole. {short}"
    return (
        "Start each in a hole no wider than the kerf, bored on its line a little on the tongue's side of the root "
        f"line, and saw back to that last. {short}"
    )


def _top(drum: Drum, words: Measure) -> Iterator[Step]:
    yield Step(
        name="template",
        title="Lay the template on the top",
        words="Print the full-size drawing, check its bar with a rule, and fix it to the top's face "
        "with its long edge "
        "to the front edge. Prick the slot ends and the strike points through.",
        tools=("full-size drawing", "spray glue or tape", "awl"),
    )
    if drum.slots.stop_hole_mm > drum.slots.kerf_mm:
        yield Step(
            name="stop holes",
            title="Bore the stop holes",
            words=f"Bore {words(drum.slots.stop_hole_mm)} at each slot end, on a backing board, so "
            "that the far face "
            "does not tear.",
            tools=("drill press", "brad-point bit", "backing board"),
            cautions=("boring",),
        )
    yield Step(
        name="slots",
        title="Saw the slots",
        words=f"Saw the lines with a {words(drum.slots.kerf_mm)} kerf, outer slots last. {_start_words(drum)} "
        "Support each tongue as it comes free. Leave every tongue a little long where you are unsure: wood is easily "
        "taken off its tip.",
        tools=("saw or router with a fence", "clamps", "backing board"),
        cautions=("stop cuts", "blade", "noise"),
    )


def _on_the_box(drum: Drum, words: Measure) -> Iterator[Step]:
    let_in = drum.box.mount == "in ledge"
    bars = " and the root bars" if drum.box.root_bar_mm else ""
    yield Step(
        name="glue top",
        title="Glue the top",
        words=(
            f"Set the top on its ledge with {words(drum.box.clearance_mm)} of air all round; spacers "
            "of card keep it "
            f"centred. Glue on the ledge{bars} only, none in the gap. "
            if let_in
            else f"Glue on the walls' upper edges{bars} only, thin near the inside, so that none runs into a slot. "
        )
        + "Clamp on the rim, never on a tongue.",
        tools=("glue", "cauls", "clamps"),
        cautions=("labels",),
        wait_hours=GLUE_HOURS,
        wait_for="the glue, before striking",
    )
    if drum.box.round_over_mm > 0.0:
        yield Step(
            name="round over",
            title="Round the edges and clean up",
            words=f"Round the outer edges to {words(drum.box.round_over_mm)}, ease the edges of the "
            "tongues by hand, and "
            "sand the outside.",
            tools=("router with round-over bit or hand plane", "sanding block"),
            cautions=("blade", "dust", "noise"),
        )


def _disc_words(drum: Drum, words: Measure) -> str:
    """Where the disc goes, as it is seen from below, and how."""
    pickup = drum.making.pickup
    assert pickup is not None
    where = "its place (see the page on the pickup)"
    if pickup.x_mm is not None and pickup.y_mm is not None:
        right = words(drum.top.length_mm - pickup.x_mm)
        where = f"{right} from the top's end that is left as you look at its underside, front edge towards you, and "
        where += f"{words(pickup.y_mm)} from the front edge"
    recess = f"Bore its recess first, {words(pickup.recess_mm)} deep. " if pickup.recess_mm else ""
    return (
        f"The middle of the disc is {where}. {recess}Glue it flat under the top, with a thin even coat and no air "
        "under it. Solder away from the wood. Tie the wires down so that they cannot buzz. Try it before the bottom "
        "is glued."
    )


def _tuning(drum: Drum, words: Measure) -> Iterator[Step]:
    if drum.bottom is not None:
        yield Step(
            name="fit bottom",
            title="Fit the bottom, without glue",
            words="Trim the bottom to the box and hold it with tape or two light clamps."
            + (
                f" Leave {words(drum.bottom.clearance_mm)} all round in its rabbet."
                if drum.bottom.fit == "let in"
                else ""
            ),
            tools=("block plane", "tape"),
        )
    held = (
        "" if drum.bottom is None else "; hold the bottom in place for every reading and take it off to bore"
    )
    yield Step(
        name="tune",
        title="Tune the tongues",
        words="Strike each tongue, bore from below near its tip to raise it and near its root to lower it, a little "
        "at a time. To bore, turn the drum over end for end, the front edge still towards you, as the sheet of the "
        f"underside shows it{held}. The log of the drum at the bench says where, with which bit and how deep.",
        tools=("Forstner bits", "drill press with depth stop", "tuner"),
        cautions=("boring", "hearing"),
    )
    if drum.making.pickup is not None:
        yield Step(
            name="disc",
            title="Glue the disc and wire it",
            words=_disc_words(drum, words),
            tools=("thin glue", "soldering iron", "cable ties"),
            cautions=("soldering",),
            wait_hours=GLUE_HOURS,
            wait_for="the disc's glue",
        )


def _last(drum: Drum, words: Measure) -> Iterator[Step]:
    if drum.making.finish.when == "after glue-up" and drum.making.finish.coats:
        yield _finish(drum, "finish", "Finish the drum")
    yield Step(
        name="last check",
        title="Check every note once more",
        words="Strike every tongue with the bottom held in place. Touch up what has moved.",
        tools=("tuner",),
        cautions=("hearing",),
    )
    if drum.bottom is not None:
        yield Step(
            name="glue bottom",
            title="Glue the bottom, last of all",
            words="When every note is right and nothing rattles, glue the bottom"
            + (" on its rabbet, none in the gap." if drum.bottom.fit == "let in" else " under the walls."),
            tools=("glue", "clamps", "cauls"),
            cautions=("labels",),
            wait_hours=GLUE_HOURS,
            wait_for="the glue",
        )
    if drum.box.feet.kind != "none":
        yield Step(
            name="feet",
            title="Put on the feet",
            words=f"Four {drum.box.feet.kind} feet, {words(drum.box.feet.diameter_mm)} across, under "
            "the corners.",
            tools=("glue or screws",),
        )
    if drum.making.mallets.count:
        yield Step(
            name="mallets",
            title="Make the mallets",
            words=f"Make {drum.making.mallets.count}: bore each {drum.making.mallets.ball} ball "
            f"({words(drum.making.mallets.ball_mm)}) two thirds through for a "
            f"{words(drum.making.mallets.dowel_mm)} "
            f"dowel {words(drum.making.mallets.length_mm)} long. Glue, pin the dowel if children will "
            "play, round its "
            "other end.",
            tools=("vice with soft jaws or a cradle", "bit of the dowel's size", "glue"),
            cautions=("round stock", "small parts"),
            wait_hours=GLUE_HOURS,
            wait_for="the glue",
        )


def _finish(drum: Drum, name: str, title: str) -> Step:
    finish = drum.making.finish
    many = f"{finish.coats} coats" if finish.coats > 1 else "1 coat"
    mask = "Mask every face that will be glued. " if name == "finish loose" else ""
    return Step(
        name=name,
        title=title,
        words=f"{mask}{finish.kind[:1].upper()}{finish.kind[1:]}, {many}, thin, "
        f"{finish.hours_between:g} hours between "
        "coats or as the label says. Keep it out of the slots' edges in drops.",
        tools=("rags or brush", "fine abrasive"),
        cautions=("rags", "labels"),
        wait_hours=finish.coats * finish.hours_between,
        wait_for="the coats to dry",
    )
