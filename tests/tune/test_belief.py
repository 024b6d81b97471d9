from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from kerftone.drum.design import Bore, Drum
from kerftone.tune.belief import believe
from kerftone.tune.boxes import BOX_DEVIATIONS
from kerftone.tune.clamped_top import ClampedTop
from kerftone.tune.history import Bored, Bottom, Event, Tap, Trimmed, after
from kerftone.tune.odd_steps import Jumps, stray_cents
from kerftone.tune.pull import TUNED_CENTS, AirMoves

HOLE = Bore(x_mm=168.0, y_mm=49.0, diameter_mm=20.0, depth_mm=5.0)
WOOD_CENTS, APART_CENTS = 150.0, 10.0
AIR = (-40.0, -20.0)
CLAMPED = (-60.0, -40.0)


@dataclass(frozen=True)
class Note:
    hz: float


@dataclass(frozen=True)
class Plain:
    """An instrument of two tongues whose every bore raises its own tongue by 10 cents a mm and the other by 2."""

    design: Drum
    corrected: float = 0.0
    air: bool = False
    per_cent: tuple[float, float] = (0.0, 0.0)
    open_box: tuple[float, float] = (0.0, 0.0)
    turns: float = np.inf

    def notes(self, state: Drum, *, bottom_on: bool = True) -> tuple[Note, Note]:
        deep = sum(bore.depth_mm for bore in state.bores)
        lower = 0.0 if bottom_on else -20.0
        return Note(200.0 * 2 ** ((10.0 * deep + lower) / 1200)), Note(
            300.0 * 2 ** ((2.0 * deep + lower) / 1200)
        )

    def moved(self, state: Drum, changed: Drum, *, bottom_on: bool = True) -> np.ndarray:
        pairs = zip(*(self.notes(drum, bottom_on=bottom_on) for drum in (state, changed)), strict=True)
        return np.array([1200.0 * np.log2(now.hz / before.hz) for before, now in pairs])

    def air_moves(self, bottom: str) -> AirMoves:
        """Air shut in by a glued bottom lowers by 40 and 20 cents; on a table it raises the first by 20."""
        by = {"glued": AIR, "table": (20.0, 0.0)}.get(bottom, (0.0, 0.0)) if self.air else (0.0, 0.0)
        slope = self.per_cent if bottom == "glued" and self.air else (0.0, 0.0)
        first = np.array([note.hz for note in self.notes(self.design, bottom_on=bottom == "glued")])
        return AirMoves(hz=first, cents=np.outer(TUNED_CENTS, slope) + np.array(by))

    def clamped(self, bottom: str) -> ClampedTop:
        del bottom
        return ClampedTop(cents=np.array(CLAMPED), doubt=np.array([50.0, 30.0]))

    def bore_scatter(self) -> np.ndarray:
        return np.array([0.05, 0.05])

    def bottom_pulls(self, state: Drum, raised: np.ndarray) -> np.ndarray:
        """Boxes that are stiffer pull by so much more for each standard deviation, and past `turns` the other way."""
        high = (
            np.array(
                [1200.0 * np.log2(n.hz / hz) for n, hz in zip(self.notes(state), (200.0, 300.0), strict=True)]
            )
            + raised
        )
        return (
            np.outer(BOX_DEVIATIONS, np.where(high < self.turns, 1.0, -1.0) * np.array(self.open_box)) - 20.0
        )

    def corrections_cents(self) -> np.ndarray:
        return np.array([self.corrected, 0.0])

    def wood_cents2(self) -> np.ndarray:
        return WOOD_CENTS**2 * np.ones((2, 2)) + APART_CENTS**2 * np.eye(2)


@pytest.fixture
def two(wanted: Drum) -> Plain:
    return Plain(design=replace(wanted, tongues=wanted.tongues[:2]))


def sharp(hz: float, cents: float) -> float:
    return hz * 2 ** (cents / 1200)


def tap(tongue: int, cents: float, *, bottom_on: bool = True, bottom: Bottom | None = None) -> Tap:
    hz = sharp((200.0, 300.0)[tongue], cents)
    return Tap(tongue=tongue, hz=hz, plus_minus_cents=1.5, bottom_on=bottom_on, bottom=bottom)


def told(instrument: Plain, events: list[Event]):
    return believe(instrument, events, (200.0, 300.0))  # type: ignore[arg-type]


def test_before_any_tap_the_wood_is_all_that_is_not_known(two) -> None:
    belief = told(two, [])
    assert belief.heard == (False, False)
    np.testing.assert_allclose(belief.cents, 0.0, atol=1e-9)
    assert (belief.plus_minus > WOOD_CENTS).all()


def test_one_tongue_tapped_says_most_of_the_others(two) -> None:
    belief = told(two, [tap(0, 80.0)])
    assert belief.cents[0] == pytest.approx(80.0, abs=0.2) and belief.plus_minus[0] < 1.6
    assert 70.0 < belief.cents[1] < 80.0
    assert 25.0 < belief.plus_minus[1] < 45.0


def test_taps_of_one_state_are_averaged(two) -> None:
    once, often = (
        told(two, [tap(0, 10.0)]),
        told(two, [tap(0, 9.0), tap(0, 11.0), tap(0, 10.0), tap(0, 10.0)]),
    )
    assert often.cents[0] == pytest.approx(10.0, abs=0.1)
    assert often.plus_minus[0] == pytest.approx(once.plus_minus[0] / 2, rel=0.03)
    assert often.tapped == (4, 0)


def test_a_bore_not_yet_tapped_moves_what_is_believed_and_makes_it_less_sure(two) -> None:
    belief = told(two, [tap(0, -60.0), tap(1, -40.0), Bored(tongue=0, bore=HOLE)])
    assert belief.cents[0] == pytest.approx(-10.0, abs=0.3) and belief.cents[1] == pytest.approx(
        -30.0, abs=0.3
    )
    assert belief.plus_minus[0] > 4.0 > belief.plus_minus[1]
    assert belief.tapped == (0, 1)


def test_what_a_bore_really_did_is_learnt_for_the_next(two) -> None:
    """A bore that does 70 cents where 50 were modelled: bores in this wood are strong, in part by this one's slip."""
    events = [tap(0, -60.0), tap(1, -40.0), Bored(tongue=0, bore=HOLE), tap(0, 10.0)]
    belief = told(two, events)
    assert belief.cents[0] == pytest.approx(10.0, abs=1.5)
    assert 1.05 < belief.action[0] < 1.4 and 1.02 < belief.action[1] < belief.action[0]
    assert belief.action_plus_minus[0] < told(two, []).action_plus_minus[0]


def test_a_bore_that_did_something_quite_other_teaches_nothing_of_the_next(two) -> None:
    """As when another mode has become the louder one: 150 cents, where 50 were to be expected."""
    events: list[Event] = [tap(0, 0.0), tap(1, 0.0), Bored(tongue=0, bore=HOLE), tap(0, 150.0)]
    belief = told(two, events)
    assert belief.cents[0] == pytest.approx(150.0, abs=1.0) and belief.plus_minus[0] < 2.0
    np.testing.assert_allclose(belief.action, 1.0, atol=0.06)
    likely = told(two, [*events[:3], tap(0, 58.0)])
    assert likely.action[0] > 1.06


def test_the_bottom_off_is_another_state_with_its_own_doubt(two) -> None:
    belief = told(two, [tap(0, -50.0, bottom_on=False)])
    assert belief.cents[0] == pytest.approx(-30.0, abs=2.0)
    assert 3.0 < belief.plus_minus[0] < 5.0


def test_beside_a_tone_of_the_open_box_only_a_tap_with_the_bottom_on_says_where_a_tongue_is(two) -> None:
    drum = replace(two, open_box=(20.0, 0.0))
    taps: list[Event] = [tap(0, -50.0, bottom="off"), tap(1, -50.0, bottom="off")]
    beside, far = told(drum, taps).plus_minus
    assert beside > 15.0 and far < 5.0
    other = told(drum, [*taps, tap(1, -40.0, bottom="glued")]).plus_minus[0]
    assert other > 15.0, "another tongue's tap says nothing of it"
    assert told(drum, [*taps, tap(0, -40.0, bottom="glued")]).plus_minus[0] < 2.0
    assert told(drum, [tap(0, -50.0)]).plus_minus[0] < 2.0, "and with the bottom on it is not asked"


def test_a_pull_that_was_measured_turns_about_when_its_tongue_is_tuned_past_a_tone_of_the_open_box(
    two,
) -> None:
    """Measured 15 cents higher than modelled below the tone; a bore of 50 cents carries the tongue past it."""
    drum = replace(two, open_box=(10.0, 0.0), turns=25.0)
    taps: list[Event] = [
        tap(0, -35.0, bottom="glued"),
        tap(0, -40.0, bottom="off"),
        tap(1, -20.0, bottom="off"),
    ]
    before = told(drum, taps).pulled
    assert before is not None and before.cents[0] == pytest.approx(-5.0, abs=2.5)
    past = told(drum, [*taps, Bored(tongue=0, bore=HOLE), tap(0, -20.0, bottom="off")])
    assert past.pulled is not None
    assert past.pulled.cents[0] < -28.0 and past.cents[0] > 8.0, "it was up by 15, and is down by as much"
    assert told(replace(drum, turns=np.inf), taps).pulled.cents[0] == pytest.approx(before.cents[0], abs=0.1)


def test_what_bores_did_with_the_bottom_off_does_not_make_the_pull_sure(two) -> None:
    """Without it a tongue once was believed to 4 cents, and was 38 off, when it was clamped on."""
    drum = replace(two, open_box=(10.0, 0.0), turns=25.0)
    events: list[Event] = [tap(0, -60.0, bottom="off"), tap(1, -40.0, bottom="off")]
    after_it: list[Event] = [*events, Bored(tongue=0, bore=HOLE), *3 * [tap(0, 30.0, bottom="off")]]
    before, bored = told(drum, events), told(drum, after_it)
    assert before.plus_minus[0] > 8.0 and bored.plus_minus[0] > 0.8 * before.plus_minus[0]
    assert told(drum, [*after_it, tap(0, 0.0, bottom="glued")]).plus_minus[0] < 2.0


def test_what_to_tune_to_is_by_the_pull_at_the_note_and_not_where_the_tongue_is_now(two) -> None:
    """It stands 35 cents flat below a tone of the open box; its note lies past that."""
    drum = replace(two, open_box=(10.0, 0.0), turns=25.0)
    taps: list[Event] = [tap(0, -35.0, bottom="glued"), tap(0, -40.0, bottom="off")]
    pulled = told(drum, taps).pulled
    assert pulled is not None and pulled.cents[0] > -9.0 and pulled.aim_cents[0] < -28.0
    near = told(replace(drum, turns=-50.0), taps).pulled
    assert near is not None and near.aim_cents[0] == pytest.approx(near.cents[0], abs=0.1)


@dataclass(frozen=True)
class Breathing(Plain):
    """Air takes a third of each cent of the first tongue up to where its box breathes, and nothing beyond."""

    breathes: float = 0.0

    def air_moves(self, bottom: str) -> AirMoves:
        bent = np.minimum(TUNED_CENTS, self.breathes) / -3.0
        found = super().air_moves(bottom)
        return replace(found, cents=np.stack([bent, 0.0 * bent], axis=1)) if bottom == "glued" else found


def test_what_bores_do_is_unsure_where_the_breathing_may_lie_on_the_way(two) -> None:
    """Both tongues are 60 cents flat; 80 cents above the first its box breathes, or far above."""
    acts = []
    for breathes in (80.0, 320.0):
        drum = Breathing(design=two.design, air=True, breathes=breathes)
        found = believe(drum, [tap(0, 0.0), tap(1, 0.0)], (sharp(200.0, 60.0), sharp(300.0, 60.0)))  # type: ignore[arg-type]
        acts.append((found.action[0], found.action_plus_minus[0] - found.action_plus_minus[1]))
    (near, doubt), (far, none) = acts
    assert near == pytest.approx(2.0 / 3.0, abs=0.02) and far == pytest.approx(2.0 / 3.0, abs=0.02)
    assert doubt > 0.04 and none < 0.0


def test_air_is_asked_where_the_wood_sounds_and_not_where_the_model_does(two) -> None:
    """All taps are 100 cents higher than the model, and air takes a fifth of what a tongue is higher."""
    drum = replace(two, air=True, per_cent=(-0.2, 0.0))
    off: list[Event] = [tap(n, 80.0, bottom="off") for n in (0, 1)]
    higher = told(drum, off).cents - told(replace(drum, per_cent=(0.0, 0.0)), off).cents
    assert higher[0] == pytest.approx(-20.0, abs=2.0) and abs(higher[1]) < 2.0


def test_with_the_bottom_off_it_is_told_how_far_the_finished_drum_sounds_from_it(two) -> None:
    """The wood rises by 20 cents when the bottom is glued on, and the air shut in then lowers by 40 and by 20."""
    taps: list[Event] = [tap(0, 30.0, bottom="off"), tap(1, 5.0, bottom="off")]
    belief = told(replace(two, air=True), taps)
    np.testing.assert_allclose(belief.cents, [10.0, 5.0], atol=3.0)
    assert belief.pulled is not None and belief.pulled.bottom == "off"
    np.testing.assert_allclose(belief.pulled.cents, [20.0, 0.0], atol=3.0)
    plain = told(two, taps).pulled
    assert plain is not None and (plain.plus_minus > 3.0).all(), "the wood's part of it is unsure too"
    assert belief.pulled.plus_minus[0] > plain.plus_minus[0] + 1.0, "0.2 of 40 cents beside the wood's doubt"


def test_one_tap_with_the_bottom_glued_corrects_the_pull_of_all_tongues(two) -> None:
    drum = replace(two, air=True)
    off: list[Event] = [tap(0, 0.0, bottom="off"), tap(1, 0.0, bottom="off")]
    glued = [*off, tap(0, -35.0, bottom="glued")]
    before, after_it = told(drum, [*glued[:2], tap(0, 0.0, bottom="off")]).pulled, told(drum, glued)
    assert before is not None and after_it.pulled is None, "now the drum is as it is when finished"
    assert after_it.cents[0] == pytest.approx(-35.0, abs=1.0)
    now_off = told(drum, [*glued, tap(1, 0.0, bottom="off")]).pulled
    assert now_off is not None
    assert now_off.cents[0] == pytest.approx(35.0, abs=2.0) and now_off.plus_minus[0] < 3.0
    assert now_off.cents[1] > before.cents[1] + 5.0 and now_off.plus_minus[1] < 0.8 * before.plus_minus[1]


def test_with_the_bottom_glued_throughout_the_air_changes_nothing_but_where_the_model_begins(two) -> None:
    """What is heard settles where a tongue is, and bores are believed to act as they would in vacuo."""
    events: list[Event] = [tap(0, -60.0), tap(1, -40.0), Bored(tongue=0, bore=HOLE), tap(0, 0.0)]
    alone, airy = told(two, events), told(replace(two, air=True), events)
    np.testing.assert_allclose(airy.cents, alone.cents, atol=0.5)
    np.testing.assert_allclose(airy.plus_minus, alone.plus_minus, rtol=1e-9)
    np.testing.assert_allclose(airy.action_plus_minus, alone.action_plus_minus, rtol=1e-9)
    assert airy.pulled is None and alone.pulled is None


def test_near_the_breathing_the_finished_drum_follows_its_wood_by_less(two) -> None:
    """The bore raises the wood's notes by 50 and 10 cents; air takes a fifth of the first back."""
    taps: list[Event] = [tap(0, -60.0), tap(1, -40.0)]
    drum = replace(two, air=True, per_cent=(-0.2, 0.0))
    before, bored = told(drum, taps), told(drum, [*taps, Bored(tongue=0, bore=HOLE)])
    np.testing.assert_allclose(bored.cents - before.cents, [40.0, 10.0], atol=0.5)
    np.testing.assert_allclose(before.action, [0.8, 1.0], atol=0.01)


def test_with_the_bottom_off_the_pull_grows_as_a_note_is_tuned_towards_the_breathing(two) -> None:
    drum = replace(two, air=True, per_cent=(-0.2, 0.0))
    taps: list[Event] = [tap(0, -60.0, bottom="off"), tap(1, -40.0, bottom="off")]
    before, bored = (told(drum, events).pulled for events in (taps, [*taps, Bored(tongue=0, bore=HOLE)]))
    assert before is not None and bored is not None
    np.testing.assert_allclose(bored.cents - before.cents, [10.0, 0.0], atol=1.0)


def test_a_note_near_the_breathing_says_less_of_how_the_bottom_pulls_the_others(two) -> None:
    """Its own pull hangs on where the breathing is."""
    taps: list[Event] = [tap(0, 0.0, bottom="off"), tap(1, 0.0, bottom="off"), tap(0, -60.0, bottom="glued")]
    far, near = (told(replace(two, air=True, per_cent=(by, 0.0)), taps) for by in (0.0, -0.3))
    assert near.cents[0] == pytest.approx(far.cents[0], abs=1.0), "itself was heard"
    assert abs(near.cents[1]) < 0.8 * abs(far.cents[1])
    assert near.plus_minus[1] > 1.1 * far.plus_minus[1]


def test_a_jump_heard_with_the_bottom_off_may_be_the_open_box_s_until_it_is_clamped_on(two) -> None:
    """Heard with the bottom off and, the first, clamped on; then bored by 50 cents, it jumps by 40 more."""
    drum = replace(two, air=True)
    known: list[Event] = [tap(n, -60.0, bottom="off") for n in (0, 1)] + [tap(0, -80.0, bottom="glued")]
    jumped = told(drum, [*known, Bored(tongue=0, bore=HOLE), tap(0, 30.0, bottom="off")])
    assert jumped.plus_minus[0] > 20.0 and jumped.pulled is not None
    assert jumped.pulled.plus_minus[0] ** 2 > 0.5 * jumped.plus_minus[0] ** 2, (
        "so the clamped tap is asked for"
    )
    events: list[Event] = [*known, Bored(tongue=0, bore=HOLE), tap(0, 30.0, bottom="off")]
    cleared = told(drum, [*events, tap(0, -30.0, bottom="glued"), tap(0, 30.0, bottom="off")])
    assert cleared.cents[0] == pytest.approx(-30.0, abs=2.0) and cleared.plus_minus[0] < 3.0


def test_a_drum_without_a_bottom_is_tapped_on_a_table_and_played_open(two) -> None:
    drum = replace(two, design=replace(two.design, bottom=None), air=True)
    belief = told(drum, [tap(0, 20.0, bottom="table"), tap(1, 0.0, bottom="table")])
    assert belief.cents[0] == pytest.approx(0.0, abs=1.5)
    assert belief.pulled is not None and belief.pulled.cents[0] == pytest.approx(20.0, abs=1.5)
    assert 3.0 < belief.pulled.plus_minus[0] < 5.0 and 0.9 < belief.pulled.plus_minus[1] < 1.1
    assert told(drum, [tap(0, 20.0), tap(1, 0.0, bottom="off")]).pulled is None


def test_the_far_side_is_across_from_where_a_tongue_was_first_heard(two) -> None:
    belief = told(two, [tap(0, -50.0), tap(1, 15.0), Bored(tongue=0, bore=HOLE), tap(0, 9.0)])
    assert list(belief.far) == [1.0, -1.0]
    assert after(two.design, [Bored(tongue=0, bore=HOLE)]).bores == (HOLE,)


def test_what_a_bore_near_the_root_does_is_less_sure() -> None:
    assert stray_cents(-10.0) > 2.0 * stray_cents(10.0)
    assert stray_cents(-1.0) > 1.0 > stray_cents(1.0)


def test_where_a_tongue_is_after_an_odd_bore_is_believed_from_its_taps(two) -> None:
    """Not half way between what the bore should have done and what it did, once other bores did as they should."""
    shallow = [Bored(tongue=0, bore=replace(HOLE, depth_mm=0.5 * n)) for n in range(1, 8)]
    events: list[Event] = [tap(0, -60.0), tap(1, -40.0)]
    for number, bored in enumerate(shallow[:-1], start=1):
        events += [bored, tap(0, -60.0 + 5.0 * number)]
    belief = told(two, [*events, shallow[-1], tap(0, 0.0), tap(0, 0.0)])
    assert belief.cents[0] == pytest.approx(0.0, abs=0.3)
    as_it_should = told(two, [*events, shallow[-1], tap(0, -25.0), tap(0, -25.0)])
    assert as_it_should.cents[0] == pytest.approx(-25.0, abs=0.3)
    assert as_it_should.plus_minus[0] < belief.plus_minus[0] < 1.2


def test_a_tongue_that_jumps_up_and_down_again_jumps(two) -> None:
    first, second = (Bored(tongue=0, bore=replace(HOLE, depth_mm=depth)) for depth in (2.0, 4.0))
    up: list[Event] = [tap(0, 0.0), tap(1, 0.0), first, tap(0, 90.0)]
    assert told(two, up).jumps == (Jumps.NO, Jumps.NO)
    turned = [*up, second, tap(0, 40.0)]
    assert told(two, turned).jumps == (Jumps.PERHAPS, Jumps.NO), "or the tap between was misread"
    third = Bored(tongue=0, bore=replace(HOLE, depth_mm=6.0))
    assert told(two, [*turned, third, tap(0, 110.0)]).jumps == (Jumps.SURELY, Jumps.NO)
    calm: list[Event] = [tap(0, 0.0), tap(1, 0.0), first, tap(0, 22.0), second, tap(0, 40.0)]
    assert told(two, calm).jumps == (Jumps.NO, Jumps.NO)


def test_a_tongue_that_jumps_a_little_twice_each_way_hops_too(two) -> None:
    """Bores of 5 cents each by the model; the tongue sounds now on this side of a gap, now on that."""
    events: list[Event] = [tap(0, 0.0), tap(1, 0.0)]
    for turn, heard in enumerate((-15.0, 12.0, -14.0, 13.0), start=1):
        assert told(two, events).jumps == (Jumps.NO, Jumps.NO)
        bore = Bored(tongue=0, bore=replace(HOLE, depth_mm=0.5 * turn))
        events += [bore, *(tap(0, heard) for _ in range(3))]
    assert told(two, events).jumps == (Jumps.SURELY, Jumps.NO)


def test_bores_that_miss_one_way_alone_are_no_jumps(two) -> None:
    """Each raises by 7 cents less than it should: that says how bores act here, not that two tones take turns."""
    events: list[Event] = [tap(0, 0.0), tap(1, 0.0)]
    for turn, heard in enumerate((-2.0, -4.0, -6.0, -8.0), start=1):
        bore = Bored(tongue=0, bore=replace(HOLE, depth_mm=0.5 * turn))
        events += [bore, *(tap(0, heard) for _ in range(3))]
        assert told(two, events).jumps == (Jumps.NO, Jumps.NO)


def test_two_odd_bores_that_agree_say_how_bores_act_there(two) -> None:
    """Each did two and a half times what it should: no slip does that twice."""
    other = replace(HOLE, x_mm=120.0)
    once: list[Event] = [tap(0, -300.0), tap(1, 0.0), Bored(tongue=0, bore=HOLE), tap(0, -175.0)]
    twice = [*once, Bored(tongue=0, bore=other), tap(0, -50.0)]
    assert told(two, once).action[0] < 1.1
    belief = told(two, twice)
    assert belief.action[0] == pytest.approx(2.5, rel=0.12) and belief.action_plus_minus[0] > 0.05
    assert belief.action[1] < 1.3 and belief.cents[0] == pytest.approx(-50.0, abs=2.0)
    apart = [*once, Bored(tongue=0, bore=other), tap(0, -270.0)]
    assert told(two, apart).action[0] < 1.15


def test_a_tongue_whose_wood_was_corrected_far_is_less_sure_to_answer_as_modelled(two) -> None:
    far = replace(two, corrected=-70.0)
    assert told(far, []).action_plus_minus[0] > 0.2 > told(two, []).action_plus_minus[0]
    assert told(replace(two, corrected=20.0), []).action_plus_minus[0] == told(two, []).action_plus_minus[0]


def test_a_trim_that_did_more_than_it_should_is_no_news_of_bores(two) -> None:
    """The tip was to be trimmed by what raises it 30 cents; it rose 45."""

    class Trim(Plain):
        def notes(self, state: Drum, *, bottom_on: bool = True) -> tuple[Note, Note]:
            cut = 180.0 - (state.tongues[0].length_mm or 180.0)
            return Note(sharp(200.0, 30.0 * cut)), Note(300.0)

    lengths = tuple(replace(t, length_mm=180.0) for t in two.design.tongues)
    drum = Trim(design=replace(two.design, tongues=lengths))
    belief = told(
        drum, [tap(0, -60.0), tap(1, 0.0), Trimmed(tongue=0, by_mm=1.0), tap(0, -15.0), tap(0, -15.0)]
    )
    assert belief.cents[0] == pytest.approx(-15.0, abs=1.5)
    assert belief.action[0] == pytest.approx(1.0, abs=0.15)


def test_taps_with_the_top_only_clamped_tell_of_the_glued_drum_and_what_to_tune_to_now(two) -> None:
    """Heard 60 and 40 cents flat, as a clamped top makes them: once glued in tune, but for the clamps' doubt."""
    taps = [replace(tap(n, CLAMPED[n]), top_glued=False) for n in (0, 1)]
    held = believe(two, taps, (200.0, 300.0))
    np.testing.assert_allclose(held.cents, 0.0, atol=1.0)
    assert 40.0 < held.plus_minus[0] < 50.0 and 25.0 < held.plus_minus[1] < 35.0
    assert held.pulled is not None and not held.pulled.top_glued
    np.testing.assert_allclose(held.pulled.cents, CLAMPED, atol=1.0)
    assert held.pulled.tune_to(0, 200.0)["top"] == "clamped"
    assert held.pulled.tune_to(0, 200.0)["tune_to_hz"] == pytest.approx(sharp(200.0, -60.0), abs=0.1)
    glued = believe(two, [*taps, tap(0, 20.0), tap(1, 10.0)], (200.0, 300.0))
    assert glued.pulled is None
    np.testing.assert_allclose(glued.cents, (20.0, 10.0), atol=1.0)
