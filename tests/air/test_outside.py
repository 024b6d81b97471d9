"""The air outside against pistons, a cube, and its own balance of power."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import j1

from kerftone.air.outside import Outside, square_form
from kerftone.air.radiation import listener
from kerftone.air.shell import Brick, shell_of

XS, YS = np.array([0.0, 0.05, 0.1, 0.103, 0.2, 0.3, 0.5]), np.array([0.0, 0.06, 0.063, 0.12, 0.2])


def brick_air(*, gap_m: float | None = None) -> Outside:
    return Outside(shell_of(Brick(low=(0.0, 0.0, -0.1), high=(0.5, 0.2, 0.016)), gap_m=gap_m), XS, YS)


def pushes(air: Outside) -> tuple[np.ndarray, np.ndarray]:
    """The whole top up; a narrow cell of the top; the drum moved along; all walls outwards."""
    cells, panels = np.zeros((len(air.cells_m2), 4)), np.zeros((len(air.shell.middles), 4))
    cells[:, 0] = air.cells_m2
    cells[2 * 4 + 1, 1] = 1e-3
    panels[:, 2] = air.shell.area * air.shell.normals[:, 0]
    panels[~air.shell.above, 3] = air.shell.area[~air.shell.above]
    return cells, panels


@pytest.mark.parametrize("gap", [None, 0.0, 0.008])
@pytest.mark.parametrize("k", [0.5, 5.0, 9.0])
def test_what_is_lost_is_what_arrives_far_off(k: float, gap: float | None) -> None:
    air = brick_air(gap_m=gap)
    cells, panels = pushes(air)
    found, more = air.solved(k, cells, panels)
    lost = np.imag(panels.T @ found + cells.T @ more)
    sent = k * square_form(*air.far(k, cells, panels, found))
    assert np.diag(lost) == pytest.approx(np.diag(sent), rel=0.02)


@pytest.mark.outside
@pytest.mark.parametrize("gap", [None, 0.0, 0.008])
@pytest.mark.parametrize("k", [0.5, 5.0])
def test_pressure_squared_over_a_sphere_is_the_power_the_drum_loses(k: float, gap: float | None) -> None:
    """Power is the integral of |p|² / (2 rho c) over a sphere far off (textbook); here the surface said it."""
    air = brick_air(gap_m=gap)
    cells, panels = pushes(air)
    found, more = air.solved(k, cells, panels)
    lost = np.imag(panels.T @ found + cells.T @ more)
    count, far = 400, 40.0
    height = (
        (np.arange(count) + 0.5) / count if gap is not None else 2.0 * (np.arange(count) + 0.5) / count - 1.0
    )
    turn, flat = np.pi * (1.0 + 5.0**0.5) * np.arange(count), np.sqrt(1.0 - height**2)
    spots = far * np.column_stack([flat * np.cos(turn), flat * np.sin(turn), height]) + (0.25, 0.1, -0.1)
    heard = np.array([air.at(k, spot, (cells, panels), found) for spot in spots])
    area = (2.0 if gap is not None else 4.0) * np.pi * far**2
    assert k * area * (abs(heard) ** 2).mean(axis=0) == pytest.approx(np.diag(lost), rel=0.03)


@pytest.mark.parametrize("gap", [None, 0.0, 0.008])
def test_what_one_does_to_another_it_suffers_from_it(gap: float | None) -> None:
    air = brick_air(gap_m=gap)
    cells, panels = pushes(air)
    found, more = air.solved(6.0, cells, panels)
    pressing = panels.T @ found + cells.T @ (more + air.baffled @ cells)
    size = np.sqrt(np.outer(*(2 * (abs(np.diag(pressing)),))))
    assert abs(pressing - pressing.T) / size == pytest.approx(np.zeros((4, 4)), abs=0.025)


@pytest.mark.outside
@pytest.mark.parametrize("gap", [None, 0.0, 0.008])
def test_a_small_source_is_a_monopole_however_it_is_shaped(gap: float | None) -> None:
    """Radiated by a small source, in this measure: k / 4 pi in free space, twice that on a table. Textbook."""
    air = brick_air(gap_m=gap)
    cells, panels = pushes(air)
    found, _ = air.solved(0.05, cells, panels)
    sent = 0.05 * square_form(*air.far(0.05, cells, panels, found))
    volume = (cells.sum(axis=0) + panels.sum(axis=0))[[0, 1, 3]]
    known = 0.05 / (4.0 * math.pi) * volume**2 * (2.0 if gap is not None else 1.0)
    assert np.diag(sent)[[0, 1, 3]] == pytest.approx(known, rel=5e-3)


def round_piston(radius: float, half: float, steps: int) -> tuple[Outside, np.ndarray]:
    """A disc moving in the upper face of a thin wide plate on a table: nearly a wall without end."""
    lines = np.linspace(-half, half, steps + 1)
    brick = Brick(low=(-half, -half, 0.0), high=(half, half, 0.004))
    air = Outside(shell_of(brick, gap_m=0.0, fineness=0.72), lines, lines)
    middle = 0.5 * (lines[1:] + lines[:-1])
    fine = np.linspace(-0.5, 0.5, 21) * (lines[1] - lines[0])
    x = (middle[:, None] + fine[None, :]).ravel()
    inside = (np.hypot(*np.meshgrid(x, x, indexing="ij")) < radius).astype(float)
    share = inside.reshape(steps, 21, steps, 21).mean(axis=(1, 3)).ravel()
    return air, (share * air.cells_m2)[:, None]


@pytest.mark.outside
def test_a_baffled_piston_carries_the_mass_of_the_textbook() -> None:
    """A layer of air 8 a / 3 pi thick: Kinsler and Frey, Rayleigh. In this measure 8 / (3 pi² a) for the volume
    squared."""
    air, disc = round_piston(0.1, 0.2, 50)
    volume = float(disc.sum())
    found = float((disc.T @ air.baffled @ disc)[0, 0]) / volume**2
    assert volume == pytest.approx(math.pi * 0.01, rel=2e-3)
    assert found == pytest.approx(8.0 / (3.0 * math.pi**2 * 0.1), rel=4e-3)


@pytest.mark.outside
@pytest.mark.parametrize("ka", [0.4, 1.0])
def test_a_baffled_piston_radiates_as_the_textbook_says(ka: float) -> None:
    """Resistance rho c A (1 - J1(2ka)/ka): Kinsler and Frey, Rayleigh."""
    air, disc = round_piston(0.1, 0.25, 25)
    k = ka / 0.1
    panels = np.zeros((len(air.shell.middles), 1))
    found, _ = air.solved(k, disc, panels)
    sent = k * float(square_form(*air.far(k, disc, panels, found))[0, 0]) / float(disc.sum()) ** 2
    assert sent == pytest.approx((1.0 - j1(2.0 * ka) / ka) / (k * math.pi * 0.01), rel=0.03)


@pytest.mark.outside
def test_a_cube_moved_carries_two_thirds_of_its_volume_of_air() -> None:
    """Added mass of a cube moving along an edge: 0.68 of its volume (offshore handbooks, from memory)."""
    lines = np.linspace(-0.5, 0.5, 3)
    air = Outside(shell_of(Brick(low=(-0.5,) * 3, high=(0.5,) * 3), fineness=0.3), lines, lines)
    up = air.shell.normals[:, 2] * air.shell.area
    panels = np.where(air.shell.above, 0.0, up)[:, None]
    cells = air.cells_m2[:, None]
    found, more = air.solved(1e-4, cells, panels)
    mass = float(np.real(panels.T @ found + cells.T @ (more + air.baffled @ cells))[0, 0])
    assert mass == pytest.approx(0.68, rel=0.04)


INSIDE = ((1.0, (0.15, 0.07, -0.03)), (-0.7, (0.33, 0.12, -0.06)))
"""Two small sources inside the brick, of unlike sign: they beam."""


def field(k: float, places: np.ndarray, table_m: float | None) -> tuple[np.ndarray, np.ndarray]:
    """The potential of the two sources, with their images in a table, and its gradient: exp(ikr)/(4 pi r)."""
    total, slope = np.zeros(len(places), dtype=complex), np.zeros((len(places), 3), dtype=complex)
    for volume, (x, y, z) in INSIDE:
        for level in (z,) if table_m is None else (z, 2.0 * table_m - z):
            away = places - np.array([x, y, level])
            r = np.linalg.norm(away, axis=1)
            one = volume * np.exp(1j * k * r) / (4.0 * math.pi * r)
            total += one
            slope += (one * (1j * k - 1.0 / r) / r)[:, None] * away
    return total, slope


def pushed_like(k: float, air: Outside) -> tuple[np.ndarray, np.ndarray]:
    """The volumes that those sources send through cells and panels, real and imaginary as two motions; means of
    3 x 3 Gauss points."""
    shell, found = air.shell, []
    mids = np.meshgrid(*(0.5 * (lines[1:] + lines[:-1]) for lines in (air.xs, air.ys)), indexing="ij")
    steps = np.meshgrid(*(0.5 * np.diff(lines) for lines in (air.xs, air.ys)), indexing="ij")
    flat = np.zeros(mids[0].size)
    cells = np.column_stack([mids[0].ravel(), mids[1].ravel(), flat + 0.016])
    halves = np.column_stack([steps[0].ravel(), steps[1].ravel(), flat])
    ups = np.tile((0.0, 0.0, 1.0), (len(flat), 1))
    for middles, half, normals, area in (
        (cells, halves, ups, air.cells_m2),
        (shell.middles, shell.halves, shell.normals, shell.area * ~shell.above),
    ):
        through = np.zeros(len(middles), dtype=complex)
        for spot in np.stack(np.meshgrid(*[[-(0.6**0.5), 0.0, 0.6**0.5]] * 3), axis=-1).reshape(-1, 3):
            weight = np.prod(np.where(spot == 0.0, 8.0, 5.0) / 18.0)
            _, slope = field(k, middles + spot * half, shell.mirror_m)
            through -= weight * (slope * normals).sum(axis=1)
        found.append(np.column_stack([through.real, through.imag]) * area[:, None])
    return found[0], found[1]


@pytest.mark.outside
@pytest.mark.parametrize("gap", [None, 0.0, 0.008])
@pytest.mark.parametrize(
    "k, near, power", [(3.0, 0.01, 0.01), (15.0, 0.02, 0.02), (33.0, 0.08, 0.09), (40.0, 0.08, 0.12)]
)
def test_a_box_that_moves_like_sources_inside_it_is_heard_like_them(
    k: float, near: float, power: float, gap: float | None
) -> None:
    """The field outside a closed surface is that of the sources within, which is known (the usual check of a boundary
    element method). 40/m is 2.2 kHz: between the box's own resonances from 1.8 kHz."""
    lines = np.linspace(0.0, 0.5, 31), np.linspace(0.0, 0.2, 13)
    air = Outside(shell_of(Brick(low=(0.0, 0.0, -0.1), high=(0.5, 0.2, 0.016)), gap_m=gap), *lines)
    volumes = pushed_like(k, air)
    found, _ = air.solved(k, *volumes)
    ear = listener(air)
    heard = air.at(k, ear, volumes, found) @ (1.0, 1j)
    known = field(k, ear[None, :], air.shell.mirror_m)[0][0]
    assert abs(heard - known) < near * abs(known)
    ways = air._ways()[0]
    places = 1e3 * ways
    sent, weights = air.far(k, *volumes, found)
    exact = abs(field(k, places, air.shell.mirror_m)[0] * 1e3) ** 2
    assert weights @ abs(sent @ (1.0, 1j)) ** 2 == pytest.approx(weights @ exact, rel=power)


def test_no_resonance_of_the_air_within_spoils_the_power_sent_out() -> None:
    """What the surface loses against what arrives far off, over the box's first resonances; without the places inside
    the surface is wrong by decibels at some."""
    air = brick_air()
    cells, panels = pushes(air)
    for k in np.arange(30.0, 45.0, 0.5):
        found, more = air.solved(k, cells, panels)
        lost = np.diag(np.imag(panels.T @ found + cells.T @ more))
        sent = np.diag(k * square_form(*air.far(k, cells, panels, found)))
        assert abs(10.0 * np.log10(lost / sent)).max() < 1.0, k
