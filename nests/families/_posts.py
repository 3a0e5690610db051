"""Where posts stand, of which kind, and how wide: under pressed arbors first, then under rests."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from manifold3d import CrossSection

from nests.families._room import covering, distance_off, distance_to, inset, widest_beside
from nests.given.sheet import Arbor, Jewel, Rest
from nests.given.zones import Disc, Polygon, Ring, Sector
from nests.parts.insert import GLUE_GAP
from nests.parts.metal import RODS, SET_SCREWS, widest_pin, widest_set_screw
from nests.parts.post import PostKind
from nests.parts.site import Site
from nests.parts.stake_post import StakePost
from nests.places import Place, at_hour
from nests.solids.solid import area, offset
from nests.units import BadInput, Hour, Length

OUT: tuple[Length, ...] = (1.0, 0.5, 1.5, 2.0, 3.0)
"""mm a pin or screw stands out of its post, the preferred first; less where it is low, farther
where the resin must end below what hangs beside the jewel."""
SMALLEST_TIP: Length = 0.3
"""mm across that still carry; from memory."""
LITTLE: Length = 0.01
"""mm more than the least the printer shows, for chords."""
NOTCH_SPARED: Hour = 0.75
"""h beside the notch at 12 h in which no groove runs out; from memory."""
USUAL_PIN: Length = 1.5
"""mm ⌀ of a pin where there is room; from memory."""
SLIMMEST: Length = RODS[0]
"""mm ⌀ of a pin where room is scarce."""
KINDS: tuple[tuple[PostKind, Length], ...] = (
    ("printed", 3.0),
    ("printed", 5.0),
    ("pin", 3.0),
    ("pin", 5.0),
    ("screw", 3.0),
    ("screw", 6.0),
)
"""Kinds of post with the ⌀ in mm of the shank if there is room, from simple to laborious."""


def spots(rest: Rest) -> tuple[Place, ...]:
    """Where posts may stand under a rest: its middle, or three places on a ring."""
    zone = rest.zone
    if isinstance(zone, Disc):
        return (zone.centre,)
    if isinstance(zone, Ring):
        radius = (zone.outer + zone.inner) / 4
        return tuple(
            Place(zone.centre.x + p.x, zone.centre.y + p.y)
            for p in (at_hour(h, radius) for h in (1.0, 5.0, 9.0))
        )
    if isinstance(zone, Sector):
        span = (zone.to_hour - zone.from_hour) % 12.0 or 12.0
        return (at_hour(zone.from_hour + span / 2, (zone.outer + zone.inner) / 2),)
    assert isinstance(zone, Polygon)
    xs, ys = [c.x for c in zone.corners], [c.y for c in zone.corners]
    return (Place(math.fsum(xs) / len(xs), math.fsum(ys) / len(ys)),)


def room_at(rest: Rest, at: Place, site: Site) -> Length:
    """⌀ of the largest disc about `at` inside a rest, by shrinking the rest until it is gone."""
    plan = area(rest.zone, site.frame, site.chord)
    here = site.frame.place(at)
    dot = CrossSection.circle(0.01, 8).translate((here.x, here.y))
    low, high = 0.0, 20.0
    for _ in range(12):
        half = (low + high) / 2
        grown = offset(dot, half, 32)
        low, high = (half, high) if (grown - plan).area() < 1e-6 else (low, half)
    return 2 * low


def apart(place: Place, others: Sequence[tuple[Place, Length]], gap: Length) -> Length:
    """Widest ⌀ a post at `place` may have beside others, each (place, ⌀)."""
    return min((2 * (place.distance(p) - d / 2 - gap) for p, d in others), default=math.inf)


def candidates(
    site: Site,
    forces: Mapping[str, float],
    play: Length,
    pads: CrossSection | None = None,
    ledge: Length | None = None,
) -> dict[str, tuple[StakePost, ...]]:
    """Posts that can stand under each pressed arbor, from simple to laborious; of arbors on one
    axis under the one whose jewel lies outermost, whichever of them are pressed.

    With a `play` of the rim on the ⌀ a tip stays on its jewel, off the pivot, off every keep-clear
    and off the `pads` of a cradle, its shank off a `ledge` of that width, or fast in what carries
    that. Raises `BadInput` where a jewel is not on the sheet or no post
    has room under it.
    """
    met = dict.fromkeys(site.sheet.outermost(name, site.side_down).name for name in forces)
    places = {name: site.sheet.arbor(name).at for name in met}
    out = {}
    for name in met:
        nearest = min(
            (places[name].distance(p) for n, p in places.items() if n != name), default=math.inf
        )
        arbor = site.sheet.arbor(name)
        try:
            near = min(nearest, _off_the_ledge(site, arbor.at, ledge))
            out[name] = _under(site, arbor, near, play, pads)
        except BadInput as refused:
            out[name] = _near_the_pivot(site, arbor, nearest, play, pads, refused)
    return out


def _off_the_ledge(site: Site, at: Place, ledge: Length | None) -> Length:
    """As far as another post would have to be that leaves as much room as the ledge does; no limit
    where hardly a post has room beside it."""
    if ledge is None:
        return math.inf
    inside = CrossSection([site.edge().bore(-ledge)])
    x0, y0, x1, y1 = inside.bounds()
    wall = CrossSection.square((x1 - x0 + 2.0, y1 - y0 + 2.0)).translate((x0 - 1.0, y0 - 1.0))
    room = 2 * distance_to(site, at, wall - inside) - site.card.smallest_gap
    return room if room >= SLIMMEST + 4 * site.card.smallest_wall else math.inf


def _near_the_pivot(
    site: Site,
    arbor: Arbor,
    nearest: Length,
    play: Length,
    pads: CrossSection | None,
    refused: BadInput,
) -> tuple[StakePost, ...]:
    """Posts where the jewel is too small to leave a margin round a pivot that stands out of it:
    with all play against it the pivot is not touched, and what is left of the margin is told."""
    jewel = arbor.jewel(site.side_down)
    if jewel is None or not jewel.pivot_protrusion:
        raise refused
    try:
        return _under(site, arbor, nearest, play, pads, relief=inset(site, play))
    except BadInput:
        raise refused from None


def _under(
    site: Site,
    arbor: Arbor,
    nearest: Length,
    play: Length,
    pads: CrossSection | None,
    relief: Length | None = None,
) -> tuple[StakePost, ...]:
    """Posts that can stand under one arbor, `nearest` mm from the next that is pressed, with a room
    of `relief` mm round its pivot, if not the usual one."""
    down, card = site.side_down, site.card
    jewel = arbor.jewel(down)
    if jewel is None:
        raise BadInput(
            f"the arbor '{arbor.name}' is pressed, but the sheet has no jewel for it on the "
            f"{down.value} side; measure its ⌀ and height, or those of its bush (`bush` true)."
        )
    spare, off = inset(site, play), distance_off(site, play)
    widest = jewel.diameter - 2 * spare
    tip = round(min(1.6, widest), 3)
    if tip < SMALLEST_TIP:
        raise BadInput(
            f"the {jewel.word} of '{arbor.name}' is {jewel.diameter:g} mm wide, and "
            f"{2 * spare:.2f} mm of it are lost to play, measuring and print; a post needs "
            f"{SMALLEST_TIP:g} mm: less play, or another support."
        )
    face = site.frame.z(down, jewel.height)
    over = covering(site, arbor.at, face, off)
    if over:
        raise BadInput(_covered(arbor.name, over))
    beside = widest_beside(site, arbor.at, face, off)
    if pads is not None:
        beside = min(beside, 2 * (distance_to(site, arbor.at, pads) - card.smallest_gap))
    plain = StakePost(
        under=arbor.name,
        tip=tip,
        weep_hour=_beside_the_notch(arbor.at.hour),
        relief=round(off if relief is None else relief, 3),
    )
    out: list[StakePost] = []
    refused: BadInput | None = None
    for kind, stout in KINDS:
        for stands_out, insert in _inserts(kind, min(tip, beside)):
            try:
                post = replace(plain, kind=kind, insert_out=stands_out, insert=insert)
                room = beside
                if kind == "printed":
                    post = replace(post, tip=_tip_beside_pivot(post, jewel, site, widest))
                else:  # only its metal passes what hangs beside the jewel
                    if beside < SLIMMEST:
                        raise BadInput(
                            f"the arbor '{arbor.name}' has room for a post of "
                            f"{max(beside, 0.0):.2f} mm ⌀ beside what is spared and what else "
                            f"stands there; {SLIMMEST:.2f} mm are needed."
                        )
                    room = widest_beside(site, arbor.at, face - stands_out, off)
                    if pads is not None:
                        room = min(room, beside)
                post = _sized(post, stout, jewel, site, nearest, room)
                post.shape(site)
            except BadInput as bad:
                # of metal as it usually stands out: that is the last a watchmaker would try
                if refused is None or (kind == "pin" and stands_out == OUT[0]):
                    refused = bad
                continue
            if post not in out:
                out.append(post)
            break
    if not out:
        assert refused is not None
        raise refused
    return tuple(out)


def _beside_the_notch(hour: Hour) -> Hour:
    """An hour a groove in the foot may run to: that one, but not where the notch at 12 h is."""
    return NOTCH_SPARED if min(hour, 12.0 - hour) < NOTCH_SPARED else round(hour, 2)


def _inserts(kind: PostKind, most: Length) -> Iterator[tuple[Length, Length]]:
    """How far an insert stands out, and the widest that is made up to `most` mm: a screw meets the
    jewel itself where there is room for its ⌀, else a pin on it does, one on the slimmest screw
    last, which is short."""
    if kind == "printed":
        yield OUT[0], StakePost.insert
        return
    sizes = [widest_pin(min(most, USUAL_PIN)) or SLIMMEST]
    if kind == "screw":
        own, slim = widest_set_screw(most), SET_SCREWS[0].core - GLUE_GAP
        sizes = [
            *([own.across] if own else []),
            *sizes,
            widest_pin(min(sizes[0], slim)) or SLIMMEST,
        ]
    yield from ((out, across) for out in OUT for across in dict.fromkeys(sizes))


def _tip_beside_pivot(post: StakePost, jewel: Jewel, site: Site, widest: Length) -> Length:
    """⌀ of a printed tip, wider than usual where that is needed beside the room for a pivot.

    Raises `BadInput` where the jewel leaves less than the printer shows.
    """
    card = site.card
    least = max(card.smallest_wall, card.smallest_pin)
    short = least + LITTLE - post.narrowest(site)
    if not jewel.pivot_protrusion or not jewel.pivot_diameter:
        short = (least + LITTLE - post.tip) / 2
    tip = post.tip + 2 * max(short, 0.0)
    if tip > widest:
        raise BadInput(
            f"the {jewel.word} of '{post.under}' leaves a printed tip of {widest:.2f} mm ⌀; beside "
            f"the room for its pivot {tip:.2f} mm are needed."
        )
    return round(tip, 3)


def _covered(name: str, over: Sequence[str]) -> str:
    """Why no post, however slim, reaches a jewel, and what a watchmaker can do."""
    words, several = " and ".join(f"'{each}'" for each in over), len(over) > 1
    return (
        f"{words} {'lie' if several else 'lies'} over the jewel of the arbor '{name}', which is "
        f"pressed, and no post reaches it: press before {'they are' if several else 'it is'} "
        f"fitted, and name {'them' if several else 'it'} under 'absent' in the operation."
    )


def _sized(
    post: StakePost,
    stout: Length,
    jewel: Jewel,
    site: Site,
    nearest: Length,
    beside: Length,
) -> StakePost:
    """A post of a kind with the widest shank up to `stout` that its neighbours leave."""
    name, metal, card = post.under, post.kind != "printed", site.card
    widest = nearest - card.smallest_gap
    head = max(post.tip, card.smallest_pin)
    if metal:
        round_it = 2 * max(card.smallest_wall, card.smallest_pin) + GLUE_GAP + 0.15
        if min(widest, beside) < post.insert + round_it:
            room = min(widest, beside) - round_it
            post = replace(post, insert=widest_pin(min(post.insert, room)) or SLIMMEST)
        head = max(post.insert + round_it, post.least_shank(site))
    if widest < head:
        raise BadInput(
            f"the arbor '{name}' leaves {max(widest, 0.0):.2f} mm ⌀ for a post beside the next "
            f"pressed one and the ledge; {head:.2f} mm are needed."
        )
    if beside < head:
        raise BadInput(
            f"the arbor '{name}' has room for a post of {max(beside, 0.0):.2f} mm ⌀ beside "
            f"what is spared and what else stands there; {head:.2f} mm are needed."
        )
    shank = round(min(max(stout, head + 0.8), widest, beside), 3)
    if jewel.height < 0.0 and not metal:  # no wider than the jewel where it enters the plate
        shank = head
    return replace(post, shank=shank)


def rest_posts(
    site: Site,
    beside: Sequence[StakePost],
    inside: Length,
    play: Length,
    most: int,
) -> list[StakePost]:
    """Printed posts under rests that lie clear of the ledge, of keep-clears and of other posts."""
    from nests.load_path.strength import SINKS, sinks, weight

    others = [(site.sheet.arbor(p.under).at, p.shank) for p in beside]
    stays = weight(site.sheet)
    spare, off = inset(site, play), distance_off(site, play)
    out: list[StakePost] = []
    for rest in site.sheet.rests:
        if rest.side is not site.side_down:
            continue
        for at in spots(rest):
            room = min(
                widest_beside(site, at, site.frame.z(rest.side, rest.height), off),
                2.5,
                apart(at, others, site.card.smallest_gap),
                2 * (inside - at.radius),
            )
            shank = math.floor(room * 100.0) / 100.0
            wide = math.floor(min(room, room_at(rest, at, site) - 2 * spare) * 100.0) / 100.0
            if wide < max(site.card.smallest_pin, site.card.smallest_wall, SMALLEST_TIP) + LITTLE:
                continue
            middle = None if isinstance(rest.zone, Disc) else at
            post = StakePost(under=rest.name, at=middle, tip=wide, shank=shank)
            if stays is not None and sinks(post, site, stays) > SINKS:
                continue  # too soft to carry anything for long
            out.append(post)
            others.append((at, shank))
            if len(out) == most:
                return out
    return out
