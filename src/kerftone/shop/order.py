"""In what order the drum is made: steps with what must come before, sorted; a trap is refused with its reason.

The steps depend on the drum; the rules between them are few and each has its reason, so that a maker who
wishes another order hears why not. All of it is common practice, no source. Times are for waiting, in hours;
the label of the glue or finish comes first.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.drum.shop import Wish
from kerftone.errors import ShopError
from kerftone.shop.steps import Step, steps_of


@dataclass(frozen=True, kw_only=True)
class Rule:
    """`first` comes before `then`, and why."""

    first: str
    then: str
    reason: str


RULES: tuple[Rule, ...] = (
    Rule(first="rest", then="size", reason="Wood that is still moving does not stay the size it is cut to."),
    Rule(first="size", then="rabbets", reason="The rabbets are measured from finished edges."),
    Rule(first="size", then="joints", reason="Joints are cut on boards that are flat, square and to size."),
    Rule(
        first="rabbets",
        then="joints",
        reason="A rabbet runs end to end while the corner is still uncut, and its step shows at the "
        "corner whether "
        "the joint fits.",
    ),
    Rule(first="joints", then="relief", reason="The relief is measured from the finished ends of the walls."),
    Rule(
        first="joints",
        then="bore pickup",
        reason="The holes are measured from the finished ends of the walls.",
    ),
    Rule(
        first="bore pickup",
        then="glue box",
        reason="A wall can be clamped flat and bored square, and counterbored from inside, only "
        "while it is loose: "
        "once the box is glued a drill cannot reach in.",
    ),
    Rule(
        first="joints",
        then="sand inside",
        reason="Sanding first rounds the faces that the joints are cut from.",
    ),
    Rule(
        first="sand inside",
        then="glue box",
        reason="The inside corners cannot be reached once they are glued.",
    ),
    Rule(first="relief", then="dry fit", reason="The dry fit shows whether all four walls stand flat."),
    Rule(first="bore pickup", then="dry fit", reason="The dry fit is the last look before glue."),
    Rule(first="sand inside", then="dry fit", reason="The dry fit is the last look before glue."),
    Rule(first="dry fit", then="glue box", reason="A joint that does not close dry does not close wet."),
    Rule(first="joints", then="dry fit", reason="There is nothing to fit before the joints are cut."),
    Rule(
        first="dry fit",
        then="finish loose",
        reason="Finish on loose parts goes on when they are known to fit, with the glued faces masked.",
    ),
    Rule(
        first="finish loose", then="glue box", reason="Finish before glue-up means before the box is glued."
    ),
    Rule(first="glue box", then="keys", reason="Key slots run across both walls of a glued corner."),
    Rule(first="size", then="template", reason="The template is laid on a top that is to size."),
    Rule(first="template", then="stop holes", reason="The holes are pricked through the template."),
    Rule(
        first="stop holes",
        then="slots",
        reason="A saw blade starts and stops in the holes; bored afterwards, the bit tears the slot's edge.",
    ),
    Rule(first="template", then="slots", reason="The slots are sawn to the lines of the template."),
    Rule(
        first="slots",
        then="glue top",
        reason="The slots are sawn while the top can be laid flat and turned over; over a closed box "
        "the blade would "
        "meet the walls, and a slip costs the whole drum.",
    ),
    Rule(
        first="glue box", then="glue top", reason="The top is fitted to the box as it came out of the clamps."
    ),
    Rule(
        first="keys",
        then="glue top",
        reason="The box is cradled corner down to slot it; a sawn top would not stand the clamps.",
    ),
    Rule(first="glue top", then="round over", reason="The bit follows the joint line of top and walls."),
    Rule(
        first="round over",
        then="tune",
        reason="Every shaving off the top or the walls moves the notes, so wood is taken off before tuning.",
    ),
    Rule(
        first="fit bottom",
        then="tune",
        reason="The bottom moves the lowest notes, so it is held in place, not glued, while tuning.",
    ),
    Rule(first="glue box", then="fit bottom", reason="The bottom is trimmed to the box as it came out."),
    Rule(
        first="tune",
        then="glue bottom",
        reason="Tuning bores are made from below: with the bottom glued nobody can get at the tongues.",
    ),
    Rule(first="glue top", then="tune", reason="A loose top does not sound its notes."),
    Rule(
        first="tune",
        then="disc",
        reason="Bores must keep clear of the disc, and its place is free only when they are made.",
    ),
    Rule(first="disc", then="glue bottom", reason="The disc and its wires sit inside the box."),
    Rule(first="bore pickup", then="disc", reason="The wires run to the jack, which needs its hole."),
    Rule(
        first="tune",
        then="finish",
        reason="Finish adds a little weight and shifts the notes; bored wood is then finished too.",
    ),
    Rule(first="finish", then="last check", reason="The finish is what may have moved the notes."),
    Rule(
        first="last check",
        then="glue bottom",
        reason="What the finish has shifted can be mended only while the bottom is off.",
    ),
    Rule(first="tune", then="last check", reason="There is nothing to check before tuning."),
    Rule(first="glue bottom", then="feet", reason="The feet go on the lowest face."),
    Rule(first="glue top", then="feet", reason="The box stands flat in the clamps without feet."),
    Rule(first="finish", then="feet", reason="Feet do not stick to wet finish and would be coated with it."),
)


def order_of(drum: Drum, box: Box) -> tuple[Step, ...]:
    """The steps of this drum in an order that works, the maker's wishes kept.

    Raises ShopError when a wish names no step, or cannot be had: the text says which rule forbids it and why.
    Held by tests/shop/test_order.py.
    """
    steps = steps_of(drum, box)
    wishes = list(drum.making.order)
    pickup = drum.making.pickup
    if pickup is not None and pickup.bored == "after glue-up":
        wishes.append(Wish(do="glue box", before="bore pickup"))
    return sorted_steps(steps, wishes)


def sorted_steps(steps: Sequence[Step], wishes: Iterable[Wish]) -> tuple[Step, ...]:
    """Sort these steps by the rules and wishes, keeping the written order where neither says otherwise."""
    names = [step.name for step in steps]
    wanted = list(wishes)
    for wish in wanted:
        for name in (wish.do, wish.before):
            if name not in names:
                raise _no_such_step(name, names)
    before: dict[str, set[str]] = {name: set() for name in names}
    for rule in RULES:
        if rule.first in before and rule.then in before:
            before[rule.then].add(rule.first)
    for wish in wanted:
        before[wish.before].add(wish.do)
    sorter = TopologicalSorter(before)
    try:
        sorter.prepare()
    except CycleError as error:
        raise _trap(error.args[1], wanted) from None
    done: list[str] = []
    ready = set(sorter.get_ready())
    while ready:
        name = min(ready, key=names.index)
        ready.remove(name)
        done.append(name)
        sorter.done(name)
        ready |= set(sorter.get_ready())
    by_name = {step.name: step for step in steps}
    return tuple(by_name[name] for name in done)


def _no_such_step(name: str, names: list[str]) -> ShopError:
    near = difflib.get_close_matches(name, names, 1, 0.3)
    mend = f'the nearest is "{near[0]}"' if near else "leave the wish out"
    return ShopError(
        f"[[order]] names the step {name[:40]!r}. This drum's steps are {', '.join(names)}: {mend}.",
        given=name,
        nearest=near[0] if near else None,
    )


def _trap(cycle: Sequence[str], wishes: Sequence[Wish]) -> ShopError:
    """The cycle in words: the wish in it, and the rules that run the other way. `cycle` repeats its first."""
    pairs = list(pairwise(cycle))
    asked = [w for w in wishes if (w.do, w.before) in pairs]
    wish = asked[0]
    direct = [rule.reason for rule in RULES if (rule.first, rule.then) == (wish.before, wish.do)]
    reasons = direct or [rule.reason for rule in RULES if (rule.first, rule.then) in pairs]
    return ShopError(
        f'The drum file asks to do "{wish.do}" before "{wish.before}". That traps the maker: '
        f'{" ".join(reasons) or "two wishes are against each other."} Do "{wish.before}" before "{wish.do}".',
        given=(wish.do, wish.before),
        nearest=(wish.before, wish.do),
    )
