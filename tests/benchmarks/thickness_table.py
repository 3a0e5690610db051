"""Time and error of `nests.thickness` beside the touching spheres of trimesh, as a table.

    python tests/benchmarks/thickness_table.py

The solids have a least wall known in closed form (see tests/outside/test_thickness.py). Each
method measures in its own way: `nests` at its own points, trimesh at points spread evenly over
the surface, as many of them, of which a sample is timed and the rest extrapolated. "alarms"
counts points at which a wall under nine tenths of the thinnest one that exists is reported.
Times are processor seconds, the least of several runs.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator
from functools import partial
from itertools import product
from typing import NamedTuple

import numpy as np
import trimesh
from manifold3d import Manifold
from numpy.typing import NDArray

from nests.thickness import thickness

Floats = NDArray[np.float64]
SAMPLE = 150
FACETS = 96
APOTHEM = math.cos(math.pi / FACETS)


class Case(NamedTuple):
    """A solid and its least wall in mm, infinite where it has none."""

    name: str
    solid: Manifold
    least: float
    spacing: float


def ring(inner: float, outer: float, height: float, facets: int = FACETS) -> Manifold:
    bore = Manifold.cylinder(3.0 * height, inner, inner, facets).translate((0, 0, -height))
    return Manifold.cylinder(height, outer, outer, facets) - bore


def sphere(outer: float, inner: float, facets: int) -> Manifold:
    return Manifold.sphere(outer, facets) - Manifold.sphere(inner, facets)


def chamfered(x: float, y: float, z: float, chamfer: float) -> Manifold:
    size = np.array([x, y, z]) / 2.0
    signs = np.stack(np.meshgrid(*[(-1.0, 1.0)] * 3), axis=-1).reshape(-1, 3)
    kept = size - chamfer * (1.0 - np.eye(3))
    return Manifold.hull_points((signs[:, None, :] * kept).reshape(-1, 3))


def holder(facets: int) -> Manifold:
    """About the size and make of a movement holder: bore, seat, posts, slots, holes."""
    body = ring(12, 26, 14, facets)
    body -= Manifold.cylinder(6, 15, 15, facets).translate((0, 0, 8.5))
    body -= ring(20, 21, 3, facets)
    body += Manifold.cylinder(1, 12.5, 12.5, facets)
    for hour in range(6):
        angle = math.pi * hour / 3.0
        x, y = math.cos(angle), math.sin(angle)
        slot = Manifold.cube((30, 2.2, 4)).translate((0, -1.1, 11))
        body -= slot.rotate((0, 0, math.degrees(angle) + 10.0))
        body += Manifold.cylinder(9, 1.2, 0.8, facets // 4).translate((9 * x, 9 * y, 0))
        hole = Manifold.cylinder(30, 1, 1, facets // 4)
        body -= hole.translate((23.5 * x, 23.5 * y, -3))
    return body


def cases() -> Iterator[Case]:
    yield Case("plate 1.5", Manifold.cube((20, 15, 1.5)), 1.5, 0.7)
    yield Case("tube 7/8", ring(7, 8, 8), APOTHEM, 0.5)
    yield Case("hollow sphere 7/8", sphere(8, 7, 128), 1.0, 0.5)
    yield Case("stepped ring .8", ring(10, 12, 4) + ring(10, 10.8, 10), 0.8 * APOTHEM, 0.4)
    corner = Manifold.cube((20, 10, 2)) + Manifold.cube((2, 10, 15))
    yield Case("L corner 2", corner, 2.0, 1.0)
    yield Case("chamfered block 10", chamfered(20, 15, 10, 0.5), 10.0, 1.0)
    yield Case("cone", Manifold.cylinder(10, 3, 0, FACETS), math.inf, 0.5)
    fin = Manifold.cube((20, 20, 5)) + Manifold.cube((20, 0.6, 4)).translate((0, 9, 5))
    yield Case("fin .6 on a block", fin, 0.6, 0.3)


def mesh(solid: Manifold) -> tuple[Floats, NDArray[np.int64]]:
    found = solid.to_mesh64()
    vertices = np.array(found.vert_properties, dtype=np.float64)[:, :3]
    return vertices, np.asarray(found.tri_verts, dtype=np.int64)


def seconds(call: Callable[[], object], runs: int) -> float:
    """Least processor time of several runs."""
    times = []
    for _ in range(runs):
        begin = time.process_time()
        call()
        times.append(time.process_time() - begin)
    return min(times)


def peer(vertices: Floats, triangles: NDArray[np.int64]) -> Floats:
    """Touching spheres of trimesh at points spread evenly over the surface."""
    body = trimesh.Trimesh(vertices, triangles, process=False)
    points, face = trimesh.sample.sample_surface(body, SAMPLE, seed=0)
    found = trimesh.proximity.thickness(
        body, points, exterior=False, normals=body.face_normals[face], method="max_sphere"
    )
    return np.asarray(found, dtype=np.float64)


def error(found: Floats, least: float) -> str:
    """How far the least reported wall is from the truth, and in how many points an alarm is."""
    finite = found[np.isfinite(found)]
    off = "-" if math.isinf(least) else f"{abs(finite.min() - least):.4f}"
    limit = 0.9 * least if math.isfinite(least) else math.inf
    return f"{off:>8} {100.0 * np.count_nonzero(finite < limit) / len(found):6.1f} %"


def accuracy() -> None:
    print(f"{'':20} {'T':>6} {'points':>7} | {'nests s':>8} {'error mm':>8} {'alarms':>8} ", end="")
    print(f"| {'trimesh s':>9} {'error mm':>8} {'alarms':>8}")
    for case in cases():
        vertices, triangles = mesh(case.solid)
        found = thickness(vertices, triangles, spacing=case.spacing)
        ours = seconds(partial(thickness, vertices, triangles, spacing=case.spacing), 5)
        begin = time.process_time()
        theirs = peer(vertices, triangles)
        extrapolated = (time.process_time() - begin) * len(found.face) / SAMPLE
        print(f"{case.name:20} {len(triangles):6} {len(found.face):7} | {ours:8.4f} ", end="")
        print(f"{error(found.diameter, case.least)} | {extrapolated:9.2f} ", end="")
        print(error(theirs, case.least))


def speed() -> None:
    heading = f"{'':20} {'T':>6} {'spacing':>7} {'limit':>5} {'points':>7}"
    print(f"\n{heading} | {'wall ms':>8} {'gap ms':>8}")
    solids = [
        ("holder", holder(80)),
        ("holder, refined", holder(80).refine(6)),
        ("hollow sphere", sphere(8, 7, 316)),
    ]
    for name, solid in solids:
        vertices, triangles = mesh(solid)
        runs = 60 if len(triangles) < 10_000 else 5
        for spacing, limit in product((2.0, 1.0, 0.4), (math.inf, 1.5)):
            wall = partial(thickness, vertices, triangles, spacing=spacing, limit=limit)
            count = len(wall().face)
            print(f"{name:20} {len(triangles):6} {spacing:7} {limit:5} {count:7} | ", end="")
            gap = partial(wall, complement=True)
            print(f"{1e3 * seconds(wall, runs):8.1f} {1e3 * seconds(gap, runs):8.1f}")


if __name__ == "__main__":
    accuracy()
    speed()
