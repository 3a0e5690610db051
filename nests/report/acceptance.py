"""The acceptance list: what to gauge on the print before a workpiece goes in, and the limits."""

from __future__ import annotations

from nests.compose import Holder
from nests.load_path.supports import SET, height_within, level_within
from nests.parts.base import Contact, Site
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.report.wording import spot
from nests.sheet import Round

Row = tuple[str, str, str, str]
"""What, with which gauge and where, limits, reading (blank)."""

BY_EYE: tuple[Row, ...] = (
    ("washed and cured", "by eye: no gloss of uncured resin, nothing sticky", "dry", ""),
    ("foot flat", "on a surface plate, feeler gauge at the edge", "no rock; under 0.05 mm", ""),
    ("edges that touch", "loupe: seat, post tips", "no burr, no drop of resin", ""),
)
"""Common practice, no source."""
HEIGHTS = "Heights: with an indicator, the foot of the holder and its zero on a surface plate."


def acceptance(holder: Holder) -> tuple[Row, ...]:
    """Rows of the list, in the order of the bench: by eye, seat, posts, try."""
    site = holder.recipe.site()
    rows = list(BY_EYE)
    for part in holder.recipe.parts:
        if isinstance(part, RingSeat) and isinstance(site.sheet.outline, Round):
            rows += [_bore(part, site), _ledge(part, site)]
        if isinstance(part, StakePost):
            rows += [_height(part, contact, site) for contact in part.contacts(site)]
    if holder.beside:
        rows.append(("loose bodies", "put in place, worked by hand", "free over all their way", ""))
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
    wanted, scatter = site.sheet.outline.diameter + 2 * flange + seat.aim(site), site.card.scatter
    return (
        "⌀ of the seat",
        "bore gauge or caliper jaws, at three hours, above the ledge",
        f"{wanted:.2f} ± {scatter:.2f} mm",
        "",
    )


def _ledge(seat: RingSeat, site: Site) -> Row:
    height = site.seat - seat.drop
    return (
        "height of the ledge",
        "at three places round it",
        f"{height:.3f} ± {level_within(site, height):.3f} mm",
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
