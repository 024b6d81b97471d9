"""Sound holes in walls and bottom: textbook resonators, finite elements, and what a drum does with one."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kerftone.air.breathing import breathing_of
from kerftone.air.cavity import Room
from kerftone.air.coupled import coupled
from kerftone.air.openings import Opening, _face_field, openings_of, round_factor
from kerftone.air.place import BottomState, Place, place_of
from kerftone.air.poles import Pole, poles
from kerftone.air.wood import still
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum

from ..drums import REED
from .test_coupled import AIR, DEEP, HIGH, RADIUS, SIDE, resonator

SPOTS = {
    "below": (0.5 * SIDE, 0.5 * SIDE, -HIGH - 0.01),
    "front": (0.5 * SIDE, 0.0, -0.5 * HIGH),
    "back": (0.5 * SIDE, SIDE, -0.5 * HIGH),
}


def hole(face: str = "below", *, radius: float = RADIUS, deep: float = DEEP) -> Opening:
    return Opening(face=face, middle=SPOTS[face], half=(radius, radius), round=True, deep=deep)


def box(*holes: Opening) -> Place:
    """The box of the resonator with its top shut and these holes instead."""
    place = resonator()
    shut = replace(
        place.grid, open_m2=0.0 * place.grid.open_m2, gap_m=np.full(place.grid.gap_m.shape, np.inf)
    )
    return replace(place, grid=shut, holes=holes)


def breath(place: Place, *, friction: bool = False) -> Pole:
    system = coupled(place, AIR, np.zeros(0), still(place), up_to_hz=200.0)
    return poles(replace(system, friction=friction), near_hz=60.0, up_to_hz=200.0)[0]


@pytest.mark.outside
def test_a_box_with_a_round_neck_below_is_the_helmholtz_resonator_of_the_textbook() -> None:
    """f = (c / 2 pi) sqrt(A / (V L')), L' = L + 0.8217 r outside and 0.8217 r (1 - 1.25 r / R) inside (Nomura, King;
    Ingard 1953; from memory), as tests/air/test_coupled.py has it for a neck in the top."""
    found, end = breath(box(hole())), 0.8217 * RADIUS
    long = DEEP + end + end * (1.0 - 1.25 * RADIUS / (0.5 * resonator().room.length))
    volume, area = resonator().room.volume, math.pi * RADIUS**2
    assert found.hz == pytest.approx(
        AIR.speed_m_s / (2.0 * math.pi) * math.sqrt(area / (volume * long)), rel=0.005
    )
    flanged = 2.0 * math.pi * math.sqrt(volume * ((DEEP + 1.7 * RADIUS) / area) ** 3)
    assert flanged < found.q < 2.05 * flanged, (
        "Q of a flanged neck (Kinsler and Frey); in free space twice that"
    )


@pytest.mark.outside
@pytest.mark.parametrize(
    "at, radius, told", [((0.15, -0.05), 0.008, 33.897), ((0.06, -0.025), 0.020, 17.642)]
)
def test_the_air_inside_a_wall_s_hole_is_that_of_finite_elements(
    at: tuple[float, float], radius: float, told: float
) -> None:
    """The mean potential over a disc in one wall of a closed box of 260 x 260 x 100 mm, a unit flow even over it:
    Laplace's equation by finite elements of order 3 on a curved mesh, three elements to the radius (NGSolve, the
    volume's mean taken off; the disc's area true to 3e-5)."""
    room = Room(origin=(0.02, 0.02), length=0.26, width=0.26, height=0.1)
    one = Opening(face="front", middle=(at[0], 0.0, at[1]), half=(radius, radius), round=True, deep=0.01)
    assert _face_field([one], room)[0, 0] == pytest.approx(told, rel=1.5e-3)


@pytest.mark.outside
def test_two_equal_necks_breathe_by_the_root_of_two_faster() -> None:
    """Their conductances add up, and f goes with the root (textbook); each also feels the other's flow a little."""
    one, two = breath(box(hole("front"))), breath(box(hole("front"), hole("back")))
    assert two.hz / one.hz == pytest.approx(math.sqrt(2.0), rel=0.03)


def test_a_slot_breathes_faster_than_a_round_hole_of_its_area() -> None:
    area = math.pi * 0.008**2
    slot = Opening(
        face="front", middle=SPOTS["front"], half=(0.5 * area / 0.004, 0.002), round=False, deep=DEEP
    )
    assert breath(box(slot)).hz > 1.02 * breath(box(hole("front", radius=0.008))).hz


def test_friction_in_a_narrow_hole_slows_the_breathing_and_shortens_it() -> None:
    place = box(hole("front", radius=0.003))
    free, rubbed = breath(place), breath(place, friction=True)
    assert rubbed.hz < free.hz
    assert rubbed.q < 0.2 * free.q


@pytest.mark.outside
def test_air_in_a_narrow_hole_is_all_friction_and_in_a_wide_one_hardly_any() -> None:
    """Poiseuille flow in a pipe: 8 mu / a²; and a third more mass there. Wide: a layer drags. Textbook."""
    omega = 2.0 * math.pi * 100.0
    narrow, wide = 1e-5, 0.05
    factor = round_factor(np.array([2.0 * narrow]), omega, AIR)[0]
    drag = -1j * omega * AIR.density_kg_m3 * factor
    assert drag.real == pytest.approx(8.0 * AIR.viscosity_pa_s / narrow**2, rel=2e-3)
    assert factor.real == pytest.approx(4.0 / 3.0, rel=2e-3)
    layer = math.sqrt(2.0 * AIR.viscosity_pa_s / (AIR.density_kg_m3 * omega))
    more = round_factor(np.array([2.0 * wide]), omega, AIR)[0] - 1.0
    assert more == pytest.approx((1.0 + 1.0j) * layer / wide, rel=0.03)


def holed(**hole: object) -> Drum:
    lines = "\n".join(f"{key} = {value!r}".replace("'", '"') for key, value in hole.items())
    return parse_drum(f"{REED}[[sound_holes]]\n{lines}\n")


def test_a_drum_breathes_faster_the_larger_its_sound_hole() -> None:
    plain, small, large = (
        breathing_of(drum)
        for drum in (
            parse_drum(REED),
            holed(part="left", diameter=10.0),
            holed(part="left", diameter=40.0),
        )
    )
    assert plain is not None and small is not None and large is not None
    assert 1.002 * plain.hz < small.hz < 1.02 * plain.hz
    assert 1.05 * small.hz < large.hz < 1.15 * small.hz
    assert large.q < plain.q, "more of it goes out"


def test_a_hole_in_the_bottom_is_shut_on_a_table_and_gone_without_the_bottom() -> None:
    drum = holed(part="bottom", diameter=30.0)
    assert [one.face for one in place_of(drum, BottomState.GLUED).holes] == ["below"]
    assert place_of(drum, BottomState.GLUED, on="table").holes == ()
    assert place_of(replace(drum, bottom=None), BottomState.OFF).holes == ()


def test_a_slot_is_parted_into_cells_of_its_own_area() -> None:
    cells = openings_of(holed(part="front", diameter=6.0, length=90.0), deep_below=-0.1, plate_mm=8.0)
    assert len(cells) == 4
    assert sum(cell.area for cell in cells) == pytest.approx((84.0 * 6.0 + 9.0 * math.pi) * 1e-6)


def test_the_bore_of_a_jack_lets_a_little_air_through() -> None:
    with_jack = parse_drum(f"{REED}[pickup]\n")
    (bore,) = place_of(with_jack, BottomState.GLUED).holes
    assert (bore.face, bore.narrow) == ("back", pytest.approx(0.00635))
    plain, open_ = breathing_of(parse_drum(REED)), breathing_of(with_jack)
    assert plain is not None and open_ is not None
    assert 1.0 < open_.hz / plain.hz < 1.01
