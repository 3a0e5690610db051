"""At which height a post catches its jewel in time, and whether anything holds it there."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TypeVar

from nests.load_path.passed import OFTEN as OFTEN
from nests.load_path.paths import PressPath, press_paths
from nests.load_path.supports import SET, SETTING, Prop, ledge_of, post_prop, together
from nests.parts.post import Post
from nests.parts.site import Site
from nests.units import Length

P = TypeVar("P", bound=Post)

FINE: Length = 1e-3
"""mm to which a height is given."""
AGAIN = 3
"""A post that stands proud changes what else touches; so often its height is found anew."""
LIFT: Length = 0.03
"""mm by which a post may be set to lift a workpiece off its ledge; from memory."""


def setting(path: PressPath) -> Length | None:
    """How short of its jewel (mm, negative: proud) to set the post of a press, to ± `SETTING`: as
    drawn, but so that it catches the jewel in time with everything at its worst.

    None where that would be prouder than `LIFT`.
    """
    post = path.known.post
    if post is None or path.path.tips or math.isnan(path.latest()):
        return None
    short = min(0.0, path.latest() - post.half_width)
    return short if short + LIFT >= SETTING - 1e-9 else None


def at_whole_layers(site: Site, z: Length, ledge: Length) -> Length:
    """How short of the height `z` a printed tip ends that is nearest to it and comes out whole
    layers above or below the ledge, mm."""
    layer, above = site.card.layer, z - ledge
    layers = round(site.card.upright(above) / layer)
    return round(above - layers * layer / site.card.upright(1.0), 6)


def holds(path: PressPath) -> bool:
    """Whether a press is safe for its jewel: no slide beyond the endshake allowed as drawn, nor
    more often than `OFTEN` with everything as far off as it may be; and for the jewels over other
    posts, which none of it may push out so far."""
    return path.safe_as_drawn and path.chance <= OFTEN and path.pushed is None


def as_drawn(site: Site, others: Sequence[Prop], post: P) -> P:
    """A post at its nominal height beside the `others`: if it is not one that is set, at whole
    layers from the ledge."""
    ledge = ledge_of(others)
    if post.kind in SET or ledge is None:
        return post
    return post.drawn_short(at_whole_layers(site, post.foothold(site).z, ledge))


def passing(
    site: Site, others: Sequence[Prop], post: Post, forces: Mapping[str, float]
) -> dict[str, PressPath]:
    """Load paths, by arbor, of presses of so many N on a post that stands under none of their
    jewels but under the outermost one on their axis. Raises as `press_paths`."""
    own = post_prop(post.label(), post, site, ledge_of(others))
    paths = press_paths(site, together([*others, own]), forces)
    return {each.known.arbor.name: each for each in paths}


def tried(site: Site, others: Sequence[Prop], post: P, force: float) -> tuple[P, PressPath]:
    """`post` beside the `others` as drawn, and the load path of `force` N on its jewel: set to its
    height if it is one that is set, else at whole layers from the ledge. Raises as `press_paths`.
    """
    post, ledge = as_drawn(site, others, post), ledge_of(others)

    def path(each: P) -> PressPath:
        own = post_prop(each.label(), each, site, ledge)
        (found,) = press_paths(site, together([*others, own]), {each.under: force})
        return found

    found = path(post)
    for _ in range(AGAIN):
        to = setting(found) if post.kind in SET else None
        short = post.short if to is None else math.floor(to / FINE + 1e-6) * FINE
        if abs(short - post.short) < FINE / 2:
            break
        post = post.drawn_short(round(short, 6))
        found = path(post)
    return post, found
