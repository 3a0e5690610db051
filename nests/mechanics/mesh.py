"""Triangle meshes of a plan view, without an external mesher.

`triangulate` is Ruppert's Delaunay refinement on top of Qhull: split every boundary segment that a
vertex encroaches upon, and insert the circumcentre of every triangle that is too large or too thin.
Inner lines (the border of a thinner region) are kept as edges of the mesh, so that no triangle
straddles a step of thickness.

Source: J. Ruppert, *A Delaunay refinement algorithm for quality 2-dimensional mesh generation*,
Journal of Algorithms 18 (1995) 548-585.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from .arrays import Flags, Floats, Integers

# A triangle is thin when its circumradius exceeds this many times its shortest edge. Ruppert's
# method is proven to end for sqrt(2), which means no angle below 20.7 degrees.
THIN_RATIO = np.sqrt(2.0)
# Features shorter than this share of the wanted edge are not refined any further: guards the
# refinement against sharp input angles, where Ruppert's proof does not reach.
FINEST_SHARE = 1 / 50
MOST_ROUNDS = 200


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles over points.

    `points` (n, 2) in mm; `triangles` (m, 3) indices into points, anticlockwise; `edges` (k, 2)
    indices, lower first; `triangle_edges` (m, 3): edge i of a triangle joins its corners i and
    i + 1; `rim` (k,) true for the edges that have a triangle on one side only.
    """

    points: Floats
    triangles: Integers
    edges: Integers
    triangle_edges: Integers
    rim: Flags

    @property
    def centroids(self) -> Floats:
        """Centre of gravity of each triangle, (m, 2)."""
        return np.asarray(self.points[self.triangles].mean(axis=1))

    @property
    def areas(self) -> Floats:
        """Area of each triangle, (m,) mm²."""
        return 0.5 * _twice_area(self.points, self.triangles)


def mesh_of(points: Floats, triangles: Integers) -> Mesh:
    """Mesh with its edges from points and triangles of either turning sense."""
    triangles = np.where(
        (_twice_area(points, triangles) > 0)[:, None], triangles, triangles[:, ::-1]
    )
    sides = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2), axis=2)
    edges, where, count = np.unique(
        sides.reshape(-1, 2), axis=0, return_inverse=True, return_counts=True
    )
    return Mesh(points, triangles, edges, where.reshape(-1, 3), count == 1)


def triangulate(
    domain: shapely.Polygon, lines: Sequence[shapely.LineString], edge_length: float
) -> Mesh:
    """Conforming mesh of `domain` with edges of about `edge_length` mm.

    `lines` inside the domain become edges of the mesh, save where they run closer than a quarter
    edge to the boundary or to an earlier line: such a gap would ask for a crowd of tiny triangles
    that change nothing. Boundary and lines are simplified to a sagitta of `edge_length`/200 first,
    so that a finely faceted circle does not ask for a needlessly fine mesh.

    Raises ValueError where the refinement does not end (features much finer than `edge_length`
    that meet at sharp angles).
    """
    points, segments = _linework(domain, lines, edge_length)
    shapely.prepare(domain)
    finest = edge_length * FINEST_SHARE
    for _ in range(MOST_ROUNDS):
        from scipy.spatial import Delaunay  # 0.2 s to load, and only a press asks for a plate

        triangles = Delaunay(points).simplices.astype(np.int64)
        split = _missing(triangles, segments, len(points)) | _encroached(points, segments, points)
        split &= _lengths(points, segments) > finest
        if not split.any():
            inside = shapely.contains_xy(domain, *points[triangles].mean(axis=1).T)
            # Qhull leaves flat triangles behind points in line on the hull
            flat = np.abs(_twice_area(points, triangles)) < finest**2 * 1e-6
            triangles = triangles[inside & ~flat]
            centres = _wanted_centres(points, triangles, edge_length, finest)
            split = _encroached(points, segments, centres)
            split &= _lengths(points, segments) > finest
            if not split.any():
                # a centre outside the domain belongs to a sliver behind an unsplit short segment
                centres = centres[shapely.contains_xy(domain, *centres.T)]
                if not len(centres):
                    if _missing(triangles, segments, len(points)).any():
                        break
                    return mesh_of(points, triangles)
                points = np.concatenate([points, _apart(centres, points)])
        points, segments = _split(points, segments, split)
    raise ValueError(
        f"the outline cannot be meshed at edges of {edge_length:.3g} mm: it has features far finer"
        " than that which meet at sharp angles"
    )


def _linework(
    domain: shapely.Polygon, lines: Sequence[shapely.LineString], edge_length: float
) -> tuple[Floats, Integers]:
    """Points and segments of the noded boundary and lines, no segment longer than edge_length."""
    kept: shapely.Geometry = domain.boundary
    for line in lines:
        clear = line.intersection(domain).difference(kept.buffer(edge_length / 4))
        pieces = shapely.get_parts(shapely.line_merge(clear))
        kept = kept.union(shapely.union_all(pieces[shapely.length(pieces) > edge_length / 2]))
    merged = shapely.simplify(shapely.line_merge(kept), edge_length / 200)
    parts = shapely.get_parts(shapely.segmentize(merged, edge_length))
    strings = [np.asarray(part.coords) for part in parts]
    ends = np.concatenate([np.stack([s[:-1], s[1:]], axis=1) for s in strings])
    grid = edge_length * 1e-6
    _, first, index = np.unique(
        np.round(ends.reshape(-1, 2) / grid), axis=0, return_index=True, return_inverse=True
    )
    segments = np.unique(np.sort(index.reshape(-1, 2), axis=1), axis=0)
    return ends.reshape(-1, 2)[first], segments[segments[:, 0] != segments[:, 1]].astype(np.int64)


def _twice_area(points: Floats, triangles: Integers) -> Floats:
    a, b, c = points[triangles].transpose(1, 2, 0)
    return np.asarray((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _lengths(points: Floats, segments: Integers) -> Floats:
    return np.asarray(np.linalg.norm(points[segments[:, 1]] - points[segments[:, 0]], axis=1))


def _missing(triangles: Integers, segments: Integers, count: int) -> Flags:
    """Segments that are no edge of any triangle."""
    sides = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2), axis=2)
    key = sides[..., 0] * count + sides[..., 1]
    return np.isin(segments[:, 0] * count + segments[:, 1], key, invert=True)


def _encroached(points: Floats, segments: Integers, others: Floats) -> Flags:
    """Segments whose diametral circle holds one of `others` strictly inside."""
    if not len(others):
        return np.zeros(len(segments), dtype=bool)
    middle = points[segments].mean(axis=1)
    from scipy.spatial import cKDTree

    distance = np.asarray(cKDTree(others).query(middle)[0])
    return np.asarray(distance < 0.5 * _lengths(points, segments) * (1 - 1e-9))


def _wanted_centres(
    points: Floats, triangles: Integers, edge_length: float, finest: float
) -> Floats:
    """Circumcentres of triangles that are too large or too thin, largest circle first."""
    a, b, c = points[triangles].transpose(1, 0, 2)
    ab, ac = b - a, c - a
    twice = ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]
    ab2, ac2 = (ab**2).sum(axis=1), (ac**2).sum(axis=1)
    shift = np.column_stack([ac[:, 1] * ab2 - ab[:, 1] * ac2, ab[:, 0] * ac2 - ac[:, 0] * ab2])
    shift /= 2 * twice[:, None]
    radius = np.linalg.norm(shift, axis=1)
    shortest = np.sqrt(np.minimum(np.minimum(ab2, ac2), ((c - b) ** 2).sum(axis=1)))
    # an equilateral triangle has R = edge / sqrt(3)
    large = radius > edge_length * 0.75
    thin = (radius > THIN_RATIO * shortest) & (shortest > finest)
    order = np.argsort(-radius)
    return np.asarray((a + shift)[order][(large | thin)[order]])


def _apart(centres: Floats, points: Floats) -> Floats:
    """Those centres, first come first kept, that keep clear of the ones kept before.

    Two circumcentres inserted in one round must not fall close together: each keeps half its
    distance to the nearest present vertex.
    """
    from scipy.spatial import cKDTree

    reach = np.asarray(cKDTree(points).query(centres)[0])
    kept: list[int] = []
    for i, centre in enumerate(centres):
        if not kept or np.all(
            np.linalg.norm(centres[kept] - centre, axis=1) > 0.9 * np.maximum(reach[kept], reach[i])
        ):
            kept.append(i)
    return np.asarray(centres[kept])


def _split(points: Floats, segments: Integers, split: Flags) -> tuple[Floats, Integers]:
    """Halve the marked segments."""
    halved = segments[split]
    middle = np.arange(len(points), len(points) + len(halved))
    return np.concatenate([points, points[halved].mean(axis=1)]), np.concatenate(
        [
            segments[~split],
            np.column_stack([halved[:, 0], middle]),
            np.column_stack([halved[:, 1], middle]),
        ]
    )
