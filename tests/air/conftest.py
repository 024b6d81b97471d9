"""Drums with known motions of wood and air, and boxes of rigid walls."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from kerftone.air.medium import Medium
from kerftone.air.place import BottomState
from kerftone.drum.design import Bottom, Box, Drum, Slots, Tongue, Top, Tuning
from kerftone.modal import floor
from kerftone.modal.solve import Solution
from kerftone.wood.elastic import Elastic

from ..solving import solve_once

REFERENCE = Path(__file__).parents[1] / "reference" / "air.json"
"""Coupled finite elements of our own making, order 3, see the file's how."""
STATES = {"on": BottomState.GLUED, "open": BottomState.OFF, "table": BottomState.TABLE}


@dataclass(frozen=True)
class Known:
    """A drum whose notes in air were found without Kerftone's model of air."""

    drum: Drum
    state: BottomState
    numbers: dict[str, Any]

    def solved(self) -> Solution:
        """The motions of its wood, solved once for all tests.

        The reference took them from this program while it cut bottoms into triangles of 60 mm. With those of 30 mm a
        note of W1 that shares itself with the bottom lies 2.6 cents higher: see docs/accuracy.md.
        """
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(floor, "BOTTOM_MESH_MM", 60.0)
            return solve_once(self.drum)


def known_case(name: str) -> Known:
    """One case of the reference."""
    case = json.loads(REFERENCE.read_text("utf-8"))["cases"][name]
    top, slots, box, plate = (case[part] for part in ("top", "slots", "box", "plate"))
    drum = Drum(
        name=name,
        tuning=Tuning(),
        top=Top(
            wood="cherry, black",
            length_mm=top["length"],
            width_mm=top["width"],
            thickness_mm=top["thickness"],
            elastic=Elastic(**top["elastic"]),
        ),
        slots=Slots(
            kerf_mm=slots["kerf"],
            end_margin_mm=slots["end_margin"],
            side_margin_mm=slots["side_margin_to_middle_of_outer_slot"],
        ),
        tongues=tuple(
            Tongue(
                note=one["note"],
                row=int(one["place"][1]),
                side="left" if one["place"][0] == "L" else "right",
                length_mm=one["length"],
            )
            for one in case["tongues"]
        ),
        box=Box(
            wood="ash, white",
            elastic=Elastic(**box["elastic"]),
            wall_mm=box["wall"],
            height_mm=box["height"],
            stands="free",
        ),
        bottom=plate
        and Bottom(wood="ash, white", elastic=Elastic(**plate["elastic"]), thickness_mm=plate["thickness"]),
    )
    return Known(drum=drum, state=STATES[case["bottom"]], numbers=case)


@pytest.fixture(scope="session")
def reference_air() -> Medium:
    """The air of the reference; its viscosity is that of 20 °C."""
    return Medium(density_kg_m3=1.2, speed_m_s=343.0, viscosity_pa_s=1.81e-5)
