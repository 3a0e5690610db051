"""The acceptance list: what to gauge on the print before a workpiece goes in, and the limits."""

from __future__ import annotations

import numpy as np

from nests.compose import Holder
from nests.load_path.supports import SET, height_within, level_within
from nests.parts.base import Contact, Part, Site, first_of_each
from nests.parts.clip import Clip
from nests.parts.cradle import Cradle
from nests.parts.ring_seat import RingSeat
from nests.parts.seat_below import SeatBelow
from nests.parts.spring_lever import SpringLever
from nests.parts.stake_post import StakePost
from nests.places import Side
from nests.recipe import MOULD
from nests.report.wording import spot
from nests.units import Length
from nests.zones import Round

Row = tuple[str, str, str, str]
"""What, with which gauge and where, limits, reading (blank)."""

BY_EYE: tuple[Row, ...] = (
    ("washed and cured", "by eye: no gloss of uncured resin, nothing sticky", "dry", ""),
    ("foot flat", "on a surface plate, feeler gauge at the edge", "no rock; under 0.05 mm", ""),
    ("edges that touch", "loupe: seat, post tips", "no burr, no drop of resin", ""),
)
"""Common practice, no source."""
SPRINGS: dict[type[Part], Row] = {
    Clip: ("clips", "each bent aside once, its root under the loupe", "springs back, no crack", ""),
    SpringLever: (
        "spring levers",
        "each pushed as far as it goes, its root under the loupe",
        "springs back, no crack",
        "",
    ),
}
"""Of parts that bend; common practice, no source."""
DRY_RUN: Row = (
    "dry run",
    "lay a dummy, or the workpiece without pressing, in and take it out",
    "goes in by its own weight, lies still",
    "",
)
CASTING: tuple[Row, ...] = (
    *BY_EYE[:2],
    ("inside of the ring", "loupe", "no burr, no drop of resin", ""),
    ("first casting", "take the pad out when it has set", "comes out whole, lies flat", ""),
)
"""Of a mould, which no workpiece is laid in; common practice, no source."""
CAST_FIRST = "Before the first pad is cast, and after it."
HEIGHTS = "Heights: with an indicator, the foot of the holder and its zero on a surface plate."


def acceptance(holder: Holder) -> tuple[Row, ...]:
    """Rows of the list, in the order of the bench: by eye, seat, posts, try."""
    if holder.recipe.kind == MOULD:
        return (*_engraved(holder), *CASTING)
    site = holder.recipe.site()
    rows = [*_engraved(holder), *BY_EYE]
    for part in holder.recipe.parts:
        if isinstance(part, RingSeat):
            flange, _ = site.sheet.edge(site.side_down)
            rows += [*_across("seat", 2 * flange + part.aim(site), site), _ledge(part, site)]
        if isinstance(part, SeatBelow):
            rows.append(_bore("seat below", part.diameter + part.play, site))
        if isinstance(part, Cradle):
            flange = max(site.sheet.edge(side)[0] for side in Side)
            rows += _across("pocket", 2 * (flange + part.clearance), site)
            rows += [_pad(contact, site) for contact in first_of_each(part.contacts(site))]
        if isinstance(part, StakePost):
            rows += [_height(part, contact, site) for contact in part.contacts(site)]
    kinds = {type(part) for part in holder.recipe.parts}
    rows += [row for kind, row in SPRINGS.items() if kind in kinds]
    if holder.beside:
        rows.append(("loose bodies", "put in place, worked by hand", "free over all their way", ""))
    return (*rows, DRY_RUN)


def _engraved(holder: Holder) -> list[Row]:
    """What must be read on it before anything else is gauged: that it is this holder."""
    texts = [text for part in holder.recipe.parts if (text := part.engraves())]
    if not texts:
        return []
    return [("engraved", "read on the upper face", ", ".join(f"'{t}'" for t in texts), "")]


def _across(name: str, more: Length, site: Site) -> list[Row]:
    """Size of a bore `more` mm wider than the outline; one that is not round by its two widths."""
    if isinstance(site.sheet.outline, Round):
        return [_bore(name, site.sheet.outline.diameter + more, site)]
    ring = site.edge().bore(more / 2)
    return [
        (
            f"width of the {name}, {hours}",
            "caliper jaws, at its widest, above the ledge",
            f"{float(np.ptp(ring[:, axis])):.2f} ± {site.card.scatter:.2f} mm",
            "",
        )
        for axis, hours in enumerate(("3 h to 9 h", "12 h to 6 h"))
    ]


def _bore(name: str, wanted: Length, site: Site) -> Row:
    how = "bore gauge or caliper jaws, at three hours, above the ledge"
    return (f"⌀ of the {name}", how, f"{wanted:.2f} ± {site.card.scatter:.2f} mm", "")


def _ledge(seat: RingSeat, site: Site) -> Row:
    height = site.seat - seat.drop
    return (
        "height of the ledge",
        "at three places round it",
        f"{height:.3f} ± {level_within(site, height):.3f} mm",
        "",
    )


def _pad(contact: Contact, site: Site) -> Row:
    z = contact.place[2]
    return (
        f"height of the pad under {contact.touches}",
        f"gauged {spot(site, contact.place)}",
        f"{z:.3f} ± {level_within(site, z):.3f} mm",
        "",
    )


def _height(post: StakePost, contact: Contact, site: Site) -> Row:
    how = "set" if post.kind in SET else "gauged"
    return (
        f"height of the {post.label()}",
        f"{how} {spot(site, contact.place)}",
        f"{contact.place[2]:.3f} ± {height_within(post, site):.3f} mm",
        "",
    )
