"""A drum as the page draws it: plain numbers in mm, what is wrong with it and where.

The page draws the plan itself, so that it can follow a finger; it is given the lines that the drawing stands on, and
the shape of a tip.
"""

from __future__ import annotations

from typing import Any

from kerftone.app.open_drum import OpenDrum
from kerftone.app.remedies import refusal_of
from kerftone.drum.check import MIN_TONGUE_LENGTH_MM, check_outline
from kerftone.drum.design import Drum, Side, Tongue
from kerftone.drum.ends import end_curve
from kerftone.drum.plan_lines import layout
from kerftone.drum.seat import beside_mm, end_seat_mm, seat_mm
from kerftone.drum.sound_holes import placed_holes
from kerftone.errors import KerftoneError, OutlineError
from kerftone.pitch import sharpened
from kerftone.tune.lengths import guess_length_mm

TIP_TOLERANCE_MM = 0.2
"""How far the chords of a tip may stray from its curve on the screen: under a pixel. Own judgement."""
BOTTOM = "wood thickness_mm cut fit clearance_mm recess_mm lip_mm lip_thickness_mm"
FOOT_RELIEF = "shape rise_mm inset_mm"
FINISH = "kind when coats hours_between dry_g_m2 faces"
PICKUP = "disc_mm x_mm y_mm recess_mm sides wall jack_thread_mm pot_thread_mm body_depth_mm"
SOUND_HOLE = "part diameter_mm length_mm along_mm up_mm"
STOCK = "wood length_mm width_mm thickness_mm count price"


def view_of(opened: OpenDrum) -> dict[str, Any]:
    """Everything the page shows of an open drum but what the solver says."""
    with opened.lock:
        drum, history = opened.drum, opened.history
        whole: dict[str, Any] = {
            "key": opened.name,
            "revision": opened.revision,
            "undo": history.undo_words(),
            "redo": history.redo_words(),
            "broken": None if opened.broken is None else refusal_of(opened.broken),
            "drum": None if drum is None else drum_view(drum),
        }
    return whole


def drum_view(drum: Drum) -> dict[str, Any]:
    """The drum alone."""
    top, slots, box = drum.top, drum.slots, drum.box
    aims = [sharpened(hz, drum.tuning.aim_cents) for hz in drum.targets_hz]
    return {
        "name": drum.name,
        "units": drum.units,
        "tuning": _plain(drum.tuning, "reference_hz temperament tolerance_cents aim_cents"),
        "top": {
            "wood": top.wood,
            "length_mm": top.length_mm,
            "width_mm": top.width_mm,
            "thickness_mm": top.thickness_mm,
            "lip_mm": top.lip_mm,
            "lip_thickness_mm": top.lip_thickness_mm,
            "cut": top.cut,
            "grain_angle_deg": top.grain_angle_deg,
            "board": top.board,
            "knots_mm": [list(knot) for knot in top.knots_mm],
        },
        "slots": {
            "kerf_mm": slots.kerf_mm,
            "end_margin_mm": slots.end_margin_mm,
            "side_margin_mm": slots.side_margin_mm,
            "stop_hole_mm": slots.stop_hole_mm,
            "countersink_mm": slots.countersink_mm,
            "round_over_mm": slots.round_over_mm,
            "tongue_end": slots.tongue_end,
        },
        "box": _box(drum),
        "seat_mm": {"end": end_seat_mm(drum), "side": seat_mm(drum), "wall": box.wall_mm},
        "bores": [[b.x_mm, b.y_mm, b.diameter_mm] for b in drum.bores],
        "lines": _lines(drum),
        "shortest_mm": MIN_TONGUE_LENGTH_MM,
        "tongues": [
            {
                "note": tongue.note,
                "row": tongue.row,
                "side": tongue.side,
                "place": tongue.place,
                "length_mm": tongue.length_mm,
                "end": tongue.end,
                "tip_mm": None if tongue.end is None else _own_tip(drum, tongue),
                "guess_mm": max(MIN_TONGUE_LENGTH_MM, guess_length_mm(top, aim)),
                "target_hz": target,
                "aim_hz": aim,
            }
            for tongue, target, aim in zip(drum.tongues, drum.targets_hz, aims, strict=True)
        ],
        "problems": problems_of(drum),
    }


def _box(drum: Drum) -> dict[str, Any]:
    box, bottom, making = drum.box, drum.bottom, drum.making
    return {
        "wood": box.wood,
        "wall_mm": box.wall_mm,
        "height_mm": box.height_mm,
        "mount": box.mount,
        "ledge_mm": box.ledge_mm,
        "glued": box.glued,
        "clearance_mm": box.clearance_mm,
        "beside_mm": beside_mm(drum),
        "root_bar_mm": box.root_bar_mm,
        "root_bar_height_mm": box.root_bar_height_mm,
        "stands": box.stands,
        "joint": box.joint,
        "keys": {"count": box.keys.count, "thickness_mm": box.keys.thickness_mm},
        "foot_relief": None if box.foot_relief is None else _plain(box.foot_relief, FOOT_RELIEF),
        "feet": box.feet.kind,
        "feet_mm": {"diameter": box.feet.diameter_mm, "height": box.feet.height_mm},
        "round_over_mm": box.round_over_mm,
        "bottom": None if bottom is None else _plain(bottom, BOTTOM),
        "finish": _plain(making.finish, FINISH),
        "pickup": None if making.pickup is None else _plain(making.pickup, PICKUP),
        "mallets": {"ball": making.mallets.ball, "count": making.mallets.count},
        "sound_holes": [_plain(one.hole, SOUND_HOLE) | {"at_mm": one.at_mm} for one in placed_holes(drum)],
        "stock": [_plain(one, STOCK) for one in making.stock],
    }


def _plain(whole: Any, names: str) -> dict[str, Any]:
    """These fields of it."""
    return {name: getattr(whole, name) for name in names.split()}


def _lines(drum: Drum) -> dict[str, Any] | None:
    """The lines of the plan, and the tips' shapes; None while a tongue has no place."""
    if any(tongue.row is None or tongue.side is None for tongue in drum.tongues):
        return None
    try:
        lines = layout(drum)
    except OutlineError:  # said among the problems
        return None
    if lines.tongue_width_mm <= 0.0 or lines.span_mm <= 0.0:
        return None
    tips: dict[str, Any] = {}
    sides: tuple[Side, Side] = ("left", "right")
    for side in sides:
        try:
            tips[side] = end_curve(
                drum.slots.tongue_end,
                width_mm=lines.tongue_width_mm,
                length_mm=max(lines.span_mm, 2 * MIN_TONGUE_LENGTH_MM),
                side=side,
                tolerance_mm=TIP_TOLERANCE_MM,
            )
        except OutlineError:  # said among the problems; drawn square meanwhile
            half = 0.5 * lines.tongue_width_mm
            tips[side] = ((0.0, -half), (0.0, half))
    return {
        "root_left_mm": lines.root_left_mm,
        "root_right_mm": lines.root_right_mm,
        "slot_ys_mm": lines.slot_ys_mm,
        "bows_mm": lines.bows_mm,
        "tongue_width_mm": lines.tongue_width_mm,
        "tips_mm": tips,
    }


def _own_tip(drum: Drum, tongue: Tongue) -> tuple[tuple[float, float], ...] | None:
    """The shape of a tip that is the tongue's own, as `tips_mm` of a side; None while it has no place."""
    if tongue.side is None or any(one.row is None for one in drum.tongues):
        return None
    try:
        lines = layout(drum)
        return end_curve(
            drum.end_of(tongue),
            width_mm=lines.tongue_width_mm,
            length_mm=max(lines.span_mm, 2 * MIN_TONGUE_LENGTH_MM),
            side=tongue.side,
            tolerance_mm=TIP_TOLERANCE_MM,
        )
    except OutlineError:  # said among the problems; drawn as the others meanwhile
        return None


def problems_of(drum: Drum) -> list[dict[str, Any]]:
    """What cannot be sawn: in words, at which key, and the nearest that can, in mm."""
    try:
        check_outline(drum)
    except KerftoneError as error:
        at = list(getattr(error, "at", ()))
        return [refusal_of(error) | {"at": at, "nearest_mm": error.nearest if at else None}]
    return []
