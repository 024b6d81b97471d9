"""One check: what was looked at, its numbers, how it stands, and the mend."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["good", "mind", "mend"]


@dataclass(frozen=True, kw_only=True)
class Check:
    """`verdict`: "good" needs nothing, "mind" has a catch, "mend" should be changed before the first cut."""

    name: str
    verdict: Verdict
    numbers: str
    mend: str = ""


def judged(name: str, verdict: Verdict, numbers: str, mend: str) -> Check:
    """A check with its mend, which is left unsaid where nothing needs mending.

    Parameters
    ----------
    name : str
        What was looked at.
    verdict : Verdict
        How it came out.
    numbers : str
        What was found.
    mend : str
        What would mend it.
    """
    return Check(name=name, verdict=verdict, numbers=numbers, mend="" if verdict == "good" else mend)
