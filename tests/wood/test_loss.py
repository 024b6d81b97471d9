"""What wood loses, by its kind and direction."""

from __future__ import annotations

import pytest

from kerftone.wood import find_species, species_table
from kerftone.wood.laminate import Ply, bending_shares
from kerftone.wood.loss import ACROSS_LOSS, TREND_CV, by_trend, loss_of, loss_table

BIRCH = find_species("birch, yellow").elastic()


def plywood(count: int) -> tuple[Ply, ...]:
    """So many plies, by turns along and across."""
    return tuple(
        Ply(wood="birch, yellow", elastic=BIRCH, thickness_mm=1.4, turn_deg=90.0 * (at % 2))
        for at in range(count)
    )


def test_every_published_figure_names_its_wood_and_its_source() -> None:
    for name, row in loss_table().items():
        assert name in species_table()
        assert row.known in ("read", "memory") and len(row.source) > 10
        assert 0.05 <= row.cv <= 0.5


@pytest.mark.outside
def test_all_woods_lie_where_measured_tropical_hardwoods_do() -> None:
    # Internal friction of four tropical hardwoods, 0.0031 to 0.0085 (Hamdan et al., BioResources 11(3), 2016:
    # abstract read); 0.004 to 0.016 between 98 woods (Bremaud et al. 2012, from memory).
    for wood in species_table().values():
        assert 0.0031 < loss_of(wood.name, wood.elastic()).along < 0.016, wood.name


@pytest.mark.outside
def test_padauk_loses_less_than_maple() -> None:
    # African padouk has a lower tan delta than maple or black locust at like E/rho (University of Ljubljana, study of
    # the three woods for bars: abstract read).
    padauk, maple = (
        loss_of(name, find_species(name).elastic()) for name in ("padauk, African", "maple, sugar")
    )
    assert padauk.along < 0.85 * maple.along
    assert by_trend(find_species("padauk, African").elastic()) > maple.along, (
        "the line alone would say the contrary"
    )


def test_a_wood_without_a_figure_says_so() -> None:
    loss = loss_of("cherry, black", find_species("cherry, black").elastic())
    assert loss.source is None and loss.cv == TREND_CV


def test_what_the_maker_measured_comes_first() -> None:
    loss = loss_of("padauk, African", find_species("padauk, African").elastic(), own=0.0065)
    assert (loss.along, loss.known) == (0.0065, "measured")


def test_the_plies_share_out_what_is_stored() -> None:
    for count in (3, 5, 9):
        shares = bending_shares(plywood(count), "flatsawn")
        assert sum(shares) == pytest.approx(1.0)
        assert list(shares) == pytest.approx(list(shares[::-1]))
    three = bending_shares(plywood(3), "flatsawn")
    assert three[1] < 0.01, "the middle ply lies across and near the middle"


@pytest.mark.outside
def test_plywood_loses_more_than_its_wood() -> None:
    # Vibrational properties of spruce plywood, Mokuzai Gakkaishi 30(1), 1984: tan delta of plywood is above that of
    # its wood (abstract read; by how much glue and lathe checks add to it is not in it).
    alone = by_trend(BIRCH)
    along = loss_of("birch, yellow plywood", BIRCH, plies=plywood(9)).along
    across = loss_of("x", BIRCH, plies=tuple(plywood(9)[at + 1] for at in range(7))).along
    assert alone < along < across < ACROSS_LOSS
