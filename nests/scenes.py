"""What the pictures of a holder show: the workpiece above it, and laid in."""

from __future__ import annotations

import numpy as np

from nests import workpiece
from nests.compose import Holder
from nests.parts.base import Site
from nests.parts.stake_post import StakePost
from nests.picture import Body, exploded_picture
from nests.picture.values import Marker
from nests.places import Place, Side
from nests.solid import Solid, triangles, turned
from nests.units import Length

AWAY: Length = 11.0
"""mm between the holder and what is lifted off it."""
THREAD: Length = 0.12
"""⌀ of the lines from a tip to what it carries, mm."""
UNMEASURED: Length = 0.3
"""mm; a jewel whose thickness is not on the sheet is drawn so thick."""


def exploded(holder: Holder) -> bytes:
    """PNG: the workpiece as a ghost above the holder, and lying in it, cut."""
    recipe = holder.recipe
    site = recipe.site()
    own = [_body("holder", holder.solid)]
    metal = [_body(f"insert under {p.under}", each) for p, each in _inserts(holder, site)]
    pieces, jewels = _pieces(holder, site), _jewels(site)
    lift = site.top - site.seat + AWAY
    laid = [_body(name, solid, ghost=True) for name, solid in pieces]
    laid += [_body(name, solid) for name, solid in jewels]
    raised = [_body(name, solid.translate((0, 0, lift)), ghost=True) for name, solid in pieces]
    raised += [_body(name, solid.translate((0, 0, lift))) for name, solid in jewels]
    threads = [_body("line of sight", each) for each in _threads(holder, lift)]
    names: list[Marker] = [
        ((*at, site.seat + site.sheet.rim + lift), site.sheet.name)
        for at in [_edge(site, recipe.side_up)]
    ]
    return exploded_picture(
        [*own, *metal, *threads, *raised],
        [*own, *metal, *laid],
        title=f"{recipe.name}: what lies where",
        cut_hour=cut_hour(holder),
        caption=(
            f"{recipe.workpiece.name} as the sheet describes it, translucent; the lines join each "
            "tip and what it carries",
            recipe.workpiece.remarks,
        ),
        names=names,
        mirrored=recipe.side_up is Side.BRIDGE,
    )


def cut_hour(holder: Holder) -> float:
    """Hour of the holder to cut at: the post farthest out, to show what carries; else 3 h."""
    site = holder.recipe.site()
    posts = [p.foothold(site).at for p in holder.recipe.parts if isinstance(p, StakePost)]
    far = max(posts, key=lambda at: at.radius, default=None)
    return 3.0 if far is None or far.radius < 1.0 else round(far.hour, 2)


def _body(name: str, solid: Solid, ghost: bool = False) -> Body:
    mesh = triangles(solid)
    return Body(
        name, mesh.vertices, mesh.faces, np.zeros(len(mesh.faces), dtype=np.int64), ghost=ghost
    )


def _pieces(holder: Holder, site: Site) -> list[tuple[str, Solid]]:
    """The rim and what must be spared."""
    spared = workpiece.volumes(site, holder.recipe.operation)
    return [("rim", workpiece.body(site)), *((each.name, each.solid()) for each in spared)]


def _jewels(site: Site) -> list[tuple[str, Solid]]:
    out = []
    for arbor in site.sheet.arbors:
        for jewel in arbor.jewels:
            face, deep = site.frame.z(jewel.side, jewel.height), jewel.thickness or UNMEASURED
            low = face - deep if jewel.side is site.side_up else face
            profile = [(jewel.diameter, low), (jewel.diameter, low + deep)]
            disc = turned(profile, site.chord, at=site.frame.place(arbor.at))
            out.append((f"jewel of {arbor.name}", disc))
    return out


def _inserts(holder: Holder, site: Site) -> list[tuple[StakePost, Solid]]:
    """The metal that is set into posts, as far as it stands out."""
    out = []
    for part in holder.recipe.parts:
        if isinstance(part, StakePost) and part.kind in ("pin", "screw"):
            hold = part.foothold(site)
            top = hold.z - part.short
            rod = [(part.insert, top - part.insert_out), (part.insert, top)]
            out.append((part, turned(rod, site.chord, at=hold.at)))
    return out


def _threads(holder: Holder, lift: Length) -> list[Solid]:
    return [
        turned([(THREAD, c.place[2]), (THREAD, c.place[2] + lift)], 0.01, at=Place(*c.place[:2]))
        for c in holder.contacts
        if c.part.startswith("stake post")
    ]


def _edge(site: Site, up: Side) -> tuple[float, float]:
    angle = site.frame.angle(4.5)
    radius = site.radius(4.5)
    return radius * float(np.cos(angle)), radius * float(np.sin(angle))
