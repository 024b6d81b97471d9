"""The booklet's last pages: how the wood will move, the pickup, what else to buy."""

from __future__ import annotations

import numpy as np
from reportlab.platypus import Flowable, KeepTogether, PageBreak

from kerftone.draw.booklet_pictures import pickup_picture, wiring_picture
from kerftone.draw.booklet_style import CAUTION, SECTION, SMALL, STEP, p, table
from kerftone.shop.measure import Measure
from kerftone.shop.movement import signed
from kerftone.shop.pickup import FACES, Places
from kerftone.shop.pickup_bass import loss_words
from kerftone.shop.shop_plan import ShopPlan


def moving(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    """How each part moves between the shop and the home.

    Parameters
    ----------
    plan : ShopPlan
        What is to be made.
    words : Measure
        How the maker reads lengths.
    width : float
        Of the column on the page, in points.
    """
    air, climate = plan.air, plan.drum.making.climate
    beyond = (
        " Part of that lies outside 6 to 14 %, where the law is only a rough guess." if air.beyond else ""
    )
    rows = [
        (m.part, words(m.across_mm), signed(m.dry_mm, words), signed(m.damp_mm, words), m.words)
        for m in plan.moves
    ]
    listed = [
        p("Moving wood", SECTION),
        p(
            f"In the shop at {climate.shop_rh_pct:g} % humidity wood comes to {air.shop_pct:.1f} % "
            "moisture; at home to "
            f"{air.dry_pct:.1f} % in the dry season ({climate.home_dry_rh_pct:g} %) and "
            f"{air.damp_pct:.1f} % in the damp "
            f"({climate.home_damp_rh_pct:g} %).{beyond} How the changes of width are "
            "reckoned stands in docs/shop.md."
        ),
        table(
            ("Part", "Across", "Dry season", "Damp season", "What it means"),
            rows,
            (1.6, 1.4, 1.3, 1.3, 4),
            width,
        ),
    ]
    return [KeepTogether(listed)]


def pickup_pages(plan: ShopPlan, words: Measure, width: float) -> list[Flowable]:
    """The pickup: its bass, its place with a picture, its wiring; nothing when there is none.

    Parameters
    ----------
    plan : ShopPlan
        What is to be made.
    words : Measure
        How the maker reads lengths.
    width : float
        Of the column on the page, in points.
    """
    pickup, bass, places = plan.drum.making.pickup, plan.bass, plan.places
    if pickup is None or bass is None:
        return []
    found: list[Flowable] = [PageBreak(), p("Pickup: decide before you glue", SECTION)]
    found.append(
        p(
            "The holes for jack and volume control are bored in a loose wall, and the disc wants whole wood that no "
            "bore will take: choose its place now.",
            CAUTION,
        )
    )
    found.append(
        p(
            f"A disc of {bass.capacitance_nf[0]:.0f} to {bass.capacitance_nf[1]:.0f} nF into "
            f"{bass.load_kohm:g} kOhm loses the bass below {bass.corner_hz[0]:.0f} to "
            f"{bass.corner_hz[1]:.0f} Hz; the "
            f"lowest note, {bass.lowest_hz:.0f} Hz, loses {loss_words(bass)}. The load is "
            "the volume control and the amplifier's input together: a plain line input is often far lower."
        )
    )
    if places is not None and places.best is not None and places.worst is not None:
        found += [
            p(_place_words(places, words)),
            pickup_picture(plan, width=width),
            p(
                "Seen from above, not to scale. The darker a spot, the better and the more evenly all notes are "
                "heard there; only where the disc fits on whole wood. Ring with a dot: best. Cross: worst."
                + (" Thick ring: the place in your drum file." if places.given is not None else ""),
                SMALL,
            ),
        ]
    elif places is not None:
        found.append(p("No place has room for this disc: use a smaller one, or wider margins.", CAUTION))
    found += [
        KeepTogether([p("Wiring", STEP), wiring_picture(width=width)]),
        p(
            "Keep leads short and screened, the screen to the jack's sleeve. What rattles: loose "
            "leads, a dry solder joint, "
            "a disc with air under it, a nut that works loose, a bottom not yet glued. Handling "
            "noise comes through the "
            "feet and the cable: soft feet, and the cable tied once inside."
        ),
    ]
    return found


ONE_PLACE_MM = 6.0
"""Places nearer than the net's meshes are one."""


def _place_words(places: Places, words: Measure) -> str:
    """Where the disc goes, from above and as it is seen when it is glued on."""
    assert places.best is not None and places.worst is not None

    def spot(number: int) -> str:
        x, y = places.points_mm[number]
        return f"{words(x)} along and {words(y)} across"

    best = (
        f"Best place {FACES[places.on]} for the middle of the disc: {spot(places.best)}; there "
        f"{places.heard_words(places.best)}. "
        f"Worst: {spot(places.worst)}, within {places.apart_db(places.worst):.0f} dB."
    )
    if places.given is None:
        sheet = ", and the sheet of the underside shows it." if places.on == "top" else "."
        said = f"{best} Write the place into [pickup] as on, x and y{sheet}"
    else:
        said = (
            f"Your drum file puts the middle of the disc {spot(places.given)}, {FACES[places.on]}; there "
            f"{places.heard_words(places.given)}."
        )
        gap = places.points_mm[places.given] - places.points_mm[places.best]
        said += " No place is better." if float(np.hypot(*gap)) < ONE_PLACE_MM else f" {best}"
    along = "Along is from the top's left end, across from its front edge, seen from above."
    if places.on == "bottom":
        return (
            f"{said} {along} The disc goes on the inside of the bottom: lay the box on it and carry those two "
            "edges down before you measure. Leave its wires long enough to lay the bottom aside."
        )
    return (
        f"{said} {along} The disc goes on the underside: with the board turned over end for end, the front edge "
        "still towards you, measure along from the right."
    )


def bought(plan: ShopPlan, width: float) -> list[Flowable]:
    """What to buy beside boards."""
    if not plan.bought:
        return []
    rows = [(str(one.count), one.what, one.note) for one in plan.bought]
    listed = [
        p("Also to buy", SECTION),
        table(("No.", "What", "Note"), rows, (0.6, 5, 2.4), width),
        *(
            [p("Threads differ: measure the part in hand before you bore for it.", SMALL)]
            if plan.drum.making.pickup
            else []
        ),
    ]
    return [KeepTogether(listed)]
