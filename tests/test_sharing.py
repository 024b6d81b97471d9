"""How the tests are shared out among workers, and which of them `make test` may leave out: see conftest.py."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from threadpoolctl import threadpool_info

from .conftest import TOGETHER, group_of

SOLVED = {
    "fitted": "fitted",
    "bench": "W1",
    "solved_w1": "W1",
    "predicted": "Wren",
    "planned": "Wren",
    "planned_as_it_is": "Wren",
}
"""Fixtures that solve a drum, and which."""


def test_a_worker_computes_on_one_thread() -> None:
    """Set before the libraries are loaded; set after, it would do nothing."""
    assert np.ones((2, 2)).sum() == 4.0, "the library of dense matrices is loaded"
    pools = threadpool_info()
    assert pools and {pool["num_threads"] for pool in pools} == {int(os.environ["OPENBLAS_NUM_THREADS"])}


def shared_fixtures(item: pytest.Item) -> set[str]:
    """The fixtures of a whole session that a test comes to; a file's own of the same name is another."""
    known = getattr(getattr(item, "_fixtureinfo", None), "name2fixturedefs", {})
    return {name for name, found in known.items() if found[-1].scope == "session"}


def test_files_that_use_one_drum_go_to_one_worker(request: pytest.FixtureRequest) -> None:
    """By the fixtures their tests ask for, however they come to them; and every file that is named is there."""
    seen = set()
    for item in request.session.items:
        names = shared_fixtures(item) & set(SOLVED)
        seen |= names
        assert {SOLVED[name] for name in names} <= {group_of(item.nodeid)}, item.nodeid
    if len({item.path for item in request.session.items}) > 100:
        assert seen | {"fitted"} == set(SOLVED), (
            "each is a fixture that some test asks for; that one a slow test"
        )
    here = Path(__file__).parent
    assert [file for files in TOGETHER.values() for file in files if not (here / file).is_file()] == []


@pytest.mark.parametrize(
    ("nodeid", "group"),
    [
        ("tests/tune/test_loop.py::test_one[a::b]", "fitted"),
        ("tests/draw/test_pdf.py::test_one", "tests/draw/test_pdf.py"),
        ("src/kerftone/pitch.py::kerftone.pitch.cents", "src/kerftone/pitch.py"),
    ],
)
def test_a_file_of_no_shared_drum_is_a_group_of_its_own(nodeid: str, group: str) -> None:
    assert group_of(nodeid) == group


def test_no_comparison_with_the_outside_is_left_to_the_slow_tests(request: pytest.FixtureRequest) -> None:
    """docs/accuracy.md says that `make test` runs them all."""
    both = [
        item.nodeid
        for item in request.session.items
        if item.get_closest_marker("outside") and item.get_closest_marker("slow")
    ]
    assert both == []
