"""How does the drum move when each note sounds? Its surface, and every note's motion of it, for a picture that moves.

Made from the full solve (`live_pitch.py`). A motion has a shape and no size: each is scaled to its own largest.
Lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.jobs.live_pitch import LiveModel
from kerftone.jobs.progress import Progress, job

FULL = 32767
"""Displacements are told in so many steps of the largest."""
LEAST_SHARE = 0.05
"""A neighbour that moves less than this beside the struck tongue is not named: own judgement."""


@dataclass(frozen=True, kw_only=True)
class MotionsRequest:
    """A drum with its model."""

    live: LiveModel


@dataclass(frozen=True, kw_only=True)
class MotionsShown:
    """The surface: points_mm (p, 3), triangles (t, 3) sorted by part, counter-clockwise from outside.

    parts: each part's name with its first triangle and how many it has. notes: of each tongue its note, pitch, the
    neighbours that move with it and by what share, and the lines where the wood stands still, seen from above.
    moved (n, p, 3): in steps of 1 / 32767 of each note's largest displacement.
    """

    points_mm: NDArray[np.float32]
    triangles: NDArray[np.uint32]
    parts: tuple[dict[str, Any], ...]
    notes: tuple[dict[str, Any], ...]
    moved: NDArray[np.int16]

    def document(self) -> dict[str, Any]:
        """As JSON, without the surface."""
        return {
            "points": len(self.points_mm),
            "triangles": len(self.triangles),
            "parts": list(self.parts),
            "notes": list(self.notes),
        }

    def data(self) -> bytes:
        """The surface: points, triangles, then each note's motion, little-endian, one after the other."""
        parts = (
            self.points_mm.astype("<f4"),
            self.triangles.astype("<u4"),
            self.moved.astype("<i2"),
        )
        return b"".join(part.tobytes() for part in parts)


@job
def show_motions(request: MotionsRequest, progress: Progress) -> MotionsShown:
    """Work the motions out. Held by tests/jobs/test_show_motions.py."""
    from kerftone.modal.skin import PARTS, skin_of

    live = request.live
    heard = [one.heard for one in live.prediction.tongues]
    progress("Following every note over the whole drum.", 0.3)
    skin = skin_of(live.solution, [note.mode for note in heard])
    order = np.argsort(skin.part, kind="stable")
    counts = np.bincount(skin.part, minlength=len(PARTS))
    firsts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    largest = np.linalg.norm(skin.moved, axis=2).max(axis=1)
    moved = np.round(FULL * skin.moved / largest[:, None, None]).astype(np.int16)
    progress("Finding where it stands still.", 0.7)
    return MotionsShown(
        points_mm=skin.points_mm.astype(np.float32),
        triangles=skin.triangles[order].astype(np.uint32),
        parts=tuple(
            {"part": part, "first": int(first), "count": int(count)}
            for part, first, count in zip(PARTS, firsts, counts, strict=True)
            if count
        ),
        notes=tuple(_told(live, number) for number in range(len(heard))),
        moved=moved,
    )


def _told(live: LiveModel, number: int) -> dict[str, Any]:
    """One note in words and lines."""
    from kerftone.draw.mode_picture import rest_lines

    prediction = live.prediction
    heard, view = prediction.tongues[number].heard, prediction.modes.view
    lifts = prediction.modes.strike[:, heard.mode]
    shares = np.abs(lifts) / max(abs(float(lifts[number])), 1e-12)
    lines = (
        ()
        if view is None
        else rest_lines(points_mm=view.points_mm, triangles=view.triangles, lift=view.lift[:, heard.mode])
    )
    others = sorted(
        (one for one in range(len(shares)) if one != number and shares[one] >= LEAST_SHARE),
        key=lambda one: -shares[one],
    )
    return {
        "note": prediction.drum.tongues[number].note,
        "hz": round(heard.hz, 2),
        "clarity": round(heard.clarity, 3),
        "with": [
            {
                "tongue": one,
                "share": round(float(shares[one]), 3),
                "together": bool(lifts[one] * lifts[number] > 0.0),
            }
            for one in others
        ],
        "still": [[[round(float(x), 1), round(float(y), 1)] for x, y in line] for line in lines],
    }
