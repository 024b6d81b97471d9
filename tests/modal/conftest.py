"""Drums, boards and measures that the tests of the model share."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.design import Bore, Bottom, Drum
from kerftone.drum.file import parse_drum
from kerftone.wood.elastic import Elastic

from ..solving import solve_once

REFERENCE = Path(__file__).parents[1] / "reference" / "modes.json"
"""Modes of drums and boards by CalculiX and by an independent high-order solution; the file says how."""


@dataclass(frozen=True)
class Known:
    """A drum with modes that were found without Kerftone."""

    drum: Drum
    hz: Any


def reference() -> dict[str, Any]:
    return dict(json.loads(REFERENCE.read_text("utf-8")))


@pytest.fixture(scope="session")
def known() -> dict[str, Known]:
    """The reference drums by name: W1 and W4 on walls, W4 with bores, W2 let in on a ledge."""
    return {d["name"]: Known(parse_drum(d["toml"]), np.array(d["modes_hz"])) for d in reference()["drums"]}


@pytest.fixture(scope="session")
def cherry(known: dict[str, Known]) -> Elastic:
    """Nine different constants."""
    return known["W1"].drum.top.elastic


def isotropic(*, e_gpa: float, nu: float, density_kg_m3: float) -> Elastic:
    """The same in every direction, such as steel."""
    g = e_gpa / (2.0 * (1.0 + nu))
    return Elastic(
        e_l_gpa=e_gpa,
        e_r_gpa=e_gpa,
        e_t_gpa=e_gpa,
        g_lr_gpa=g,
        g_lt_gpa=g,
        g_rt_gpa=g,
        nu_lr=nu,
        nu_lt=nu,
        nu_rt=nu,
        density_kg_m3=density_kg_m3,
    )


@pytest.fixture(scope="session")
def steel() -> Elastic:
    """The steel of the NAFEMS plates."""
    return isotropic(e_gpa=200.0, nu=0.3, density_kg_m3=8000.0)


def _with_slots(drum: Drum, **changes: Any) -> Drum:
    return replace(drum, slots=replace(drum.slots, **changes))


def _bore(x: float, y: float, diameter: float, depth: float) -> Bore:
    return Bore(x_mm=x, y_mm=y, diameter_mm=diameter, depth_mm=depth)


SHAPES: dict[str, Callable[[Drum, Drum, Drum], Drum]] = {
    "on walls": lambda w1, w2, w4: w1,
    "in a ledge": lambda w1, w2, w4: w2,
    "in a ledge as wide as the wall": lambda w1, w2, w4: _with_slots(
        replace(w2, box=replace(w2.box, ledge_mm=w2.box.wall_mm)), end_margin_mm=30.0, side_margin_mm=26.0
    ),
    "round ends": lambda w1, w2, w4: _with_slots(w1, tongue_end="round"),
    "slant ends": lambda w1, w2, w4: _with_slots(w1, tongue_end="slant"),
    "curved ends": lambda w1, w2, w4: _with_slots(w2, tongue_end="curve"),
    "the maker's own ends": lambda w1, w2, w4: _with_slots(
        w1, tongue_end=((-12.0, -21.5), (0.0, -10.0), (-6.0, 0.0), (-12.0, 21.5))
    ),
    "stop holes": lambda w1, w2, w4: _with_slots(w1, stop_hole_mm=8.0),
    "a tongue alone in its row": lambda w1, w2, w4: replace(w1, tongues=w1.tongues[:5]),
    "a tongue alone, round, with stop holes": lambda w1, w2, w4: _with_slots(
        replace(w1, tongues=w1.tongues[:1] + w1.tongues[2:]), tongue_end="round", stop_hole_mm=7.0
    ),
    "five bores": lambda w1, w2, w4: w4,
    "bores of one depth that overlap": lambda w1, w2, w4: replace(
        w1, bores=(_bore(150, 49, 20, 4), _bore(160, 51, 24, 4))
    ),
    "bores that touch": lambda w1, w2, w4: replace(w1, bores=(_bore(140, 49, 20, 4), _bore(160, 49, 20, 4))),
    "a bore across a root": lambda w1, w2, w4: replace(w1, bores=(_bore(36, 95, 18, 6),)),
    "a bore across a root, most of it in the frame": lambda w1, w2, w4: replace(
        w1, bores=(_bore(391, 95, 18, 6),)
    ),
    "a bottom": lambda w1, w2, w4: _with_bottom(w1),
    "root bars": lambda w1, w2, w4: barred(w1, wide=15.0, high=40.0),
    "root bars down to the ground": lambda w1, w2, w4: barred(w1, wide=15.0, high=w1.box.height_mm),
    "root bars under a ledge, a bore and a bottom": lambda w1, w2, w4: replace(
        _with_bottom(barred(w2, wide=14.0, high=33.0)), bores=(_bore(80, 48.5, 20, 4),)
    ),
    "root bars down to the bottom": lambda w1, w2, w4: _with_bottom(
        barred(w1, wide=15.0, high=w1.box.height_mm)
    ),
    "on a ledge alone": lambda w1, w2, w4: replace(w2, box=replace(w2.box, glued="ledge", clearance_mm=0.8)),
    "on a ledge alone, a bore, root bars and a bottom": lambda w1, w2, w4: replace(
        _with_bottom(barred(replace(w2, box=replace(w2.box, glued="ledge")), wide=14.0, high=33.0)),
        bores=(_bore(80, 48.5, 20, 4),),
    ),
    "on a lip": lambda w1, w2, w4: lipped(w2),
    "on a lip, a bore and stop holes": lambda w1, w2, w4: _with_slots(
        replace(lipped(w2), bores=(_bore(60, 48.5, 20, 4),)), stop_hole_mm=6.0
    ),
    "on a lip, a bottom on a lip": lambda w1, w2, w4: _lipped_bottom(lipped(w2), recess=0.0),
    "on a lip as wide as the wall, root bars, a bottom on a lip above the ground": lambda w1, w2, w4: (
        _lipped_bottom(barred(lipped(w1, lip=12.0), wide=15.0, high=40.0), recess=4.0, clearance=0.5)
    ),
    "a bottom on a lip": lambda w1, w2, w4: _lipped_bottom(w1, recess=3.0),
    "a ledge, a bore and a bottom": lambda w1, w2, w4: replace(
        _with_bottom(w2), bores=(_bore(60, 48.5, 20, 4),)
    ),
}
"""Drums of every kind a file can describe, made from W1, W2 and W4. The wood they lose is known exactly."""


def lipped(drum: Drum, *, lip: float = 6.0) -> Drum:
    """The same drum with its top hung in by a lip 9 mm thick, 0.5 mm of air round the rest."""
    top = replace(drum.top, lip_mm=lip, lip_thickness_mm=9.0)
    return replace(drum, top=top, box=replace(drum.box, mount="on a lip", glued="lip", clearance_mm=0.5))


def _lipped_bottom(drum: Drum, *, recess: float, clearance: float = 0.75) -> Drum:
    """A bottom 9 mm thick, its lip 4 mm, so that 5 mm of it stand up into the box."""
    made = _with_bottom(drum)
    assert made.bottom is not None
    lip = {"lip_mm": 5.0, "lip_thickness_mm": 4.0, "clearance_mm": clearance, "recess_mm": recess}
    return replace(made, bottom=replace(made.bottom, fit="on a lip", **lip))


def barred(drum: Drum, *, wide: float, high: float, shorter: float = 15.0) -> Drum:
    """The same drum with root bars: the roots move in by their width, all tongues shorter to make room."""
    tongues = tuple(replace(t, length_mm=(t.length_mm or 0.0) - shorter) for t in drum.tongues)
    slots = replace(drum.slots, end_margin_mm=drum.slots.end_margin_mm + wide)
    box = replace(drum.box, root_bar_mm=wide, root_bar_height_mm=high)
    return replace(drum, tongues=tongues, slots=slots, box=box)


def _with_bottom(drum: Drum) -> Drum:
    bottom = Bottom(wood=drum.box.wood, elastic=drum.box.elastic, thickness_mm=9.0)
    return replace(drum, bottom=bottom, box=replace(drum.box, stands="free"))


@pytest.fixture(scope="session", params=SHAPES)
def drum(request: pytest.FixtureRequest, known: dict[str, Known]) -> Drum:
    """One drum of every kind in turn."""
    made = SHAPES[request.param](*(known[name].drum for name in ("W1", "W2", "W4")))
    check_outline(made)
    return made


@pytest.fixture(scope="session")
def stepped(known: dict[str, Known]) -> Drum:
    """W1 with three bores of three depths, each in the next."""
    return replace(
        known["W1"].drum, bores=(_bore(150, 49, 20, 4), _bore(160, 51, 24, 7), _bore(167, 47, 16, 5.5))
    )


@pytest.fixture(scope="session")
def solved_w1(known: dict[str, Known]) -> Any:
    """The first reference drum, solved once for all tests."""
    return solve_once(known["W1"].drum)


@pytest.fixture(scope="session")
def model(solved_w1: Any) -> Any:
    """The same drum as a frame and tongues."""
    from kerftone.modal.frame import assemble

    return assemble(solved_w1)
