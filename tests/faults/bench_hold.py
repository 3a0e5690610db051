"""Holders that tip, let go or cannot be worked, and holders that only nearly do.

`FAULTS` holds (name, builder of the recipe, check that must find it, word or part it must name);
`SOUND` holds (name, builder). A builder takes a recipe of a family and changes one thing in it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from nests import families
from nests.documents.files import data_folder
from nests.given.operation import USUAL, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, KeepClear
from nests.given.zones import Sector
from nests.holder.recipe import Recipe
from nests.parts.base import Part
from nests.parts.clip import Clip
from nests.parts.mark import Mark
from nests.parts.plunger import Plunger
from nests.parts.pusher_slot import PusherSlot
from nests.parts.spring_lever import SpringLever
from nests.parts.stake_post import StakePost
from nests.parts.stem_slot import StemSlot
from nests.parts.swing_tab import SwingTab
from nests.places import Side, at_hour
from tests.ordering import preferred

Build = Callable[[], Recipe]


def family(name: str, sheet: str, operation: str | None = None, **options: Any) -> Recipe:
    """The recipe a family writes for a sheet of the gallery."""
    path = data_folder("gallery") / "sheets" / f"{sheet}.json"
    return preferred(name, options, sheet=path, operation=operation).recipe


def chronograph(by: str, **options: Any) -> Recipe:
    """A chronograph holder whose pushers are worked by one kind of part; stops are measured."""
    recipe = family("chronograph", "inv-30-c", "chronograph-hands", pushed_by=by, **options)
    return stops(recipe, 0.6)


def inspection(hold: str = "clip", sheet: str = "inv-26-a", **options: Any) -> Recipe:
    """A holder that may be turned over."""
    return family("inspection", sheet, hold=hold, side_up="dial", **options)


def stops(recipe: Recipe, beyond: float) -> Recipe:
    """Every lever meets its stop this far beyond its working travel."""
    pushers = tuple(replace(p, stop=p.travel + beyond) for p in recipe.workpiece.pushers)
    return on_sheet(recipe, pushers=pushers)


def on_sheet(recipe: Recipe, **changes: Any) -> Recipe:
    """The recipe for a workpiece that differs."""
    return replace(recipe, workpiece=replace(recipe.workpiece, **changes))


def done(recipe: Recipe, **changes: Any) -> Recipe:
    """The recipe for an operation that differs."""
    return replace(recipe, operation=replace(recipe.operation, **changes))


def printed(recipe: Recipe, **changes: Any) -> Recipe:
    """The recipe for a printer or resin that differs."""
    return replace(recipe, printer=replace(recipe.printer, **changes))


def altered(recipe: Recipe, kind: type[Part], **changes: Any) -> Recipe:
    """Every part of a kind changed."""
    parts = tuple(replace(p, **changes) if isinstance(p, kind) else p for p in recipe.parts)
    return replace(recipe, parts=parts)


def left_out(recipe: Recipe, kind: type[Part], keep: int = 0) -> Recipe:
    """All parts of a kind but the first `keep` left out."""
    there = [p for p in recipe.parts if isinstance(p, kind)]
    gone = {id(p) for p in there[keep:]}
    return replace(recipe, parts=tuple(p for p in recipe.parts if id(p) not in gone))


def at_hours(recipe: Recipe, *hours: float) -> Recipe:
    """Clips at these hours instead of the family's."""
    clip = next(p for p in recipe.parts if isinstance(p, Clip))
    bare = left_out(recipe, Clip)
    return replace(bare, parts=(*bare.parts, *(replace(clip, at=h) for h in hours)))


def thin(**options: Any) -> Recipe:
    """A thin movement on four posts and a ledge."""
    return family("thin", "inv-20-u", "hand-setting", side_up="dial", **options)


def on_posts() -> Recipe:
    """A thin movement carried on four posts alone; it was not weighed, so it is taken to stand."""
    sheet = replace(thin().workpiece, mass=None)
    rule = families.family("thin")
    work = USUAL.operation("hand-setting")
    return rule.recipe(sheet, work, rule.Wish(side_up="dial"), PrinterCard())


def pressed(recipe: Recipe, hour: float, radius: float, force: float = 20.0) -> Recipe:
    """The recipe with one press, on an arbor of its own."""
    arbor = Arbor(name="pressed", at=at_hour(hour, radius))
    recipe = on_sheet(recipe, arbors=(*recipe.workpiece.arbors, arbor))
    return done(recipe, presses=(Press(arbor="pressed", force=force),))


def near_the_edge(radius: float) -> Recipe:
    """A press near the edge of a holder that stands on a foot narrower than its workpiece."""
    recipe = left_out(family("round", "inv-26-a", side_up="dial"), Mark)
    recipe = replace(recipe, body=replace(recipe.body, wall=2.5, foot_chamfer=2.0))
    return pressed(recipe, 6.0, radius)


def spared_at_a_clip() -> Recipe:
    """A keep-clear on the upper side where a clip reaches over."""
    recipe = inspection()
    keep = KeepClear(
        name="spring of the date", side=Side.DIAL, from_height=0.0, to_height=0.6,
        zone=Sector(from_hour=0.5, to_hour=1.5, outer=13.3, inner=11.0),
    )  # fmt: skip
    return on_sheet(recipe, keep_clear=(*recipe.workpiece.keep_clear, keep))


def no_rest_above() -> Recipe:
    """The only rest on the upper side ends before the clips."""
    recipe = inspection()
    zone = Sector(from_hour=6.0, to_hour=8.0, outer=13.3, inner=11.8)
    rests = tuple(
        replace(r, zone=zone) if r.side is Side.DIAL else r for r in recipe.workpiece.rests
    )
    return on_sheet(recipe, rests=rests)


def clip_by_a_pusher(hour: float) -> Recipe:
    """A clip beside the button of a plunger at 2 h."""
    recipe = chronograph("plunger", wall=12.0)
    return replace(recipe, parts=(*recipe.parts, Clip(at=hour)))


FAULTS: list[tuple[str, Build, str, str]] = [
    (
        "slot at the wrong hour",
        lambda: altered(left_out(chronograph("slot"), PusherSlot, keep=1), PusherSlot, at=2.7),
        "reach",
        "pusher slot start and stop",
    ),
    (
        "lever under the bottom of its slot",
        lambda: altered(chronograph("slot"), PusherSlot, below=0.0),
        "reach",
        "pusher slot start and stop",
    ),
    (
        "one pusher without a way",
        lambda: left_out(chronograph("slot"), PusherSlot, keep=1),
        "reach",
        "return to zero",
    ),
    (
        "plunger beside its lever",
        lambda: altered(left_out(chronograph("plunger"), Plunger, keep=1), Plunger, at=2.15),
        "reach",
        "plunger start and stop",
    ),
    (
        "guide too short",
        lambda: altered(chronograph("plunger"), Plunger, pocket_depth=5.0),
        "reach",
        "guide",
    ),
    ("plunger past the stop", lambda: stops(chronograph("plunger"), 0.2), "reach", "stop"),
    (
        "button that goes into the spring pocket",
        lambda: altered(chronograph("plunger"), Plunger, button=3.4),
        "reach",
        "button",
    ),
    (
        "plunger on the lever at rest",
        lambda: altered(chronograph("plunger"), Plunger, rest_gap=0.05),
        "reach",
        "at rest",
    ),
    (
        "stroke that ends with the working travel",
        lambda: altered(chronograph("plunger"), Plunger, past=0.0),
        "reach",
        "stroke",
    ),
    (
        "spring lever over-strained",
        lambda: altered(chronograph("spring lever", wall=12.0), SpringLever, arm=2.2),
        "reach",
        "strained",
    ),
    (
        "spring lever past the stop",
        lambda: stops(chronograph("spring lever", wall=12.0), 0.3),
        "reach",
        "stop",
    ),
    (
        "stem slot missing",
        lambda: left_out(family("hand-setting", "inv-26-a", "hand-setting"), StemSlot),
        "reach",
        "no way out",
    ),
    (
        "stem that rubs",
        lambda: printed(
            altered(family("round", "inv-26-a", side_up="dial"), StemSlot, room=0.1), scatter=0.06
        ),
        "reach",
        "rub",
    ),
    (
        "crown room too small",
        lambda: altered(family("round", "inv-26-a", side_up="dial"), StemSlot, crown=3.0),
        "reach",
        "crown",
    ),
    (
        "crown room too far out",
        lambda: altered(family("round", "inv-26-a", side_up="dial"), StemSlot, neck=5.0),
        "reach",
        "crown",
    ),
    ("clip beside a plunger's button", lambda: clip_by_a_pusher(1.4), "reach", "clip at 1.4 h"),
    (
        "turned over without anything that holds",
        lambda: done(family("round", "inv-26-a", side_up="dial"), turned_over=True),
        "hold",
        "falls out",
    ),
    ("clip over-strained", lambda: altered(inspection(), Clip, thickness=1.05), "hold", "clip"),
    ("clip that locks itself", lambda: printed(inspection(), friction=1.05), "hold", "locks"),
    (
        "lead that locks",
        lambda: altered(inspection(), Clip, lead=74.0),
        "hold",
        "never goes in",
    ),
    ("grip less than the play", lambda: altered(inspection(), Clip, grip=0.1), "hold", "leaves"),
    ("clips too weak for the weight", lambda: on_sheet(inspection(), mass=25.0), "hold", "knock"),
    ("clips on one side", lambda: at_hours(inspection(), 0.75, 1.75), "hold", "clip at 0.75 h"),
    ("clip over a keep-clear", spared_at_a_clip, "clearance", "spring of the date"),
    ("clip where no rest is", no_rest_above, "clearance", "clip at 1 h"),
    (
        "screw that hardly enters",
        lambda: altered(inspection("swing tab"), SwingTab, depth=2.0),
        "hold",
        "screw",
    ),
    (
        "tabs lower than the workpiece",
        lambda: altered(inspection("swing tab"), SwingTab, thickness=1.0),
        "hold",
        "lies on the workpiece",
    ),
    ("press outside of the posts", lambda: pressed(on_posts(), 6.5, 6.0), "steady", "tips"),
    ("press over the edge of the foot", lambda: near_the_edge(12.5), "steady", "holder"),
    (
        "a movement that a finger tips over its posts",
        lambda: on_sheet(on_posts(), mass=2.6),
        "steady",
        "rocks at a touch",
    ),
    (
        "two posts and no ledge",
        lambda: left_out(on_posts(), StakePost, keep=2),
        "steady",
        "fewer than three",
    ),
    (
        "holder that slides under a leaning press",
        lambda: printed(family("hand-setting", "inv-26-a", "hand-setting"), friction=0.15),
        "steady",
        "slides",
    ),
]

SOUND: list[tuple[str, Build]] = [
    ("slots", lambda: chronograph("slot")),
    ("slots in a thick wall", lambda: chronograph("slot", wall=14.0)),
    ("slot a little off its pusher's hour", lambda: altered(
        left_out(done(chronograph("slot"), pushers=False), PusherSlot, keep=1), PusherSlot, at=2.05
    )),
    ("plungers", lambda: chronograph("plunger")),
    ("plungers in a thick wall", lambda: chronograph("plunger", wall=14.0)),
    ("guide just long enough", lambda: altered(chronograph("plunger"), Plunger, pocket_depth=4.2)),
    ("lever just short of its stop", lambda: stops(chronograph("plunger"), 0.3)),
    ("spring levers", lambda: chronograph("spring lever", wall=12.0)),
    ("arm just weak enough", lambda: altered(
        chronograph("spring lever", wall=12.0), SpringLever, arm=1.8
    )),
    ("clip well away from a plunger", lambda: clip_by_a_pusher(11.0)),
    ("clips", inspection),
    ("clips on a thin movement", lambda: inspection(sheet="inv-20-u")),
    ("five clips", lambda: inspection(holds=5)),
    ("clips a little thicker", lambda: altered(inspection(), Clip, thickness=0.95)),
    ("clips that just carry the weight", lambda: on_sheet(inspection(), mass=20.0)),
    ("lead a little steeper", lambda: altered(inspection(), Clip, lead=35.0)),
    ("swing tabs", lambda: inspection("swing tab")),
    ("screw just deep enough", lambda: altered(inspection("swing tab"), SwingTab, depth=2.5)),
    ("crown room just near enough", lambda: altered(
        family("round", "inv-26-a", side_up="dial"), StemSlot, neck=3.8
    )),
    ("stem not asked for", lambda: done(
        left_out(family("round", "inv-26-a", side_up="dial"), StemSlot), stem=False
    )),
    ("press between the posts", on_posts),
    ("press between posts and ledge", thin),
    ("press well inside a narrow foot", lambda: near_the_edge(11.0)),
    ("hands pressed on", lambda: family("hand-setting", "inv-26-a", "hand-setting")),
    ("friction just enough for a leaning press", lambda: printed(
        family("hand-setting", "inv-26-a", "hand-setting"), friction=0.18
    )),
]  # fmt: skip
