"""Tips: what touches the workpiece must lie wholly on the jewel or rest that may be touched.

A tip is measured on the solid, just below the height at which it touches. Grown by all that may
be lost between drawing and use, it must stay inside its jewel or rest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from nests.checks.bench._fittings import Piece
from nests.finding import Finding, Grade
from nests.holder.compose import Holder, Laid
from nests.holder.workpiece import (
    FINE,
    RIM_EDGE,
    ROUND,
    Allowance,
    LowerRim,
    jewel_plan,
    plan_distances,
    rim_plan,
    rim_zone,
)
from nests.parts.answers import Contact, Shelf
from nests.parts.site import Site
from nests.places import Side
from nests.solids.solid import area, offset
from nests.study import Point
from nests.units import Length

BELOW: Length = 0.001
"""mm below the height of contact at which a tip is cut, so that its level face is met."""
SPECK: Length = 0.002
"""mm a tip may stand over and still be inside: chords and cutting."""


@dataclass(frozen=True)
class Tip:
    """Something that touches: its plan, the words for what it touches, and the plan to stay in.

    `growth` is how far it prints beyond what is drawn, `side` that of the workpiece. `zone` is
    None where no sheet says what may be touched, `bare` the part of it of which the sheet does not
    say so; `within` is the face beyond which there is no workpiece to touch.
    """

    label: str
    touches: str
    plan: CrossSection
    zone: CrossSection | None
    place: Point
    growth: Length
    side: Side
    within: CrossSection | None = None
    bare: CrossSection | None = None


def tips(holder: Holder, spare: Allowance, used: Sequence[Piece]) -> list[Finding]:
    """A finding for every tip that may leave its rest, or whose rest is not on the sheet.

    `used` are the pieces of the holder; of those with one label the last, fitted one touches.
    """
    found = [_judged(tip, replace(spare, growth=tip.growth)) for tip in _tips(holder, used)]
    return [each for each in found if each is not None]


def _tips(holder: Holder, used: Sequence[Piece]) -> Iterator[Tip]:
    site, by_label = holder.recipe.site(), {each.label: each for each in used}
    for laid in holder.laid:
        own, contacts = by_label.get(laid.label), laid.part.contacts(site)
        shelf = laid.part.shelf(site)
        if contacts and shelf is not None:
            yield _ledge(laid, shelf, contacts[0].place, by_label[""], site)
        elif own is not None:
            whole = {}  # a pad that goes round something touches at many places
            for contact in (each for each in contacts if not each.above):
                tip = _standing(laid, contact, own, site)
                whole[tip.touches, tip.plan.bounds()] = tip
            yield from whole.values()
            yield from (_nose(each.place, own, site) for each in contacts if each.above)


def _standing(laid: Laid, contact: Contact, own: Piece, site: Site) -> Tip:
    """A post's tip, whole though a pivot's slot may part it, or one pad of several."""
    section = own.solid.slice(contact.place[2] - BELOW)
    plan = section.hull()
    if laid.part.post() is None and not section.is_empty():
        here = np.array([contact.place[:2]])
        plan = min(section.decompose(), key=lambda piece: float(plan_distances(piece, here)[0]))
    words, zone = _jewel_or_rest(site, contact.touches)
    return Tip(laid.label, words, plan, zone, contact.place, own.outside, site.side_down)


def _jewel_or_rest(site: Site, name: str) -> tuple[str, CrossSection]:
    arbor = next((each for each in site.sheet.arbors if each.name == name), None)
    jewel = arbor.jewel(site.side_down) if arbor is not None else None
    if arbor is not None and jewel is not None:
        return f"the {jewel.word} of '{name}'", jewel_plan(site, arbor.at, jewel)
    return f"the rest '{name}'", area(site.sheet.rest(name).zone, site.frame, FINE)


def _ledge(laid: Laid, shelf: Shelf, place: Point, own: Piece, site: Site) -> Tip:
    """What of the body lies under the rim face; posts are pieces, and have rests, of their own."""
    face = rim_plan(site, site.side_down)
    zone, bare = LowerRim.of(site).ledge(shelf.width + RIM_EDGE)
    plan = own.solid.slice(site.seat - BELOW) ^ face
    side = site.side_down
    return Tip(laid.label, "the rim face", plan, zone, place, own.inside, side, face, bare)


def _nose(place: Point, own: Piece, site: Site) -> Tip:
    """What of a part reaches over the upper rim face."""
    face = rim_plan(site, site.side_up)
    above = own.solid.trim_by_plane((0.0, 0.0, 1.0), site.seat + site.sheet.rim)
    plan = above.project() ^ face
    zone = rim_zone(site, site.side_up)
    side = site.side_up
    return Tip(own.label, "the upper rim face", plan, zone, place, own.outside, side, face)


def _corners(plan: CrossSection) -> NDArray[np.float64]:
    return np.vstack(plan.to_polygons()) if not plan.is_empty() else np.empty((0, 2))


def _over(plan: CrossSection, zone: CrossSection) -> tuple[Length, NDArray[np.float64]]:
    """How far a plan reaches beyond a zone, and its farthest corner."""
    corners = _corners(plan - zone)
    if not len(corners):
        return 0.0, np.zeros(2)
    away = plan_distances(zone, corners)
    return float(away.max()), corners[int(np.argmax(away))]


def _judged(tip: Tip, spare: Allowance) -> Finding | None:
    if tip.zone is None:
        return _unnamed(tip, "that reaches its edge")
    if tip.plan.is_empty():
        return Finding(
            check="clearance",
            grade=Grade.STOP,
            says=f"{tip.label} does not reach {tip.touches}: nothing of it is left there.",
            parts=(tip.label,),
            place=tip.place,
            remedy="move what cuts it away",
        )
    drawn, _ = _over(tip.plan, tip.zone)
    grown = offset(tip.plan, spare.sideways, ROUND)
    grown = grown if tip.within is None else grown ^ tip.within
    over, at = _over(grown, tip.zone)
    if over <= SPECK:
        on_bare = tip.bare is not None and not offset(grown ^ tip.bare, -SPECK, ROUND).is_empty()
        return _unnamed(tip, "along all of the edge it touches") if on_bare else None
    off = drawn > SPECK
    stands = f"stands {drawn:.2f} mm over the edge of" if off else "is drawn inside"
    return Finding(
        check="clearance",
        grade=Grade.STOP if off else Grade.MEND,
        says=f"the tip of {tip.label} {stands} {tip.touches}; with {spare_words(spare)} it may "
        f"reach {over:.2f} mm beyond it.",
        parts=(tip.label,),
        value=round(over, 4),
        limit=0.0,
        unit="mm",
        origin="a tip lies wholly on what may be touched: play of the seat, measuring uncertainty "
        "and printer card",
        place=(round(float(at[0]), 4), round(float(at[1]), 4), round(tip.place[2], 4)),
        remedy=f"a tip {2 * over:.2f} mm smaller, or set where the sheet has the rest",
    )


def _unnamed(tip: Tip, where: str) -> Finding:
    return Finding(
        check="clearance",
        grade=Grade.UNKNOWN,
        says=f"not assessed: {tip.label} touches {tip.touches}, and the sheet has no rest {where} "
        f"on the {tip.side.value} side.",
        parts=(tip.label,),
        place=tip.place,
        remedy=f"measure how wide the {tip.side.value}-side rim face is level, and enter it as a "
        "rest of height 0",
        lacks=("/rests",),
    )


def spare_words(spare: Allowance) -> str:
    """The stack of an allowance, for a sentence."""
    way = "grow" if spare.growth > 0.0 else "shrink"
    bias = f"{abs(spare.growth):.3f} mm that prints may {way}"
    return (
        f"{spare.play:.3f} mm of play, {spare.measuring:.3f} mm of measuring uncertainty, "
        f"{spare.scatter:.3f} mm of printed scatter and {bias}"
    )
