"""The box as parts that meet: plain values of each wall, its steps, holes and corners, and of the whole.

The shop works them out (`kerftone.shop.box`); drawings and solids are made from them, so that paper, machine file
and solid are the same wood. Frame of the box: x along the length, y across from the front, z up from the
walls' lower edge; the outer rectangle begins at its left front corner. A wall has its own frame: u along it from
its left end as seen from outside, v in from its outer face, s up from its lower edge. All in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from kerftone.drum.arcs import ClosedPath, Point
from kerftone.drum.shop import FootRelief, Joint, WallName

EndKind = Literal["square", "mitre", "rabbet", "fingers"]
Fingers = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Rabbet:
    """A step along an inner edge of a wall: `width_mm` into its thickness, `depth_mm` of its height.

    `from_mm` and `to_mm` along the wall; `through` when the cut runs out at both ends.
    """

    edge: Literal["upper", "lower"]
    width_mm: float
    depth_mm: float
    from_mm: float
    to_mm: float
    through: bool


@dataclass(frozen=True, kw_only=True)
class LipStep:
    """The rabbet all round the face of a top or bottom that goes into the box; what stays of it is the lip.

    `width_mm` in from every edge, `depth_mm` of the thickness, `left_mm` what stays.
    """

    width_mm: float
    depth_mm: float
    left_mm: float


@dataclass(frozen=True, kw_only=True)
class WallHole:
    """One hole through a wall, for the bushing of `what`.

    Where the thread is shorter than the wall, a counterbore from the inner face, `wide_mm` across and `deep_mm`
    deep, lets it reach; `deep_mm` is 0 where none is needed.
    """

    what: Literal["jack", "volume control"]
    u_mm: float
    s_mm: float
    diameter_mm: float
    wide_mm: float = 0.0
    deep_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class SoundCut:
    """One sound hole through a wall or the bottom: round, or longer than wide a slot with round ends that lies along
    the part. `u_mm` and `s_mm` of its middle, in the frame of the wall, or of the bottom as seen from above."""

    u_mm: float
    s_mm: float
    wide_mm: float
    long_mm: float

    @property
    def is_round(self) -> bool:
        """Whether one bit makes it."""
        return self.long_mm - self.wide_mm < 1e-6

    @property
    def path(self) -> ClosedPath:
        """Its edge in the frame of its part, counter-clockwise; a bulge of 1 is half a circle."""
        u, s, r = self.u_mm, self.s_mm, 0.5 * self.wide_mm
        if self.is_round:
            return ClosedPath(points=((u, s - r), (u, s + r)), bulges=(1.0, 1.0))
        a, b = u - 0.5 * self.long_mm + r, u + 0.5 * self.long_mm - r
        return ClosedPath(
            points=((a, s - r), (b, s - r), (b, s + r), (a, s + r)), bulges=(0.0, 1.0, 0.0, 1.0)
        )


@dataclass(frozen=True, kw_only=True)
class RootBar:
    """The bar glued to the inner face of an end wall, under the top, in the wall's own frame.

    `from_mm` and `to_mm` along the wall, `low_mm` and `high_mm` from its lower edge, `thick_mm` in from its inner
    face.
    """

    from_mm: float
    to_mm: float
    low_mm: float
    high_mm: float
    thick_mm: float

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Length (along the grain), height, and width along the tongues."""
        return self.to_mm - self.from_mm, self.high_mm - self.low_mm, self.thick_mm


@dataclass(frozen=True, kw_only=True)
class Wall:
    """One wall as it is made.

    `length_mm` from long point to long point, `short_mm` along the inner face between the corner's cuts.
    `fingers_mm`: the heights (from, to) of the fingers that stay at both ends. `end_depth_mm`: what the corner
    rabbet takes from the inner face. `key_heights_mm`: middles of the key slots. The inset of `relief` is from
    this wall's own end.
    """

    name: WallName
    length_mm: float
    short_mm: float
    thickness_mm: float
    height_mm: float
    ends: EndKind
    end_depth_mm: float = 0.0
    fingers_mm: Fingers = ()
    rabbets: tuple[Rabbet, ...] = ()
    key_heights_mm: tuple[float, ...] = ()
    relief: FootRelief | None = None
    holes: tuple[WallHole, ...] = ()
    sound_holes: tuple[SoundCut, ...] = ()
    root_bar: RootBar | None = None

    def gaps_mm(self) -> Iterator[tuple[float, float]]:
        """The heights (from, to) between the fingers, where the ends are cut back."""
        marks = (0.0, *(height for finger in self.fingers_mm for height in finger), self.height_mm)
        yield from (
            (low, high) for low, high in zip(marks[::2], marks[1::2], strict=True) if high - low > 1e-9
        )

    def face(self) -> ClosedPath:
        """The edge of this wall seen square on, counter-clockwise: the same from inside as from outside.

        Held by tests/drum/test_joinery.py.
        """
        length, high = self.length_mm, self.height_mm
        right = self._end() if self.fingers_mm else [(length, 0.0), (length, high)]
        left = [(length - u, s) for u, s in reversed(right)]
        relief = self.relief_path()
        cut = [] if relief is None else list(zip(relief.points, relief.bulges, strict=True))
        corners = [(left[-1], 0.0), *cut, *((point, 0.0) for point in (*right, *left[:-1]))]
        return ClosedPath(points=tuple(p for p, _ in corners), bulges=tuple(bulge for _, bulge in corners))

    def _end(self) -> list[Point]:
        """The right end of a wall with fingers, from the lower edge up."""
        marks = sorted({0.0, self.height_mm, *(height for finger in self.fingers_mm for height in finger)})
        gaps = list(self.gaps_mm())
        points: list[Point] = []
        for low, high in pairwise(marks):
            cut = any(a <= 0.5 * (low + high) <= b for a, b in gaps)
            u = self.length_mm - (self.thickness_mm if cut else 0.0)
            points += [(u, low), (u, high)]
        return points

    def from_inside(self, hole: WallHole | SoundCut) -> Point:
        """The middle of a hole as it is seen from inside: from the left end there, over the lower edge."""
        return self.length_mm - hole.u_mm, hole.s_mm

    def sound_paths(self) -> tuple[ClosedPath, ...]:
        """The edges of the sound holes as seen from inside."""
        return tuple(
            cut.path.moved(lambda at: (self.length_mm - at[0], at[1]), turned_over=True)
            for cut in self.sound_holes
        )

    def relief_path(self) -> ClosedPath | None:
        """What the foot relief takes out of the face, from left to right; closed along the lower edge."""
        relief = self.relief
        if relief is None:
            return None
        a, b, rise = relief.inset_mm, self.length_mm - relief.inset_mm, relief.rise_mm
        if relief.shape == "straight":
            return ClosedPath(points=((a, 0.0), (a, rise), (b, rise), (b, 0.0)), bulges=(0.0,) * 4)
        # clockwise from left to right; the bulge of an arc is its rise over half its chord
        return ClosedPath(points=((a, 0.0), (b, 0.0)), bulges=(-2.0 * rise / (b - a), 0.0))

    def relief_radius_mm(self) -> float | None:
        """The radius of an arched relief; None for another or none."""
        if self.relief is None or self.relief.shape != "arch":
            return None
        half, rise = 0.5 * self.length_mm - self.relief.inset_mm, self.relief.rise_mm
        return (half * half + rise * rise) / (2.0 * rise)


@dataclass(frozen=True, kw_only=True)
class Box:
    """The whole box. `offset_mm` is from the outer face to the edge of the top, 0 where they are flush.

    `key_depth_mm` is square to the corner, from the corner in. `bottom_mm` is length, width and thickness;
    `bottom_low_mm` the height of its underside over the walls' lower edge, `flush_mm` that of the top's
    underside. `top_step`, `bottom_step`: the rabbet round a top or bottom on a lip. `bottom_holes`: sound holes, from
    the left front corner of its board, seen from above.
    """

    length_mm: float
    width_mm: float
    wall_mm: float
    wall_height_mm: float
    whole_height_mm: float
    walls: tuple[Wall, ...]
    joint: Joint
    offset_mm: float
    top_clearance_mm: float
    flush_mm: float
    bottom_mm: tuple[float, float, float] | None
    bottom_low_mm: float = 0.0
    let_in_mm: float = 0.0
    key_depth_mm: float = 0.0
    key_thick_mm: float = 0.0
    top_step: LipStep | None = None
    bottom_step: LipStep | None = None
    bottom_holes: tuple[SoundCut, ...] = ()

    def wall(self, name: WallName) -> Wall:
        """The wall of this name."""
        return next(wall for wall in self.walls if wall.name == name)

    @property
    def root_bar(self) -> RootBar | None:
        """The bar on either end wall; None where there is none."""
        return self.wall("left").root_bar

    @property
    def key_leg_mm(self) -> float:
        """How far along each wall a key's slot reaches from the corner."""
        return math.sqrt(2.0) * self.key_depth_mm
