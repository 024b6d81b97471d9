"""The order of work keeps every rule, and a wish that traps the maker is refused with the reason."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.design import Drum, SoundHole
from kerftone.drum.shop import FootRelief, Pickup, Wish
from kerftone.errors import ShopError
from kerftone.shop.box import box_of
from kerftone.shop.order import RULES, order_of
from kerftone.shop.step_cautions import CAUTIONS
from kerftone.shop.steps import steps_of

from .conftest import reed


def full(**changes: object) -> Drum:
    """A drum with every step."""
    drum = reed(joint="mitre with keys", mount="in ledge", fit="let in", recess=6.0)
    return replace(
        drum,
        slots=replace(drum.slots, stop_hole_mm=5.0, countersink_mm=9.0, round_over_mm=3.0),
        box=replace(
            drum.box,
            foot_relief=FootRelief(rise_mm=5.0, inset_mm=50.0),
            root_bar_mm=30.0,
            root_bar_height_mm=45.0,
        ),
        making=replace(drum.making, **({"pickup": Pickup()} | changes)),
    )


def names(drum: Drum) -> list[str]:
    return [step.name for step in order_of(drum, box_of(drum))]


def test_the_traps_of_the_trade_are_all_avoided() -> None:
    order = names(full())
    for first, then in (
        ("bore pickup", "glue box"),
        ("sand inside", "glue box"),
        ("dry fit", "glue box"),
        ("glue box", "keys"),
        ("stop holes", "countersinks"),
        ("countersinks", "slots"),
        ("slots", "glue top"),
        ("fit bottom", "tune"),
        ("tune", "glue bottom"),
        ("disc", "glue bottom"),
        ("finish", "last check"),
        ("last check", "glue bottom"),
    ):
        assert order.index(first) < order.index(then), (first, then)


def test_every_step_appears_once_and_every_rule_names_steps_that_some_drum_has() -> None:
    drum = full()
    assert sorted(names(drum)) == sorted(step.name for step in steps_of(drum, box_of(drum)))
    early = replace(
        drum, making=replace(drum.making, finish=replace(drum.making.finish, when="before glue-up"))
    )
    lipped = reed(mount="on a lip", fit="on a lip")
    holed = replace(drum, sound_holes=(SoundHole(part="bottom", diameter_mm=20.0),))
    known = {*names(drum), *names(early), *names(lipped), *names(holed)}
    assert {name for rule in RULES for name in (rule.first, rule.then)} <= known


def test_finish_goes_on_before_glue_up_when_so_chosen() -> None:
    drum = full()
    early = replace(
        drum, making=replace(drum.making, finish=replace(drum.making.finish, when="before glue-up"))
    )
    order = names(early)
    assert order.index("dry fit") < order.index("finish loose") < order.index("glue box")
    assert "finish" not in order


def test_a_wish_that_breaks_no_rule_is_kept() -> None:
    usual, wished = names(full()), names(full(order=(Wish(do="mallets", before="size"),)))
    assert usual.index("mallets") > usual.index("size")
    assert wished.index("mallets") < wished.index("size")


@pytest.mark.refusal
@pytest.mark.parametrize(
    "do, before, why",
    [
        ("glue bottom", "tune", "nobody can get at the tongues"),
        ("glue top", "slots", "a slip costs the whole drum"),
        ("glue box", "sand inside", "cannot be reached once they are glued"),
        ("slots", "stop holes", "tears the slot's edge"),
    ],
)
def test_a_wish_that_traps_is_refused_with_the_reason(do: str, before: str, why: str) -> None:
    with pytest.raises(ShopError) as caught:
        names(full(order=(Wish(do=do, before=before),)))
    assert why in caught.value.message and f'Do "{before}" before "{do}".' in caught.value.message


@pytest.mark.refusal
def test_holes_bored_after_glue_up_are_refused() -> None:
    with pytest.raises(ShopError, match="a drill cannot reach in"):
        names(full(pickup=Pickup(bored="after glue-up")))


@pytest.mark.refusal
def test_a_step_that_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(ShopError) as caught:
        names(full(order=(Wish(do="glue the bottom", before="tune"),)))
    assert caught.value.nearest == "glue bottom"


def test_every_caution_a_step_names_is_written_and_every_written_one_is_used() -> None:
    steps = steps_of(full(), box_of(full()))
    used = {name for step in steps for name in step.cautions}
    assert used == set(CAUTIONS)


def test_boring_sawing_finishing_and_mallets_carry_their_cautions() -> None:
    drum = full()
    steps = {step.name: step for step in order_of(drum, box_of(drum))}
    assert "stop cuts" in steps["slots"].cautions and "boring" in steps["bore pickup"].cautions
    assert "rags" in steps["finish"].cautions and "small parts" in steps["mallets"].cautions
