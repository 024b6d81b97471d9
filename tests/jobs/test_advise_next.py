"""The next step as a script and as a maker read it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Literal

import numpy as np
import pytest

from kerftone.bench.facts import BoreMade, Entry, Start
from kerftone.bench.replay import Bench, bench_of
from kerftone.drum import Bore
from kerftone.errors import EntryError, Remedy
from kerftone.jobs.advice_words import sentence
from kerftone.jobs.advise_next import AdviceRequest, advice_record, advise_next, then
from kerftone.jobs.entry_words import bore_of, in_words
from kerftone.jobs.progress import Progress
from kerftone.jobs.record_fact import BoreRequest, Manner, TapRequest, record_bore, record_tap
from kerftone.tune.advice import Advice
from kerftone.tune.belief import Belief
from kerftone.tune.bores import depth_step_mm
from kerftone.tune.history import Bored, Lengthened, Trimmed, Weighted
from kerftone.tune.odd_steps import Jumps
from kerftone.tune.offer import Offer
from kerftone.tune.pull import Pulled

from ..drums import WREN

KEYS = (
    *("tongue", "now_hz", "now_cents", "action", "bit_mm", "depth_mm", "x_mm", "y_mm", "from_root_mm"),
    *("from_edge_mm", "expected_cents", "spread_cents", "overshoot_chance", "left_under_mm", "then", "why"),
)

ADVICE = Advice(
    tongue=1,
    action="bore",
    now_hz=457.9,
    now_cents=-31.2,
    plus_minus_cents=1.4,
    why="It is 31 cents flat.",
    change=Bored(tongue=1, bore=Bore(x_mm=214.0, y_mm=35.0, diameter_mm=10.0, depth_mm=3.0)),
    from_root_mm=80.0,
    from_edge_mm=13.5,
    expected_cents=22.3,
    spread_cents=4.6,
    overshoot_chance=0.004,
    left_under_mm=9.0,
)


def bench(*facts: BoreMade) -> Bench:
    told = (Start(file="drum.toml", text=WREN), *facts)
    return bench_of([Entry(number=n, at="", fact=fact) for n, fact in enumerate(told, start=1)])


def belief(cents: list[float], heard: list[bool]) -> Belief:
    one = np.ones(len(cents))
    return Belief(
        far=one,
        cents=np.array(cents),
        plus_minus=one,
        action=one,
        action_plus_minus=one,
        tapped=tuple(int(was) for was in heard),
        heard=tuple(heard),
        jumps=(Jumps.NO,) * len(cents),
    )


def test_a_bore_is_told_in_the_maker_s_words() -> None:
    assert sentence(ADVICE, bench()) == (
        "R1 (Bb4) sounds 31 cents flat. Bore 10 mm wide, 3.0 mm deep, 80 mm from the root on the centre line: expect "
        "+22 cents (±5). 9.0 mm stays. Then tap again."
    )
    off_centre = Bore(x_mm=214.0, y_mm=30.0, diameter_mm=10.0, depth_mm=3.0)
    aside = replace(ADVICE, change=Bored(tongue=1, bore=off_centre), from_edge_mm=8.5)
    assert "80 mm from the root, 8.5 mm from the front edge: expect" in sentence(aside, bench())


def test_in_inches_a_depth_is_a_fraction_that_can_be_set_and_a_metric_bit_stays_metric() -> None:
    shop = bench()
    inches = replace(shop, design=replace(shop.design, units="in"))
    hole = Bore(x_mm=214.0, y_mm=35.0, diameter_mm=19.05, depth_mm=25.4 / 4)
    said = replace(ADVICE, change=Bored(tongue=1, bore=hole), left_under_mm=25.4 * 3 / 8, from_root_mm=79.4)
    assert "Bore 3/4 in wide, 1/4 in deep, 3 1/8 in from the root on the centre line:" in sentence(
        said, inches
    )
    assert "3/8 in stays." in sentence(said, inches)
    assert "Bore 10 mm wide" in sentence(ADVICE, inches)
    assert depth_step_mm(inches.design) == pytest.approx(25.4 / 64) and depth_step_mm(shop.design) == 0.5


@pytest.mark.parametrize(
    ("units", "depth", "along"), [("mm", "3.0 mm", "79.4 mm"), ("in", "1/8 in (0.118)", "3 1/8 in")]
)
def test_a_bore_reads_in_the_log_as_the_advice_told_it(
    units: Literal["mm", "in"], depth: str, along: str
) -> None:
    """To the last digit: a fraction on the rule with the decimals behind it, or tenths of a millimetre."""
    made = BoreMade(tongue=2, x_mm=214.6, y_mm=35.0, bit_mm=19.05, depth_mm=3.0)
    shop = bench(made)
    shop = replace(shop, design=replace(shop.design, units=units))
    at_root = replace(ADVICE, change=Bored(tongue=1, bore=bore_of(made)), from_root_mm=79.4)
    logged, advised = (
        in_words(made, shop),
        sentence(at_root, replace(shop, drum=replace(shop.drum, bores=()))),
    )
    assert f"{depth} deep" in logged and f"{depth} deep" in advised
    assert f"{along} from the root" in logged
    assert (f"{along} from the root" in advised) or units == "mm", "the advice is to whole millimetres"


def test_tongues_that_cannot_have_their_notes_are_named_with_every_step() -> None:
    barred = replace(ADVICE, cannot=((2, "a tone of the box lies about 38 cents above its note."),))
    told = advice_record(barred, belief([0.0, -31.2, 20.0], [True] * 3), bench())
    assert told["cannot"] == [{"tongue": 3, "why": "a tone of the box lies about 38 cents above its note."}]


def test_tongues_of_which_the_step_leaves_little_sure_are_to_be_tapped_too() -> None:
    one, two = replace(ADVICE, tap_too=(0,)), replace(ADVICE, tap_too=(0, 1))
    assert sentence(one, bench()).endswith("Then tap again, and L1 (D4) too: where it stands is not sure.")
    assert sentence(two, bench()).endswith("and L1 (D4) and R1 (Bb4) too: where they stand is not sure.")
    told = advice_record(two, belief([0.0, -31.2], [True] * 2), bench())
    assert told["tap_too"] == [1, 2]


def test_tongues_whose_bottom_pulls_nobody_knows_how_far_are_to_be_tapped_with_it_clamped_on() -> None:
    leave = replace(ADVICE, action="leave", change=None, why="Leave it.", tap_finished=(0, 1))
    assert sentence(leave, bench()).endswith(
        "Leave it. Clamp the bottom on all round, tap L1 (D4) and R1 (Bb4) once so, record that as bottom glued, and "
        "ask again: how far the bottom pulls them is not known well enough yet."
    )
    told = advice_record(leave, belief([0.0, -31.2], [True] * 2), bench())
    assert told["tap_finished"] == [1, 2] and "tap_too" not in told


def test_a_hole_that_goes_on_is_told_from_which_depth() -> None:
    made = BoreMade(tongue=2, x_mm=214.0, y_mm=35.0, bit_mm=10.0, depth_mm=1.5)
    assert "Bore on in the 10 mm hole, from 1.5 mm to 3.0 mm deep," in sentence(ADVICE, bench(made))


@pytest.mark.parametrize(
    ("action", "change", "words"),
    [
        (
            "trim",
            Trimmed(tongue=1, by_mm=1.5),
            "Trim its tip by 1.5 mm: expect +22 cents (±5). Then tap again.",
        ),
        (
            "trim",
            Trimmed(tongue=1, by_mm=0.3),
            "File its tip by 0.3 mm: expect +22 cents (±5). Then tap again.",
        ),
        (
            "lengthen slots",
            Lengthened(tongue=1, by_mm=2.0),
            "Saw both its slots 2.0 mm further at the root: expect +22 cents (±5). Then tap again.",
        ),
        (
            "weight",
            Weighted(tongue=1, grams=3.5),
            "Fix 3.5 g under it, 10 mm from the tip: expect +22 cents (±5). Then tap again.",
        ),
    ],
)
def test_a_step_that_is_no_bore_says_how_much_of_it(action, change, words: str) -> None:
    other = replace(ADVICE, action=action, change=change)
    assert sentence(other, bench()).endswith(words)
    told = advice_record(other, belief([0.0, -31.2, 0.0], [True] * 3), bench())
    assert told["by"] in (0.3, 1.5, 2.0, 3.5) and told["bit_mm"] is None and "offer" not in told


def test_what_else_could_be_had_is_in_the_advice_record() -> None:
    stop = replace(ADVICE, action="stop", change=None, offer=Offer(alone=1, together=-12.34, semitones=None))
    told = advice_record(stop, belief([0.0, -31.2, 0.0], [True] * 3), bench())
    assert told["offer"] == {"alone_semitones": 1, "together_cents": -12.3, "together_semitones": None}


def test_what_is_no_bore_is_told_with_its_reason() -> None:
    leave = replace(ADVICE, action="leave", change=None, now_cents=2.0, why="Leave it.")
    assert sentence(leave, bench()) == "R1 (Bb4) sounds 2 cents sharp. Leave it."
    doubted = sentence(replace(leave, tap_too=(0, 1)), bench())
    assert doubted.endswith(
        "Leave it. Tap L1 (D4) and R1 (Bb4) once more and ask again: they may lie outside."
    )


def test_the_document_has_the_promised_keys_with_tongues_from_1() -> None:
    said = advice_record(ADVICE, belief([-12.0, -31.2], [True, True]), bench())
    assert tuple(said) == KEYS
    assert (said["tongue"], said["bit_mm"], said["x_mm"]) == (2, 10.0, 214.0)
    assert said["then"] == [{"tongue": 1, "cents": -12.0, "action": "bore"}]
    none = advice_record(
        replace(ADVICE, change=None, action="stop"), belief([0.0, 0.0], [True, True]), bench()
    )
    assert (none["bit_mm"], none["action"]) == (None, "stop")


def test_with_the_bottom_off_it_is_told_what_to_tune_to_now() -> None:
    """66.6 cents above 466.16 Hz are 484.4 Hz, by a pocket calculator."""
    closed = WREN + '[bottom]\nwood = "teak"\nthickness = 6.0\n'
    shop = bench_of([Entry(number=1, at="", fact=Start(file="drum.toml", text=closed))])
    by, sure = np.array([5.0, 66.6]), np.array([2.0, 8.4])
    pulled = Pulled(bottom="off", cents=0.0 * by, plus_minus=sure, aim_cents=by, aim_plus_minus=sure)
    words = sentence(ADVICE, shop, pulled)
    assert words.startswith(
        "R1 (Bb4) with the bottom glued on would now sound 31 cents flat. Bore 10 mm wide,"
    )
    aim = "Tune to 484.4 Hz now, box open below; with the bottom glued on it will sound 466.2 Hz"
    assert f"{aim} (±8 cents). That ± is wide" in words
    assert words.endswith("Before its last bores tap it once with the bottom clamped on.")
    known = replace(pulled, aim_plus_minus=np.array([2.0, 4.4]))
    assert sentence(ADVICE, shop, known).endswith(f"{aim} (±4 cents).")
    said = advice_record(ADVICE, replace(belief([-12.0, -31.2], [True, True]), pulled=pulled), shop)
    assert (said["bottom"], said["tune_to_hz"]) == ("off", 484.446)
    assert said["finished_hz"] == said["now_hz"], "as in modes: the tongue as it is now, in the finished drum"
    assert said["finished_plus_minus_cents"] == 8.4
    leave = sentence(replace(ADVICE, action="leave", change=None, why="Leave it."), shop, pulled)
    assert (
        "Leave it. In tune now, box open below, is 484.4 Hz; with the bottom glued on it will sound 466.2"
        in leave
    )
    on_table = sentence(ADVICE, bench(), replace(pulled, bottom="table"))
    assert "R1 (Bb4) with the box open below would now sound" in on_table and "on a table; with" in on_table


def test_the_others_come_in_turn_those_furthest_off_first() -> None:
    others = then(ADVICE, belief([3.0, -31.2, -9.0, 40.0, -60.0], [True, True, True, True, False]), 5.0)
    assert [(one["tongue"], one["action"]) for one in others] == [
        (4, "bore"),
        (3, "bore"),
        (5, "tap"),
        (1, "leave"),
    ]


@pytest.mark.refusal
def test_what_nobody_has_heard_gets_no_advice(begun: Path) -> None:
    with pytest.raises(EntryError, match="Nobody has tapped this drum yet") as refused:
        advise_next(AdviceRequest(drum=begun))
    assert refused.value.remedies == (Remedy.RECORD_TAP,)
    record_tap(TapRequest(drum=begun, tongue=1, hz=288.5))
    with pytest.raises(EntryError, match=r"or ask about one heard \(L1 \(D4\)\)") as refused:
        advise_next(AdviceRequest(drum=begun, tongue=2))
    assert refused.value.nearest == 1


def test_asked_at_the_bench_it_answers_from_what_was_heard(begun: Path) -> None:
    for tongue, hz in ((1, 290.0), (2, 455.0)):
        record_tap(TapRequest(drum=begun, tongue=tongue, hz=hz, manner=Manner(sure=True)))
    steps: list[str] = []
    done = advise_next(AdviceRequest(drum=begun), Progress(lambda doing, share: steps.append(doing)))
    said = done.document()
    assert steps == ["Solving the whole drum once; the next question is quicker."]
    assert tuple(said) == KEYS and len(said["then"]) == 1
    assert said["now_cents"] == pytest.approx({1: -21.7, 2: -42.0}[said["tongue"]], abs=4.0)
    assert said["action"] == "bore" and 0.0 < said["expected_cents"] < 47.0
    where = {"from_root": str(said["from_root_mm"]), "from_edge": str(said["from_edge_mm"])}
    what = {"bit": str(said["bit_mm"]), "depth": str(said["depth_mm"])}
    record_bore(
        BoreRequest(drum=begun, tongue=said["tongue"], **what, **where)
    )  # what is advised is let through
    assert (begun.parent / "bench.cache").is_dir()
