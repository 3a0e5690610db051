"""What the pictures of a holder show: itself, its walls, and the workpiece above it and laid in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from nests.finding import Finding, Grade, by_gravity
from nests.holder import workpiece
from nests.holder.compose import Holder
from nests.papers.picture import Shown, exploded_picture, field_picture, holder_picture
from nests.papers.picture.curve import Curve, curve_picture
from nests.papers.picture.values import Marker
from nests.parts.site import Site
from nests.places import Place, Side
from nests.solids.solid import Solid, Triangles, triangles, turned
from nests.study import FACING, Study
from nests.thickness import Thickness
from nests.units import Length

AWAY: Length = 11.0
"""mm between the holder and what is lifted off it."""
THREAD: Length = 0.12
"""⌀ of the lines from a tip to what it carries, mm."""
FIELD: Length = 1.3
"""mm; longest edge of a triangle in the picture of the walls."""
FIELD_PAGE = (900, 525)
"""Pixels of that picture, as wide as the curve of the peel: it shows areas, not edges."""
MOST_NAMED = 3
"""Parts that are lit and named in a small picture."""
UNMEASURED: Length = 0.3
"""mm; a jewel whose thickness is not on the sheet is drawn so thick."""


def outside(holder: Holder, findings: Sequence[Finding]) -> bytes:
    """The picture: outside and cut, the parts of `stop` findings lit and named.

    With a finding that has a place, the cut goes through the gravest one's place, and points at it.
    """
    recipe, mesh = holder.recipe, holder.mesh
    labels = [each.label for each in holder.laid]
    number = {label: index for index, label in enumerate(labels)}
    part = [number.get(holder.made_by.get(int(m), "body"), 0) for m in mesh.makers]
    lit = {
        number[name]: f"{f.grade.value}: {name}"
        for f in findings
        if f.grade is Grade.STOP
        for name in f.parts
        if name in number and (name != "body" or len(f.parts) == 1)
    }
    faults = [f for f in by_gravity(tuple(findings)) if f.grade in (Grade.STOP, Grade.MEND)]
    points = [(f.place, f"{f.grade.value}: {f.check}") for f in faults if f.place is not None][:1]
    hour = Place(*points[0][0][:2]).hour if points else cut_hour(holder)
    count = {g: sum(f.grade is g for f in findings) for g in Grade}
    words = ", ".join(f"{n} {g.value}" for g, n in count.items() if n)
    remarks = recipe.workpiece.remarks
    return holder_picture(
        [Shown("holder", mesh.vertices, mesh.faces, np.array(part, dtype=np.int64))],
        beside=_beside(holder, mesh),
        title=recipe.name,
        caption=(
            f"{recipe.kind.capitalize()}, {recipe.side_up.value} side up, for: "
            f"{recipe.operation.name}",
            f"Findings: {words}. {remarks[:1].upper()}{remarks[1:]}".strip(),
        ),
        cut_hour=hour,
        markers=points,
        lit=lit,
        mirrored=recipe.side_up is Side.BRIDGE,
        trim=True,
    )


def lit_picture(holder: Holder, labels: Sequence[str]) -> bytes:
    """A small picture of a holder, outside and cut, with some parts lit and named."""
    mesh, known = holder.mesh, [each.label for each in holder.laid]
    number = {label: index for index, label in enumerate(known)}
    part = [number.get(holder.made_by.get(int(m), "body"), 0) for m in mesh.makers]
    names = [name for name in dict.fromkeys(labels) if name in number]
    # many of one kind have a name between them
    lit = {number[name]: name if k < MOST_NAMED else "" for k, name in enumerate(names)}
    return holder_picture(
        [Shown("holder", mesh.vertices, mesh.faces, np.array(part, dtype=np.int64))],
        beside=_beside(holder, mesh),
        title=holder.recipe.name,
        cut_hour=cut_hour(holder),
        lit={k: name for k, name in lit.items() if name},
        mirrored=holder.recipe.side_up is Side.BRIDGE,
        trim=True,
    )


def walls(study: Study) -> bytes:
    """Picture of the local wall thickness, face by face; grey where no side faces another."""
    from nests.thickness import thickness

    # long thin triangles would show streaks: one value stands for a whole triangle
    mesh, limit = triangles(study.solid.refine_to_length(FIELD)), study.card.smallest_wall
    found = thickness(mesh.vertices, mesh.faces, spacing=FIELD, facing_angle=FACING)
    detail = _detail(study, mesh, found)
    # the middle of a triangle says what it is like; an edge only where it is too thin
    middle = np.where(detail, np.inf, found.diameter)[: len(mesh.faces)]
    least = replace(found, diameter=np.where(detail, np.inf, found.diameter)).by_face(len(middle))
    walls = np.where(np.isfinite(middle) & (least >= limit), middle, least)
    walls[~np.isfinite(walls)] = np.nan
    body = Shown("holder", mesh.vertices, mesh.faces, np.zeros(len(mesh.faces), dtype=np.int64))
    name = study.holder.recipe.name if study.holder is not None else "mesh"
    title = f"{name}: wall thickness, limit {limit:g} mm"
    bridge_up = study.holder is not None and study.holder.recipe.side_up is Side.BRIDGE
    return field_picture(
        body,
        walls,
        "mm",
        (0.0, 5 * limit),
        title,
        _thinnest(study),
        FIELD_PAGE,
        mirrored=bridge_up,
        trim=True,
    )


def _thinnest(study: Study) -> list[Marker]:
    """The thinnest wall at the points of the wall check, engraving aside."""
    found = study.walls
    diameter = np.where(_detail(study, study.mesh, found), np.inf, found.diameter)
    if not np.isfinite(diameter).any():
        return []
    k = int(np.argmin(diameter))
    return [(found.points[k].tolist(), f"least {diameter[k]:.2f} mm")]


def peel(study: Study) -> bytes:
    """Picture of the area peeled off the film in each layer, in the pose of printing."""
    found = study.swept.peel
    name = study.holder.recipe.name if study.holder is not None else study.name
    curve = Curve(study.layers.layer, found.solid, found.sealed, study.card.largest_peel)
    return curve_picture(curve, f"{name}: area peeled off the film")


def _detail(study: Study, mesh: Triangles, found: Thickness) -> NDArray[np.bool_]:
    """Points (N,) between two strokes of an engraving: fine detail to the checks, and no wall."""
    made_by = study.holder.made_by if study.holder is not None else {}
    makers, of = np.unique(mesh.makers, return_inverse=True)
    engraved = [study.engraved(made_by.get(int(m), "body")) for m in makers]
    stroke = np.array(engraved)[of.reshape(-1)]
    return np.asarray(stroke[found.face] & stroke[found.opposite_face])


def exploded(holder: Holder) -> bytes:
    """PNG: the workpiece as a ghost above the holder, and lying in it, cut.

    In a mould lies the pad that is cast in it.
    """
    recipe = holder.recipe
    site = recipe.site()
    own = [_body("holder", holder.solid)]
    fitted = [each for laid in holder.laid for each in laid.part.fittings(site)]
    metal = [_body(each.name, each.solid) for each in fitted if each.metal]
    pieces, jewels = _pieces(holder, site), _jewels(site)
    lift = site.top - site.seat + AWAY
    pads = [("pad", cast.solid) for p in recipe.parts if (cast := p.cast(site)) is not None]
    laid = [_body(name, solid, ghost=True) for name, solid in pads or pieces]
    laid += [_body(name, solid) for name, solid in jewels]
    raised = [_body(name, solid.translate((0, 0, lift)), ghost=True) for name, solid in pieces]
    raised += [_body(name, solid.translate((0, 0, lift))) for name, solid in jewels]
    threads = [_body("line of sight", each) for each in _threads(holder, lift)]
    loose = _beside(holder, holder.mesh)
    edge = (*_edge(site, recipe.side_up), site.seat + site.sheet.rim + lift)
    names: list[Marker] = [(edge, site.sheet.name)]
    names += [(_top_of(body), body.name) for body in loose]
    return exploded_picture(
        [*own, *metal, *threads, *raised, *loose],
        [*own, *metal, *laid],
        title=f"{recipe.name}: what lies where",
        cut_hour=cut_hour(holder),
        caption=(
            f"{recipe.workpiece.name} as the sheet describes it, translucent."
            f"{' The lines join each tip and what it carries.' if threads else ''}"
            f"{' In the ring lies the pad.' if pads else ''}",
        ),
        names=names,
        mirrored=recipe.side_up is Side.BRIDGE,
        trim=True,
    )


def cut_hour(holder: Holder) -> float:
    """Hour of the holder to cut at: the post farthest out, to show what carries; else 3 h."""
    site = holder.recipe.site()
    found = [part.post() for part in holder.recipe.parts]
    posts = [post.foothold(site).at for post in found if post is not None]
    far = max(posts, key=lambda at: at.radius, default=None)
    return 3.0 if far is None or far.radius < 1.0 else round(far.hour, 2)


def _body(name: str, solid: Solid, ghost: bool = False) -> Shown:
    mesh = triangles(solid)
    return Shown(
        name, mesh.vertices, mesh.faces, np.zeros(len(mesh.faces), dtype=np.int64), ghost=ghost
    )


def _pieces(holder: Holder, site: Site) -> list[tuple[str, Solid]]:
    """The rim and what must be spared."""
    spared = workpiece.volumes(site, holder.recipe.operation)
    return [("rim", workpiece.rim_solid(site)), *((each.words, each.solid()) for each in spared)]


def _jewels(site: Site) -> list[tuple[str, Solid]]:
    out = []
    for arbor in site.sheet.arbors:
        for jewel in arbor.jewels:
            face, deep = site.frame.z(jewel.side, jewel.height), jewel.thickness or UNMEASURED
            low = face - deep if jewel.side is site.side_up else face
            profile = [(jewel.diameter, low), (jewel.diameter, low + deep)]
            disc = turned(profile, site.chord, at=site.frame.place(arbor.at))
            out.append((f"{jewel.word} of {arbor.name}", disc))
    return out


def _threads(holder: Holder, lift: Length) -> list[Solid]:
    site = holder.recipe.site()
    return [
        turned([(THREAD, c.place[2]), (THREAD, c.place[2] + lift)], 0.01, at=Place(*c.place[:2]))
        for each in holder.laid
        if (post := each.part.post()) is not None
        for c in post.contacts(site)
    ]


def _top_of(body: Shown) -> tuple[float, float, float]:
    """The middle of what is seen of a body from above."""
    low, high = body.vertices.min(axis=0), body.vertices.max(axis=0)
    return float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2, float(high[2])


def _edge(site: Site, up: Side) -> tuple[float, float]:
    angle = site.frame.angle(4.5)
    radius = site.radius(4.5)
    return radius * float(np.cos(angle)), radius * float(np.sin(angle))


def _beside(holder: Holder, mesh: Triangles) -> list[Shown]:
    """The further bodies in a row in front of the holder."""
    out = []
    x, y = float(mesh.vertices[:, 0].min()), float(mesh.vertices[:, 1].min())
    for name, solid in holder.beside:
        made = triangles(solid)
        low, high = made.vertices.min(axis=0), made.vertices.max(axis=0)
        moved = made.vertices + (x - low[0], y - 3.0 - high[1], -low[2])
        x += float(high[0] - low[0]) + 2.0
        out.append(Shown(name, moved, made.faces, np.zeros(len(made.faces), dtype=np.int64)))
    return out
