"""What carries the plate: ledge, posts and pads from below, clips and tabs from above."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from nests.holder.workpiece import plan_distances, uncertainty
from nests.mechanics.arrays import Floats
from nests.mechanics.tolerance import Spread
from nests.parts.answers import Shelf
from nests.parts.base import Part
from nests.parts.heights import SETTING as SETTING
from nests.parts.heights import datum, level_within
from nests.parts.post import SET as SET
from nests.parts.post import Post
from nests.parts.site import Site
from nests.units import Length

SEAT_SPRINGS = 36
"""Springs round a ledge: the centre of a round plate sinks within 0.02 % of a continuous ledge."""
PAD_SPRINGS = 108
"""Springs round a ledge of which only pads are left."""
UNDER: Length = 0.01
"""mm below a ledge at which it is asked what is cut away; less than any groove is deep."""
OFF: Length = 1e-6
"""mm by which a force may lie outside a polygon and still be taken as on its edge."""

Labelled = Iterable[tuple[str, Part]]
"""Parts of a holder with the labels findings call them by."""


@dataclass(frozen=True)
class Prop:
    """One support of the plate, in the holder frame.

    `gap` is what is left as drawn between the plate and the support, mm from the ledge where there
    is one, negative where it stands proud; `spread` what it may differ by, each about 0, and
    `own_spread` that without what others add; `kind` how a post's height comes about, '' for what
    is no post, and `drawn` how short it is drawn; `above` true for what presses down, `ledge` the
    height of the ledge under the rim, for a piece of it.
    """

    label: str
    touches: str
    at: tuple[float, float]
    gap: Length
    stiffness: float
    spread: tuple[Spread, ...] = ()
    kind: str = ""
    drawn: Length = 0.0
    above: bool = False
    ledge: Length | None = None
    own_spread: tuple[Spread, ...] | None = None

    @property
    def proud_spread(self) -> tuple[Spread, ...]:
        """What it may stand proud by: what else a workpiece may lie on leaves it short, never
        proud."""
        return self.spread if self.own_spread is None else self.own_spread

    @property
    def proud_by(self) -> Length:
        """How far it may stand proud at worst, mm beyond its gap."""
        return math.fsum(each.half_width for each in self.proud_spread)

    @property
    def half_width(self) -> Length:
        """How far the gap may be off at worst, ± mm."""
        return math.fsum(each.half_width for each in self.spread)


def props(site: Site, parts: Labelled) -> tuple[Prop, ...]:
    """Every support that the parts give the workpiece."""
    return together(drawn(site, parts))


def drawn(site: Site, parts: Labelled) -> tuple[Prop, ...]:
    """Every support by itself, as it comes out of the printer or is set."""
    given = list(parts)
    ledge = datum(site, [part for _, part in given])
    out: list[Prop] = []
    posts: list[tuple[str, Post]] = []
    for label, part in given:
        shelf, post = part.shelf(site), part.post()
        if shelf is not None:
            spared = [each for _, each in given if each.spares]
            out += _ledge(label, shelf, site, [part, *spared])
        elif post is not None:
            posts.append((label, post))
        else:
            out += _other(label, part, site, ledge)
    out += [post_prop(label, post, site, ledge) for label, post in posts]
    return tuple(out)


def together(each: Sequence[Prop]) -> tuple[Prop, ...]:
    """The supports of one holder: what a post's height says depends on what else carries."""
    return tuple(_as_far_off_as_others(prop, each) for prop in each)


def ledge_of(each: Iterable[Prop]) -> Length | None:
    """Height of the ledge that posts are gauged from; None where there is none."""
    return next((p.ledge for p in each if p.ledge is not None), None)


def _as_far_off_as_others(prop: Prop, all_props: Sequence[Prop]) -> Prop:
    """A post whose height says nothing of how the workpiece lies on other posts or pads.

    Where another one may stand proud of the ledge, the workpiece may lie on that, and lies as much
    off as the least certain of them does: with three contacts round it a place between them is off
    by a mean of theirs. A screw is set under the workpiece as it lies.
    """
    if not prop.kind or prop.kind == "screw":
        return prop
    ledge = min((p.gap for p in all_props if not p.kind and not p.above), default=math.inf)
    proud = [
        p for p in all_props if p.spread and p is not prop and p.gap - p.half_width < ledge - OFF
    ]
    widest = max(proud, key=lambda p: p.half_width, default=None)
    if widest is None:
        return prop
    return replace(prop, spread=(*prop.spread, *widest.spread), own_spread=prop.spread)


def _other(label: str, part: Part, site: Site, ledge: Length | None) -> Iterator[Prop]:
    """Pads from below, clips and tabs from above."""
    for contact in part.contacts(site):
        above, place = contact.above, contact.place
        spread: tuple[Spread, ...] = ()
        if not above:
            within = Spread(0.0, level_within(site, place[2], ledge))
            spread = (within, Spread(0.0, measuring(site, contact.touches)))
        yield Prop(
            label, contact.touches, place[:2], contact.gap, contact.stiffness, spread, above=above
        )


def post_prop(label: str, post: Post, site: Site, ledge: Length | None) -> Prop:
    """A post with the spread of its height, from a ledge drawn at that height or from the bench.

    It ends where paper says, and anywhere within what is let pass there. How well a height was
    measured comes to that, but for a screw, which is set under the workpiece as it lies.
    """
    contact = post.contacts(site)[0]
    within = Spread(0.0, post.height_within(site, ledge))
    measured = Spread(0.0, measuring(site, post.under))
    return Prop(
        label,
        post.under,
        contact.place[:2],
        post.short,
        contact.stiffness,
        (within,) if post.kind == "screw" else (within, measured),
        post.kind,
        post.short,
    )


def measuring(site: Site, under: str) -> Length:
    """Measuring uncertainty of the height of a jewel or rest, ± mm."""
    sheet = site.sheet
    for index, rest in enumerate(sheet.rests):
        if rest.name == under:
            return uncertainty(sheet, f"/rests/{index}/height")
    for index, arbor in enumerate(sheet.arbors):
        if arbor.name == under:
            jewel = arbor.jewel(site.side_down)
            number = 0 if jewel is None else arbor.jewels.index(jewel)
            return uncertainty(sheet, f"/arbors/{index}/jewels/{number}/height")
    return sheet.uncertainty


def _ledge(label: str, shelf: Shelf, site: Site, cutting: Sequence[Part]) -> Iterator[Prop]:
    """Springs along the middle of the ledge, where nothing has cut it away."""
    level = shelf.level
    places, step = along_ring(shelf.middle, PAD_SPRINGS if shelf.pads else SEAT_SPRINGS)
    gone = np.zeros(len(places), dtype=bool)
    for cut in (each.shape(site).cuts for each in cutting):
        section = cut.slice(level - UNDER) if cut is not None else None
        if section is not None and not section.is_empty():
            gone |= plan_distances(section, places) <= 0.0
    stiffness = foundation(shelf, site) * step
    for x, y in places[~gone]:
        at = (float(x), float(y))
        yield Prop(label, "rim", at, shelf.drop, stiffness, drawn=shelf.drop, ledge=level)


def foundation(shelf: Shelf, site: Site) -> float:
    """Stiffness of a ledge per length, N/mm².

    Its pressure spreads into the wall behind it at 45° (usual in engineering, no source), so the
    width that carries grows from the ledge down to the bench: E / ln(1 + height/ledge).
    """
    return site.card.modulus / math.log(1.0 + shelf.level / shelf.width)


def along_ring(ring: Floats, count: int) -> tuple[Floats, Length]:
    """`count` places (count, 2) evenly along a closed ring (n, 2), and the step between them."""
    closed = np.concatenate([ring, ring[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    at = (np.arange(count) + 0.5) * (run[-1] / count)
    return np.column_stack([np.interp(at, run, closed[:, k]) for k in (0, 1)]), run[-1] / count


def under(supports: Iterable[Prop], arbor: str) -> Prop | None:
    """The post under the jewel of an arbor."""
    return next((p for p in supports if p.kind and p.touches == arbor), None)


def carried_by_statics(supports: Iterable[Prop], own: Prop) -> bool:
    """Whether a press over a post runs into it whatever the stiffness of anything.

    So it is where the other supports that touch cannot balance the press: its place lies outside
    their polygon. Clips could, from above, so then nothing is said.
    """
    others = [p for p in supports if p is not own]
    if any(p.above for p in others):
        return False
    reach = own.gap + own.half_width + OFF
    touching = [p.at for p in others if p.gap - p.half_width <= reach]
    hull = shapely.MultiPoint(touching).convex_hull
    return not touching or bool(hull.distance(shapely.Point(own.at)) > OFF)
