"""The advice on the reference drum W1, its wood as modelled or otherwise."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.errors import OutlineError
from kerftone.modal.notes import overtone, read_notes
from kerftone.pitch import sharpened
from kerftone.tune.advice import Advice
from kerftone.tune.advise import advise, next_step, to_tap_finished
from kerftone.tune.belief import Belief, believe
from kerftone.tune.history import Bored, Event, Lengthened, Tap, after
from kerftone.tune.instrument import Instrument
from kerftone.tune.odd_steps import Jumps
from kerftone.tune.pull import Pulled
from kerftone.tune.tones import Tone
from kerftone.tune.trial import OVERSHOOT

from ..drums import WREN


def taps(bench: Instrument) -> list[Event]:
    """Every tongue heard just as modelled."""
    return [Tap(tongue=n, hz=note.hz) for n, note in enumerate(bench.notes(bench.design))]


def aimed(bench: Instrument, *off: float) -> list[float]:
    """Targets that the tongues, heard as modelled, are so many cents off."""
    return [sharpened(note.hz, -by) for note, by in zip(bench.notes(bench.design), off, strict=True)]


def asked(bench: Instrument, number: int, *off: float, drum: Drum | None = None) -> Advice:
    targets = aimed(bench, *off)
    state = drum or bench.design
    belief = believe(bench, taps(bench), targets)
    return advise(bench, state, belief, number, targets)


def test_a_flat_tongue_is_bored_towards_its_tip_and_comes_nearer(bench) -> None:
    """Wood taken near the free end raises a tongue: common practice, no source."""
    said = asked(bench, 2, 0, 0, -40, 0, 0, 0)
    assert said.action == "bore" and said.bore is not None and said.from_root_mm is not None
    assert said.from_root_mm > 0.6 * 170.0
    assert said.now_cents == pytest.approx(-40.0, abs=1.0)
    assert 25.0 < (said.expected_cents or 0.0) < 40.0
    bored = after(bench.design, [Bored(tongue=2, bore=said.bore)])
    check_outline(bored)
    before, heard = (bench.notes(drum)[2].hz for drum in (bench.design, bored))
    assert 1200 * np.log2(heard / before) == pytest.approx(said.expected_cents, abs=1.0)


def test_a_sharp_tongue_is_bored_towards_its_root(bench) -> None:
    """Wood taken near the root lowers a tongue: common practice, no source."""
    said = asked(bench, 2, -4, -4, 25, -4, -4, -4)
    assert said.action == "bore" and said.from_root_mm is not None
    assert said.from_root_mm < 0.4 * 170.0 and (said.expected_cents or 0.0) < -10.0


def test_a_step_keeps_the_chance_of_passing_small_and_says_how_sure_it_is(bench) -> None:
    said = asked(bench, 2, 0, 0, -60, 0, 0, 0)
    assert said.overshoot_chance is not None and said.overshoot_chance <= OVERSHOOT
    assert said.spread_cents is not None and 1.0 < said.spread_cents < 10.0
    assert said.now_cents + (said.expected_cents or 0.0) + 2.0 * said.spread_cents < 6.0
    assert said.left_under_mm is not None and said.left_under_mm >= bench.design.shop.min_left_mm


def test_a_tongue_in_its_band_is_left_alone(bench) -> None:
    said = asked(bench, 2, 0, 0, 1, 0, 0, 0)
    assert said.action == "leave" and said.bore is None and "within 5 cents" in said.why


def test_the_drum_as_a_whole_begins_with_the_largest_step(bench) -> None:
    targets = aimed(bench, -15, -15, -15, -70, -15, -15)
    said = next_step(bench, bench.design, believe(bench, taps(bench), targets), targets)
    assert said.tongue == 3 and said.action == "bore"


def test_a_drum_in_tune_is_left(bench) -> None:
    targets = aimed(bench, 0, 1, -1, 0, 1, 0)
    said = next_step(bench, bench.design, believe(bench, taps(bench), targets), targets)
    assert said.action == "leave"


def test_a_tongue_that_may_well_lie_outside_is_tapped_again_before_it_is_called_done(bench) -> None:
    targets = aimed(bench, 0, 2.6, 0, 0, 0, 0)
    heard = [replace(tap, plus_minus_cents=1.5) for tap in taps(bench) if isinstance(tap, Tap)]
    said = next_step(bench, bench.design, believe(bench, heard, targets), targets)
    assert (said.action, said.tap_too) == ("leave", (1,))
    said = next_step(bench, bench.design, believe(bench, heard * 4, targets), targets)
    assert (said.action, said.tap_too) == ("leave", ())


def pulled(bench: Instrument, belief: Belief, plus_minus: float) -> Belief:
    """The same, heard with the bottom off: how far it pulls is known no better than so."""
    count = len(belief.cents)
    cents, sure = np.full(count, 20.0), np.full(count, plus_minus)
    by = Pulled(bottom="off", cents=cents, plus_minus=sure, aim_cents=cents, aim_plus_minus=sure)
    return replace(belief, pulled=by, plus_minus=np.hypot(belief.plus_minus, plus_minus))


def test_where_the_bottom_s_pull_is_not_known_it_is_clamped_on_before_wood_is_taken_for_want_of_it(
    bench,
) -> None:
    """Taps with the bottom off would not tell; and neither trimming nor another note is offered for want of a tap."""
    targets = aimed(bench, -3, -20, 2, 0, 1, -1)
    said = next_step(bench, bench.design, pulled(bench, believe(bench, taps(bench), targets), 8.0), targets)
    assert (said.change, said.tap_too, said.offer) == (None, (), None)
    assert said.tap_finished == (0, 1, 2, 3, 4, 5)
    assert said.action == "stop" and "until it is known how far off the finished drum" in said.why
    known = pulled(bench, believe(bench, taps(bench), targets), 0.1)
    said = next_step(bench, bench.design, known, targets)
    assert said.change is not None and said.tap_finished == ()


@pytest.mark.parametrize(
    ("cents", "plus_minus", "asked"), [(-3.2, 1.2, True), (-3.2, 0.7, False), (-1.0, 1.2, False)]
)
def test_a_tongue_at_the_edge_of_its_band_by_the_bottom_s_pull_is_clamped_on_once_more(
    cents: float, plus_minus: float, asked: bool
) -> None:
    """It was called done with more than one chance in twenty that it was outside, and ended half a cent flat."""
    drum = parse_drum(WREN)
    ones = np.ones(2)
    belief = Belief(
        far=ones,
        cents=np.array([cents, 0.0]),
        plus_minus=np.array([plus_minus, 0.5]),
        action=ones,
        action_plus_minus=0.1 * ones,
        tapped=(2, 2),
        heard=(True, True),
        jumps=(False, False),
        pulled=Pulled(
            bottom="off",
            cents=5.0 * ones,
            plus_minus=0.9 * np.array([plus_minus, 0.5]),
            aim_cents=5.0 * ones,
            aim_plus_minus=ones,
        ),
    )
    assert to_tap_finished(drum, belief) == ((0,) if asked else ())


def test_a_bore_that_is_safe_all_the_same_comes_before_the_bottom_is_clamped_on(bench) -> None:
    targets = aimed(bench, -80, -80, -80, -80, -80, -80)
    said = next_step(bench, bench.design, pulled(bench, believe(bench, taps(bench), targets), 8.0), targets)
    assert said.action == "bore" and said.tap_finished == () and said.tap_too == ()


def test_no_small_bores_are_made_one_after_the_other_while_the_bottom_s_pull_is_not_known(bench) -> None:
    """A bore of a third of the way would be safe; heard with the bottom off it would tell nothing of the pull."""
    targets = aimed(bench, 0, 0, -30, 0, 0, 0)
    believed = believe(bench, taps(bench), targets)
    said = next_step(bench, bench.design, pulled(bench, believed, 8.0), targets)
    assert said.change is None and 2 in said.tap_finished
    safe = advise(bench, bench.design, pulled(bench, believed, 8.0), 2, targets)
    assert safe.action == "bore" and 5.0 < (safe.expected_cents or 0.0) < 15.0, "asked for, it is told"


def test_neighbours_that_a_step_leaves_unsure_are_tapped_too(bench) -> None:
    said = asked(bench, 2, 0, 0, -40, 0, 0, 0)
    moved = dict(said.others)
    assert said.tap_too and all(abs(moved[number]) > 5.0 for number in said.tap_too)
    assert all(abs(moved[number]) < 8.0 for number in set(moved) - set(said.tap_too))
    assert not asked(bench, 2, 0, 0, -9, 0, 0, 0).tap_too


def test_two_tongues_bound_to_each_other_are_not_bored_for_little(
    bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    pulls = np.eye(6)
    pulls[0, 2], pulls[2, 0] = 0.83, 0.9
    monkeypatch.setattr("kerftone.tune.advise.pull", lambda model: pulls)
    targets = aimed(bench, -34, 0, 26, 0, 0, 0)
    said = next_step(bench, bench.design, believe(bench, taps(bench), targets), targets)
    assert said.action == "stop" and said.tongue == 0
    assert "bound to L3 (E3)" in said.why and "another note" in said.why
    assert advise(bench, bench.design, believe(bench, taps(bench), targets), 2, targets).action == "stop"


def near(monkeypatch: pytest.MonkeyPatch, **tones: Tone) -> None:
    """Let these tones of the box lie near the notes of tongues, `t2` near that of number 2."""
    found = {int(name[1:]): tone for name, tone in tones.items()}
    monkeypatch.setattr("kerftone.tune.advise.near_tones", lambda model, asked, *rest: found)


def hopping(belief: Belief, jumps: Jumps) -> Belief:
    """The same of a drum whose third tongue has jumped so."""
    return replace(belief, jumps=(Jumps.NO, Jumps.NO, jumps, Jumps.NO, Jumps.NO, Jumps.NO))


def test_a_tongue_that_hops_is_bored_only_when_asked_for(bench, monkeypatch: pytest.MonkeyPatch) -> None:
    targets = aimed(bench, 0, 0, -40, 0, 0, 0)
    belief = hopping(believe(bench, taps(bench), targets), Jumps.PERHAPS)
    assert next_step(bench, bench.design, belief, targets).action == "bore"  # no other tone is near
    surely = next_step(bench, bench.design, hopping(belief, Jumps.SURELY), targets)
    assert surely.action == "stop" and surely.tongue == 2, "whatever the model knows of other tones"
    near(monkeypatch, t2=Tone(apart_cents=60.0, chance=0.05))
    said = next_step(bench, bench.design, belief, targets)
    assert said.action == "stop" and said.tongue == 2 and said.offer is None
    assert "Two tones share this tongue" in said.why
    assert advise(bench, bench.design, belief, 2, targets).action == "bore"


def test_a_note_that_a_tone_of_the_box_keeps_away_is_named_before_the_first_bore(
    bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    targets = aimed(bench, 0, 0, -40, -30, 0, 0)
    near(monkeypatch, t2=Tone(apart_cents=38.0, chance=0.6))
    belief = believe(bench, taps(bench), targets)
    first = next_step(bench, bench.design, belief, targets)
    assert first.tongue == 3 and first.action == "bore"
    ((number, why),) = first.cannot
    assert number == 2 and "about 38 cents above its note" in why and "Do not bore to find out" in why
    last = aimed(bench, 0, 0, -40, 0, 0, 0)
    alone = next_step(bench, bench.design, believe(bench, taps(bench), last), last)
    assert alone.action == "stop" and alone.tongue == 2 and "38 cents above" in alone.why
    asked_for = advise(bench, bench.design, belief, 2, targets)
    assert asked_for.action == "bore" and "38 cents above" in asked_for.why


def test_a_tongue_in_its_band_is_bored_only_at_the_edge_of_it_and_with_its_reason(bench) -> None:
    heard = [replace(tap, plus_minus_cents=1.5) for tap in taps(bench) if isinstance(tap, Tap)] * 6
    middle = aimed(bench, 0, -3.5, 0, 0, 0, 0)
    assert next_step(bench, bench.design, believe(bench, heard, middle), middle).action == "leave"
    edge = aimed(bench, 0, -4.9, 0, 0, 0, 0)
    said = next_step(bench, bench.design, believe(bench, heard, edge), edge)
    assert said.action == "leave" or "edge of its band" in said.why


def test_a_tip_is_filed_by_tenths_where_no_bore_can_be_made(bench, unbored: Drum) -> None:
    """Eight cents flat and no wood left to bore: half a millimetre would be too little, and a whole one too much."""
    said = asked(bench, 2, -4, -4, -8, -4, -4, -4, drum=unbored)
    assert said.action == "trim" and said.by is not None and 0.5 < said.by < 1.0
    assert 0.0 < (said.expected_cents or 0.0) <= 8.0


@pytest.fixture(scope="module")
def unbored(bench) -> Drum:
    """The same drum in a shop that leaves nearly all of its wood under a bore: none can be made."""
    return replace(bench.design, shop=replace(bench.design.shop, min_left_mm=15.9))


def test_a_flat_tongue_that_may_not_be_bored_is_trimmed(bench, unbored: Drum) -> None:
    trim = asked(bench, 2, -4, -4, -30, -4, -4, -4, drum=unbored)
    assert trim.action == "trim" and trim.bore is None and trim.by is not None
    assert 0.0 < (trim.expected_cents or 0.0) <= 30.0


@pytest.mark.slow
def test_a_sharp_tongue_that_may_not_be_bored_has_its_slots_sawn_further(bench, unbored: Drum) -> None:
    """A longer tongue is a lower one: common practice, no source."""
    said = asked(bench, 2, -4, -4, 30, -4, -4, -4, drum=unbored)
    assert said.action == "lengthen slots" and isinstance(said.change, Lengthened)
    before, done = (bench.notes(drum)[2].hz for drum in (bench.design, after(bench.design, [said.change])))
    assert -30.0 <= 1200 * np.log2(done / before) < -10.0
    assert 1200 * np.log2(done / before) == pytest.approx(said.expected_cents, abs=0.5)


def test_where_the_slots_end_is_no_more_wood_a_sharp_tongue_is_weighted(
    bench, unbored: Drum, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(drum: Drum) -> None:
        raise OutlineError("no wood left between the slots' ends and the wall")

    monkeypatch.setattr("kerftone.tune.otherwise.check_outline", refuse)
    said = asked(bench, 2, -4, -4, 30, -4, -4, -4, drum=unbored)
    assert said.action == "weight" and said.by is not None and -30.0 <= (said.expected_cents or 0.0) < 0.0


def test_a_note_out_of_reach_comes_with_what_can_be_had_instead(bench, unbored: Drum) -> None:
    """No bore can be made at all, so no tongue but those as they are can be another note."""
    said = asked(bench, 2, -4, -4, -150, -4, -4, -4, drum=unbored)
    assert said.by is not None and said.offer is not None
    assert said.offer.alone is None and said.offer.together is None and said.offer.semitones is None
    assert "no other note" in said.why
    bored = asked(bench, 2, 0, 0, -40, 0, 0, 0)
    assert bored.bore is not None and bored.offer is None


def test_a_wanted_overtone_draws_the_bore_to_where_it_serves_both(bench) -> None:
    """Wood near where the second bending crosses zero moves the overtone less than wood at the tip."""
    plain = asked(bench, 2, 0, 0, -40, 0, 0, 0)
    ratio = {}
    for wanted in (5.0, 8.0):
        drum = replace(bench.design, tuning=replace(bench.design.tuning, overtone=wanted))
        said = asked(bench, 2, 0, 0, -40, 0, 0, 0, drum=drum)
        assert said.bore is not None and (said.expected_cents or 0.0) > 10.0
        modes = bench.assembly(after(bench.design, [said.change])).modes()
        note = read_notes(bench.design, modes)[2].mode
        above = overtone(modes, 2, note)
        assert above is not None
        ratio[wanted] = modes.hz[above] / modes.hz[note]
    assert ratio[5.0] < ratio[8.0] - 0.02
    assert plain.bore is not None
