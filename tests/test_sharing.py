"""How the tests are shared out among workers, and which of them `make test` may leave out: see conftest.py."""

from __future__ import annotations

import os

import numpy as np
import pytest
from threadpoolctl import threadpool_info

from .conftest import GROUPS


def test_a_worker_computes_on_one_thread() -> None:
    """Set before the libraries are loaded; set after, it would do nothing."""
    assert np.ones((2, 2)).sum() == 4.0, "the library of dense matrices is loaded"
    pools = threadpool_info()
    assert pools and {pool["num_threads"] for pool in pools} == {int(os.environ["OPENBLAS_NUM_THREADS"])}


def test_files_that_use_one_drum_are_marked_for_one_worker(request: pytest.FixtureRequest) -> None:
    drums: dict[str, set[str]] = {}
    for item in request.session.items:
        marks = {str(mark.args[0]) for mark in item.iter_markers("xdist_group")}
        drums.setdefault(item.location[0], set()).update(marks)
        used = {GROUPS[name] for name in getattr(item, "fixturenames", ()) if name in GROUPS}
        assert not used or marks, item.nodeid
    assert {file: marks for file, marks in drums.items() if len(marks) > 1} == {}


def test_no_comparison_with_the_outside_is_left_to_the_slow_tests(request: pytest.FixtureRequest) -> None:
    """docs/accuracy.md says that `make test` runs them all."""
    both = [
        item.nodeid
        for item in request.session.items
        if item.get_closest_marker("outside") and item.get_closest_marker("slow")
    ]
    assert both == []
