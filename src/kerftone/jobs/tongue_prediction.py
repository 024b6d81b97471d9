"""What the model predicts of one tongue. Held by tests/jobs/test_prediction.py."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from kerftone.drum.design import Tongue
from kerftone.pitch import NearNote, cents, nearest_note

if TYPE_CHECKING:
    from kerftone.air.notes_in_air import TongueInAir
    from kerftone.modal.notes import NoteHeard


@dataclass(frozen=True, kw_only=True)
class TonguePrediction:
    """What the model says of one tongue; `plus_minus_cents` is one standard deviation.

    heard: in air, unless the drum was asked for in vacuo; its `mode` is that of the wood. in_air: what air does to
    it. finish_cents: how far the weight of the finish will move it. `untested_cents` is what the ± would be had the
    top's board not been tapped; None when it was not.
    """

    tongue: Tongue
    target_hz: float
    aim_hz: float
    heard: NoteHeard
    plus_minus_cents: float
    untested_cents: float | None = None
    in_air: TongueInAir | None = None
    finish_cents: float = 0.0

    @property
    def in_vacuo_hz(self) -> float:
        """What the wood alone would sound."""
        return self.heard.hz if self.in_air is None else self.in_air.in_vacuo_hz

    @property
    def cents_from_target(self) -> float:
        """How far the tongue is from its note: positive when sharp."""
        return cents(self.heard.hz, self.target_hz)

    def nearest(self, reference_hz: float) -> NearNote:
        """The note nearest to what it sounds, spelled with flats where the maker's own note is."""
        return nearest_note(self.heard.hz, reference_hz=reference_hz, flats="b" in self.tongue.note)

    def document(self) -> dict[str, Any]:
        """As JSON."""
        tongue, heard = self.tongue, self.heard
        return {
            "note": tongue.note,
            "row": tongue.row,
            "side": tongue.side,
            "length_mm": round(float(tongue.length_mm or 0.0), 4),
            "target_hz": round(self.target_hz, 4),
            "aim_hz": round(self.aim_hz, 4),
            "hz": round(heard.hz, 4),
            **self._air_numbers(),
            "cents_from_target": round(self.cents_from_target, 3),
            "plus_minus_cents": round(self.plus_minus_cents, 2),
            **({} if self.untested_cents is None else {"untested_cents": round(self.untested_cents, 2)}),
            **({} if not self.finish_cents else {"finish_cents": round(self.finish_cents, 2)}),
            "clarity": round(heard.clarity, 4),
            "shared_with": list(heard.shared_with),
            "borrowed_from": heard.borrowed_from or None,
            "partials": [{"hz": round(hz, 4), "weight": round(weight, 5)} for hz, weight in heard.partials],
        }

    def _air_numbers(self) -> dict[str, Any]:
        """What air does to a tongue, as JSON; nothing in vacuo."""
        found = self.in_air
        if found is None:
            return {}
        return {
            "in_vacuo_hz": round(found.in_vacuo_hz, 4),
            "radiation_q": round(found.radiation_q, 1),
            "power_db": round(found.power_db, 2),
            **({"held_q": round(1.0 / found.holding, 1)} if found.holding > 0.0 else {}),
            "slot_friction": {"cents": round(found.friction_cents, 3), "q_with": round(found.q_rubbed, 1)},
        }
