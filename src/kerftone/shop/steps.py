"""The steps of making a drum: what is done, with which tools, how long to wait, what to beware of.

Which steps a drum needs, and its sizes in them, are said here; their words stand in `steps.toml`. `order.py` puts the
steps in order.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

from kerftone.drum.corners import CORNERS
from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box, Wall, WallHole
from kerftone.drum.shop import Pickup
from kerftone.shop.measure import Measure, measure_of
from kerftone.shop.parts import ROUGH_MM
from kerftone.shop.root_bar import glue_step
from kerftone.shop.step import Step


def steps_of(drum: Drum, box: Box) -> tuple[Step, ...]:
    """The steps this drum needs, in the order a maker would tell them."""
    words = measure_of(drum)
    return (
        *_wood(words),
        *_walls(drum, box, words),
        *_lips(box, words),
        *_gluing(drum, box, words),
        *_top(drum, words),
        *_on_the_box(drum, words),
        *_tuning(drum, words),
        *_last(drum, words),
    )


@cache
def _told() -> Mapping[str, Mapping[str, Any]]:
    """The words of every step."""
    return tomllib.loads(files("kerftone.shop").joinpath("steps.toml").read_text("utf-8"))


def _step(name: str, chosen: Mapping[str, str | None] | None = None, **sizes: object) -> Step:
    """The step of this name with its sizes, and with the sentence chosen in each of its tables; None: none.

    A sentence may hold the one chosen before it.
    """
    told = _told()[name]
    filled: dict[str, object] = dict(sizes)
    for table, choice in (chosen or {}).items():
        filled[table] = "" if choice is None else told[table][choice].format(**filled)
    return Step(
        name=name,
        title=told["title"].format(**filled),
        words=told["words"].format(**filled),
        tools=tuple(told["tools"]),
        cautions=tuple(told.get("cautions", ())),
        wait_hours=told.get("wait_hours", 0.0),
        wait_for=told.get("wait_for", ""),
    )


def _wood(words: Measure) -> Iterator[Step]:
    longer, wider, thicker = map(words, ROUGH_MM[words.units])
    yield _step("rest", longer=longer, wider=wider, thicker=thicker)
    yield _step("size")


def _walls(drum: Drum, box: Box, words: Measure) -> Iterator[Step]:
    wall, relief = box.walls[0], drum.box.foot_relief
    if wall.rabbets:
        stopped = any(not rabbet.through for one in box.walls for rabbet in one.rabbets)
        cut = _step("rabbets", {"ends": "stopped" if stopped else "through"})
        yield replace(cut, tools=(*cut.tools, "chisel")) if stopped else cut
    yield _step("joints", {"how": CORNERS[box.joint].how}, joint=box.joint)
    if wall.relief is not None:
        assert relief is not None
        shape = "arch" if relief.shape == "arch" else None
        yield _step("relief", {"shape": shape}, inset=words(relief.inset_mm), rise=words(relief.rise_mm))
    if drum.making.pickup is not None:
        yield _bore_pickup(drum.making.pickup, box, words)
    if drum.sound_holes:
        yield _sound_holes(box, words)


def _sound_holes(box: Box, words: Measure) -> Step:
    """The sound holes of walls and bottom, each with its place on the face that lies up."""
    told, fine = _told()["sound holes"], replace(words, parts=64)
    lots = [
        (f"{one.name.capitalize()} wall", cut, one.from_inside(cut))
        for one in box.walls
        for cut in one.sound_holes
    ]
    lots += [("Bottom", cut, (cut.u_mm, cut.s_mm)) for cut in box.bottom_holes]
    places = [
        told["place"]["round" if cut.is_round else "slot"].format(
            part=part, wide=fine(cut.wide_mm), long=words(cut.long_mm), along=words(along), up=words(up)
        )
        for part, cut, (along, up) in lots
    ]
    seen = told["seen"]["wall"] if any(wall.sound_holes for wall in box.walls) else ""
    seen += told["seen"]["bottom"] if box.bottom_holes else ""
    slots = any(not cut.is_round for _, cut, _ in lots)
    return _step("sound holes", {"slots": "some" if slots else None}, places=seen + " ".join(places))


def _bore_pickup(pickup: Pickup, box: Box, words: Measure) -> Step:
    """The holes in the wall, each with its place, the wide shallow one first where the thread is short."""
    wall, fine = box.wall(pickup.wall), replace(words, parts=64)
    step = _step(
        "bore pickup",
        wall=pickup.wall,
        across=fine(wall.holes[0].diameter_mm),
        places=" ".join(_hole_words(wall, hole, words) for hole in wall.holes),
    )
    if not any(hole.deep_mm for hole in wall.holes):
        return step
    return replace(step, tools=(*step.tools[:2], "Forstner bit for the wide holes", *step.tools[2:]))


def _hole_words(wall: Wall, hole: WallHole, words: Measure) -> str:
    place: str = _told()["bore pickup"]["place"]["wide" if hole.deep_mm else "plain"]
    return place.format(
        what=hole.what,
        from_left=words(wall.from_inside(hole)[0]),
        up=words(hole.s_mm),
        wide=words(hole.wide_mm),
        deep=words(hole.deep_mm),
        left=words(wall.thickness_mm - hole.deep_mm),
    )


def _gluing(drum: Drum, box: Box, words: Measure) -> Iterator[Step]:
    finish = drum.making.finish
    yield _step("sand inside")
    yield from glue_step(drum, box, words)
    yield _step("dry fit", taken=_taken(drum))
    if finish.when == "before glue-up" and finish.coats:
        yield _finish(drum, "finish loose")
    corner = CORNERS[box.joint]
    yield _step("glue box", {"ends": corner.glued})
    for name, sizes in corner.steps_when_glued(drum.box, box, words):
        yield _step(name, None, **sizes)


def _taken(drum: Drum) -> str:
    """What is tried in the dry box."""
    parts = ["the top"]
    parts += ["the bottom"] if drum.bottom is not None else []
    parts += ["jack and volume control"] if drum.making.pickup is not None else []
    return ", ".join(parts)


def _lips(box: Box, words: Measure) -> Iterator[Step]:
    """The rabbets round top and bottom, cut while the boards are whole."""
    for name, step in (("lip of top", box.top_step), ("lip of bottom", box.bottom_step)):
        if step is not None:
            sizes = (step.width_mm, step.depth_mm, step.left_mm)
            wide, deep, left = (words(mm) for mm in sizes)
            yield _step(name, wide=wide, deep=deep, left=left)


def _top(drum: Drum, words: Measure) -> Iterator[Step]:
    slots = drum.slots
    holes = slots.stop_hole_mm > slots.kerf_mm
    yield _step("template")
    if holes:
        yield _step("stop holes", hole=words(slots.stop_hole_mm))
    if slots.countersink_mm:
        yield _step("countersinks", sink=words(slots.countersink_mm))
    how = {"start": "holes" if holes else "line", "bowed": "some" if slots.bow_mm else None}
    yield _step("slots", how, kerf=words(slots.kerf_mm))
    if slots.round_over_mm:
        yield _step("slot edges", radius=words(slots.round_over_mm))


def _on_the_box(drum: Drum, words: Measure) -> Iterator[Step]:
    box = drum.box
    mount = {"on walls": "walls", "in ledge": box.glued, "on a lip": "lip"}[box.mount]
    bars = "glued" if box.root_bar_mm else None
    yield _step("glue top", {"bars": bars, "mount": mount}, clearance=words(box.clearance_mm))
    if box.round_over_mm > 0.0:
        edges = None if drum.slots.round_over_mm else "sharp"
        yield _step("round over", {"edges": edges}, radius=words(box.round_over_mm))


def _tuning(drum: Drum, words: Measure) -> Iterator[Step]:
    bottom = drum.bottom
    if bottom is not None:
        gap = {"under": None, "let in": "rabbet", "on a lip": "lip"}[bottom.fit]
        yield _step("fit bottom", {"gap": gap}, clearance=words(bottom.clearance_mm))
    yield _step("tune", {"bottom": None if bottom is None else "held"})
    if drum.making.pickup is not None:
        yield _disc(drum.making.pickup, drum.top.length_mm, words)


def _disc(pickup: Pickup, length_mm: float, words: Measure) -> Step:
    """Where the disc goes, as it is seen when it is glued on, and how."""
    given = pickup.x_mm is not None and pickup.y_mm is not None
    x_mm, under = pickup.x_mm or 0.0, pickup.on == "top"
    return _step(
        "disc",
        {
            "where": ("given" if under else "bottom") if given else "open",
            "recess": "bored" if pickup.recess_mm else None,
            "face": pickup.on if given else "open",
        },
        along=words(length_mm - x_mm if under else x_mm),
        up=words(pickup.y_mm or 0.0),
        deep=words(pickup.recess_mm),
    )


def _last(drum: Drum, words: Measure) -> Iterator[Step]:
    finish, feet, mallets = drum.making.finish, drum.box.feet, drum.making.mallets
    if finish.when == "after glue-up" and finish.coats:
        yield _finish(drum, "finish")
    yield _step("last check")
    if drum.bottom is not None:
        where = {"under": "walls", "let in": "rabbet", "on a lip": "lip"}[drum.bottom.fit]
        yield _step("glue bottom", {"where": where})
    if feet.kind != "none":
        yield _step("feet", kind=feet.kind, across=words(feet.diameter_mm))
    if mallets.count:
        yield _step(
            "mallets",
            count=mallets.count,
            ball=mallets.ball,
            size=words(mallets.ball_mm),
            dowel=words(mallets.dowel_mm),
            length=words(mallets.length_mm),
        )


def _finish(drum: Drum, name: str) -> Step:
    finish = drum.making.finish
    step = _step(
        name,
        kind=f"{finish.kind[:1].upper()}{finish.kind[1:]}",
        coats=f"{finish.coats} coats" if finish.coats > 1 else "1 coat",
        hours=f"{finish.hours_between:g}",
    )
    return replace(step, wait_hours=finish.coats * finish.hours_between)
