"""Holders that jam, rattle, or touch what nothing may touch, and holders that only nearly do.

`FAULTS` holds (name, builder of the recipe, check that must find it, word or part it must name);
`SOUND` holds (name, builder): the twin of each fault on the other side of its limit.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from bench_hold import Build, altered, family, inspection, left_out, on_sheet, printed

from nests.given.sheet import KeepClear
from nests.given.zones import Disc, Sector, Zone
from nests.holder.recipe import Recipe
from nests.parts.cradle import Cradle
from nests.parts.relief import Relief
from nests.parts.ring_seat import RingSeat
from nests.parts.seat_below import SeatBelow
from nests.parts.stake_post import StakePost
from nests.parts.stem_slot import StemSlot
from nests.places import Place, Side, at_hour
from tests.ordering import preferred


def seat(sheet: str = "inv-26-a", **options: Any) -> Recipe:
    """A holder that carries the rim and no more."""
    return family("round", sheet, side_up="dial", **options)


def two_seats() -> Recipe:
    """A ring with a seat in either face, for movements of which only the ⌀ is known."""
    return preferred("round", {"diameter": 30.0, "height": 6.0, "below": 25.6}).recipe


def fine(fit: str) -> Recipe:
    """A seat of an ISO class on a printer and with calipers that could hold it."""
    careful = on_sheet(printed(seat(), scatter=0.012), uncertainty=0.010)
    return altered(careful, RingSeat, fit=fit)


def hands() -> Recipe:
    """Posts under three hands' arbor and under two rests."""
    return family("hand-setting", "inv-26-a", "hand-setting")


def posted(recipe: Recipe, under: str, **changes: Any) -> Recipe:
    """One post of a recipe changed."""
    parts = tuple(
        replace(p, **changes) if isinstance(p, StakePost) and p.under == under else p
        for p in recipe.parts
    )
    return replace(recipe, parts=parts)


BARREL = at_hour(1.4, 7.4)
"""Middle of the rest on the barrel bridge of INV 26-A, a disc of 3.2 mm."""


def beside(place: Place, x: float) -> Place:
    """A place moved along x."""
    return Place(place.x + x, place.y)


def sparing(recipe: Recipe, zone: Zone, side: Side, from_height: float, to_height: float) -> Recipe:
    """The recipe for a workpiece with one more keep-clear."""
    keep = KeepClear(
        name="spring", side=side, zone=zone, from_height=from_height, to_height=to_height
    )
    return on_sheet(recipe, keep_clear=(*recipe.workpiece.keep_clear, keep))


def spring_by_a_post(gap: float) -> Recipe:
    """A keep-clear under the bridge side, `gap` mm from the post under the barrel bridge."""
    recipe = hands()
    post = next(p for p in recipe.parts if isinstance(p, StakePost) and p.under == "barrel bridge")
    disc = Disc(centre=beside(BARREL, post.shank / 2 + gap + 0.5), diameter=1.0)
    return sparing(recipe, disc, Side.BRIDGE, 0.2, 1.6)


def spring_over_the_rim(inner: float) -> Recipe:
    """A keep-clear on the dial side from the middle out to a radius, and tabs over the rim."""
    zone = Sector(from_hour=0.0, to_hour=12.0, outer=inner)
    return sparing(inspection("swing tab"), zone, Side.DIAL, 0.0, 0.5)


def spring_outside(spared: bool) -> Recipe:
    """A keep-clear that leaves the outline at the height of the rim."""
    disc = Disc(centre=at_hour(6.0, 13.5), diameter=1.2)
    recipe = sparing(seat(), disc, Side.DIAL, -1.7, 0.0)
    relief = (Relief(of="spring", clearance=0.3),) if spared else ()
    return replace(recipe, parts=(*recipe.parts, *relief))


def sunk_jewel(shank: float | None) -> Recipe:
    """The centre jewel lies in a hole of its own ⌀, 0.6 mm inside the rim face."""
    recipe = hands()
    centre = recipe.workpiece.arbors[0]
    jewels = tuple(
        replace(j, height=-0.6, pivot_protrusion=0.0, pivot_diameter=0.0) for j in centre.jewels
    )
    arbors = (replace(centre, jewels=jewels), *recipe.workpiece.arbors[1:])
    recipe = on_sheet(recipe, arbors=arbors)
    post = next(p for p in recipe.parts if isinstance(p, StakePost) and p.under == "centre")
    return posted(recipe, "centre", kind="printed", shank=shank or post.tip)


def badly_measured(each: float) -> Recipe:
    """A shaped edge of which one corner is known within ± `each` mm."""
    return on_sheet(
        family("shaped", "inv-17-t", side_up="bridge"),
        uncertainties={"/outline/corners/2/at/x": each},
    )


def cradle(**changes: Any) -> Recipe:
    """A cradle for a carriage, changed."""
    return altered(family("cradle", "inv-tc-12", side_up="dial"), Cradle, **changes)


FAULTS: list[tuple[str, Build, str, str]] = [
    ("seat one class too tight", lambda: fine("H7/h6"), "fit", "jams"),
    ("seat with too little play", lambda: altered(seat(), RingSeat, play=0.02), "fit", "jams"),
    ("seat too loose", lambda: altered(seat(), RingSeat, play=0.45), "fit", "of play"),
    ("seat below without play", lambda: altered(two_seats(), SeatBelow, play=0.0), "fit",
     "seat below"),
    ("pocket of a cradle too tight", lambda: cradle(clearance=0.02), "fit", "cradle"),
    ("shaped edge hardly measured", lambda: badly_measured(0.15), "fit", "ring seat"),
    ("ledge under a dial foot", lambda: altered(
        seat("inv-30-c"), RingSeat, ledge=1.1
    ), "clearance", "dial foot"),
    ("ledge in the balance", lambda: altered(seat(), RingSeat, gaps=()), "clearance", "balance"),
    ("ledge wider than the rim's face", lambda: altered(
        seat("inv-20-u"), RingSeat, ledge=1.1
    ), "clearance", "the rim face"),
    ("post on a keep-clear", lambda: spring_by_a_post(0.05), "clearance",
     "stake post under barrel bridge"),
    ("mirrored post", lambda: posted(
        hands(), "barrel bridge", at=Place(-BARREL.x, BARREL.y)
    ), "clearance", "stake post under barrel bridge"),
    ("post off its rest", lambda: posted(
        hands(), "barrel bridge", at=beside(BARREL, 0.6), tip=2.2
    ), "clearance", "the rest 'barrel bridge'"),
    ("pin wider than the jewel", lambda: posted(hands(), "centre", insert=1.8), "clearance",
     "the jewel of 'centre'"),
    ("printed tip wider than the jewel", lambda: posted(
        family("hand-setting", "inv-30-c", "hand-setting"), "minute recorder", kind="printed",
        tip=1.5,
    ), "clearance", "the jewel of 'minute recorder'"),
    ("tab over a keep-clear", lambda: spring_over_the_rim(12.6), "clearance", "swing tab"),
    ("wall through a keep-clear outside the outline", lambda: spring_outside(False),
     "clearance", "keep-clear 'spring'"),
    ("pivot meets its pin", lambda: posted(hands(), "centre", relief=0.03), "clearance",
     "pivot of 'centre'"),
    ("post in the plate round a sunk jewel", lambda: sunk_jewel(3.0), "clearance",
     "stake post under centre"),
    ("stem tight in its slot", lambda: altered(seat(), StemSlot, room=0.1), "clearance", "stem"),
    ("no slot for the stem", lambda: left_out(seat(), StemSlot), "clearance", "stem"),
    ("pads as wide as their rests", lambda: cradle(inset=0.0), "clearance", "cradle"),
]  # fmt: skip

SOUND: list[tuple[str, Build]] = [
    ("seat of a class the printer holds", lambda: fine("H7/g6")),
    ("seat with just enough play", lambda: altered(seat(), RingSeat, play=0.06)),
    ("seat not too loose", lambda: seat(play=0.2)),
    ("seat below with play", two_seats),
    ("pocket of a cradle just wide enough", lambda: cradle(clearance=0.04)),
    ("shaped edge measured", lambda: badly_measured(0.03)),
    ("ledge beside a dial foot", lambda: seat("inv-30-c")),
    ("ledge left out at the balance", seat),
    ("ledge as wide as the rim's face", lambda: seat("inv-20-u")),
    ("post beside a keep-clear", lambda: spring_by_a_post(0.25)),
    ("post placed on its rest", lambda: posted(hands(), "barrel bridge", at=BARREL)),
    ("post near the edge of its rest", lambda: posted(
        hands(), "barrel bridge", at=beside(BARREL, 0.3), tip=2.2
    )),
    ("pin smaller than the jewel", lambda: posted(hands(), "centre", insert=1.3)),
    ("tabs beside a keep-clear", lambda: spring_over_the_rim(12.1)),
    ("wall relieved at a keep-clear", lambda: spring_outside(True)),
    ("pivot free in its pin", lambda: posted(hands(), "centre", relief=0.2)),
    ("stem free in its slot", lambda: altered(seat(), StemSlot, room=0.3)),
    ("pads inside their rests", cradle),
    ("hands pressed on, chronograph", lambda: family(
        "hand-setting", "inv-30-c", "hand-setting"
    )),
]  # fmt: skip
