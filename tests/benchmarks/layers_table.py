"""Time of the layer stack and of everything read off it, by triangles and by layers.

Run `python tests/benchmarks/layers_table.py`; seconds of processor time, the best of three.
The body is a ring of 52 × 14 mm with a seat, eight drafted bores, posts and a lying bore. *Drawn*:
few long facets, as a recipe makes them. *Freeform*: the same in small triangles on gently waved
faces, no two in one plane, as a scan or a cradle would be. The bores are drafted, so that no two
layers are alike; *upright* is drawn without draft, so that only those through the lying bore
differ. *Kernel* is the time in which manifold3d cuts the same layers one by one;
*total* is slice + regions + sweep + overhang; drains come on top.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from manifold3d import Manifold

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from nests.layers.drains import narrow_drains
from nests.layers.overhangs import overhangs
from nests.layers.slices import slice_solid
from nests.layers.sweep import sweep

LIMIT = math.radians(45.0)


def drawn(chords: int, draft: float = 0.5) -> Manifold:
    """The body with `chords` chords to its largest circle; its bores narrow by `draft` mm."""
    solid = Manifold.cylinder(14, 26, 26, chords)
    solid -= Manifold.cylinder(10, 13, 13, chords).translate((0, 0, 6))
    solid -= Manifold.cylinder(14, 10, 10, chords).translate((0, 0, 2))
    bore = Manifold.cylinder(16, 2, 2 - draft, chords // 4).translate((20, 0, -1))
    post = Manifold.cylinder(3, 0.6, 0.6, chords // 8).translate((7, 0, 1.5))
    for turn in range(0, 360, 45):
        solid = solid - bore.rotate((0, 0, turn)) + post.rotate((0, 0, turn))
    return solid - Manifold.cylinder(40, 1, 1, chords // 8).rotate((90, 0, 0)).translate((0, 0, 10))


def freeform(edge: float) -> Manifold:
    """The body in triangles with edges up to `edge` mm, its faces waved by 2 %."""
    return (
        drawn(128)
        .refine_to_length(edge)
        .warp_batch(
            lambda p: (
                p
                * np.column_stack(
                    (
                        *(1 + 0.01 * np.sin(p[:, (2,)] * 1.3 + 0.2 * p[:, (0,)]) for _ in range(2)),
                        np.ones(len(p)),
                    )
                )
            )
        )
    )


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Best processor time of three runs, and the result."""
    best, result = math.inf, None
    for _ in range(3):
        start = time.process_time()
        result = work()
        best = min(best, time.process_time() - start)
    return best, result


def row(name: str, solid: Manifold, layer: float) -> str:
    """One line of the table."""
    triangles = solid.num_tri()
    slicing, stack = timed(lambda: slice_solid(solid, layer))
    # regions are made once per stack and kept: time them on stacks that have none yet
    kernel, _ = timed(lambda: [solid.slice(height).to_polygons() for height in stack.planes])
    stacks = iter([slice_solid(solid, layer) for _ in range(3)])
    regions, _ = timed(lambda: next(stacks).regions)
    _ = stack.regions
    swept, _ = timed(lambda: sweep(stack))
    hung, _ = timed(lambda: overhangs(stack, LIMIT))
    drained, _ = timed(lambda: narrow_drains(stack, 1.0))
    total = slicing + regions + swept + hung
    points = len(stack.outlines.points)
    return (
        f"{name:9} {triangles:9,} {len(stack.heights):6} {len(stack.first_layer) - 1:8} "
        f"{points:10,} {kernel:7.3f} {slicing:7.3f} {regions:7.3f} {swept:7.3f} "
        f"{hung:8.3f} {total:7.3f} {drained:7.3f}"
    )


def main() -> None:
    """Print the table."""
    print(
        "body      triangles layers sections     points  kernel   slice regions   sweep "
        "overhang   total  drains"
    )
    for chords in (64, 128, 256, 512):
        print(row("drawn", drawn(chords), 0.05))
    for chords in (512, 2048, 4096):
        print(row("upright", drawn(chords, draft=0.0), 0.05))
    for edge in (3.0, 1.5, 1.0, 0.75, 0.5):
        print(row("freeform", freeform(edge), 0.05))
    for layer in (0.1, 0.05, 0.025):
        print(row("freeform", freeform(0.85), layer))


if __name__ == "__main__":
    main()
