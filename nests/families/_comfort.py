"""Comfort at the bench: what any holder may have besides, asked for by an option.

It is looked for on the holder as it is without it, measured on its solid: where the upper face is
whole there is room for a stroke or a foot, where nothing of the wall is missing for a flat. What
the work needs stays where it is; a comfort takes another hour, or is refused.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal, TypeAlias

from manifold3d import CrossSection

from nests.families._comfort_room import highest, stands_out, unclaimed, upper_face, whole_wall
from nests.families._comfort_tweezers import tweezer_notches
from nests.families._comfort_weight import weight_recess
from nests.finding import refuse
from nests.given.printer_card import PrinterCard
from nests.holder.compose import Holder, compose
from nests.holder.recipe import MOULD, Recipe
from nests.parts.base import Part
from nests.parts.hour_marks import QUARTERS, HourMarks
from nests.parts.lid import Lid
from nests.parts.upper_feet import UpperFeet
from nests.parts.vice_flats import ViceFlats
from nests.parts.weight_recess import WeightRecess
from nests.places import hours_between
from nests.units import BadInput, Hour, Length, Record, dial_hour, mm, said

Pair: TypeAlias = tuple[Part, Part]
"""Two parts that are asked for as one."""
EVERY: tuple[Hour, ...] = tuple(float(each) for each in range(12))
STEP = 0.25
"""Hours by which a flat or a foot is moved to find room."""
DEEP: tuple[Length, ...] = (1.0, 1.5, 2.0, 0.6)
"""mm a flat goes into the wall, the preferred first; from trying."""
SHORTEST: Length = 6.0
"""mm of a flat along the wall that jaws still hold square; from memory."""
LOWEST: Length = 1.2
"""mm of height of a flat above its chamfer that jaws still hold; from memory."""
BESIDE_JAW: Length = 2.0
"""mm beside a flat that its jaw may stand out; from memory."""
FINGERS: Length = 8.0
"""mm of the wall for whoever works a stem or pusher; common practice, no source."""
FEET = ((2.6, 8.0), (2.2, 7.0), (1.8, 6.0))
"""⌀ of a foot in mm, and how many times as high it may be; common practice, no source."""
ABOVE: Length = 0.5
"""mm that feet and lid keep from the highest of the workpiece; from memory."""
AROUND: Length = 0.8
"""mm that feet keep beside it, from the workpiece; from memory."""
STANDS = 0.25
"""How far the axis lies inside what the feet stand on, in radii of the workpiece; from memory."""


@dataclass(frozen=True, kw_only=True)
class ComfortWish(Record):
    """Options of comfort, which every family has."""

    hour_marks: Literal["quarters", "every hour"] | None = said(
        "strokes at the hours of the dial, engraved in the upper face", None
    )
    vice_flats: bool = said("two parallel flats on the outer wall for the jaws of a vice", False)
    across_flats: Length | None = mm(
        None, low=8.0, high=150.0, meaning="width across the vice flats, if not the widest in mm"
    )
    weight: Length | None = mm(
        None, low=3.0, high=100.0, meaning="⌀ of a round weight that is glued into the foot"
    )
    weight_height: Length = mm(5.0, low=1.0, high=18.0, meaning="height of that weight")
    tweezers: bool = said(
        "two notches in wall and ledge, for tips of tweezers to come under the rim", False
    )
    upper_feet: bool = said(
        "feet on the upper face, higher than all of the workpiece, to lie on turned over", False
    )
    lid: bool = said("a lid against dust, printed beside the holder", False)
    lid_play: Length = mm(0.3, low=0.05, high=2.0, meaning="play of the lid, on the ⌀")

    def floor_for(self, floor: Length, card: PrinterCard) -> Length:
        """Thickness of a floor, mm, with room for the weight."""
        asked = self.recess(card)
        return floor if asked is None else max(floor, asked.least_floor(card))

    def recess(self, card: PrinterCard) -> WeightRecess | None:
        """The recess for the weight, if there is one, wherever it will lie."""
        if self.weight is None:
            return None
        # a little shorter than the card allows, so that chords do not exceed it
        ledge = max(0.2, round(min(WeightRecess.ledge, 0.9 * card.longest_underside), 3))
        return WeightRecess(diameter=self.weight, height=self.weight_height, ledge=ledge)

    @property
    def marked(self) -> tuple[Hour, ...]:
        """Hours at which a stroke is wished for before all others."""
        return () if self.hour_marks is None else QUARTERS


def comforted(recipe: Recipe, wish: ComfortWish) -> Recipe:
    """A recipe with the comforts wished for. Raises `Refused` for one that finds no room, and for
    a width across flats without flats."""
    if wish.across_flats is not None and not wish.vice_flats:
        raise BadInput(
            f"across_flats is {wish.across_flats:g} mm; it is for --vice-flats, which is not asked "
            "for."
        )
    asked: tuple[tuple[bool, Callable[[Holder, ComfortWish], tuple[Part | Pair, str]]], ...] = (
        (wish.weight is not None, _weight),
        (wish.hour_marks is not None, _hour_marks),
        (wish.tweezers, _tweezers),
        (wish.upper_feet, _upper_feet),
        (wish.vice_flats, _vice_flats),
        (wish.lid, _lid),
    )
    for wished, find in asked:
        if wished:
            found, reason = find(compose(recipe), wish)
            more = found if isinstance(found, tuple) else (found,)
            recipe = replace(recipe, parts=(*recipe.parts, *more))
            recipe = replace(recipe, reasons=(*recipe.reasons, reason))
    return recipe


def _weight(holder: Holder, wish: ComfortWish) -> tuple[Part, str]:
    asked = wish.recess(holder.recipe.printer)
    assert asked is not None
    return weight_recess(holder, asked)


def _tweezers(holder: Holder, wish: ComfortWish) -> tuple[Pair, str]:
    return tweezer_notches(holder)


def _hour_marks(holder: Holder, wish: ComfortWish) -> tuple[Part, str]:
    """Strokes at the hours whose stroke has room, of the size that leaves the most of them."""
    site = holder.recipe.site()
    wanted = QUARTERS if wish.hour_marks == "quarters" else EVERY
    face = upper_face(holder, HourMarks.depth, site.card.smallest_wall + 0.05)
    best: HourMarks | None = None
    for out in (1.3, 1.6, 2.0, 2.5, 1.0):
        for length, quarter in ((1.0, 1.8), (0.8, 1.3)):
            marks = HourMarks(
                out=out, length=length, quarter=quarter, line=max(0.4, site.card.smallest_line)
            )
            free = tuple(
                each for each in wanted
                if _inside(marks.stroke(site, each).project(), face)
            )  # fmt: skip
            if _worth(free) > (_worth(best.hours) if best else (0, 0)):
                best = replace(marks, hours=free)
    if best is None:
        raise refuse(
            "comfort",
            f"the upper face of '{holder.recipe.name}' has no room for a stroke at any of the "
            "hours asked for.",
            "a thicker wall, or no --hour-marks",
        )
    lost = [dial_hour(each or 12) for each in wanted if each not in best.hours]
    says = f"hour marks at {', '.join(dial_hour(each or 12) for each in best.hours)} h"
    return best, f"{says}{f'; {_listed(lost)} h are taken by ways or parts' if lost else ''}."


def _listed(words: list[str]) -> str:
    return ", ".join(words)


def _worth(hours: tuple[Hour, ...]) -> tuple[int, int]:
    return sum(each in QUARTERS for each in hours), len(hours)


def _inside(plan: CrossSection, face: CrossSection) -> bool:
    return bool((plan - face).area() < 1e-6)


def _vice_flats(holder: Holder, wish: ComfortWish) -> tuple[Part, str]:
    """Flats at hours where all of the wall behind them is whole, away from stem and pushers."""
    recipe, site = holder.recipe, holder.recipe.site()
    sheet = site.sheet
    ways = [each.hour for each in sheet.pushers]
    ways += [sheet.stem.hour] if sheet.stem is not None else []
    if sheet.kind == "case":
        ways += [each.hour for each in sheet.lugs]

    def far(at: Hour) -> float:
        """How far the nearest way lies from either flat, in hours; no farther than matters."""
        return min((hours_between(at + turn, way) for way in ways for turn in (0.0, 6.0)),
                   default=3.0)  # fmt: skip

    hours = sorted((k * STEP for k in range(int(6 / STEP))), key=lambda at: (-far(at), at))
    narrow: list[str] = []
    for at in hours:
        for flats in _sizes(holder, at, wish.across_flats):
            try:
                flats.shape(site)
            except BadInput as bad:
                narrow.append(str(bad))
                continue
            room = flats.width(site) / 2 + BESIDE_JAW + FINGERS / 2
            reach = math.degrees(math.atan2(room, flats.drawn_across(site) / 2)) / 30.0
            if far(at) < reach or flats.width(site) < SHORTEST:
                continue
            near = flats.taken(site, site.card.smallest_wall + 0.1)
            if whole_wall(holder, near) and unclaimed(holder, flats.taken(site)):
                first, second = sorted((at, at + 6.0))
                return flats, (
                    f"vice flats at {dial_hour(first or 12)} and {dial_hour(second)} h, "
                    f"{flats.across:g} mm across."
                )
    if wish.across_flats is not None and narrow and len(narrow) >= len(hours):
        raise BadInput(narrow[0])
    raise refuse(
        "comfort",
        f"'{recipe.name}' has no two places of its wall opposite each other where "
        f"{SHORTEST:g} mm of it are whole and away from stem and pushers.",
        "a thicker wall, or no --vice-flats",
    )


def _sizes(holder: Holder, at: Hour, across: Length | None) -> Iterator[ViceFlats]:
    """Flats at an hour, the preferred first: of half mm across, as high as the wall allows."""
    site = holder.recipe.site()
    foot = holder.recipe.body.foot_chamfer
    # the upper face keeps a wall under its engraving; lower, they pass under finger reliefs, too
    wall = site.card.smallest_wall + 0.1
    ends = (site.top - HourMarks.depth - wall, site.seat - wall - 0.1)
    rough = ViceFlats(at=at, across=8.0, height=1.0, chamfer=foot)
    reach = min(far for _, far in rough.sides(site))
    widest = max(far for _, far in rough.sides(site))
    wished = (across,) if across is not None else tuple(
        dict.fromkeys(math.floor(4 * (reach - deep)) / 2 for deep in DEEP)
    )  # fmt: skip
    for each in wished:
        deep = widest - site.card.outside(each) / 2
        for under in ends:
            high = math.floor(10.0 * (under - deep * site.rise)) / 10.0
            if each >= 8.0 and high >= foot * site.rise + LOWEST:
                yield replace(rough, across=each, height=min(high, 40.0))


def _upper_feet(holder: Holder, wish: ComfortWish) -> tuple[Part, str]:
    """Three feet round the axis where the upper face is whole and nothing stands over it."""
    recipe, site = holder.recipe, holder.recipe.site()
    if not any(each.serves().holds for each in recipe.parts):
        raise refuse(
            "comfort",
            f"nothing holds '{recipe.workpiece.name}' in '{recipe.name}' when it is turned over, "
            "and on feet it would fall out.",
            "use the family 'inspection' for --upper-feet",
        )
    height = math.ceil(10.0 * (highest(holder) + ABOVE + site.card.scatter - site.top)) / 10.0
    height = max(height, 0.5)
    for across, slim in FEET:
        if height > across * slim:
            continue
        for out in (2.2, 2.6, 3.0, 3.5, 4.0, 4.5, 5.0):
            face = upper_face(holder, 1.0, site.card.smallest_wall + 0.05, AROUND)
            feet = UpperFeet(out=out, diameter=across, height=height)
            hours = _three(k * STEP for k in range(int(12 / STEP))
                           if _inside(_foot(feet, holder, k * STEP), face))  # fmt: skip
            stands = STANDS * min(site.radius(each) for each in EVERY)
            if hours and _margin(feet, holder, hours) > stands:
                at = ", ".join(dial_hour(each or 12) for each in hours)
                return replace(feet, hours=hours), (
                    f"upper feet at {at} h, {height:g} mm high: turned over, it stands on them."
                )
    raise refuse(
        "comfort",
        f"the upper face of '{recipe.name}' has no room for three feet round the axis, "
        f"{height:g} mm high.",
        "a thicker wall, or no --upper-feet",
    )


def _foot(feet: UpperFeet, holder: Holder, hour: Hour) -> CrossSection:
    site = holder.recipe.site()
    at = feet.place(site, hour)
    round_it = CrossSection.circle(feet.diameter / 2, 48)
    return round_it.translate((at.x, at.y))


def _three(hours: Iterable[Hour]) -> tuple[Hour, ...]:
    """Three hours as evenly round the dial as can be; none where there are fewer."""
    found = list(hours)

    def widest(some: tuple[Hour, ...]) -> float:
        return max((after - before) % 12.0 for before, after in zip(
            some, (*some[1:], some[0]), strict=True))  # fmt: skip

    return min(combinations(found, 3), key=lambda some: (widest(some), some), default=())


def _margin(feet: UpperFeet, holder: Holder, hours: tuple[Hour, ...]) -> Length:
    """How far the axis lies inside what the feet stand on; negative outside."""
    site = holder.recipe.site()
    points = [feet.place(site, each) for each in hours]
    turns = sorted(points, key=lambda p: math.atan2(p.y, p.x))
    edges = zip(turns, (*turns[1:], turns[0]), strict=True)
    return min((a.x * b.y - a.y * b.x) / a.distance(b) for a, b in edges)


def _lid(holder: Holder, wish: ComfortWish) -> tuple[Part, str]:
    """A lid over the highest of what lies in the holder, open where something stands out."""
    recipe, site = holder.recipe, holder.recipe.site()
    if recipe.kind == MOULD:
        raise refuse(
            "comfort",
            "a cushion mould has nothing to be kept from dust.",
            "leave --lid out",
        )
    inside = math.ceil(10.0 * (highest(holder) + ABOVE + site.card.scatter - site.top)) / 10.0
    inside = max(inside, 2.0)
    grip = round(min(2.0, site.top - 1.5), 2)
    out = stands_out(holder, site.top - grip)
    if grip < 0.8:
        raise refuse(
            "comfort",
            f"the body of '{recipe.name}' is {site.top:.2f} mm high, too low for a lid's skirt.",
            "a thicker floor, or no --lid",
        )
    lid = Lid(play=wish.lid_play, inside=inside, grip=grip)
    roof = max(float(lid.cover(site).slice(site.top + inside + lid.wall / 2).area()), 0.0)
    if roof > site.card.largest_peel:
        raise refuse(
            "comfort",
            f"the roof of a lid over '{recipe.name}' is {roof:.0f} mm², and the printer card lets "
            f"{site.card.largest_peel:g} mm² be peeled off the film at once.",
            "a thinner wall, or no --lid",
        )
    says = f"a lid with {inside:g} mm of room above the upper face"
    if not out:
        return lid, f"{says}, closed all round."
    width = math.ceil(10.0 * max(each.width for each in out)) / 10.0
    over = math.ceil(10.0 * max(max(each.high for each in out) - site.top, 0.0)) / 10.0
    hours = tuple(sorted({each.hour for each in out}))
    gaps = ", ".join(dial_hour(each or 12) for each in hours)
    return (
        replace(lid, gaps=hours, gap_width=max(width, 1.0), gap_height=min(over, inside)),
        f"{says}, with a gap at {gaps} h, where a stem or button stands out of the wall.",
    )
