"""Where does every tongue stand, and what remains to do?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerftone.bench.replay import Bench
from kerftone.bench.standing import Standing, standings
from kerftone.jobs.drum_at_bench import opened
from kerftone.jobs.progress import Progress, job


@dataclass(frozen=True, kw_only=True)
class StandingRequest:
    """Which drum."""

    drum: Path


@dataclass(frozen=True, kw_only=True)
class DrumStanding:
    """The drum as its log makes it, and how each tongue stands."""

    bench: Bench
    tongues: tuple[Standing, ...]

    @property
    def bottomless(self) -> bool:
        """Whether some taps were made with the bottom not glued of a drum that has one."""
        has_bottom = self.bench.design.bottom is not None
        return has_bottom and any(one.bottom_on is False for one in self.tongues)

    def words(self) -> str:
        """How many tongues are in tune."""
        count = len(self.tongues)
        in_tune = sum(one.remains == "nothing" for one in self.tongues)
        tolerance = self.bench.design.tuning.tolerance_cents
        return f"{in_tune} of {count} tongue{'s are' if count != 1 else ' is'} within {tolerance:g} cents."

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {"tongues": [_record(one) for one in self.tongues], "edited": list(self.bench.edited)}


@job
def read_standing(request: StandingRequest, progress: Progress) -> DrumStanding:
    """Read where a drum stands at the bench. Raises BenchError when there is no log."""
    del progress  # it is there at once
    with opened(request.drum) as drum:
        bench = drum.bench()
    return DrumStanding(bench=bench, tongues=standings(bench))


def apart_words(tongues: Sequence[Standing]) -> list[str]:
    """Of which tongues the taps do not agree, so that their mean is of no pitch, and what to do."""
    return [
        f"The {one.taps} taps of {one.place} ({one.note}) lie {one.apart_cents:.0f} cents apart, and their mean is "
        "no pitch of it: tap it again, and void the entry that was wrong."
        for one in tongues
        if one.taps and one.at_odds
    ]


def remains_words(one: Standing) -> str:
    """What remains to do at a tongue: "in tune", "raise 12"."""
    if one.remains in ("raise", "lower") and one.cents is not None:
        return f"{one.remains} {abs(one.cents):.0f}"
    return "in tune" if one.remains == "nothing" else one.remains


def _record(one: Standing) -> dict[str, Any]:
    def rounded(value: float | None, digits: int) -> float | None:
        return None if value is None else round(value, digits)

    return {
        "tongue": one.number,
        "note": one.note,
        "place": one.place,
        "target_hz": round(one.target_hz, 4),
        "now_hz": rounded(one.now_hz, 4),
        "now_cents": rounded(one.cents, 3),
        "plus_minus_cents": rounded(one.plus_minus_cents, 3),
        "bottom_on": one.bottom_on,
        "bottom": one.bottom,
        "taps": one.taps,
        "bores": one.bores,
        "left_under_mm": round(one.left_under_mm, 4),
        "apart_cents": round(one.apart_cents, 3),
        "remains": one.remains,
    }
