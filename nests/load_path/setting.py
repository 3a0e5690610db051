"""At which height a post catches its jewel in time, and whether anything holds it there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from nests.load_path.paths import PressPath, press_paths
from nests.load_path.supports import SET, SETTING, Prop, lies_on_ledge, post_prop, together
from nests.parts.post import Post
from nests.parts.site import Site
from nests.units import Length

P = TypeVar("P", bound=Post)

OFTEN = 0.01
"""Probability up to which a slide beyond the endshake allowed is let pass; from memory."""
FINE: Length = 1e-3
"""mm to which a height is given."""
AGAIN = 3
"""A post that stands proud changes what else touches; so often its height is found anew."""
LIFT: Length = 0.03
"""mm by which a post may be set to lift a workpiece off its ledge; from memory."""


@dataclass(frozen=True)
class Setting:
    """How short of its jewel a post is to be set (negative: proud), ± `tolerance`, mm."""

    short: Length
    tolerance: Length


def setting(path: PressPath) -> Setting | None:
    """The height to set the post of a press to, as drawn but no later than it catches the jewel.

    As near to bearing as may be and no prouder than `LIFT`, with everything but the setting itself
    at its worst. None where the tolerance left is finer than can be set.
    """
    post = path.known.post
    if post is None or path.path.tips or math.isnan(path.latest()):
        return None
    latest = path.latest() - (post.half_width - SETTING)
    short = min(0.0, latest - SETTING)
    tolerance = min(latest - short, short + LIFT)
    return Setting(short, tolerance) if tolerance >= SETTING - 1e-9 else None


def holds(path: PressPath) -> bool:
    """Whether a press is safe for its jewel: no slide beyond the endshake allowed as drawn, nor
    more often than `OFTEN` with everything as far off as it may be."""
    return path.safe_as_drawn and path.chance <= OFTEN


def tried(site: Site, others: Sequence[Prop], post: P, force: float) -> tuple[P, PressPath]:
    """`post` beside the `others` as drawn, set to its height if it is one that is set, and the load
    path of `force` N on its jewel. Raises as `press_paths`."""
    ledge = lies_on_ledge(others)

    def path(each: P) -> PressPath:
        own = post_prop(each.label(), each, site, ledge)
        (found,) = press_paths(site, together([*others, own]), {each.under: force})
        return found

    found = path(post)
    for _ in range(AGAIN):
        to = setting(found) if post.kind in SET else None
        short = post.short if to is None else math.floor(to.short / FINE + 1e-6) * FINE
        if abs(short - post.short) < FINE / 2:
            break
        post = post.drawn_short(round(short, 6))
        found = path(post)
    return post, found
