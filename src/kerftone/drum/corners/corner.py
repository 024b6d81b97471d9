"""What a way of joining walls at the corners must say of itself: its shape, its settings, its steps, its checks.

A joint is one class here, and one module in this folder. Two frames: of a wall, u along it from its left end as seen
from outside, v in from its outer face, s up from its lower edge; of the whole box see `joinery.py`. All in mm.
Everything about a single wall is asked of the joint whose kind its ends are (`end_of`): the end walls of a box with
rabbets at the corners are square, as those of a butt joint.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from kerftone.drum.arcs import Point
from kerftone.drum.design import Box as BoxWished
from kerftone.drum.joinery import Box, EndKind, Fingers, Wall
from kerftone.drum.shop import Joint
from kerftone.units import Units

Say = Callable[[float], str]
"""A length in words, as the maker reads lengths."""
Heights = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Ends:
    """How one wall ends, both ends alike.

    `back_mm`: how far inside the box's corner it begins. `cut_mm`: how far the corner's cut reaches along its inner
    face. `depth_mm`: what a rabbet takes from the inner face. `fingers_mm`: the heights of the fingers that stay.
    """

    kind: EndKind
    back_mm: float = 0.0
    cut_mm: float = 0.0
    depth_mm: float = 0.0
    fingers_mm: Fingers = ()


@dataclass(frozen=True, kw_only=True)
class EndCut:
    """What is cut from the left end of a wall; from the right end the same, mirrored.

    `profile_mm`: the new end seen from above, (u, v) from the outer to the inner face. `heights_mm`: where it is cut;
    above and below the end stays square.
    """

    profile_mm: tuple[Point, ...]
    heights_mm: Heights


class Corner:
    """One way of joining the walls. What most joints do not have is said here once."""

    joint: Joint
    kind: EndKind
    """The kind of ends that are this joint's own."""
    how: str
    """Which sentence of `steps.toml` says how it is cut."""
    glued: str | None = None
    """Which sentence there says what is different in gluing; None for nothing."""
    layer: str | None = None
    """On which layer of a machine's file its cuts are: "rabbets", areas to clear, or "mitres", lines; None: none."""

    def ends(self, wall_mm: float, height_mm: float, *, long_one: bool) -> Ends:
        """How a wall of this thickness and height ends; `long_one` for the front and the back.

        Parameters
        ----------
        wall_mm : float
            Thickness of the walls, in mm.
        height_mm : float
            Of the walls, in mm.
        long_one : bool
            Whether it is the front or the back.
        """
        raise NotImplementedError

    def runs_out(self, ends: Ends, wall_mm: float, *, beside_mm: float, step_mm: float) -> bool:
        """Whether a step along the inner edge may be cut from end to end without showing at the corner.

        `beside_mm` of the wall stay beside the step, `step_mm` is how far it goes up or down.

        Parameters
        ----------
        ends : Ends
            How that wall ends.
        wall_mm : float
            Thickness of the walls, in mm.
        beside_mm : float
            How much of the wall stays beside the step, in mm.
        step_mm : float
            How far the step goes up or down the wall, in mm.
        """
        return False

    def cuts(self, wall: Wall) -> tuple[EndCut, ...]:
        """What is cut from a wall whose ends are of this kind."""
        return ()

    def setting(self, wall: Wall, words: Say) -> tuple[str, str]:
        """The row of the table of settings for such a wall: the cut, and how the saw or router is set."""
        raise NotImplementedError

    def said(self, wall: Wall, say: Say) -> str:
        """The sentence on the full-size sheet of such a wall; empty for none."""
        return ""

    def depth_said(self, wall: Wall, say: Say) -> str:
        """The sentence beside a machine's file, which is flat; empty for none."""
        return ""

    def bare_mm(self, wall: Wall) -> float:
        """How much of each end, seen from inside, shows no step that runs out there."""
        return 0.0

    def length_note(self) -> str:
        """What the length of such a wall is, where that must be said."""
        return ""

    def key_depth_mm(self, box: BoxWished, units: Units) -> float:
        """How deep the slots for keys go, square to the corner; 0 where there are none."""
        return 0.0

    def key_heights_mm(self, box: BoxWished, free_mm: tuple[float, float], words: Say) -> tuple[float, ...]:
        """The middles of the keys, in the height that the steps leave free. Raises ShopError for too many.

        Parameters
        ----------
        box : BoxWished
            What the drum file says of the box.
        free_mm : tuple[float, float]
            From where to where over the lower edge no step is cut, in mm.
        words : Say
            How the maker reads lengths.
        """
        return ()

    def box_settings(self, wished: BoxWished, box: Box, words: Say) -> Iterator[tuple[str, str]]:
        """The rows of settings for what is cut in the glued box.

        Parameters
        ----------
        wished : BoxWished
            What the drum file says of the box.
        box : Box
            How it goes together, in mm.
        words : Say
            How the maker reads lengths.
        """
        yield from ()

    def steps_when_glued(
        self, wished: BoxWished, box: Box, words: Say
    ) -> Iterator[tuple[str, Mapping[str, object]]]:
        """The steps of work in the glued box: their names in `steps.toml`, and the sizes in their words.

        Parameters
        ----------
        wished : BoxWished
            What the drum file says of the box.
        box : Box
            How it goes together, in mm.
        words : Say
            How the maker reads lengths.
        """
        yield from ()

    def wood_left(self, box: Box) -> Iterator[tuple[float, str]]:
        """How much wood the joint leaves where it leaves least, and where that is."""
        yield from ()
