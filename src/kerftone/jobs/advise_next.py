"""What should be done next at the bench? From the log, the model and what was heard."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.bench.limits import called
from kerftone.bench.replay import Bench
from kerftone.bench.standing import standings
from kerftone.drum.tongue_named import Named, on_paper, tongue_named
from kerftone.errors import EntryError, Remedy
from kerftone.jobs.advice_words import sentence
from kerftone.jobs.bench_standing import apart_words
from kerftone.jobs.drum_at_bench import opened
from kerftone.jobs.model_at_bench import calibrated
from kerftone.jobs.progress import Progress, job
from kerftone.tune.history import Tap

if TYPE_CHECKING:
    from kerftone.tune.advice import Advice
    from kerftone.tune.belief import Belief


@dataclass(frozen=True, kw_only=True)
class AdviceRequest:
    """Which drum; which tongue, from 1 (None: the one whose turn it is); whether full solves confirm the step."""

    drum: Path
    tongue: Named | None = None
    confirm: bool = False


@dataclass(frozen=True, kw_only=True)
class StepAdvised:
    """The next step, and what is believed of the drum.

    confirmed_cents: what two full solves give for the step; None where that was not asked.
    """

    advice: Advice
    belief: Belief
    bench: Bench
    confirmed_cents: float | None

    @property
    def sentence(self) -> str:
        """The step in the maker's words."""
        return sentence(self.advice, self.bench, self.belief.pulled)

    def then(self) -> list[dict[str, Any]]:
        """The other tongues in turn, as far as can be said before this step is taken and heard."""
        return then(self.advice, self.belief, self.bench.design.tuning.tolerance_cents)

    def remarks(self) -> list[str]:
        """What to know beside the step: why, what stands in its way, and what comes after it."""
        advice, design = self.advice, self.bench.design
        found = apart_words(standings(self.bench))
        found += [] if advice.bore is None else [f"Why: {advice.why}"]
        if not self.belief.tapped[advice.tongue]:
            found.append("It has not been tapped since it was cut last: tap it first, and the step is surer.")
        found += [
            f"{on_paper(design, number + 1)} cannot have its note: {words}"
            for number, words in advice.cannot
            if number != advice.tongue
        ]
        rest = self.then()
        bored = [
            f"{on_paper(design, one['tongue'])} {one['cents']:+.0f}"
            for one in rest
            if one["action"] == "bore"
        ]
        unheard = [on_paper(design, one["tongue"]) for one in rest if one["action"] == "tap"]
        found += [f"After it, as things stand, cents off: {', '.join(bored)}."] if bored else []
        return found + ([f"Not heard yet: {', '.join(unheard)}."] if unheard else [])

    @property
    def confirmed_words(self) -> str | None:
        """What the full solves say of the step; None where that was not asked."""
        if self.confirmed_cents is None:
            return None
        from kerftone.tune.confirm import apart

        words = f"Two solves of the whole drum give {self.confirmed_cents:+.0f} cents."
        if apart(self.advice.expected_cents or 0.0, self.confirmed_cents):
            words += " The two answers are apart: take half the step, tap, and ask again."
        return words

    def document(self) -> dict[str, Any]:
        """As JSON."""
        full = self.confirmed_cents
        whole = advice_record(self.advice, self.belief, self.bench)
        return whole | ({} if full is None else {"confirmed_cents": round(full, 3)})


@job
def advise_next(request: AdviceRequest, progress: Progress) -> StepAdvised:
    """Advise on the next step. Raises EntryError for a drum or a tongue that nobody has tapped."""
    with opened(request.drum) as drum:
        bench = drum.bench()
    tongue = None if request.tongue is None else tongue_named(bench.design, request.tongue)
    _check_heard(bench, tongue)
    from kerftone.tune.advise import advise, next_step

    instrument, belief = calibrated(bench, drum.file, progress)
    if tongue is None:
        advice = next_step(instrument, bench.drum, belief, bench.targets_hz)
    else:
        advice = advise(instrument, bench.drum, belief, tongue - 1, bench.targets_hz)
    instrument.save_tongues()
    full = _confirmed(advice, belief, bench, progress) if request.confirm else None
    return StepAdvised(advice=advice, belief=belief, bench=bench, confirmed_cents=full)


def _confirmed(advice: Advice, belief: Belief, bench: Bench, progress: Progress) -> float | None:
    """What the step does by full solves, as strongly as steps have been found to act in this tongue."""
    if advice.change is None:
        return None
    from kerftone.tune.confirm import fully_solved

    progress("Solving the whole drum before and after the step.")
    share = float(belief.action[advice.tongue]) if advice.bore is not None else 1.0
    return share * fully_solved(bench.drum, advice.change)


def _check_heard(bench: Bench, tongue: int | None) -> None:
    """Refuse to advise on what nobody has heard."""
    heard = {event.tongue + 1 for event in bench.events if isinstance(event, Tap)}
    if tongue is not None and heard and tongue not in heard:
        names = ", ".join(called(bench.design, number) for number in sorted(heard))
        raise EntryError(
            f"Nobody has tapped {called(bench.design, tongue)} yet. Advice needs to hear a tongue first: tap "
            f"it, or ask about one heard ({names}).",
            given=tongue,
            nearest=min(heard, key=lambda other: abs(other - tongue)),
            remedy=Remedy.RECORD_TAP,
        )
    if not heard:
        raise EntryError(
            "Nobody has tapped this drum yet. Advice needs to hear it first: tap each tongue, and record what it "
            "sounds.",
            remedy=Remedy.RECORD_TAP,
        )


def advice_record(advice: Advice, belief: Belief, bench: Bench) -> dict[str, Any]:
    """The advice as JSON.

    Some keys only where there is such a thing: `tap_too`, tongues to tap after the step beside its own, or
    once more where no step is left; `tap_finished`, tongues to tap once with the bottom clamped on; `cannot`,
    tongues that cannot be brought to their notes, and why; `by`, for slots sawn further or a trim (mm), or a
    weight (g); `offer`, where no such step is enough; `bottom`, `tune_to_hz`, `finished_hz` and
    `finished_plus_minus_cents`, while the bottom is not as in the finished drum: what to tune the tongue to
    now; what it would sound in the finished drum as it is now, as in `modes`; and how far off what it is then
    tuned to may be. `now_hz` and all cents are of the finished drum.

    Parameters
    ----------
    advice : Advice
        What is advised.
    belief : Belief
        What is believed of its pitches.
    bench : Bench
        The drum at the bench: its log, replayed.
    """
    bore = advice.bore

    def rounded(value: float | None, digits: int = 3) -> float | None:
        return None if value is None else round(float(value), digits)

    pulled = belief.pulled
    aim = {} if pulled is None else pulled.tune_to(advice.tongue, bench.targets_hz[advice.tongue])
    if aim:
        aim["finished_hz"] = rounded(advice.now_hz)
    return {
        "tongue": advice.tongue + 1,
        "now_hz": rounded(advice.now_hz),
        "now_cents": rounded(advice.now_cents),
        "action": advice.action,
        "bit_mm": None if bore is None else rounded(bore.diameter_mm),
        "depth_mm": None if bore is None else rounded(bore.depth_mm),
        "x_mm": None if bore is None else rounded(bore.x_mm),
        "y_mm": None if bore is None else rounded(bore.y_mm),
        "from_root_mm": rounded(advice.from_root_mm),
        "from_edge_mm": rounded(advice.from_edge_mm),
        "expected_cents": rounded(advice.expected_cents),
        "spread_cents": rounded(advice.spread_cents),
        "overshoot_chance": rounded(advice.overshoot_chance, 6),
        "left_under_mm": rounded(advice.left_under_mm),
        "then": then(advice, belief, bench.design.tuning.tolerance_cents),
        "why": advice.why,
    } | (aim | _further(advice))


def _further(advice: Advice) -> dict[str, Any]:
    """What only some advice has."""
    found: dict[str, Any] = {} if advice.by is None else {"by": round(advice.by, 3)}
    if advice.cannot:
        found["cannot"] = [{"tongue": number + 1, "why": why} for number, why in advice.cannot]
    if advice.tap_too:
        found["tap_too"] = [number + 1 for number in advice.tap_too]
    if advice.tap_finished:
        found["tap_finished"] = [number + 1 for number in advice.tap_finished]
    if advice.offer is not None:
        together = advice.offer.together
        found["offer"] = {
            "alone_semitones": advice.offer.alone,
            "together_cents": None if together is None else round(together, 1),
            "together_semitones": advice.offer.semitones,
        }
    return found


def then(advice: Advice, belief: Belief, tolerance: float) -> list[dict[str, Any]]:
    """The other tongues in turn, as far as can be said before this step is taken and heard.

    First those out of their band, the furthest off first; then those nobody has heard; then those in tune.

    Parameters
    ----------
    advice : Advice
        What is advised first.
    belief : Belief
        What is believed of its pitches.
    tolerance : float
        Half the width of the band that counts as in tune, in cents.
    """

    def action(number: int) -> str:
        if not belief.heard[number]:
            return "tap"
        return "leave" if abs(belief.cents[number]) <= tolerance else "bore"

    others = [number for number in range(len(belief.cents)) if number != advice.tongue]
    turns = {"bore": 0, "tap": 1, "leave": 2}
    others.sort(key=lambda number: (turns[action(number)], -abs(float(belief.cents[number]))))
    return [
        {"tongue": number + 1, "cents": round(float(belief.cents[number]), 3), "action": action(number)}
        for number in others
    ]
