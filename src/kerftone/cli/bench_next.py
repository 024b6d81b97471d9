"""`kerftone bench next`: the next step at the bench, from the log, the model and what was heard."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.bench.limits import called, tongue_of
from kerftone.bench.replay import Bench
from kerftone.cli.bench_words import tell_edits
from kerftone.cli.screen import emit, say, show
from kerftone.draw.cautions import CAUTIONS
from kerftone.draw.labels import on_rule
from kerftone.drum.design import TIP_WEIGHT_MM
from kerftone.errors import EntryError
from kerftone.jobs.drum_at_bench import opened
from kerftone.jobs.entry_words import flat_or_sharp
from kerftone.tune.history import FILED_MM, Tap, same_hole, states
from kerftone.units import bit_width, format_length, tool_length

if TYPE_CHECKING:
    from kerftone.tune.advice import Advice
    from kerftone.tune.belief import Belief
    from kerftone.tune.instrument import Instrument

CACHE = "bench.cache"
"""The folder beside the drum where solved frames are kept; safe to delete."""
WARNED = ("First", "Boring", "Dust")


def run(given: Path, tongue: int | None, *, confirm: bool = False, as_json: bool) -> None:
    """Say what to do next, to this tongue or to the one whose turn it is; `confirm` it by full solves."""
    with opened(given) as drum:
        bench = drum.bench()
    _check_heard(bench, tongue)
    tell_edits(bench)
    from kerftone.tune.advise import advise, next_step

    instrument, belief = calibrated(bench, drum.file.parent / CACHE)
    if tongue is None:
        advice = next_step(instrument, bench.drum, belief, bench.targets_hz)
    else:
        advice = advise(instrument, bench.drum, belief, tongue - 1, bench.targets_hz)
    instrument.put_by()
    full = _confirmed(advice, belief, bench) if confirm else None
    if as_json:
        emit(document(advice, belief, bench) | ({} if full is None else {"confirmed_cents": round(full, 3)}))
        return
    _show(advice, belief, bench)
    if full is not None:
        _show_confirmed(advice, full)


def calibrated(bench: Bench, cache: Path) -> tuple[Instrument, Belief]:
    """The drum's model, each tongue as stiff as its first tap says, and what all taps say of the drum now."""
    from kerftone.tune.belief import believe, grained
    from kerftone.tune.instrument import Instrument

    plain = Instrument(design=bench.design, cache=cache, progress=say)
    plain.prepare(states(bench.design, bench.events), bottom_on=bench.design.bottom is not None)
    instrument = grained(plain, bench.events)
    return instrument, believe(instrument, bench.events, bench.targets_hz)


def _confirmed(advice: Advice, belief: Belief, bench: Bench) -> float | None:
    """What the step does by full solves, as strongly as steps have been found to act in this tongue."""
    if advice.change is None:
        return None
    from kerftone.tune.confirm import fully_solved

    say("Solving the whole drum before and after the step.")
    share = float(belief.action[advice.tongue]) if advice.bore is not None else 1.0
    return share * fully_solved(bench.drum, advice.change)


def _show_confirmed(advice: Advice, full: float) -> None:
    from kerftone.tune.confirm import apart

    said = advice.expected_cents or 0.0
    words = f"Two solves of the whole drum give {full:+.0f} cents."
    if apart(said, full):
        words += " The two answers are apart: take half the step, tap, and ask again."
    show(words, wrap=True)


def _check_heard(bench: Bench, tongue: int | None) -> None:
    """Refuse to advise on what nobody has heard."""
    heard = {event.tongue + 1 for event in bench.events if isinstance(event, Tap)}
    if tongue is not None:
        tongue_of(bench.design, tongue)
        if heard and tongue not in heard:
            names = ", ".join(str(number) for number in sorted(heard))
            raise EntryError(
                f"Nobody has tapped {called(bench.design, tongue)} yet. Advice needs to hear a tongue first: record "
                f"it with `kerftone bench tap --tongue {tongue} --hz ...`, or ask about one heard ({names}).",
                given=tongue,
                nearest=min(heard, key=lambda other: abs(other - tongue)),
            )
    if not heard:
        raise EntryError(
            "Nobody has tapped this drum yet. Advice needs to hear it first: tap each tongue, and record what it "
            f"sounds with `kerftone bench tap --tongue {tongue or 1} --hz ...`."
        )


def document(advice: Advice, belief: Belief, bench: Bench) -> dict[str, Any]:
    """The advice as JSON.

    Some keys only where there is such a thing: `tap_too`, tongues to tap after the step beside its own, or once more
    where no step is left; `cannot`, tongues that cannot be brought to their notes, and why; `by`, for slots sawn
    further or a trim (mm), or a weight (g); `offer`, where no such step is enough.
    """
    bore = advice.bore

    def rounded(value: float | None, digits: int = 3) -> float | None:
        return None if value is None else round(float(value), digits)

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
    } | _further(advice)


def _further(advice: Advice) -> dict[str, Any]:
    """What only some advice has."""
    found: dict[str, Any] = {} if advice.by is None else {"by": round(advice.by, 3)}
    if advice.cannot:
        found["cannot"] = [{"tongue": number + 1, "why": why} for number, why in advice.cannot]
    if advice.tap_too:
        found["tap_too"] = [number + 1 for number in advice.tap_too]
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


def sentence(advice: Advice, bench: Bench) -> str:
    """The advice in the maker's words."""
    now = f"Tongue {advice.tongue + 1} sounds {flat_or_sharp(advice.now_cents)}."
    bore, root, edge = advice.bore, advice.from_root_mm, advice.from_edge_mm
    left, expected, spread = advice.left_under_mm, advice.expected_cents, advice.spread_cents
    units = bench.design.units
    if advice.by is not None and expected is not None and spread is not None:
        tip = on_rule(TIP_WEIGHT_MM, units)
        do = {
            "trim": f"{_trim(advice.by)} its tip by {tool_length(advice.by, units)}",
            "lengthen slots": f"Saw both its slots {tool_length(advice.by, units)} further at the root",
            "weight": f"Fix {advice.by:.1f} g under it, {tip} from the tip",
        }[advice.action]
        return f"{now} {advice.why} {do}: expect {expected:+.0f} cents (±{spread:.0f}). {_taps(advice)}"
    if bore is None or root is None or edge is None or left is None or expected is None or spread is None:
        return f"{now} {advice.why}{_before_it_is_done(advice)}"
    drum = bench.drum
    row = drum.tongues[advice.tongue].row
    assert row is not None
    from kerftone.drum.outline import layout

    if abs(bore.y_mm - layout(drum).centre_mm(row)) < 0.05:
        across = " on the centre line"
    else:
        across = f", {on_rule(edge, units)} from the front edge"
    width, depth = bit_width(bore.diameter_mm, units), tool_length(bore.depth_mm, units)
    before = next((old for old in drum.bores if same_hole(old, bore)), None)
    do = f"Bore {width} wide, {depth} deep,"
    if before is not None:
        do = f"Bore on in the {width} hole, from {tool_length(before.depth_mm, units)} to {depth} deep,"
    along = on_rule(root, "in") if units == "in" else format_length(root, digits=0)
    return (
        f"{now} {do} {along} from the root{across}: expect {expected:+.0f} cents (±{spread:.0f}). "
        f"{tool_length(left, units)} stays. {_taps(advice)}"
    )


def _taps(advice: Advice) -> str:
    """What to tap after a step."""
    if not advice.tap_too:
        return "Then tap again."
    stands = "where it stands is" if len(advice.tap_too) == 1 else "where they stand is"
    return f"Then tap again, and {_tongues(advice.tap_too)} too: {stands} not sure."


def _before_it_is_done(advice: Advice) -> str:
    """What to tap where no step is left."""
    if not advice.tap_too:
        return ""
    lies = "it may lie" if len(advice.tap_too) == 1 else "they may lie"
    return f" Tap {_tongues(advice.tap_too)} once more and ask again: {lies} outside."


def _tongues(numbers: Sequence[int]) -> str:
    *first, last = [str(number + 1) for number in numbers]
    return f"tongues {', '.join(first)} and {last}" if first else f"tongue {last}"


def _trim(by_mm: float) -> str:
    """A little is filed, more is sawn."""
    return "File" if by_mm <= FILED_MM else "Trim"


def _show(advice: Advice, belief: Belief, bench: Bench) -> None:
    show(sentence(advice, bench), wrap=True)
    if advice.bore is not None:
        say(f"Why: {advice.why}", wrap=True)
    if not belief.tapped[advice.tongue]:
        say("It has not been tapped since it was cut last: tap it first, and the step is surer.", wrap=True)
    rest = then(advice, belief, bench.design.tuning.tolerance_cents)
    told = [f"{one['tongue']} ({one['cents']:+.0f})" for one in rest if one["action"] == "bore"]
    unheard = [str(one["tongue"]) for one in rest if one["action"] == "tap"]
    for number, words in advice.cannot:
        if number != advice.tongue:
            say(f"Tongue {number + 1} cannot have its note: {words}", wrap=True)
    if told:
        say(f"After it, as things stand: tongue{'s' * (len(told) > 1)} {', '.join(told)}.", wrap=True)
    if unheard:
        say(f"Not heard yet: tongue{'s' * (len(unheard) > 1)} {', '.join(unheard)}.", wrap=True)
    if advice.bore is not None:
        say("")
        for head, words in CAUTIONS:
            if head in WARNED:
                say(f"{head}: {words}", wrap=True)
