"""How long does each note ring, and how sure is that?

What the wood of the top eats (`sound/decay.py`, by its kind and direction) and what the note sends out as sound.
Left out, so that the real drum dies away somewhat sooner: glue lines, feet, hands, the table, the walls' own losses.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kerftone.drum.design import Top
from kerftone.jobs.prediction import Prediction
from kerftone.wood.loss import Loss


@dataclass(frozen=True, kw_only=True)
class Ring:
    """One note: the time in which it falls by 60 dB, and one standard deviation of it, in percent."""

    note: str
    place: str
    t60_s: float
    plus_minus_pct: float

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "place": self.place,
            "note": self.note,
            "t60_s": round(self.t60_s, 3),
            "plus_minus_pct": round(self.plus_minus_pct, 1),
        }


def rings(prediction: Prediction) -> tuple[Ring, ...]:
    """How long each note rings, in the drum's order. Held by tests/jobs/test_ringing.py."""
    import numpy as np

    from kerftone.sound.decay import loss_of_top, t60_s, wood_loss
    from kerftone.tune.finish_worth import finish_loss

    found = []
    for one in prediction.tongues:
        hz = np.array([one.heard.hz])
        wood = float(wood_loss(hz, prediction.drum.top)[0]) * (1.0 + finish_loss(prediction.drum))
        sent = 0.0 if one.in_air is None else 1.0 / one.in_air.radiation_q
        share = wood / (wood + sent)
        found.append(
            Ring(
                note=one.tongue.note,
                place=one.tongue.place,
                t60_s=float(t60_s(hz, np.array([wood + sent]))[0]),
                plus_minus_pct=100.0 * share * loss_of_top(prediction.drum.top).cv,
            )
        )
    return tuple(found)


def ringing_words(prediction: Prediction) -> str:
    """The longest and the shortest note, how sure, and what that is known from."""
    from kerftone.sound.decay import loss_of_top

    found = sorted(rings(prediction), key=lambda one: one.t60_s)
    shortest, longest = found[0], found[-1]
    told = f"{longest.note} ({longest.place}) falls by 60 dB in {longest.t60_s:.1f} s"
    if len(found) > 1:
        told += f", {shortest.note} ({shortest.place}) in {shortest.t60_s:.1f} s"
    sure = max(one.plus_minus_pct for one in found)
    return f"{told}, ±{sure:.0f} %. {known_from(prediction.drum.top, loss_of_top(prediction.drum.top))}"


def finish_words(prediction: Prediction) -> str:
    """What the finish does to pitch and ringing; empty where its weight is not stated."""
    from kerftone.tune.finish_worth import coated_faces, finish_loss

    drum, finish = prediction.drum, prediction.drum.making.finish
    if not finish.dry_g_m2:
        return ""
    shifts = sorted(-one.finish_cents for one in prediction.tongues)
    where = "on both faces" if coated_faces(drum) > 1.0 else "outside"
    least, most = f"{shifts[0]:.0f}", f"{shifts[-1]:.0f}"
    by = most if least == most else f"{least} to {most}"
    told = (
        f"{finish.kind[:1].upper()}{finish.kind[1:]}, {finish.dry_g_m2:g} g/m² {where}, lowers the notes by {by} "
        "cents by its weight, which the pitches above do not have in them; what it stiffens is left out."
    )
    more = finish_loss(drum)
    if not more:
        return f"{told} What it does to the ringing is left out: oil was found to do hardly anything."
    shorter = 100.0 * (1.0 - 1.0 / (1.0 + more))
    return f"{told} Notes ring some {shorter:.0f} % shorter for it, as far as is known from thin plates."


def known_from(top: Top, loss: Loss) -> str:
    """What the loss of this top is known from, in a sentence."""
    if loss.known == "measured":
        return f"What {top.wood} loses is your own measurement."
    if top.plies:
        return (
            f"What {top.wood} loses is worked out from its plies; glue and the cracks of peeled veneer make it "
            "duller still, by how much is not published."
        )
    if loss.source is None:
        return (
            f"No figure is known to us for what {top.wood} loses: that of all woods as stiff for their weight stands "
            "in."
        )
    return f"What {top.wood} loses is published{' (from memory)' if loss.known == 'memory' else ''}."
