"""Drums whose lengths are fractions of an inch, or round, can be cut into triangles: nothing is solved here."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.errors import OutlineError
from kerftone.modal import plan as planned
from kerftone.modal.plan import SLIVER_MM, Fineness, plan
from kerftone.pitch import note_name
from kerftone.tune.before_search import aims_hz, started_drum
from kerftone.tune.begin import USUAL, first_drum

DRUMS = 60


def on_fractions(seed: int) -> Drum:
    """A drum drawn by chance with all its lengths on one fraction of an inch, or of a millimetre."""
    draw = random.Random(seed)
    units = draw.choice(["mm", "in"])
    notes = sorted(draw.sample(range(52, 80), draw.randint(1, 12)))
    drum = first_drum(
        "T", [note_name(n) for n in notes], "cherry", units=units, sizes=draw.choice(USUAL[units].sizes)
    )
    drum = started_drum(drum, aims_hz(drum))
    step = draw.choice([25.4 / 32, 25.4 / 64, 25.4 / 128, 0.5, 0.25, 0.05])

    def put(mm: float) -> float:
        return round(mm / step) * step

    slots = replace(
        drum.slots,
        end_margin_mm=put(drum.slots.end_margin_mm) + step,
        side_margin_mm=put(drum.slots.side_margin_mm),
        tongue_end=draw.choice(["square", "round", "slant", "curve"]),
        stop_hole_mm=draw.choice([0.0, 0.0, 6.35]),
    )
    top = replace(drum.top, length_mm=put(drum.top.length_mm + 8.0), width_mm=put(drum.top.width_mm))
    lengths = tuple(put(tongue.length_mm or 0.0) for tongue in drum.tongues)
    return replace(drum, slots=slots, top=top).with_lengths(lengths)


def test_every_drum_that_can_be_sawn_can_be_cut_into_triangles_of_the_same_area() -> None:
    cut = 0
    for seed in range(DRUMS):
        drum = on_fractions(seed)
        try:
            check_outline(drum)
        except OutlineError:
            continue
        found = plan(drum, Fineness(order=2))
        (x0, y0), (x1, y1), (x2, y2) = (found.points_mm[found.triangles[:, n]].T for n in range(3))
        drawn = outline(drum, tolerance_mm=Fineness().curve_mm, same_area=True)
        area = 0.5 * abs((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)).sum()
        assert area == pytest.approx(drawn.top.intersection(drawn.box_inner).area, rel=SLIVER_MM * 0.01), seed
        cut += 1
    assert cut > 0.6 * DRUMS


@pytest.mark.refusal
def test_where_the_mesher_finds_no_triangles_smaller_ones_are_tried_and_then_it_is_said(monkeypatch) -> None:
    drum = on_fractions(0)
    sizes: list[float] = []
    real = planned.SplineGeometry

    class Fails(real):  # type: ignore[misc, valid-type]
        def GenerateMesh(self, maxh: float, grading: float):
            sizes.append(maxh)
            if len(sizes) < least:
                raise planned.NgException("meshing failed")
            return real.GenerateMesh(self, maxh=maxh, grading=grading)

    monkeypatch.setattr(planned, "SplineGeometry", Fails)
    least = 3
    plan(drum, Fineness())
    assert len(sizes) >= 3 and sizes[0] > sizes[1] > sizes[2]
    least = 1000
    with pytest.raises(OutlineError, match="tenth of a millimetre"):
        plan(drum, Fineness())
