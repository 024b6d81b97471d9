"""What is bought, not sawn: feet, mallet balls and dowels, disc, jack, volume control; and their threads.

Thread sizes are from memory and to be checked against the part in hand: many panel jacks and potentiometers
have a 3/8-32 UNEF bushing (nominal diameter 3/8 in, 32 threads to the inch, a series of ASME B1.1), small
ones M9 x 0.75 or M7 x 0.75 (ISO 261 pitches).
"""

from __future__ import annotations

from dataclasses import dataclass

from kerftone.drum.design import Drum
from kerftone.shop.measure import Measure
from kerftone.units import Units

CABLE: dict[Units, str] = {"mm": "0.5 m", "in": "1 1/2 ft"}
"""From a disc to a wall, with some to spare: own judgement."""
FOOT_NOTES = {
    "felt": "of pressed wool; glued on, and for dry places: it holds damp",
    "cork": "of pressed grains, as for bottle stoppers; glued on",
}


@dataclass(frozen=True, kw_only=True)
class Thread:
    """A thread by its standard name, its nominal diameter and pitch in mm."""

    name: str
    diameter_mm: float
    pitch_mm: float
    known: str = "from memory"


THREADS = (
    Thread(name="3/8-32 UNEF", diameter_mm=9.525, pitch_mm=25.4 / 32.0),
    Thread(name="M9 x 0.75", diameter_mm=9.0, pitch_mm=0.75),
    Thread(name="M8 x 0.75", diameter_mm=8.0, pitch_mm=0.75),
    Thread(name="M7 x 0.75", diameter_mm=7.0, pitch_mm=0.75),
    Thread(name="1/4-32 UNEF", diameter_mm=6.35, pitch_mm=25.4 / 32.0),
)


@dataclass(frozen=True, kw_only=True)
class Bought:
    """One thing to buy."""

    count: int
    what: str
    note: str = ""


def thread_near(diameter_mm: float) -> Thread | None:
    """Which of these threads a bushing of this diameter has, within 0.2 mm; None when none."""
    near = min(THREADS, key=lambda thread: abs(thread.diameter_mm - diameter_mm))
    return near if abs(near.diameter_mm - diameter_mm) <= 0.2 else None


def bought_of(drum: Drum, words: Measure) -> tuple[Bought, ...]:
    """What must be bought for this drum beside boards, glue and finish."""
    found: list[Bought] = []
    feet, mallets, pickup = drum.box.feet, drum.making.mallets, drum.making.pickup
    if feet.kind in ("rubber", "felt", "cork"):
        found.append(
            Bought(
                count=4,
                what=f"{feet.kind} feet {words(feet.diameter_mm)} across, {words(feet.height_mm)} high",
                note=FOOT_NOTES.get(feet.kind, ""),
            )
        )
    if feet.kind == "wood":
        found.append(
            Bought(
                count=4,
                what=f"wooden feet {words(feet.diameter_mm)} across, {words(feet.height_mm)} high",
                note="turned, or sawn from offcuts",
            )
        )
    if mallets.count:
        found.append(Bought(count=mallets.count, what=f"{mallets.ball} balls, {words(mallets.ball_mm)}"))
        found.append(
            Bought(
                count=mallets.count,
                what=f"hardwood dowels {words(mallets.dowel_mm)} across, {words(mallets.length_mm)} long",
                note="straight grain from end to end",
            )
        )
    if pickup is not None:
        thread = thread_near(pickup.bushing_mm)
        named = f", thread {thread.name}" if thread else ""
        found += [
            Bought(count=1, what=f"contact disc {words(pickup.disc_mm)} across"),
            Bought(
                count=1,
                what=f"panel jack, bushing {words(pickup.bushing_mm)}{named}, "
                f"{words(pickup.jack_thread_mm)} long",
            ),
            Bought(
                count=1,
                what=f"volume control {pickup.load_kohm:g} kOhm, bushing {words(pickup.bushing_mm)}{named}, "
                f"{words(pickup.pot_thread_mm)} long",
            ),
            Bought(
                count=1,
                what=f"screened cable, some {CABLE[drum.units]}",
                note="ties or soft clips to hold it",
            ),
        ]
    return tuple(found)
