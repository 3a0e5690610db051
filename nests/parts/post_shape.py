"""How a post is shaped and what carries in it: pieces that `stake_post` puts together."""

from __future__ import annotations

import math

from nests.given.zones import Disc
from nests.mechanics.column import Section, Segment
from nests.mechanics.post import StandingPost
from nests.parts.answers import Fitting
from nests.parts.post import METAL, SET, Foothold, Post
from nests.parts.site import Site
from nests.places import Place
from nests.solids.solid import OVER, Solid, along, block, gable, turned
from nests.units import BadInput, Hour, Length

GROOVE: Length = 1.0
"""mm wide at the foot, half as high where the card lets undersides lean by 45 degrees; from
memory."""
SOFT = 5.0
"""MPa, silicone pad; from memory."""

Sizes = tuple[Length, Length, Length, Length]
"""⌀ of the shank and of the head, holder z of the printed top, height of the cone."""


def foothold(site: Site, under: str, place: Place | None) -> Foothold:
    """The jewel or rest of that name above a post, at a place on the rest if that has no middle.

    Raises `BadInput` if the sheet has none.
    """
    sheet, down = site.sheet, site.side_down
    arbor = next((each for each in sheet.arbors if each.name == under), None)
    if arbor is not None:
        jewel = arbor.jewel(down)
        if jewel is None:
            raise BadInput(
                f"the arbor '{under}' has no jewel or bush on the {down.value} side; "
                "a post has nothing to carry there."
            )
        if (outer := sheet.outermost(arbor.name, down)) is not arbor:
            told = f"the {jewel.word} of '{under}' lies behind that of '{outer.name}'"
            raise BadInput(f"{told} on the same axis; a post meets that one.")
        return Foothold(
            site.frame.place(arbor.at),
            site.frame.z(down, jewel.height),
            jewel.diameter,
            jewel.pivot_diameter,
            jewel.pivot_protrusion,
            jewel.oil_sink or 0.0,
        )
    rest = sheet.rest(under)
    if rest.side is not down:
        raise BadInput(
            f"the rest '{under}' looks to the {rest.side.value} side; the "
            f"holder carries the {down.value} side."
        )
    if place is None and not isinstance(rest.zone, Disc):
        raise BadInput(f"the rest '{under}' is no disc; the post needs its place 'at'.")
    at = place if place is not None else rest.zone.centre  # type: ignore[attr-defined]
    widest = rest.zone.diameter if isinstance(rest.zone, Disc) else math.inf
    return Foothold(site.frame.place(at), site.frame.z(down, rest.height), widest, 0.0, 0.0)


def walls(site: Site) -> Length:
    """The thinnest wall that stands, on both sides of a bore, with what chords take of it; the
    groove makes a ridge of it, which must be as stout as a pin."""
    return 2 * max(site.card.smallest_wall, site.card.smallest_pin) + 4 * site.chord


def cup(hold: Foothold, relief: Length) -> tuple[Length, Length]:
    """⌀ and depth of the room drilled for a pivot into the end of an insert."""
    return hold.pivot + 2 * relief, hold.protrusion + relief


def pivot_slot(hold: Foothold, width: Length, reach: Length, low: Length, top: Length) -> Solid:
    """Room for a pivot in a printed tip: a slot that is open at both ends, `reach` mm out, and no
    hole: it drains, and no cup faces the film."""
    slot = block(0.0, -reach, reach, width, low, top + OVER)
    return along(slot, math.atan2(hold.at.y, hold.at.x)).translate((hold.at.x, hold.at.y, 0.0))


def beside_slot(width: Length, head: Length) -> Length:
    """⌀ of a disc of the same area as a tip beside its pivot slot."""
    half = min(width / head, 0.95)
    left = head**2 / 2 * (math.acos(half) - half * math.sqrt(1.0 - half**2))
    return math.sqrt(4 / math.pi * left)


def groove(site: Site, hold: Foothold, hour: Hour) -> Solid:
    """Out of a bore along the foot: on the build plate it would be a closed cup."""
    far = site.outer(hour) + hold.at.radius + OVER
    cut = gable(0.0, far, GROOVE, -OVER, OVER, site.rise)
    return along(cut, site.frame.angle(hour)).translate((hold.at.x, hold.at.y, 0.0))


def fittings(site: Site, post: Post, hold: Foothold) -> tuple[Fitting, ...]:
    """The insert of a post, drilled where a pivot needs it, over the screw that carries it."""
    held, end, wide = post.inserted(site), hold.z - post.short, post.insert
    low = end - post.insert_out if held is None else held.low
    rod = turned([(wide, low), (wide, end)], site.chord, at=hold.at)
    if hold.protrusion > 0.0:
        room, deep = cup(hold, post.relief)
        hole = [(room, end - deep), (room, end + OVER)]
        rod -= turned(hole, site.chord, bore=True, at=hold.at)
    out = [Fitting(f"insert under {post.under}", rod, metal=post.kind in SET)]
    if held is not None and held.screw is not None and not held.alone:
        across, low = held.screw.across, held.screw_low
        ends = [(across, low), (across, low + held.screw_length)]
        screw = turned(ends, site.chord, at=hold.at)
        out.insert(0, Fitting(f"set screw under {post.under}", screw))
    return tuple(out)


def standing(
    site: Site, post: Post, hold: Foothold, sizes: Sizes, slot_width: Length
) -> StandingPost:
    """What a press on the tip of a post runs down through.

    A pin counts as fast in its bore as deep as it is wide, from the mouth down: glue may have run
    no farther. Fast farther down it is stiffer. A screw is held by all of its thread.
    """
    (shank, head, top, cone), held, card = sizes, post.inserted(site), site.card
    bore = wide = step = pressed = 0.0
    fast: tuple[Length, Length] = (0.0, 0.0)
    above: tuple[Segment, ...] = ()
    if held is not None:
        bore, metal = held.bore, held.across
        fast = (max(top - post.insert, 0.0), top)
        if held.screw is not None:
            fast = (held.screw_low, min(held.screw_low + held.screw_length, top))
            if held.alone:
                metal = held.screw.core
            elif held.screw.core > bore:
                wide, step = held.screw.core, held.step
        drilled = cup(hold, post.relief)[0] if hold.protrusion else 0.0
        rod = Section(metal, min(drilled, 0.9 * post.insert, 0.9 * metal))
        above = (Segment(post.insert_out, rod, METAL),)
    elif post.kind == "soft":
        pressed = post.insert
        above = (Segment(post.insert_out, Section(post.insert), SOFT),)
    elif hold.protrusion > 0.0:  # beside the room for a pivot
        slot = min(hold.protrusion + post.relief, top - site.floor - 0.1)
        pressed = beside_slot(slot_width, head)
        above = (Segment(slot, Section(pressed), card.modulus),)
        head = head + (shank - head) * slot / cone if cone > slot else shank
        top, cone = top - slot, max(cone - slot, 0.0)
    return StandingPost(
        floor=site.floor, shank=shank, head=head, straight=top - cone - site.floor, cone=cone,
        modulus=card.modulus, poisson=card.poisson, bore=bore, wide=wide, wide_up_to=step,
        pressed=pressed, above=above, held=fast,
    )  # fmt: skip
