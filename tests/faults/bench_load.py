"""Holders that send a press into a jewel's fit, or more into a post than it bears, and holders that
only nearly do.

`FAULTS` holds (name, builder of the recipe, check that must find it, word or part it must name,
arbor or rest at which it must find it); `SOUND` holds (name, builder): the twin of each fault on
the other side of its limit.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from bench_fit import hands, posted
from bench_hold import Build, altered, done, on_posts, on_sheet

from nests import families
from nests.documents.files import data_folder
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, Jewel, PlateStock, Rest, Sheet
from nests.given.zones import Disc, Ring, Round
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Place, Side, at_hour


def three_hands() -> Recipe:
    """Screws under three pressed jewels, two of which are each other's mirror image."""
    rule = families.family("hand-setting")
    work = Operation(name="hands", side_up=Side.DIAL, stem=True,
                     presses=(Press(arbor="every hand", force=20.0),))  # fmt: skip
    sheet = read(data_folder("gallery") / "sheets" / "inv-30-c.json", Sheet)
    return rule.recipe(sheet, work, rule.Wish(), PrinterCard())


def no_post(recipe: Recipe, under: str) -> Recipe:
    """The recipe without the post under one arbor."""
    parts = (p for p in recipe.parts if not (isinstance(p, StakePost) and p.under == under))
    return replace(recipe, parts=tuple(parts))


def under_another(recipe: Recipe, under: str, other: str) -> Recipe:
    """The recipe whose post under one arbor stands under another."""
    parts = (
        replace(p, under=other) if isinstance(p, StakePost) and p.under == under else p
        for p in recipe.parts
    )
    return replace(recipe, parts=tuple(parts))


def jewel_of(recipe: Recipe, arbor: str, **changes: Any) -> Recipe:
    """The recipe for a workpiece of which one arbor's jewels differ."""
    arbors = tuple(
        replace(a, jewels=tuple(replace(j, **changes) for j in a.jewels)) if a.name == arbor else a
        for a in recipe.workpiece.arbors
    )
    return on_sheet(recipe, arbors=arbors)


def allowing(recipe: Recipe, arbor: str, change: float) -> Recipe:
    """The recipe for a workpiece whose endshake may change by so many mm."""
    arbors = tuple(
        replace(a, endshake_change=change) if a.name == arbor else a
        for a in recipe.workpiece.arbors
    )
    return on_sheet(recipe, arbors=arbors)


def pressed_with(recipe: Recipe, force: float, arbor: str = "every hand") -> Recipe:
    """The recipe for a press of another force."""
    return done(recipe, presses=(Press(arbor=arbor, force=force),))


def off_centre(mirrored: bool) -> Recipe:
    """A press on a jewel right of the middle, and its post there or at its mirror image."""
    recipe = no_post(hands(), "centre")
    jewel = Jewel(side=Side.BRIDGE, diameter=1.6, height=1.3, push_out_force=14.0)
    arbors = tuple(
        Arbor(name=name, at=Place(x, -2.0), endshake=0.03, jewels=(jewel,))
        for name, x in (("pressed", 4.5), ("mirror image", -4.5))
    )
    recipe = on_sheet(recipe, arbors=(*recipe.workpiece.arbors, *arbors))
    post = StakePost(
        under="mirror image" if mirrored else "pressed",
        kind="screw", tip=1.4, insert=1.2, insert_out=0.5, shank=3.0, short=-0.005,
    )  # fmt: skip
    return pressed_with(replace(recipe, parts=(*recipe.parts, post)), 20.0, "pressed")


def carried(drop: float, **changes: Any) -> Recipe:
    """Three printed posts carry, the outer one under the jewel, into which statics send the press.

    The ledge lies `drop` mm lower. It was not weighed: of what was, the ledge would carry.
    """
    corner = at_hour(9.0, 8.0)
    jewel = Jewel(side=Side.BRIDGE, diameter=2.4, height=1.0, push_out_force=15.0)
    rests = tuple(
        Rest(name=name, side=Side.BRIDGE, height=1.0, zone=Disc(centre=at_hour(h, 8.0), diameter=3))
        for name, h in (("A", 1.0), ("B", 5.0))
    )
    edge = Rest(name="edge", side=Side.BRIDGE, height=0.0, zone=Ring(outer=26.0, inner=23.0))
    sheet = Sheet(
        name="carried", outline=Round(diameter=26.0), rim=2.0, dial_height=1.5, bridge_height=1.5,
        plate=PlateStock(thickness=1.6), bridges=PlateStock(thickness=1.0),
        arbors=(Arbor(name="pressed", at=corner, carries=("hand",), jewels=(jewel,)),),
        rests=(edge, *rests), uncertainty=0.02,
    )  # fmt: skip
    work = Operation(name="hands", side_up=Side.DIAL, presses=(Press(arbor="pressed", force=20.0),))
    rule = families.family("thin")
    recipe = rule.recipe(sheet, work, rule.Wish(), PrinterCard())
    return posted(altered(recipe, RingSeat, drop=drop), "pressed", **changes)


def printed(force: float, **changes: Any) -> Recipe:
    """A printed post under the centre of INV 26-A, and a press of that force."""
    return pressed_with(posted(hands(), "centre", kind="printed", **changes), force)


def plain(**changes: Any) -> Recipe:
    """The pin under the centre of INV 26-A, changed, under a pivot that does not stand out."""
    recipe = jewel_of(hands(), "centre", pivot_protrusion=0.0, pivot_diameter=0.0)
    return posted(recipe, "centre", **changes)


def on_a_rest(force: float, insert: float) -> Recipe:
    """A press on an arbor without a jewel, over the rest of a carried movement; it has a pin."""
    recipe = posted(on_posts(), "barrel bridge", kind="pin", insert=insert)
    (rest,) = (r for r in recipe.workpiece.rests if r.name == "barrel bridge")
    arbor = Arbor(name="barrel", at=rest.zone.centre)
    recipe = on_sheet(recipe, arbors=(*recipe.workpiece.arbors, arbor))
    hands = Press(arbor="every hand", force=5.0)
    return done(recipe, presses=(hands, Press(arbor="barrel", force=force)))


FAULTS: list[tuple[str, Build, str, str, str]] = [
    ("post 50 µm short", lambda: posted(hands(), "centre", short=0.05), "load path",
     "50 µm short of bearing", "centre"),
    ("post 50 µm proud", lambda: posted(hands(), "centre", short=-0.05), "load path",
     "50 µm proud", "centre"),
    ("one screw of three 50 µm short", lambda: posted(
        three_hands(), "small seconds", short=0.05
    ), "load path", "short of bearing", "small seconds"),
    ("mirrored post", lambda: off_centre(True), "load path", "no post is under it", "pressed"),
    ("no post under a pressed jewel", lambda: no_post(three_hands(), "minute recorder"),
     "load path", "no post is under it", "minute recorder"),
    ("post under the wrong jewel", lambda: under_another(hands(), "centre", "third wheel"),
     "load path", "no post is under it", "centre"),
    ("press beyond the push-out force and no post", lambda: pressed_with(
        no_post(hands(), "centre"), 15.0
    ), "load path", "nothing stops the jewel", "centre"),
    ("printed post where a pin is needed", lambda: printed(20.0), "load path",
     "the printed post", "centre"),
    ("soft post under a press", lambda: posted(hands(), "centre", kind="soft"), "load path",
     "the soft post", "centre"),
    ("post short under a loose jewel", lambda: jewel_of(
        posted(three_hands(), "centre", short=0.02), "centre", push_out_force=2.0
    ), "load path", "slides from 2.0 N", "centre"),
    ("endshake less than the post can be set to", lambda: allowing(hands(), "centre", 0.001),
     "load path", "by more than allowed", "centre"),
    ("post under a rest lifts the movement off its pin", lambda: posted(
        hands(), "barrel bridge", short=-0.1
    ), "load path", "short of bearing", "centre"),
    ("carried, and the rim on its ledge", lambda: carried(0.0), "load path",
     "the printed post", "pressed"),
    ("carried, and the rim nearly on its ledge", lambda: carried(0.02), "load path",
     "the printed post", "pressed"),
    ("carried, and the rim less clear than heights scatter", lambda: carried(0.1), "load path",
     "the printed post", "pressed"),
    ("carried, and one post too short for the rest", lambda: carried(0.2, short=0.3),
     "load path", "short of bearing", "pressed"),
    ("press harder than any post can take from the fit", lambda: pressed_with(hands(), 120.0),
     "load path", "slides by", "centre"),
    ("post under a rest 100 µm proud", lambda: posted(
        three_hands(), "barrel bridge", short=-0.1
    ), "post", "lifts the workpiece", "barrel bridge"),
    ("post too thin", lambda: carried(0.2, tip=1.2, shank=1.2, insert=1.2), "post", "is crushed",
     "pressed"),
    ("post too slim", lambda: carried(0.2, tip=1.0, shank=1.0, insert=1.0), "post",
     "nears buckling", "pressed"),
    ("tip crushed", lambda: printed(19.0), "post", "is crushed too much", "centre"),
    ("insert too thin", lambda: plain(insert=0.5, insert_out=3.0), "post",
     "pushes its insert down", "centre"),
    ("pin that marks a rest", lambda: on_a_rest(20.0, 0.6), "post", "bears too much",
     "barrel bridge"),
]  # fmt: skip

SOUND: list[tuple[str, Build]] = [
    ("post set a little off", lambda: posted(hands(), "centre", short=-0.012)),
    ("post 20 µm proud", lambda: posted(hands(), "centre", short=-0.02)),
    ("three screws", three_hands),
    ("one screw of three 10 µm proud", lambda: posted(
        three_hands(), "small seconds", short=-0.01
    )),
    ("post not mirrored", lambda: off_centre(False)),
    ("press below the push-out force and no post", lambda: pressed_with(
        no_post(hands(), "centre"), 13.0
    )),
    ("printed post under a press that the fit holds", lambda: printed(13.0)),
    ("post short under a tight jewel", lambda: jewel_of(
        posted(three_hands(), "centre", short=0.02), "centre", push_out_force=25.0
    )),
    ("endshake as the post can be set to", lambda: allowing(hands(), "centre", 0.01)),
    ("post under a rest 20 µm proud", lambda: posted(
        three_hands(), "barrel bridge", short=-0.02
    )),
    ("carried, and the rim clear of its ledge", lambda: carried(0.2)),
    ("carried, and the rim just clear of its ledge", lambda: carried(0.19)),
    ("carried on four posts", on_posts),
    ("press as hard as the posts can take", lambda: pressed_with(hands(), 26.0)),
    ("post just stout enough", lambda: carried(0.2, tip=1.6, shank=1.6)),
    ("insert just stout enough", lambda: plain(insert=0.7, insert_out=1.0)),
    ("pin that leaves no mark on a rest", lambda: on_a_rest(20.0, 1.0)),
]  # fmt: skip
