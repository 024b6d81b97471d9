"""What is said to a maker of the next step: its values, and its words.

Nothing is decided here; `advise.py` does that. Cents are positive when sharp; lengths in mm, seen from above.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from kerftone.drum.design import Bore, Drum
from kerftone.drum.tongue_named import on_paper
from kerftone.pitch import note_name, note_number, sharpened
from kerftone.tune.history import Bored, Change, Lengthened, Trimmed
from kerftone.tune.offer import Offer
from kerftone.tune.tones import Tone
from kerftone.tune.trial import Need, Trial

Action = Literal["bore", "lengthen slots", "trim", "weight", "leave", "stop"]
MAY_BE_BARRED = 0.1
"""The chance that a tone of the box keeps a tongue from its note at which that is said."""


@dataclass(frozen=True, kw_only=True)
class Advice:
    """The next step for one tongue. Lengths, cents and Hz as in the module; None where the step has no such thing.

    change: the step as the log would have it. expected_cents ± spread_cents: what it does to this tongue.
    others: how far other tongues move along. tap_too: other tongues to be tapped after it; where no step is
    left, tongues to be tapped again before they are called done. tap_finished: those to be tapped with the
    bottom clamped on, where no step is left that would be safe without it. offer: what else the drum could be
    tuned to, where no bore helps and no other step is enough. cannot: tongues that cannot be brought to their
    notes, and why.
    """

    tongue: int
    action: Action
    now_hz: float
    now_cents: float
    plus_minus_cents: float
    why: str
    change: Change | None = None
    from_root_mm: float | None = None
    from_edge_mm: float | None = None
    expected_cents: float | None = None
    spread_cents: float | None = None
    overshoot_chance: float | None = None
    left_under_mm: float | None = None
    clarity: float | None = None
    others: tuple[tuple[int, float], ...] = ()
    tap_too: tuple[int, ...] = ()
    tap_finished: tuple[int, ...] = ()
    offer: Offer | None = None
    cannot: tuple[tuple[int, str], ...] = ()

    @property
    def bore(self) -> Bore | None:
        """The bore to make, if the step is one."""
        return self.change.bore if isinstance(self.change, Bored) else None

    @property
    def by(self) -> float | None:
        """How many mm to trim or to saw further, or how many grams to fix; None for a bore or no step."""
        if self.change is None or isinstance(self.change, Bored):
            return None
        return self.change.by_mm if isinstance(self.change, Lengthened | Trimmed) else self.change.grams


@dataclass(frozen=True, kw_only=True)
class Now:
    """Where a tongue stands: the part of every advice that is the same."""

    tongue: int
    now_hz: float
    now_cents: float
    plus_minus_cents: float

    def says(self, action: Action, why: str) -> Advice:
        """This of it, without a step."""
        return Advice(
            tongue=self.tongue,
            action=action,
            now_hz=self.now_hz,
            now_cents=self.now_cents,
            plus_minus_cents=self.plus_minus_cents,
            why=why,
        )


def now_of(need: Need, targets_hz: Sequence[float]) -> Now:
    """Where the tongue of this need stands."""
    return Now(
        tongue=need.number,
        now_hz=targets_hz[need.number] * 2.0 ** (need.cents / 1200.0),
        now_cents=need.cents,
        plus_minus_cents=need.plus_minus,
    )


def off_words(need: Need) -> str:
    """How far off a tongue is, in words."""
    return f"{abs(need.cents):.0f} cents {'flat' if need.cents < 0 else 'sharp'} (±{need.plus_minus:.0f})"


def why_bored(best: Trial, need: Need, moved: Sequence[float], number: int, drum: Drum) -> str:
    """Why a bore, and what it leaves, in words.

    Parameters
    ----------
    best : Trial
        The bore, tried on the model.
    need : Need
        What is to be done to the tongue.
    moved : Sequence[float]
        How far each tongue is moved by it, in cents.
    number : int
        Which tongue, counted from 0.
    drum : Drum
        The drum as it stands, in mm.
    """
    left = need.cents + best.effect
    words = f"It is {off_words(need)}. This bore is expected to leave it {abs(left):.0f} cents "
    words += "flat" if left < 0 else "sharp"
    if abs(best.effect) < 0.8 * abs(need.wanted):
        words += ", short of its note on purpose: what it really does is learnt before the next"
    elif abs(left) > need.tolerance:
        words += ", where its neighbours will carry it along"
    return words + along(moved, number, drum) + "."


def warned(need: Need) -> str:
    """What may yet keep it from its note, in words."""
    if need.tone is None or need.tone.chance < MAY_BE_BARRED:
        return ""
    words = beside(need.tone)
    return f" {words[0].upper()}{words[1:]}: it may turn out to keep it from there ({need.tone.chance:.0%})."


def along(moved: Sequence[float], number: int, drum: Drum) -> str:
    """How far the other tongues move along with a step, in words.

    Parameters
    ----------
    moved : Sequence[float]
        Cents that each tongue moves, in the drum's order.
    number : int
        The tongue that is worked on, from 0; it is left out.
    drum : Drum
        Which names the tongues.
    """
    told = [
        f"{on_paper(drum, other + 1)} moves {by:+.0f}"
        for other, by in enumerate(moved)
        if other != number and abs(by) >= 1.0
    ]
    return "; " + ", ".join(told) if told else ""


def why_barred(need: Need) -> str:
    """What keeps a tongue from its note, in words."""
    assert need.tone is not None
    of, change = "of the woods that the box may be of", "a bar glued inside a wall, a weight on it"
    if need.tone.breathing:
        of, change = "of the places where it may lie", "a sound hole lets it breathe faster"
    return (
        f"{beside(need.tone)}. The two share this tongue: as it is tuned, the louder jumps over its note from one "
        f"side of that tone to the other, by the model with {need.tone.chance:.0%} {of}. Do not bore to find out: "
        f"give it another note, or change the box ({change}) and tap again. Asked for by its place or number, it is "
        "advised on all the same."
    )


def beside(tone: Tone) -> str:
    """Where a tone of the box lies, in words."""
    way = "above" if tone.apart_cents > 0.0 else "below"
    which = "the breathing of the box" if tone.breathing else "a tone of the box"
    return f"{which} lies about {abs(tone.apart_cents):.0f} cents {way} its note"


def unknown_pull(need: Need) -> str:
    """That a tap with the bottom clamped on must come first, in words."""
    return f"It is {off_words(need)}, and no step is safe until it is known how far off the finished drum it sounds."


def offered(found: Offer, number: int, state: Drum) -> str:
    """What else could be had, in words, and what to write in the drum file for it.

    Parameters
    ----------
    found : Offer
        What it could be tuned to instead.
    number : int
        Which tongue, counted from 0.
    state : Drum
        The drum as it stands now.
    """
    words = []
    if found.alone is not None:
        note = note_name(
            note_number(state.tongues[number].note) + found.alone, flats="b" in state.tongues[number].note
        )
        words.append(f"{on_paper(state, number + 1)} alone can still become {note}")
    if found.together is not None and round(found.together):
        hz = sharpened(state.tuning.reference_hz, found.together)
        way = "higher" if found.together > 0.0 else "lower"
        words.append(
            f"all tongues together can be in tune {abs(found.together):.0f} cents {way} "
            f"([tuning] reference_hz = {hz:.1f})"
        )
    if found.semitones is not None:
        count, way = abs(found.semitones), "higher" if found.semitones > 0 else "lower"
        words.append(f"or all of them {count} semitone{'s' * (count > 1)} {way}")
    if not words:
        return "By the map, no other note within an octave can be reached by all of them either."
    return f"By the map, with caution: {'; '.join(words)}. Write what you choose in the drum file, and ask again."
