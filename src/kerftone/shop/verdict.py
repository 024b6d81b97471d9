"""One check: what was looked at, its numbers, how it stands, and the mend: in words, and as a change if it is one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kerftone.drum.lines import KeyPath

Verdict = Literal["good", "mind", "mend"]


@dataclass(frozen=True, kw_only=True)
class Mend:
    """A change of the drum file that mends a check: which key, and its new value, `mm` for a length.

    Held by tests/shop/test_mends.py: each is made, and the check looked at again.
    """

    at: KeyPath
    mm: float | None = None
    value: float | str | None = None


@dataclass(frozen=True, kw_only=True)
class Check:
    """`verdict`: "good" needs nothing, "mind" has a catch, "mend" should be changed before the first cut.

    `by`: the change that mends it, None where there is none that a drum file can state.
    """

    name: str
    verdict: Verdict
    numbers: str
    mend: str = ""
    by: Mend | None = None

    def words(self) -> str:
        """What was looked at, what was found, and what would mend it."""
        mend = f" {self.mend[:1].upper()}{self.mend[1:]}" if self.mend else ""
        return f"{self.name}: {self.numbers}.{mend}"


def judged(name: str, verdict: Verdict, numbers: str, mend: str, by: Mend | None = None) -> Check:
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
    by : Mend | None, optional
        The same as a change of the drum file.
    """
    if verdict == "good":
        return Check(name=name, verdict=verdict, numbers=numbers)
    return Check(name=name, verdict=verdict, numbers=numbers, mend=mend, by=by)
