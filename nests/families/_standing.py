"""What carries a workpiece: the ledge, posts all round, or the pads of a cradle, and jewels' posts.

If no post keeps a jewel in place while the rim lies on its ledge, posts carry the workpiece and the
rim only centres; then a press over an outer post runs into it by statics alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import islice
from typing import ClassVar

from manifold3d import CrossSection, OpType

from nests.families._common import CommonWish, play_of, ring_seat
from nests.families._kinds import chosen
from nests.families._posts import candidates, rest_posts
from nests.families._rim import narrowest
from nests.finding import MEMORY, Refused, refuse
from nests.mechanics.rests import support_polygon
from nests.parts.base import Part
from nests.parts.cradle import Cradle
from nests.parts.ring_seat import RingSeat
from nests.parts.site import Site
from nests.parts.stake_post import StakePost
from nests.units import Length, quantity, said

WELL_INSIDE: Length = 0.5
"""mm between a press and the nearest side of the posts' polygon; from memory."""
DROP: Length = 0.20
"""mm from the rim to a ledge that only centres, more than all deviations; from memory."""


@dataclass(frozen=True, kw_only=True)
class PostWish(CommonWish):
    """Options of the families that set posts under pressed jewels."""

    varies: ClassVar[Mapping[str, tuple[object, ...]]] = {
        "play": (0.08, 0.06, 0.14),
        "post_height": (2.0, 4.5),
        "floor": (3.2, 4.0),
        "wall": (10.0, 12.0),
        "ledge": (0.6,),
    }
    pin_above: float = quantity(
        "N",
        5.0,
        0.0,
        300.0,
        "force above which a post gets a metal pin where no plate thickness is known",
        "from memory",
    )
    arbor: str = said("arbor that is pressed, where no operation is given", "")
    force: float | None = quantity(
        "N",
        None,
        0.1,
        300.0,
        "force of every press, also where the operation states another; none for what is usual",
        MEMORY,
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

    `carried`: on posts if they stand all round and so far out that a finger on the rim does not
    tip the workpiece, on the ledge if that does not do, and on posts that let it rock if no ledge
    does; else on the ledge first. Never on posts that it falls off. Raises `Refused` where no kind
    of post keeps a jewel in place, and `BadInput`
    where a jewel is not on the sheet or leaves no room.
    """
    play = play_of(site, wish)
    under = candidates(site, forces, play, ledge=wish.ledge)
    inside = narrowest(site.sheet) - wish.ledge - 0.3
    failed: Refused | None = None
    for layout in _layouts(site, under, inside, play, rests, slim=carried):
        firm, rocking = layout.firmness is Firmness.FIRM, layout.firmness is Firmness.ROCKS
        for down in _ways(drop, first=carried and firm, last=rocking or (firm and not carried)):
            seat = ring_seat(site, wish, drop=down)
            standing = layout.rests if down else [off_the_rest(site, p) for p in layout.rests]
            try:
                jewels, reasons = chosen(site, seat, layout.under, standing, forces, wish.pin_above)
            except Refused as refused:
                failed = failed or refused
                continue
            reasons += _how_it_lies(down, standing, len(jewels))
            under_seat = site.seat - down - seat.corner_relief
            return Standing(seat, under_seat, tuple(jewels), tuple(standing), tuple(reasons))
    assert failed is not None
    raise failed


def posts_among_pads(
    site: Site, cradle: Cradle, wish: PostWish, forces: Mapping[str, float]
) -> tuple[list[StakePost], list[str]]:
    """A post under every pressed jewel of a workpiece that lies on pads, and the reasons.

    Raises as `stand`.
    """
    pads = CrossSection.batch_boolean([plan for _, plan, _ in cradle.pads(site)], OpType.Add)
    under = candidates(site, forces, 2 * cradle.clearance, pads)
    posts = [each[0] for each in under.values()]
    outer = _outside([*_feet(site, posts), *_feet(site, [cradle])], posts, forces, site)
    if outer:
        raise refuse(
            "steady",
            f"pressed on '{outer[0]}' the workpiece would tip: its jewel does not lie well inside "
            "the rests it stands on.",
            "measure more rests on the side that looks down, farther out",
        )
    return chosen(site, cradle, under, (), forces, wish.pin_above)


def _how_it_lies(drop: Length, rests: Sequence[StakePost], jewels: int) -> list[str]:
    if drop:
        return [
            f"the rim lies {drop:g} mm above the ledge, which only centres; {len(rests) + jewels} "
            "posts carry."
        ]
    if not rests:
        return []
    return [
        f"the rim lies on the ledge; {_many(len(rests))} about {1000 * rests[0].short:.0f} µm "
        "short, to catch a bend and never lift the rim."
    ]


def _many(posts: int) -> str:
    return "a post under a rest ends" if posts == 1 else f"{posts} posts under rests end"


def off_the_rest(site: Site, post: StakePost) -> StakePost:
    """A printed post so short that it never lifts a workpiece off its ledge, and only catches a
    bend: it ends on a whole layer below all that may be off."""
    from nests.load_path.setting import at_whole_layers
    from nests.load_path.supports import measuring

    z, layer = post.foothold(site).z, site.card.layer
    short = at_whole_layers(site, z, site.seat)
    within = post.drawn_short(short).height_within(site, site.seat) + measuring(site, post.under)
    short += max(math.ceil((within - short) / layer - 1e-9), 0) * layer
    short = round(short, 6)
    return replace(post, short=short)


class Firmness(Enum):
    """How a workpiece stands on posts alone."""

    FIRM = "as on a ledge"
    ROCKS = "a finger on its rim tips it"
    NOT = "not at all, or a press beside them tips it"


@dataclass(frozen=True)
class _Layout:
    """Posts that leave each other room: what may stand under each jewel, and under rests."""

    under: Mapping[str, tuple[StakePost, ...]]
    rests: list[StakePost]
    firmness: Firmness


def _layouts(
    site: Site,
    under: Mapping[str, tuple[StakePost, ...]],
    inside: Length,
    play: Length,
    most: int,
    *,
    slim: bool,
) -> Iterator[_Layout]:
    """Posts under at most `most` rests, beside the widest that may stand under jewels.

    `slim`: where those leave too little room to stand on posts alone, first beside the widest under
    jewels that does leave it.
    """

    def beside(widest: Length) -> _Layout:
        some = {
            name: tuple(p for p in posts if p.shank <= widest) or (min(posts, key=_shank),)
            for name, posts in under.items()
        }
        jewels = [max(posts, key=_shank) for posts in some.values()]
        rests = rest_posts(site, jewels, inside, play, most) if most else []
        return _Layout(some, rests, _firmness([*jewels, *rests], under, site))

    usual = beside(math.inf)
    if slim and usual.firmness is not Firmness.FIRM:
        shanks = sorted({post.shank for posts in under.values() for post in posts}, reverse=True)
        narrower = [beside(shank) for shank in shanks[1:]]
        for wanted in (Firmness.FIRM, Firmness.ROCKS)[: 1 + (usual.firmness is Firmness.NOT)]:
            yield from islice((each for each in narrower if each.firmness is wanted), 1)
    yield usual


def _shank(post: StakePost) -> Length:
    return post.shank


def _ways(drop: Length, *, first: bool, last: bool) -> tuple[Length, ...]:
    """How far below the rim the ledge is tried, in order of preference; 0 where it carries."""
    return (*((drop,) if first else ()), 0.0, *((drop,) if last else ()))


def _firmness(posts: Sequence[StakePost], pressed: Iterable[str], site: Site) -> Firmness:
    """Of posts round the middle; one of unknown mass is taken to stand if they go all round."""
    from nests.load_path.steadiness import TOUCH, least, tips_at_rim
    from nests.load_path.strength import weight

    if not _all_round(posts, pressed, site):
        return Firmness.NOT
    own = weight(site.sheet)
    if own is None or site.sheet.kind == "sub-assembly":
        return Firmness.FIRM
    feet = [(*at, min(post.tip, post.insert)) for post in posts for at in _feet(site, [post])]
    force = tips_at_rim(site, own, feet)
    if force < least(own):
        return Firmness.NOT
    return Firmness.FIRM if force >= TOUCH else Firmness.ROCKS


def _all_round(posts: Sequence[StakePost], pressed: Iterable[str], site: Site) -> bool:
    """Whether the middle and every pressed arbor lie between the posts, or on one of them."""
    feet = _feet(site, posts)
    try:
        middle = support_polygon(feet).margin((0.0, 0.0))
    except ValueError:  # they span no area
        return False
    return middle >= WELL_INSIDE and not _outside(feet, posts, pressed, site)


def _feet(site: Site, parts: Sequence[Part]) -> list[tuple[float, float]]:
    """Where parts touch the workpiece, in the holder frame."""
    return [contact.place[:2] for part in parts for contact in part.contacts(site)]


def _outside(
    feet: Sequence[tuple[float, float]],
    posts: Sequence[StakePost],
    pressed: Iterable[str],
    site: Site,
) -> list[str]:
    """Pressed arbors that lie neither well between all feet nor on one of the posts."""
    if not posts:
        return []
    try:
        polygon = support_polygon(feet)
    except ValueError:  # they span no area
        return list(pressed)
    tip = min(min(post.tip, post.insert) for post in posts)  # a tip carries up to its edge
    loaded = {name: site.frame.place(site.sheet.arbor(name).at) for name in pressed}
    return [n for n, at in loaded.items() if polygon.margin((at.x, at.y)) + tip / 2 < WELL_INSIDE]
