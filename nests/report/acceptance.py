"""The acceptance list: what to gauge on the print before a workpiece goes in, and the limits."""

from __future__ import annotations

from nests.compose import Holder
from nests.parts.base import Contact, Site
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Place
from nests.sheet import Round

Row = tuple[str, str, str, str]
"""What, with which gauge and where, limits, reading (blank)."""

BY_EYE: tuple[Row, ...] = (
    ("washed and cured", "by eye: no gloss of uncured resin, nothing sticky", "dry", ""),
    ("foot flat", "on a surface plate, feeler gauge at the edge", "no rock; under 0.05 mm", ""),
    ("edges that touch", "loupe: seat, post tips", "no burr, no drop of resin", ""),
)
"""Common practice, no source."""


def acceptance(holder: Holder) -> tuple[Row, ...]:
    """Rows of the list, in the order of the bench: by eye, seat, posts, try."""
    site = holder.recipe.site()
    rows = list(BY_EYE)
    for part in holder.recipe.parts:
        if isinstance(part, RingSeat) and isinstance(site.sheet.outline, Round):
            rows.append(_bore(part, site))
        if isinstance(part, StakePost):
            rows += [_height(part, contact, site) for contact in part.contacts(site)]
    rows.append(
        (
            "dry run",
            "lay a dummy, or the workpiece without pressing, in and take it out",
            "goes in by its own weight, lies still",
            "",
        )
    )
    return tuple(rows)


def _bore(seat: RingSeat, site: Site) -> Row:
    assert isinstance(site.sheet.outline, Round)
    flange, _ = site.sheet.edge(site.side_down)
    wanted, scatter = site.sheet.outline.diameter + 2 * flange + seat.play, site.card.scatter
    return (
        "⌀ of the seat",
        "bore gauge or caliper jaws, at three hours, above the ledge",
        f"{wanted:.2f} ± {scatter:.2f} mm",
        "",
    )


def _height(post: StakePost, contact: Contact, site: Site) -> Row:
    """Height of a tip over the ledge: what a depth gauge laid across the seat shows."""
    at = site.frame.place(Place(*contact.place[:2]))
    below = site.seat - contact.place[2]
    way = "below" if below >= 0 else "above"
    # an insert is set; a printed tip comes as the layers round it
    limit = 0.01 if post.kind in ("pin", "screw") else max(site.card.layer, site.card.scatter)
    how = "set, then gauged" if post.kind in ("pin", "screw") else "gauged"
    return (
        f"height of the {post.label()}",
        f"indicator on the seat's ledge as zero, {how} at {at.hour:.2f} h, {at.radius:.2f} mm",
        f"{abs(below):.3f} ± {limit:.3f} mm {way} the ledge",
        "",
    )
