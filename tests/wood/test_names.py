"""Woods by the names of a timber yard: one meant is found, several are offered, none gets the nearest."""

from __future__ import annotations

import pytest

from kerftone.errors import SpeciesError
from kerftone.wood import find_species, matching_species, species_table
from kerftone.wood.names import plain, trade_names, with_yard_name


@pytest.mark.parametrize(
    ("typed", "species"),
    [
        ("walnut", "walnut, black"),
        ("cherry", "cherry, black"),
        ("hard maple", "maple, sugar"),
        ("padauk", "padauk, African"),
        ("Padouk", "padauk, African"),
        ("sapele", "sapele"),
        ("khaya", "mahogany, African"),
        ("purple heart", "purpleheart"),
        ("amaranth", "purpleheart"),
        ("bubinga", "bubinga"),
        ("iroko", "iroko"),
        ("Jatobá", "jatoba"),
        ("Brazilian cherry", "jatoba"),
        ("tigerwood", "goncalo alves"),
        ("red oak", "oak, northern red"),
        ("walnut lumber", "walnut, black"),
        ("Tectona grandis", "teak"),
        ("Peltogyne", "purpleheart"),
    ],
)
def test_a_wood_is_found_by_the_name_it_is_sold_under(typed: str, species: str) -> None:
    assert find_species(typed).name == species


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("maple", {"maple, sugar", "maple, red", "maple, silver", "maple, bigleaf"}),
        ("soft maple", {"maple, red", "maple, silver"}),
        ("mahogany", {"mahogany, true", "mahogany, African"}),
        ("oak", {"oak, northern red", "oak, white"}),
        ("African teak", {"iroko", "afrormosia"}),
    ],
)
def test_a_name_of_several_woods_offers_them_all(typed: str, meant: set[str]) -> None:
    with pytest.raises(SpeciesError, match=r"may be .*write the name of the one you have") as caught:
        find_species(typed)
    nearest = caught.value.nearest
    assert isinstance(nearest, tuple) and set(nearest) == meant
    assert all(f'"{name}"' in caught.value.message for name in meant)
    assert all(find_species(name).name == name for name in nearest), "each offer can be taken"


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("typed", "offer"),
    [
        ("paduk", "padauk, African"),
        ("western red cedar", "Spanish-cedar"),
        ("English walnut", "walnut, black"),
        ("mohagany", "mahogany, African"),
        ("sapelle", "sapele"),
    ],
)
def test_a_wood_that_is_not_there_is_never_taken_for_another(typed: str, offer: str) -> None:
    with pytest.raises(SpeciesError, match=r"not in the species table") as caught:
        find_species(typed)
    assert isinstance(caught.value.nearest, tuple) and offer in caught.value.nearest


def test_every_name_of_the_trade_leads_to_a_row_and_says_how_it_is_known() -> None:
    for trade in trade_names():
        assert trade.species in species_table(), trade.name
        assert trade.known in {"sheet", "read", "memory", "trade"}, trade.name
    pairs = [(plain(trade.name), trade.species) for trade in trade_names()]
    assert len(pairs) == len(set(pairs))


def test_the_tables_own_name_always_means_itself() -> None:
    # A name of the trade that equals a row's own name would make that row unreachable.
    for name in species_table():
        assert find_species(name).name == find_species(name.upper()).name == name


def test_words_pick_out_every_wood_that_has_them_in_a_name() -> None:
    assert {wood.name for wood in matching_species("oak")} == {"oak, northern red", "oak, white"}
    assert "sapele" in {wood.name for wood in matching_species("mahogany")}
    assert matching_species("zork") == () and matching_species("") == ()


def test_the_yards_name_stands_beside_the_tables_where_it_is_another() -> None:
    assert with_yard_name("mahogany, African") == "mahogany, African (khaya)"
    assert with_yard_name("iroko") == "iroko"
