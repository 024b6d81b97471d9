"""One step of making a drum: what is done, with which tools, how long to wait, what to beware of."""

from __future__ import annotations

from dataclasses import dataclass

GLUE_HOURS = 24.0
"""Common practice, no source; the label of the glue comes first."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step. `name` is what rules and wishes call it; `cautions` name entries of `step_cautions.py`."""

    name: str
    title: str
    words: str
    tools: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    wait_hours: float = 0.0
    wait_for: str = ""
