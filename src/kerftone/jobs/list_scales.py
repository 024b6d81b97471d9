"""Which scales are there, and which notes have they?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kerftone.errors import ScaleError
from kerftone.jobs.progress import Progress, job
from kerftone.scales import Key, find_scale, read_key, scale_table


@dataclass(frozen=True, kw_only=True)
class ScalesRequest:
    """A scale on its own note, or a word of a scale's name, as typed; None: all."""

    typed: str | None = None


@dataclass(frozen=True, kw_only=True)
class ScalesListed:
    """The scales; those without a tonic of their own are on D. on_its_note: one was asked for on its own."""

    keys: tuple[Key, ...]
    on_its_note: bool = False

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {"scales": [_record(key) for key in self.keys]}


@job
def list_scales(request: ScalesRequest, progress: Progress) -> ScalesListed:
    """All scales, those whose name has this word, or one scale on its tonic. Raises ScaleError."""
    del progress  # it is there at once
    typed = request.typed
    every = tuple(scale_table().values())
    wanted = "" if typed is None else typed.casefold().strip()
    found = (
        every
        if typed is None
        else tuple(
            scale for scale in every if wanted and any(wanted in name for name in (scale.name, *scale.also))
        )
    )
    if typed is not None and not found:
        try:
            return ScalesListed(keys=(read_key(typed),), on_its_note=True)
        except ScaleError:
            found = (find_scale(typed),)
    return ScalesListed(keys=tuple(Key(tonic="D", scale=scale) for scale in found))


def _record(key: Key) -> dict[str, object]:
    """One scale as JSON."""
    return {
        "name": key.scale.name,
        "also_called": list(key.scale.also),
        "tonic": key.tonic,
        "notes": list(key.notes),
        "semitones": list(key.scale.semitones),
        "degrees": list(key.scale.degrees),
        "known": key.scale.known,
    }
