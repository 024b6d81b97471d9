"""The small drum's file, and the same with its log begun."""

from __future__ import annotations

from pathlib import Path

import pytest

from kerftone.jobs.start_log import StartRequest, start_the_log

from ..drums import WREN


@pytest.fixture
def wren(tmp_path: Path) -> Path:
    """The drum's file in a folder whose name has a space."""
    folder = tmp_path / "my drums"
    folder.mkdir()
    file = folder / "drum.toml"
    file.write_text(WREN)
    return file


@pytest.fixture
def begun(wren: Path) -> Path:
    """The small drum, cut."""
    start_the_log(StartRequest(drum=wren))
    return wren
