"""What carries the workpiece of a family, and which kind of post stands under each pressed jewel.

From simple to laborious: a printed post; a metal pin set to height; a screw set under the workpiece
as it lies; the same on a stouter shank. The first that keeps the jewel's slide within the endshake
allowed is taken, whatever the force. If none does while the rim lies on its ledge, posts carry the
workpiece and the rim only centres; then a press over an outer post runs into it by statics alone.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nests.families._common import CommonWish, narrowest, play_of, ring_seat
from nests.families._posts import candidates, rest_posts
from nests.finding import Refused, refuse
from nests.mechanics.rests import support_polygon
from nests.parts.base import Site
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.units import BadInput, Length, quantity

if TYPE_CHECKING:  # the plate's solver needs scipy, and a holder that presses nothing does not
    from nests.load_path.paths import PressPath
    from nests.load_path.supports import Prop

WELL_INSIDE: Length = 0.5
"""mm between a press and the nearest side of the posts' polygon; from memory."""
DROP: Length = 0.20
"""mm from the rim to a ledge that only centres, more than all deviations; from memory."""
ROUNDS = 3
"""A post of another kind changes what its neighbours carry; so often they are asked again."""


@dataclass(frozen=True, kw_only=True)
class PostWish(CommonWish):
    """Options of the families that set posts under pressed jewels."""

    pin_above: float = quantity(
        "N",
        5.0,
        0.0,
        300.0,
        "force above which a post gets a metal pin where no plate thickness is known",
        "from memory",
    )


@dataclass(frozen=True)
class Standing:
    """What carries a workpiece, and why; `under` is holder z of the seat's lowest level face."""

    seat: RingSeat
    under: Length
    jewels: tuple[StakePost, ...]
    rests: tuple[StakePost, ...]
    reasons: tuple[str, ...]

    @property
    def posts(self) -> tuple[StakePost, ...]:
        """All posts."""
        return (*self.jewels, *self.rests)


def stand(
    site: Site,
    wish: PostWish,
    forces: Mapping[str, float],
    *,
    carried: bool = False,
    drop: Length = DROP,
    rests: int = 6,
) -> Standing:
    """Seat and posts under pressed jewels and at most `rests` further ones.

    `carried`: on posts if they stand all round, and on the ledge only if that does not do; else the
    other way round. Raises `Refused` where no kind of post keeps a jewel in place, and `BadInput`
    where a jewel is not on the sheet or leaves no room.
    """
    play = play_of(site, wish)
    under = candidates(site, forces, play)
    inside = narrowest(site.sheet) - wish.ledge - 0.3
    widest = [max(each, key=lambda post: post.shank) for each in under.values()]
    others = rest_posts(site, widest, inside, play, rests) if rests else []
    failed: Refused | None = None
    for down in (drop, 0.0) if carried else (0.0, drop):
        if down and not _all_round([*widest, *others], list(forces), site):
            continue
        seat = ring_seat(site, wish, drop=down)
        standing = others if down else [off_the_rest(site, each) for each in others]
        try:
            jewels, reasons = _chosen(site, seat, under, standing, forces, wish.pin_above)
        except Refused as refused:
            failed = failed or refused
            continue
        reasons += _how_it_lies(down, standing, len(jewels))
        under_seat = site.seat - down - seat.corner_relief
        return Standing(seat, under_seat, tuple(jewels), tuple(standing), tuple(reasons))
    assert failed is not None
    raise failed


def _how_it_lies(drop: Length, rests: Sequence[StakePost], jewels: int) -> list[str]:
    if drop:
        return [
            f"the rim lies {drop:g} mm above the ledge, which only centres; {len(rests) + jewels} "
            "posts carry."
        ]
    if not rests:
        return []
    return [
        f"the rim lies on the ledge; {len(rests)} posts end about {1000 * rests[0].short:.0f} µm "
        "short of their rests, to catch a bend and never lift the rim."
    ]


def off_the_rest(site: Site, post: StakePost) -> StakePost:
    """A printed post so short that it never lifts a workpiece off its ledge, and only catches a
    bend: it ends on a whole layer below all that may be off."""
    from nests.load_path.supports import measuring
    from nests.printer_card import level_error

    card, z = site.card, post.foothold(site).z
    lowest = z + level_error(site.seat, card.layer) - card.scatter - measuring(site, post)
    short = round(z - math.floor(lowest / card.layer + 1e-9) * card.layer, 4)
    return replace(post, short=short)


def _all_round(posts: Sequence[StakePost], pressed: Sequence[str], site: Site) -> bool:
    """Whether the middle and every pressed arbor lie between the posts, or on one of them."""
    feet = [post.foothold(site).at for post in posts]
    try:
        polygon = support_polygon([(at.x, at.y) for at in feet])
    except ValueError:
        return False
    tip = min(min(post.tip, post.insert) for post in posts)  # a tip carries up to its edge
    loaded = [site.frame.place(site.sheet.arbor(name).at) for name in pressed]
    return polygon.margin((0.0, 0.0)) >= WELL_INSIDE and all(
        polygon.margin((at.x, at.y)) + tip / 2 >= WELL_INSIDE for at in loaded
    )


def _chosen(
    site: Site,
    seat: RingSeat,
    under: Mapping[str, Sequence[StakePost]],
    rests: Sequence[StakePost],
    forces: Mapping[str, float],
    pin_above: float,
) -> tuple[list[StakePost], list[str]]:
    """A post under every pressed jewel, and the reasons."""
    if not forces:
        return [], []
    from nests.load_path.setting import holds, tried
    from nests.load_path.stock import plate_of
    from nests.load_path.supports import drawn

    try:
        plate_of(site.sheet, site.side_up)
    except BadInput as unknown:
        return _by_force(site, seat, under, rests, forces, pin_above, str(unknown))
    fixed = drawn(site, [(each.label(), each) for each in (seat, *rests)])
    at = dict.fromkeys(forces, 0)
    posts = {name: each[0] for name, each in under.items()}
    paths: dict[str, PressPath] = {}
    for _ in range(ROUNDS):
        before = dict(posts)
        for name, force in forces.items():
            others = _beside(site, fixed, [p for n, p in posts.items() if n != name])
            while True:
                posts[name], paths[name] = tried(site, others, under[name][at[name]], force)
                if holds(paths[name]):
                    break
                at[name] += 1
                if at[name] == len(under[name]):
                    raise _nothing_holds(posts[name], paths[name])
        if posts == before:
            break
    else:  # neighbours still pass it to and fro: it counts what holds with all as they are
        for name, force in forces.items():
            others = _beside(site, fixed, [p for n, p in posts.items() if n != name])
            posts[name], paths[name] = tried(site, others, posts[name], force)
            if not holds(paths[name]):
                raise _nothing_holds(posts[name], paths[name])
    return list(posts.values()), [_why(site, posts[n], paths[n], at[n], under[n]) for n in forces]


def _beside(site: Site, fixed: Sequence[Prop], posts: Sequence[StakePost]) -> list[Prop]:
    from nests.load_path.supports import lies_on_ledge, post_prop

    ledge = lies_on_ledge(fixed)
    return [*fixed, *(post_prop(each.label(), each, site, ledge) for each in posts)]


def _by_force(
    site: Site,
    seat: RingSeat,
    under: Mapping[str, Sequence[StakePost]],
    rests: Sequence[StakePost],
    forces: Mapping[str, float],
    pin_above: float,
    unknown: str,
) -> tuple[list[StakePost], list[str]]:
    """Kinds by the force alone, where nothing is known of the plate; statics may still tell."""
    from nests.load_path.supports import carried_by_statics, drawn
    from nests.load_path.supports import under as prop_under

    first = [each[0] for each in under.values()]
    supports = drawn(site, [(each.label(), each) for each in (seat, *first, *rests)])
    posts, reasons = [], []
    for name, force in forces.items():
        own = prop_under(supports, name)
        assert own is not None
        statics = carried_by_statics(supports, own)
        metal = [p for p in under[name] if p.kind != "printed"]
        post = metal[0] if metal and force > pin_above and not statics else under[name][0]
        why = (
            "no other support can take the press from it, by statics alone"
            if statics
            else f"{unknown.rstrip('.')}: by the force alone, from memory, {pin_above:g} N are the "
            "most for a printed one"
        )
        posts.append(post)
        reasons.append(
            f"{name}: {force:g} N pressed, {post.kind} post; {why}{_drilled(site, post)}."
        )
    return posts, reasons


def _why(
    site: Site, post: StakePost, path: PressPath, index: int, tried: Sequence[StakePost]
) -> str:
    """One reason with its numbers."""
    from nests.load_path.words import jewel_words, set_words

    kinds = dict.fromkeys(each.kind for each in tried[:index] if each.kind != post.kind)
    passed = " and ".join(kinds)
    left = f"; {passed} would not keep it within {1000 * path.known.arbor.endshake_change:g} µm"
    return (
        f"{post.under}: {path.known.force:g} N pressed, {post.kind} post; {jewel_words(path)}"
        f"{left if passed else ''}{set_words(site, post, path)}{_drilled(site, post)}."
    )


def _drilled(site: Site, post: StakePost) -> str:
    jewel = site.sheet.arbor(post.under).jewel(site.side_down)
    if post.kind == "printed" or jewel is None or not jewel.pivot_protrusion:
        return ""
    return f"; drill its end {jewel.pivot_diameter + 2 * post.relief:.2f} mm for the pivot"


def _nothing_holds(post: StakePost, path: PressPath) -> Refused:
    from nests.load_path.words import jewel_words

    known = path.known
    return refuse(
        "load path",
        f"no post keeps the jewel of '{post.under}' in place under {known.force:g} N: with a "
        f"{post.kind} post {jewel_words(path)}; allowed are "
        f"{1000 * known.arbor.endshake_change:g} µm.",
        known.push_out.remedy or "press more gently, or support the arbor itself",
    )
