"""A drum struck on its walls, its bottom and the wood beside the tongues."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.errors import EntryError
from kerftone.jobs.prediction import Prediction
from kerftone.jobs.preview_sound import SoundRequest, preview_sound, struck_in_turn
from kerftone.jobs.struck_places import lifts_of, places_beside, struck, struck_places
from kerftone.modal.shelf import Shelf
from kerftone.sound.mallet import SOFT_RUBBER, WOOD, Mallet
from kerftone.sound.render import SoundError

from ..drums import REED, WREN


def peak_hz(prediction: Prediction, place: str, mallet: Mallet) -> float:
    """The loudest tone of the sound after one blow there."""
    places = struck_places(prediction.drum, place)
    sound = struck_in_turn(prediction, struck(prediction, places, Shelf()), 1, mallet)
    begin = int(np.argmax(abs(sound.samples) > 1e-4)) + round(0.005 * sound.rate_hz)
    ringing = sound.samples[begin : begin + sound.rate_hz // 2]
    level = abs(np.fft.rfft(ringing * np.hanning(2 * len(ringing))[len(ringing) :], 4 * len(ringing)))
    return float(np.fft.rfftfreq(4 * len(ringing), 1.0 / sound.rate_hz)[level.argmax()])


def test_a_knock_on_a_wall_sounds_the_box_and_one_on_a_tongue_its_note(predicted: Prediction) -> None:
    assert predicted.in_air is not None
    hz, notes = predicted.in_air.modes.hz, [one.heard.hz for one in predicted.tongues]
    tongue, wall = peak_hz(predicted, "L1", SOFT_RUBBER), peak_hz(predicted, "wall:front", WOOD)
    assert tongue == pytest.approx(notes[0], rel=0.01)
    assert min(abs(hz / wall - 1.0)) < 0.01, "a motion of the drum"
    assert min(abs(np.array(notes) / wall - 1.0)) > 0.05, "and none of its notes"
    (front,) = struck_places(predicted.drum, "front wall")
    lift = abs(struck(predicted, [front], Shelf()).strike[0])
    box = int(abs(hz / wall - 1.0).argmin())
    assert lift[box] > 3.0 * max(lift[predicted.in_air.owns]), "which moves that wall more than any note does"


def test_the_model_moves_each_place_as_its_modes_do(predicted: Prediction) -> None:
    """Opposite walls of a drum: the rigid box between them moves both alike, one outwards where the other goes in."""
    assert predicted.live is not None
    places = {place.name: place for place in places_beside(predicted.drum)}
    top = [places["front rail"], places["back rail"]]
    lift = lifts_of(predicted.live, top)
    from kerftone.modal.solve import lifts_at

    told = lifts_at(predicted.live, [place.at_mm[:2] for place in top])
    assert lift == pytest.approx(told, rel=0.02, abs=0.02 * abs(told).max())


@pytest.mark.parametrize(
    "typed, name",
    [
        ("wall:front", "front wall"),
        ("Front Wall", "front wall"),
        ("the left wall", "left wall"),
        ("rail:back", "back rail"),
        ("rail:left", "left end"),
        ("end right", "right end"),
        ("bottom", "bottom"),
        ("L1", "L1 (D4)"),
        ("a4", "R1 (A4)"),
    ],
)
def test_a_place_is_called_as_on_paper_however_it_is_typed(typed: str, name: str) -> None:
    (place,) = struck_places(parse_drum(REED), typed)
    assert place.name == name


def test_walls_are_struck_in_their_middle_from_outside_and_off_a_sound_hole() -> None:
    (front,) = struck_places(parse_drum(REED), "front wall")
    assert (front.at_mm, front.out) == ((200.0, 0.0, -45.0), (0.0, -1.0, 0.0))
    holed = parse_drum(f'{REED}[[sound_holes]]\npart = "front"\ndiameter = 30\n')
    (front,) = struck_places(holed, "front wall")
    assert front.at_mm == (100.0, 0.0, -45.0)


@pytest.mark.refusal
@pytest.mark.parametrize("typed", ["lid", "bottom", "L1, ceiling"])
def test_what_cannot_be_struck_is_refused_with_what_can(typed: str) -> None:
    with pytest.raises(EntryError, match="Beside the tongues there are front rail, back rail, left end"):
        struck_places(parse_drum(WREN), typed)


@pytest.mark.refusal
def test_places_to_strike_and_the_pickup_are_not_heard_at_once(tmp_path: Path) -> None:
    (tmp_path / "drum.toml").write_text(f"{WREN}[pickup]\n")
    asked = SoundRequest(drum=tmp_path, output=tmp_path / "a.wav", through="pickup", strike="front wall")
    with pytest.raises(SoundError, match="leave one of the two out"):
        preview_sound(asked)
