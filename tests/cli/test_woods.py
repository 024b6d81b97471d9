"""`kerftone woods`: all in a table that fits the screen, few one by one, none refused with the nearest."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from kerftone.jobs.wood_facts import missing
from kerftone.wood import find_species, species_table

Run = Callable[..., Any]


def test_all_woods_stand_in_a_table_that_fits_the_screen(run: Run) -> None:
    ran = run("woods")
    assert ran.code == 0 and ran.fault is None
    lines = ran.out.splitlines()
    assert max(len(line) for line in lines) <= 80
    assert all(any(line.startswith(name.split()[0]) for line in lines) for name in species_table())
    assert "`kerftone woods WORD`" in " ".join(ran.err.split())


def test_the_table_compares_with_hard_maple_and_leaves_gigapascals_to_the_one_wood_asked_for(
    run: Run,
) -> None:
    ran = run("woods")
    assert "GPa" not in ran.out + ran.err
    rows = {line.split("  ")[0]: line.split("  ") for line in ran.out.splitlines() if line}
    stiff = {name: [word.strip() for word in row if word.strip()][2:4] for name, row in rows.items()}
    assert stiff["maple, sugar (hard maple)"] == ["100", "100"]
    # Wood Handbook Table 5-3: modulus of sugar maple 12.6 GPa, of basswood 10.1 GPa: 80 in a hundred.
    assert stiff["basswood, American (linden)"][0] == "80"


def test_one_wood_is_shown_with_all_that_is_known(run: Run) -> None:
    ran = run("woods", "Padouk")
    assert ran.code == 0
    text = " ".join(ran.out.split())
    for words in ("padauk, African (Pterocarpus soyauxii)", "745 kg/m³", "±10 %", "12.5 GPa", "±22 %"):
        assert words in text, words
    assert "Missing stiffness across the grain, shear stiffness;" in text and "fact sheet" in text


def test_numbers_that_were_not_checked_are_marked(run: Run) -> None:
    assert "Not checked" in " ".join(run("woods", "iroko").out.split())
    assert "Not checked" not in " ".join(run("woods", "teak", "--json").out.split())
    rows = [line.split()[0] for line in run("woods").out.splitlines()]
    assert "iroko*" in rows and "teak" in rows


def test_what_is_missing_is_said_in_words() -> None:
    assert missing(find_species("yellow-poplar")) == ()
    assert missing(find_species("cherry")) == ("part of shear",)
    assert missing(find_species("bubinga")) == ("across", "shear", "movement")


def test_a_script_gets_every_number(run: Run) -> None:
    woods = run("woods", "mahogany", "--json").document["woods"]
    names = [wood["name"] for wood in woods]
    assert {"mahogany, true", "mahogany, African", "sapele"} <= set(names)
    khaya = woods[names.index("mahogany, African")]
    assert khaya["e_l_gpa"] == pytest.approx(1.10 * 9.7, rel=1e-3)  # Wood Handbook Table 5-5 and note to 5-1
    assert khaya["missing"] == [] and "khaya" in khaya["also_called"] and khaya["source"].startswith("Wood")


@pytest.mark.refusal
def test_an_unknown_wood_gets_the_nearest(run: Run) -> None:
    ran = run("woods", "wallnut")
    assert ran.code == 2 and '"walnut, black"' in ran.err and ran.fault is None
