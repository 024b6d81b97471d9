"""The whole surface closes, looks outwards, and moves as the solved modes say."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np
import pytest

from kerftone.modal.skin import PARTS, skin_of


@pytest.fixture(scope="module")
def skin(predicted: Any) -> Any:
    return skin_of(predicted.live, [one.heard.mode for one in predicted.tongues])


def test_the_surface_holds_the_volume_of_the_wood(predicted: Any, skin: Any) -> None:
    """By Gauss's theorem, which fails where a triangle looks inwards or is missing."""
    import ngsolve as ng

    a, b, c = skin.points_mm[skin.triangles].transpose(1, 0, 2)
    inside = float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)
    wood = float(ng.Integrate(1.0, predicted.live.space.mesh)) * 1e9
    assert inside == pytest.approx(wood, rel=1e-6)


def test_triangles_meet_edge_to_edge_across_the_flat(skin: Any) -> None:
    """Every side is gone along once each way, but where pieces of different fineness meet."""
    sides = Counter((int(t[k - 1]), int(t[k])) for t in skin.triangles for k in range(3))
    lonely = sum(count for (a, b), count in sides.items() if sides[b, a] != count)
    assert lonely < 0.1 * sum(sides.values())


def test_it_moves_up_and_down_as_loads_on_the_upper_face_say(predicted: Any, skin: Any) -> None:
    from kerftone.drum.outline import outline
    from kerftone.modal.solve import lifts_at

    drum = predicted.drum
    for number, (x, y) in enumerate(outline(drum).strike_points):
        near = int(np.linalg.norm(skin.points_mm - [x, y, drum.top.thickness_mm], axis=1).argmin())
        there = skin.points_mm[near, :2] + 1e-6 * (np.array([x, y]) - skin.points_mm[near, :2])
        said = lifts_at(predicted.live, [tuple(there)])[0, predicted.tongues[number].heard.mode]
        assert abs(said) > 0.1
        assert skin.moved[number, near, 2] == pytest.approx(said, rel=1e-3)


def test_every_part_is_there_and_lies_where_it_should(predicted: Any, skin: Any) -> None:
    drum = predicted.drum
    height = skin.points_mm[skin.triangles][:, :, 2]
    for number, part in enumerate(PARTS):
        own = height[skin.part == number]
        if part == "bottom" and drum.bottom is None:
            assert len(own) == 0
            continue
        assert len(own) > 0
        if part == "top":
            assert own.min() >= -1e-6 and own.max() == pytest.approx(drum.top.thickness_mm, abs=1e-6)
        else:
            assert own.max() <= 1e-6
