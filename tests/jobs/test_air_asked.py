"""In which air a drum is asked for."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any, get_args

import pytest

from kerftone.jobs.air_asked import BOTTOM_WORDS, USUAL_AIR, AirAsked, AirError, bottom_listed
from kerftone.tune.history import Bottom

OTHER: dict[str, Any] = {"bottom": "off", "top": "clamped", "on": "lap", "temperature_c": 30.0}


def test_each_wish_has_another_value_here() -> None:
    assert set(OTHER) == {one.name for one in fields(AirAsked)}


@pytest.mark.refusal
@pytest.mark.parametrize("name", [name for name in OTHER if name != "temperature_c"])
def test_whatever_is_worked_out_with_the_air_is_refused_without_it(name: str) -> None:
    with pytest.raises(AirError, match=f"no air, and {name} {OTHER[name]}. In vacuo .* as its file has it"):
        replace(USUAL_AIR, **{name: OTHER[name]}).left_out()


def test_how_warm_no_air_is_makes_no_difference() -> None:
    replace(USUAL_AIR, temperature_c=30.0).left_out()


def test_each_state_of_the_bottom_has_one_wording_after_with_and_in_a_list() -> None:
    assert set(BOTTOM_WORDS) == set(get_args(Bottom))
    assert all(words == f"the {bottom_listed(state)}" for state, words in BOTTOM_WORDS.items())
