"""What the model predicts of one drum: the one answer that every job and every face shows a part of.

This is the only job that asks for a solve of the drum as drawn (finding lengths hands its own over), so that a drum
is solved once and the same numbers stand in table, JSON, report and page. What a solve said is kept beside the drum
file (`kerftone.modal.shelf`): the next question about the same drum is answered without one. Lengths in mm, pitches
in Hz, cents positive when sharp.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any

from kerftone.drum.design import Drum
from kerftone.drum.own_wood import gaps_in_words
from kerftone.drum.save import same_drum
from kerftone.errors import Remedy
from kerftone.jobs.air_asked import BOTTOM_WORDS, ON_WORDS, USUAL_AIR, AirAsked
from kerftone.jobs.tongue_prediction import TonguePrediction
from kerftone.modal.shelf import Shelf
from kerftone.pitch import cents, sharpened
from kerftone.tune.history import Bottom
from kerftone.wood.species import Scatter

if TYPE_CHECKING:
    from kerftone.air.notes_in_air import InAir, TongueInAir
    from kerftone.modal.result import Array, Modes, Solved
    from kerftone.modal.solve import Solution
    from kerftone.tune.fit import Fit

NOTHING_KEPT = Shelf()
LISTED = 20
"""How many modes are listed unless the maker asks for more or fewer."""
FAR_CENTS = 50.0
"""Farther than this below its aim or above its note, a tongue is cut for another note. Own judgement: half a
semitone, more than lengths rounded on a rule or bores made so far can bring about."""


@dataclass(frozen=True, kw_only=True)
class Prediction:
    """A drum, the modes of its wood (with their view), and what they say of each tongue, in the drum's order.

    live: the solved model itself; None where the answer was kept from an earlier solve. air: which air was asked for,
    and in_air what it does; None in vacuo. joints: how far each note falls, in cents, where the joint of this name
    holds in spots only (`tune/glue.py`). other_glue: how far each note moves, in cents, if the gap round a top on a
    ledge is filled, or left open; None where that was not worked out. gradients: how each note answers to the
    wood of each part, arrays (t, constants): see `kerftone.modal.sensitivity.wood_gradients`. rounded: how far
    rounding over the slots' edges moves each note, in cents: see `kerftone.modal.sensitivity.round_over_cents`.
    shelf: where what is asked of it besides is kept.
    """

    drum: Drum
    modes: Modes
    live: Solution | None
    tongues: tuple[TonguePrediction, ...]
    joints: Mapping[str, tuple[float, ...]]
    air: AirAsked | None = None
    in_air: InAir | None = None
    other_glue: tuple[float, ...] | None = None
    gradients: Mapping[str, Array] = field(default_factory=dict)
    shelf: Shelf = NOTHING_KEPT
    rounded: tuple[float, ...] = ()

    @property
    def modes_hz(self) -> list[float]:
        """The frequencies of all modes: of wood and air together, or in vacuo of the wood."""
        return [float(hz) for hz in (self.modes if self.in_air is None else self.in_air.modes).hz]

    @property
    def bottom(self) -> Bottom:
        """The state of the bottom, in one word; "glued" or "off" in vacuo, as in the file."""
        return (self.air or USUAL_AIR).state(self.drum)

    @property
    def bottom_words(self) -> str:
        """The same, in words that follow "with", after a top that is only clamped."""
        clamped = self.air is not None and self.air.top == "clamped"
        return ("the top only clamped, " if clamped else "") + BOTTOM_WORDS[self.bottom]

    @property
    def held_by(self) -> str:
        """What holds the wood whatever the drum file says of it, in words; empty where the file has the say."""
        return "" if self.air is None else ON_WORDS.get(self.air.on, "")

    def words(self) -> str:
        """The drum, how it stands and in which air, in a line."""
        count = len(self.drum.tongues)
        stands = self.held_by or ("held still below" if self.drum.box.stands == "held" else "standing free")
        air = "in vacuo"
        if self.air is not None:
            bottom = self.bottom_words.replace("the box ", "")
            air = f"{bottom}, in air of {self.air.temperature_c:g} °C"
        return f"{self.drum.name}: {count} tongue{'s' * (count != 1)}, {stands}, {air}"

    def document(self, *, count: int = LISTED) -> dict[str, Any]:
        """As JSON. `count`: how many modes it lists."""
        return {
            "warnings": [one.words for one in warnings(self)],
            "tongues": [
                tongue.document()
                | {"joint_falls_cents": {name: round(f[n], 2) for name, f in self.joints.items()}}
                | {"round_over_cents": round(self.rounded[n], 2)}
                for n, tongue in enumerate(self.tongues)
            ],
            **(
                {}
                if self.other_glue is None
                else {"other_glue_cents": [round(shift, 2) for shift in self.other_glue]}
            ),
            "modes_hz": [round(hz, 4) for hz in self.modes_hz[:count]],
            **({} if self.in_air is None else {"air": self._air_record(self.in_air)}),
            "model": {
                "unknowns": self.modes.unknowns,
                "seconds": round(self.modes.seconds, 3),
            },
        }

    def _air_record(self, found: InAir) -> dict[str, Any]:
        assert self.air is not None
        hz, q = found.breathing_hz, found.breathing_q
        return {
            "bottom": self.bottom,
            "breathing_hz": None if hz is None else round(hz, 3),
            "breathing_q": None if q is None else round(q, 2),
            "temperature_c": self.air.temperature_c,
            **({} if self.air.on == "nothing" else {"on": self.air.on}),
            **({} if self.air.top == "glued" else {"top": self.air.top}),
        }


def predict(
    drum: Drum,
    *,
    count: int = LISTED,
    shelf: Shelf = NOTHING_KEPT,
    air: AirAsked | None = USUAL_AIR,
    solving: Callable[[], object] = lambda: None,
) -> Prediction:
    """Solve this drum and the air in it, if the shelf does not have the answer, and read its notes.

    Raises OutlineError (or NeedsFitError), AirError and KerftoneError.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    count : int, optional
        How many modes.
    shelf : Shelf, optional
        Where answers are kept.
    air : AirAsked, optional
        The air and the bottom asked for; None leaves the air out.
    solving : Callable[[], object], optional
        Called before a solve, and not where the answer is kept: to say that it takes a while.
    """
    wood = drum if air is None else air.wood(drum)
    kept = shelf.solved(wood, count)
    with_air = None if air is None else air.kept(drum, count, shelf)
    if kept is not None and (air is None or with_air is not None):
        return _read(drum, kept, None, air, with_air, shelf)
    solving()
    from kerftone.modal.solve import solve
    from kerftone.modal.threads import load_ahead

    load_ahead("kerftone.modal.as_numbers", *(() if air is None else ("kerftone.air.answer",)))
    return _of_solution(drum, solve(wood, count), count, shelf, air)


def prediction_of_fit(found: Fit, drum: Drum, shelf: Shelf = NOTHING_KEPT) -> Prediction:
    """The prediction that a fit already holds, for its drum as the file now has it.

    Parameters
    ----------
    found : Fit
        With its full solve and the air.
    drum : Drum
        As the file now has it.
    shelf : Shelf, optional
        Where the answer is kept, if this is the drum that was solved.
    """
    same = same_drum(found.solution.drum, drum)
    from kerftone.modal.as_numbers import solved
    from kerftone.modal.threads import solver_threads

    with solver_threads():
        answer = solved(found.solution)
    kept = shelf if same else NOTHING_KEPT
    kept.keep(drum, LISTED, answer)
    USUAL_AIR.keep(drum, LISTED, kept, found.air)
    return _read(drum, answer, found.solution, USUAL_AIR, found.air, shelf)


def _of_solution(
    drum: Drum, solution: Solution, count: int, shelf: Shelf, air: AirAsked | None
) -> Prediction:
    from kerftone.modal.as_numbers import solved
    from kerftone.modal.threads import both, solver_threads

    # Both look up points in one mesh: its search tree is there since the solve looked up the strike points.
    with solver_threads():
        answer, found = both(
            partial(solved, solution),
            lambda: None if air is None else air.answer(drum, solution, count, shelf),
        )
    shelf.keep(drum if air is None else air.wood(drum), count, answer)
    return _read(drum, answer, solution, air, found, shelf)


def _read(
    drum: Drum,
    answer: Solved,
    live: Solution | None,
    air: AirAsked | None,
    in_air: InAir | None,
    shelf: Shelf,
) -> Prediction:
    from kerftone.modal.notes import read_notes
    from kerftone.tune.finish_worth import finish_cents
    from kerftone.tune.glue import falls_cents

    targets = drum.targets_hz
    aims = [sharpened(hz, drum.tuning.aim_cents) for hz in targets]
    wood = drum if air is None else air.wood(drum)
    told = _told(drum, answer, in_air)
    notes = read_notes(drum, answer.modes) if told is None else tuple(one.heard for one in told)
    spreads, before = _spreads(wood, answer)
    oiled = bool(drum.making.finish.dry_g_m2)
    finish = tuple(map(float, finish_cents(wood, answer.gradients))) if oiled else (0.0,) * len(notes)
    airs: tuple[TongueInAir | None, ...] = (None,) * len(notes) if told is None else told
    each = zip(
        drum.tongues, targets, aims, notes, zip(spreads, before, airs, finish, strict=True), strict=True
    )
    return Prediction(
        drum=drum,
        modes=answer.modes,
        live=live,
        air=air,
        in_air=in_air,
        joints={name: tuple(map(float, falls)) for name, falls in falls_cents(answer.joints).items()},
        gradients=answer.gradients,
        shelf=shelf,
        rounded=tuple(map(float, answer.rounded)),
        tongues=tuple(
            TonguePrediction(
                tongue=t,
                target_hz=target,
                aim_hz=aim,
                heard=heard,
                plus_minus_cents=spread,
                untested_cents=bare,
                in_air=one,
                finish_cents=coat,
            )
            for t, target, aim, heard, (spread, bare, one, coat) in each
        ),
    )


def _spreads(wood: Drum, answer: Solved) -> tuple[tuple[float, ...], tuple[float | None, ...]]:
    """The ± of each note, and what it was before the board was tapped; None where it was not."""
    from kerftone.tune.glue import with_glue_cents
    from kerftone.tune.spread import scatters, spreads_cents, untested

    spreads = with_glue_cents(spreads_cents(answer.gradients, scatters(wood)), answer.joints)
    if wood.top.board is None:
        return spreads, (None,) * len(spreads)
    return spreads, with_glue_cents(spreads_cents(answer.gradients, untested(wood)), answer.joints)


def _told(drum: Drum, answer: Solved, in_air: InAir | None) -> tuple[TongueInAir, ...] | None:
    if in_air is None:
        return None
    from kerftone.air.notes_in_air import tongues_in_air

    return tongues_in_air(drum, answer.modes, in_air)


def tap_test_gain(prediction: Prediction) -> str | None:
    """What the tap test of the board gained: the ± before and after; None when the board was not tapped."""
    befores = [tongue.untested_cents for tongue in prediction.tongues if tongue.untested_cents is not None]
    if not befores:
        return None
    afters = [tongue.plus_minus_cents for tongue in prediction.tongues]
    before, after = (f"{min(some):.0f} to {max(some):.0f}" for some in (befores, afters))
    return f"± {before} cents for an untested board of the species, ± {after} cents with {prediction.drum.top.board}"


def stand_ins(drum: Drum) -> tuple[str, ...]:
    """A sentence for each wood that is not fully known, so that other numbers stand in for its own."""
    parts = [("top", drum.top.wood, drum.top.scatter), ("box", drum.box.wood, drum.box.scatter)]
    if drum.bottom is not None:
        parts.append(("bottom", drum.bottom.wood, drum.bottom.scatter))
    used: dict[tuple[str, Scatter], list[str]] = {}
    for part, wood, scatter in parts:
        used.setdefault((wood, scatter), []).append(part)
    sentences = []
    for (wood, scatter), where in used.items():
        whose = f"{wood} ({', '.join(where)})"
        names = gaps_in_words([name for name, _ in scatter.own if name != "density"])
        if names:
            sentences.append(
                f"{whose}: its {' and '.join(names)} {'is' if len(names) == 1 else 'are'} not published. The "
                "mean of the other hardwoods stands in, and the ± is wider for it."
            )
        if "density" in dict(scatter.own):
            sentences.append(
                f"{whose}: its density is worked out from that of green wood, and the ± is wider for it."
            )
    return tuple(sentences)


@dataclass(frozen=True, kw_only=True)
class Warned:
    """One thing to be said first, and what this program offers against it."""

    words: str
    remedy: Remedy | None = None


def warnings(prediction: Prediction) -> tuple[Warned, ...]:
    """What is wrong with these notes, the worst first.

    To be said before anything else, wherever the notes are shown; it names no command: see `Warned.remedy`. Held by
    tests/jobs/test_prediction.py.
    """
    found = [_wrong_lengths(prediction), _borrowed(prediction)]
    return tuple(one for one in found if one is not None)


def _wrong_lengths(prediction: Prediction) -> Warned | None:
    far = [tongue for tongue in prediction.tongues if abs(_beyond_cents(tongue)) > FAR_CENTS]
    if not far:
        return None
    far.sort(key=lambda tongue: -abs(_beyond_cents(tongue)))
    named = ", ".join(_sounds(tongue, prediction) for tongue in far[:4])
    more = f" and {len(far) - 4} more" if len(far) > 4 else ""
    return Warned(
        words=f"These lengths do not sound these notes: {named}{more}. Do not saw by them: find the lengths anew, or "
        "change the notes.",
        remedy=Remedy.FIND_LENGTHS,
    )


def _beyond_cents(tongue: TonguePrediction) -> float:
    """How far a tongue is outside the range from its aim to its note, through which tuning takes it."""
    off = cents(tongue.heard.hz, tongue.target_hz)
    low, high = sorted((0.0, cents(tongue.aim_hz, tongue.target_hz)))
    return off - min(max(off, low), high)


def _sounds(tongue: TonguePrediction, prediction: Prediction) -> str:
    """One tongue that is far off: "C4 (R3) sounds A3, 335 cents flat"."""
    near = tongue.nearest(prediction.drum.tuning.reference_hz)
    off = tongue.cents_from_target
    sounds = f" sounds {near.name}," if near.name != tongue.tongue.note else " is"
    way = "flat" if off < 0 else "sharp"
    return f"{tongue.tongue.note} ({tongue.tongue.place}){sounds} {abs(off):.0f} cents {way}"


def _borrowed(prediction: Prediction) -> Warned | None:
    names = {one.tongue.place: one.tongue.note for one in prediction.tongues}
    borrowed = [one for one in prediction.tongues if one.heard.borrowed_from]
    if not borrowed:
        return None
    said = "; ".join(
        f"{one.tongue.note} ({one.tongue.place}) sounds the note of {names[one.heard.borrowed_from]} "
        f"({one.heard.borrowed_from}), {one.heard.hz:.1f} Hz"
        for one in borrowed
    )
    many = len(borrowed) > 1
    return Warned(
        words=f"{len(borrowed)} tongue{'s have' if many else ' has'} no note of {'their' if many else 'its'} own: "
        f"{said}. Boring will not part them: choose other places for them, or a stiffer box.",
    )
