"""What a screen shows of a holder that is tried: triangles with their makers, cuts, shadows.

All in the holder frame, mm. A shadow is what a part covers in plan.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from nests.holder import workpiece
from nests.holder.compose import Holder
from nests.parts.site import Site
from nests.places import Place
from nests.solids.solid import Alike, Solid, content, remembered, triangles, turned
from nests.units import Hour, Length

CREASE = math.cos(math.radians(24.0))
"""Two faces that meet at a sharper angle have an edge between them that is drawn."""
UNMEASURED: Length = 0.3
"""mm; a jewel whose thickness is not on the sheet is shown so thick."""
WHOLE = np.dtype("<u4")
"""Whole numbers as a screen takes them."""
SHADOWS = 64
"""Shadows of parts that are kept: most changes leave most parts as they are."""
Loop = list[tuple[float, float]]


@dataclass(frozen=True)
class Piece:
    """A solid beside the holder's own: `kind` is metal, jewel or workpiece."""

    name: str
    kind: str
    solid: Solid


@dataclass(frozen=True)
class Cut:
    """What a plane cuts of one thing: `kind` is holder, part, metal, jewel or workpiece."""

    name: str
    kind: str
    loops: list[Loop]


def pieces(holder: Holder) -> tuple[Piece, ...]:
    """What lies in the holder: metal that is fitted, jewels, the workpiece and its volumes."""
    return tuple(_pieces(holder, holder.recipe.site()))


def _pieces(holder: Holder, site: Site) -> Iterator[Piece]:
    for laid in holder.laid:
        for each in laid.part.fittings(site):
            if each.metal:
                yield Piece(laid.label, "metal", each.solid)
    for arbor in site.sheet.arbors:
        for jewel in arbor.jewels:
            face, deep = site.frame.z(jewel.side, jewel.height), jewel.thickness or UNMEASURED
            low = face - deep if jewel.side is site.side_up else face
            profile = [(jewel.diameter, low), (jewel.diameter, low + deep)]
            at = site.frame.place(arbor.at)
            yield Piece(arbor.name, "jewel", turned(profile, site.chord, at=at))
    yield Piece("rim", "workpiece", _rim(site))
    for spared in workpiece.volumes(site, holder.recipe.operation):
        yield Piece(getattr(spared, "name", spared.words), "workpiece", spared.solid())


_rims: dict[str, Solid] = {}
KEPT = 4
"""Rims that are kept: most changes of a sheet leave it as it is."""


def _rim(site: Site) -> Solid:
    """The rim of a workpiece, which only an arbor sunk in it changes."""
    sunk = tuple(
        each for each in site.sheet.arbors if any(jewel.height < 0.0 for jewel in each.jewels)
    )
    key = repr((replace(site.sheet, arbors=sunk), site.frame, site.chord))
    if key not in _rims:
        while len(_rims) >= KEPT:
            _rims.pop(next(iter(_rims)), None)
        _rims[key] = workpiece.rim_solid(site)
    return _rims[key]


def holder_scene(holder: Holder) -> bytes:
    """The holder itself, each face with the part that made it; see `_packed`."""
    labels = [each.label for each in holder.laid]
    number = {label: index for index, label in enumerate(labels)}
    mesh = holder.mesh
    makers, where = np.unique(mesh.makers, return_inverse=True)
    of_maker = [number.get(holder.made_by.get(int(m), "body"), 0) for m in makers]
    of = np.array(of_maker, dtype=WHOLE)[where.reshape(-1)]
    shape = (mesh.vertices, mesh.faces, of)
    return _packed([shape], labels, ["holder"] * len(labels))


def pieces_scene(laid: Sequence[Piece]) -> bytes:
    """What lies in the holder; see `_packed`."""
    shapes = []
    for index, each in enumerate(laid):
        made = triangles(each.solid)
        of = np.full(len(made.faces), index, dtype=WHOLE)
        shapes.append((made.vertices, made.faces, of))
    return _packed(shapes, [each.name for each in laid], [each.kind for each in laid])


def _packed(
    shapes: Sequence[tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.uint32]]],
    names: Sequence[str],
    kinds: Sequence[str],
) -> bytes:
    """Triangles and edges for a screen: the length of a JSON head as four bytes, the head, then
    in fours of bytes, little-endian: x, y, z of every point (float32), then as whole numbers the
    three points of every face, the name of every face, the two points of every edge that is drawn,
    the name of every such edge.

    The head has `names`, `kinds`, how many `points`, `faces` and `edges` there are, how many of
    the last two are not of the workpiece (they come first), and the box.
    """
    edges = [_creases(vertices, faces, of) for vertices, faces, of in shapes]
    before = np.cumsum([0, *(len(vertices) for vertices, _, _ in shapes)])[:-1]
    points = np.vstack([np.zeros((0, 3)), *(vertices for vertices, _, _ in shapes)])
    body = [
        points.astype("<f4"),
        *((each[1] + first).astype(WHOLE) for each, first in zip(shapes, before, strict=True)),
        *(of for _, _, of in shapes),
        *((each[0] + first).astype(WHOLE) for each, first in zip(edges, before, strict=True)),
        *(of for _, of in edges),
    ]
    box = points if len(points) else np.zeros((1, 3))
    firm = [index for index in range(len(shapes)) if kinds[index] != "workpiece"]
    head = json.dumps({
        "names": list(names), "kinds": list(kinds), "points": len(points),
        "faces": sum(len(faces) for _, faces, _ in shapes),
        "edges": sum(len(ends) for ends, _ in edges),
        "firm": sum(len(shapes[index][1]) for index in firm),
        "firm_edges": sum(len(edges[index][0]) for index in firm),
        "low": box.min(axis=0).tolist(), "high": box.max(axis=0).tolist(),
    }, ensure_ascii=True).encode("ascii")  # fmt: skip
    head += b" " * (-len(head) % 4)
    return len(head).to_bytes(4, "little") + head + b"".join(each.tobytes() for each in body)


def _creases(
    vertices: NDArray[np.float64], faces: NDArray[np.int64], of: NDArray[np.uint32]
) -> tuple[NDArray[np.int64], NDArray[np.uint32]]:
    """(E, 2) and (E,): both points of each edge at which the surface is bent, and its name."""
    if not len(faces):
        return np.zeros((0, 2), dtype=np.int64), np.zeros(0, dtype=WHOLE)
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    normal /= np.maximum(np.sqrt(np.einsum("ij,ij->i", normal, normal)), 1e-12)[:, None]
    start, end = faces.T.reshape(-1), faces[:, (1, 2, 0)].T.reshape(-1)
    low, high = np.minimum(start, end), np.maximum(start, end)
    # edge and half edge in one number: those of one edge lie side by side, in their own order
    halves = np.sort((low * len(vertices) + high) * len(start) + np.arange(len(start))) % len(start)
    first, second = halves[0::2], halves[1::2]  # a closed surface has each edge twice
    one, other = (normal[each % len(faces)] for each in (first, second))
    kept = first[np.einsum("ij,ij->i", one, other) < CREASE]
    return np.column_stack((low[kept], high[kept])), of[kept % len(faces)]


def section(holder: Holder, laid: Sequence[Piece], hour: Hour) -> tuple[Cut, ...]:
    """What the upright plane through the axis at an hour cuts: (along, z), the hour to the right,
    the holder first and then each part that adds to it."""
    angle = holder.recipe.site().frame.angle(hour)
    whole = _plane(holder.solid, angle)
    out = [Cut("body", "holder", _loops(whole))]
    for each in holder.laid[1:]:
        if each.shape.adds is not None:
            out.append(Cut(each.label, "part", _loops(_plane(each.shape.adds, angle) ^ whole)))
    out += [Cut(each.name, each.kind, _cut(each.solid, angle)) for each in laid]
    return tuple(each for each in out if each.loops)


def along(holder: Holder, hour: Hour, at: Place) -> tuple[float, float]:
    """Where a place of the movement lies to the plane of a section: along it, and off it, mm."""
    frame = holder.recipe.site().frame
    turn, here = frame.angle(hour), frame.place(at)
    cos, sin = math.cos(turn), math.sin(turn)
    return here.x * cos + here.y * sin, here.y * cos - here.x * sin


def shadows(holder: Holder) -> dict[str, list[Loop]]:
    """What each part covers in plan, by its label; of the body its outer edge."""
    out = {}
    for each in holder.laid:
        shapes = [s for s in (each.shape.adds, each.shape.cuts) if s is not None]
        out[each.label] = [loop for s in shapes for loop in _shadow(Alike(content([s]), s))]
    return out


@remembered(SHADOWS)
def _shadow(solid: Alike[Solid]) -> list[Loop]:
    return _loops(solid.what.project().simplify(0.03))


def _plane(solid: Solid, angle: float) -> CrossSection:
    return solid.rotate((0.0, 0.0, -math.degrees(angle))).rotate((-90.0, 0.0, 0.0)).slice(0.0)


def _cut(solid: Solid, angle: float) -> list[Loop]:
    return _loops(_plane(solid, angle))


def _loops(plan: CrossSection) -> list[Loop]:
    return [[(float(x), float(y)) for x, y in each] for each in plan.to_polygons()]
