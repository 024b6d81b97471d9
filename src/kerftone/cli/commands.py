"""The commands that design a drum, choose its wood, make its papers and hear recordings.

What each takes and its help stand in `commands.toml`; its work is a job (`kerftone.jobs`) and is loaded only when it
runs, so that help and a mistyped option answer at once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kerftone.cli.command import Typed, command

if TYPE_CHECKING:
    from kerftone.jobs.air_asked import AirAsked


def _air(typed: Typed) -> AirAsked | None:
    """The air asked for: the bottom, how warm; None in vacuo."""
    from kerftone.jobs.air_asked import AirAsked

    return None if typed["in_vacuo"] else typed.request(AirAsked)


@command("new")
def new(typed: Typed) -> int:
    """The first drum file."""
    from kerftone.cli.first_words import show_begun
    from kerftone.jobs.begin_drum import NewDrumRequest, begin_drum
    from kerftone.jobs.drum_wishes import LengthsTyped

    request = typed.request(NewDrumRequest, lengths=typed.request(LengthsTyped))
    return typed.run(begin_drum, request, show_begun)


@command("scales")
def scales(typed: Typed) -> int:
    """Scales and their notes."""
    from kerftone.cli.first_words import show_scales
    from kerftone.jobs.list_scales import ScalesRequest, list_scales

    return typed.run(list_scales, typed.request(ScalesRequest), show_scales)


@command("woods")
def woods(typed: Typed) -> int:
    """Woods and what is known of them."""
    from kerftone.cli.first_words import show_woods
    from kerftone.jobs.list_woods import WoodsRequest, list_woods

    return typed.run(list_woods, typed.request(WoodsRequest), show_woods)


@command("open")
def open_page(typed: Typed) -> None:
    """The page, or a starter for it."""
    from kerftone.cli.screen import say

    if typed["shortcut"]:
        from kerftone.app.shortcut import make_shortcut

        say(f"{make_shortcut(typed['folder'])} opens the page with a double click.")
        return
    from kerftone.app.serve import ServeRequest, serve

    serve(typed.request(ServeRequest), lambda where: say(f"{where}  (Ctrl-C ends it)"))


@command("modes")
def modes(typed: Typed) -> int:
    """What the drum would sound."""
    from kerftone.cli.modes import show_notes
    from kerftone.jobs.predict_notes import NotesRequest, predict_notes

    return typed.run(predict_notes, typed.request(NotesRequest, air=_air(typed)), show_notes)


@command("fit")
def fit(typed: Typed) -> int:
    """Lengths and places."""
    from kerftone.cli.make import show_lengths
    from kerftone.jobs.find_lengths import LengthsRequest, find_lengths

    return typed.run(find_lengths, typed.request(LengthsRequest), show_lengths)


@command("ends")
def ends(typed: Typed) -> int:
    """The tongues' ends from a drawing."""
    from kerftone.cli.make import show_ends
    from kerftone.jobs.read_ends import EndsRequest, read_ends

    return typed.run(read_ends, typed.request(EndsRequest), show_ends, quiet=True)


@command("hear")
def hear(typed: Typed) -> int:
    """A sound file of the drum."""
    from kerftone.cli.make import show_sound
    from kerftone.jobs.preview_sound import SoundRequest, preview_sound

    return typed.run(preview_sound, typed.request(SoundRequest, air=_air(typed)), show_sound)


@command("layout")
def layout(typed: Typed) -> int:
    """The top in plan."""
    from kerftone.cli.make import show_layout
    from kerftone.jobs.draw_layout import LayoutRequest, draw_layout

    return typed.run(draw_layout, typed.request(LayoutRequest), show_layout)


@command("draw")
def draw(typed: Typed) -> int:
    """Templates at full size."""
    from kerftone.cli.make import show_templates
    from kerftone.jobs.draw_templates import TemplatesRequest, draw_templates

    return typed.run(draw_templates, typed.request(TemplatesRequest), show_templates, quiet=True)


@command("plan")
def plan(typed: Typed) -> int:
    """Notes, sound, layout and report in one folder."""
    from kerftone.cli.make import show_plan
    from kerftone.jobs.plan_drum import PlanRequest, plan_drum

    return typed.run(plan_drum, typed.request(PlanRequest, air=_air(typed)), show_plan)


@command("build")
def build(typed: Typed) -> int:
    """The shop plan."""
    from kerftone.cli.shop_plan_words import show_shop_plan
    from kerftone.jobs.plan_shop import ShopRequest, plan_shop

    request = typed.request(ShopRequest, accept_pickup=typed["accept"] == "pickup")
    return typed.run(plan_shop, request, show_shop_plan)


@command("share")
def share(typed: Typed) -> int:
    """One PDF to give away."""
    from kerftone.cli.make import show_shared
    from kerftone.jobs.share_drum import ShareRequest, share_drum

    return typed.run(share_drum, typed.request(ShareRequest), show_shared, quiet=True)
