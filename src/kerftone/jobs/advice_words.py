"""The advice at the bench in a maker's words: what to do, where, how deep, and what to tap after."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from kerftone.bench.replay import Bench
from kerftone.drum.design import TIP_WEIGHT_MM
from kerftone.drum.plan_lines import layout
from kerftone.drum.tongue_named import on_paper
from kerftone.jobs.air_asked import BOTTOM_WORDS, USUAL_AIR, bottom_listed
from kerftone.jobs.entry_words import flat_or_sharp
from kerftone.shop.measure import measure_of
from kerftone.tune.history import FILED_MM, Tap, same_hole
from kerftone.units import bit_width, format_length, tool_length

if TYPE_CHECKING:
    from kerftone.tune.advice import Advice
    from kerftone.tune.pull import Pulled


def sentence(advice: Advice, bench: Bench, pulled: Pulled | None = None) -> str:
    """The advice in the maker's words.

    Parameters
    ----------
    advice : Advice
        What is advised.
    bench : Bench
        The drum at the bench: its log, replayed.
    pulled : Pulled, optional
        How far the tongues sound from the finished drum's, where the bottom is otherwise just now.
    """
    said = _sentence(advice, bench, finished=pulled is None)
    return said if pulled is None else f"{said} {aim_words(advice, bench, pulled)}"


def aim_words(advice: Advice, bench: Bench, pulled: Pulled) -> str:
    """What to tune a tongue to while the bottom is not as in the finished drum, in words.

    Parameters
    ----------
    advice : Advice
        What is advised for it.
    bench : Bench
        The drum at the bench: its log, replayed.
    pulled : Pulled
        How far the tongues sound from the finished drum's.
    """
    target = bench.targets_hz[advice.tongue]
    aim = pulled.tune_to(advice.tongue, target)
    hz, how = f"{aim['tune_to_hz']:.1f} Hz", bottom_listed(pulled.bottom)
    how = how if pulled.top_glued else f"{how}, top only clamped"
    now = f"In tune now, {how}, is {hz}" if advice.change is None else f"Tune to {hz} now, {how}"
    sure = aim["finished_plus_minus_cents"]
    said = f"{now}; {_when_finished(bench)} it will sound {target:.1f} Hz (±{sure:.0f} cents)."
    known = sure <= bench.design.tuning.tolerance_cents
    if known or bench.design.bottom is None or not pulled.top_glued:
        return said
    return (
        f"{said} That ± is wide, for it hangs on where tones of the box and its breathing lie. Before its last "
        "bores tap it once with the bottom clamped on."
    )


def _when_finished(bench: Bench) -> str:
    return f"with {BOTTOM_WORDS[USUAL_AIR.state(bench.design)]}"


def _sentence(advice: Advice, bench: Bench, *, finished: bool) -> str:
    """The advice itself."""
    sounds = "sounds" if finished else f"{_when_finished(bench)} would now sound"
    now = f"{on_paper(bench.design, advice.tongue + 1)} {sounds} {flat_or_sharp(advice.now_cents)}."
    bore, root, edge = advice.bore, advice.from_root_mm, advice.from_edge_mm
    left, expected, spread = advice.left_under_mm, advice.expected_cents, advice.spread_cents
    units, on_rule = bench.design.units, measure_of(bench.design)
    if advice.by is not None and expected is not None and spread is not None:
        tip = on_rule(TIP_WEIGHT_MM)
        do = {
            "trim": f"{_trim(advice.by)} its tip by {tool_length(advice.by, units)}",
            "lengthen slots": f"Saw both its slots {tool_length(advice.by, units)} further at the root",
            "weight": f"Fix {advice.by:.1f} g under it, {tip} from the tip",
        }[advice.action]
        return (
            f"{now} {advice.why} {do}: expect {expected:+.0f} cents (±{spread:.0f}). {_taps(advice, bench)}"
        )
    if bore is None or root is None or edge is None or left is None or expected is None or spread is None:
        return f"{now} {advice.why}{_before_it_is_done(advice, bench)}"
    drum = bench.drum
    row = drum.tongues[advice.tongue].row
    assert row is not None
    if abs(bore.y_mm - layout(drum).centre_at_mm(row, bore.x_mm)) < 0.05:
        across = " on the centre line"
    else:
        across = f", {on_rule(edge)} from the front edge"
    width, depth = bit_width(bore.diameter_mm, units), tool_length(bore.depth_mm, units)
    before = next((old for old in drum.bores if same_hole(old, bore)), None)
    do = f"Bore {width} wide, {depth} deep,"
    if before is not None:
        do = f"Bore on in the {width} hole, from {tool_length(before.depth_mm, units)} to {depth} deep,"
    along = on_rule(root) if units == "in" else format_length(root, digits=0)
    return (
        f"{now} {do} {along} from the root{across}: expect {expected:+.0f} cents (±{spread:.0f}). "
        f"{tool_length(left, units)} stays. {_taps(advice, bench)}"
    )


def _taps(advice: Advice, bench: Bench) -> str:
    """What to tap after a step."""
    if not advice.tap_too:
        return "Then tap again."
    stands = "where it stands is" if len(advice.tap_too) == 1 else "where they stand is"
    return f"Then tap again, and {_tongues(advice.tap_too, bench)} too: {stands} not sure."


def _before_it_is_done(advice: Advice, bench: Bench) -> str:
    """What to tap where no step is left."""
    words = ""
    if advice.tap_too:
        lies = "it may lie" if len(advice.tap_too) == 1 else "they may lie"
        words = f" Tap {_tongues(advice.tap_too, bench)} once more and ask again: {lies} outside."
    if advice.tap_finished:
        them = "it" if len(advice.tap_finished) == 1 else "them"
        do, record, what = (
            ("Clamp the bottom on all round", "bottom", "the bottom pulls")
            if _top_glued(bench)
            else ("Glue the top on", "top", "the clamped top lowers")
        )
        words += (
            f" {do}, tap {_tongues(advice.tap_finished, bench)} once so, record that as {record} glued, and ask "
            f"again: how far {what} {them} is not known well enough yet."
        )
    return words


def _top_glued(bench: Bench) -> bool:
    """Whether the top was glued at the last tap."""
    taps = [event.top_glued for event in bench.events if isinstance(event, Tap)]
    return not taps or taps[-1]


def _tongues(numbers: Sequence[int], bench: Bench) -> str:
    *first, last = [on_paper(bench.design, number + 1) for number in numbers]
    return f"{', '.join(first)} and {last}" if first else last


def _trim(by_mm: float) -> str:
    """A little is filed, more is sawn."""
    return "File" if by_mm <= FILED_MM else "Trim"
