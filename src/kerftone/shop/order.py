"""In what order the drum is made: steps with what must come before, sorted; a trap is refused with its reason.

The steps depend on the drum; the rules between them (`order.toml`) are few and each has its reason, so that a maker
who wishes another order hears why not. All of it is common practice, no source. Times are for waiting, in hours;
the label of the glue or finish comes first.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from importlib.resources import files
from itertools import pairwise

from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.drum.shop import Wish
from kerftone.errors import ShopError
from kerftone.shop.step import Step
from kerftone.shop.steps import steps_of


@dataclass(frozen=True, kw_only=True)
class Rule:
    """`first` comes before `then`, and why."""

    first: str
    then: str
    reason: str


def _read_rules() -> tuple[Rule, ...]:
    text = files("kerftone.shop").joinpath("order.toml").read_text("utf-8")
    return tuple(Rule(**row) for row in tomllib.loads(text)["rule"])


RULES = _read_rules()


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
