"""Time of the printing checks of a holder, by check, triangles and layers, as a markdown table.

    python tests/benchmarks/checks_table.py

One core, processor seconds, medians. The holder is the default one of the family `round` for
26 mm, its triangles cut until there are enough: the shape, and with it the layers, stay the same.
*Bare* is the same as a mesh drawn elsewhere, in which engraved letters are looked for besides.
Every run judges a `Study` that has worked out nothing yet. Exponents are fitted by least squares
to the logarithms of time, over 10 k to 1 M triangles and over 0.1 to 0.02 mm layers. Memory and
clock are those of this process; nothing else should run beside it.
"""

from __future__ import annotations

import math
import os
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
import trimesh
from manifold3d import Manifold

from nests.checks import judge, names
from nests.holder.compose import Holder, compose
from nests.orders.order import order
from nests.study import FACING, Study
from nests.thickness import skin_of, thickness_of

TRIANGLES = (10_000, 30_000, 100_000, 300_000, 1_000_000)
LAYERS = (0.1, 0.05, 0.02)
LAYER = 0.05
SAMPLE = 100
"""Points at which the peer is timed."""


def timed(make: Callable[[], Any], work: Callable[[Any], Any], runs: int) -> float:
    """Median processor time of `work`, each time on a fresh value of `make`."""
    times = []
    for _ in range(runs):
        value = make()
        begin = time.process_time()
        work(value)
        times.append(time.process_time() - begin)
    return statistics.median(times)


def refined(solid: Manifold, count: int) -> Manifold:
    """The solid in about `count` triangles: the edge length is found by bisection."""
    low, high = math.log(0.01), math.log(60.0)
    best = solid
    for _ in range(12):
        edge = (low + high) / 2
        # a guess of the count keeps the search from making far too many
        if solid.surface_area() / (0.2 * math.exp(2 * edge)) > 5 * count:
            low = edge
            continue
        found = solid.refine_to_length(math.exp(edge))
        if abs(found.num_tri() - count) < abs(best.num_tri() - count):
            best = found
        low, high = (edge, high) if found.num_tri() > count else (low, edge)
    return best


def exponent(sizes: Sequence[float], times: Sequence[float]) -> float:
    """Slope of the logarithms of time over those of size."""
    return float(np.polyfit(np.log(sizes), np.log(times), 1)[0])


def studied(holder: Holder, layer: float) -> Study:
    """The holder before anything is worked out about it, on a printer with such layers."""
    card = replace(holder.recipe.printer, layer=layer)
    return Study.of(replace(holder, recipe=replace(holder.recipe, printer=card)))


def bare(holder: Holder) -> Study:
    """The same as a mesh of which nothing else is known."""
    return Study(holder.solid, replace(holder.recipe.printer, layer=LAYER))


def judged(study: Study) -> Any:
    """All printing checks."""
    return judge(study, names("printer"))


def walls(study: Study) -> Any:
    """The wall thickness at all faces, as the checks ask for it, but without the gaps."""
    skin = skin_of(study.mesh.vertices, study.mesh.faces)
    return thickness_of(skin, spacing=study.card.smallest_wall / 2, facing_angle=FACING)


def peer(study: Study, points: int) -> float:
    """Seconds trimesh would need for as many points: a sample of its touching spheres."""
    body = trimesh.Trimesh(study.mesh.vertices, study.mesh.faces, process=False)
    places, face = trimesh.sample.sample_surface(body, SAMPLE, seed=0)
    normals = body.face_normals[face]
    _ = body.ray  # its tree is made outside the time
    begin = time.process_time()
    trimesh.proximity.thickness(body, places, exterior=False, normals=normals, method="max_sphere")
    return (time.process_time() - begin) * points / SAMPLE


def by_check(study: Study) -> dict[str, float]:
    """Seconds of each check in turn; what several need is paid by the first."""
    # what is worked out once is asked for by its own name first, so that no check hides it
    shared = ("mesh", "layers", "swept", "overhangs", "walls")
    out: dict[str, float] = {}
    for name in shared:
        begin = time.process_time()
        getattr(study, name)
        out[f"study.{name}" + " and gaps" * (name == "walls")] = time.process_time() - begin
    for name in names("printer"):
        begin = time.process_time()
        judge(study, (name,))
        out[name] = time.process_time() - begin
    return out


def verdict(value: float, target: float) -> str:
    """Whether a target to stay below is met, in words."""
    return "met" if value <= target else f"missed by {value / target - 1:.0%}"


def main() -> None:
    """Print the tables."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
    drawn = compose(order("round", {"diameter": 26.0, "height": 4.0}).recipe)
    holders = {n: replace(drawn, solid=refined(drawn.solid, n)) for n in TRIANGLES}
    whole = holders[100_000]
    judged(studied(whole, LAYER))  # imports and first calls are not timed
    judged(bare(whole))
    counts = [each.solid.num_tri() for each in holders.values()]

    print("| triangles | all printing checks s | walls s |\n|--:|--:|--:|")
    totals, wall_times = [], []
    for each in holders.values():
        runs = 5 if each.solid.num_tri() < 200_000 else 3
        fresh = lambda each=each: studied(each, LAYER)  # noqa: E731
        prepared = lambda fresh=fresh: (s := fresh(), s.mesh)[0]  # noqa: E731
        totals.append(timed(fresh, judged, runs))
        wall_times.append(timed(prepared, walls, runs))
        row = (totals[-1], wall_times[-1])
        cells = " | ".join(f"{t:.3f}" for t in row)
        print(f"| {each.solid.num_tri():,} | {cells} |", flush=True)

    print("\n| layer mm | all of 100 k s | of these, layers and what is read off them s |")
    print("|--:|--:|--:|")
    layered, stacked = [], []
    for layer in LAYERS:
        fresh = lambda layer=layer: studied(whole, layer)  # noqa: E731
        layered.append(timed(fresh, judged, 5))
        stacked.append(timed(fresh, lambda s: (s.layers, s.swept, s.overhangs), 5))
        print(f"| {layer} | {layered[-1]:.3f} | {stacked[-1]:.3f} |", flush=True)

    shares = [by_check(studied(whole, LAYER)) for _ in range(5)]
    print("\n| part of all printing checks, 100 k, 0.05 mm | s |\n|:--|--:|")
    medians = {name: statistics.median(each[name] for each in shares) for name in shares[0]}
    for name, seconds in sorted(medians.items(), key=lambda item: -item[1]):
        if seconds >= 0.002:
            print(f"| {name} | {seconds:.3f} |")
    print(f"| all, bare | {timed(lambda: bare(whole), judged, 5):.3f} |")

    at = TRIANGLES.index(100_000)
    study = studied(whole, LAYER)
    points = len(study.walls.face)
    theirs = peer(study, points)
    rows = [
        (f"all printing checks, {counts[at]:,} triangles, 0.05 mm, s", totals[at], 1.0),
        ("wall thickness of all its faces, s", wall_times[at], 0.3),
        ("exponent over triangles, all checks", exponent(counts, totals), 1.1),
        ("exponent over triangles, walls", exponent(counts, wall_times), 1.1),
        ("exponent over layers, all checks",
         exponent([1 / each for each in LAYERS], layered), 1.1),
        ("exponent over layers, what is read off them",
         exponent([1 / each for each in LAYERS], stacked), 1.1),
    ]  # fmt: skip
    print("\n| measure | value | target | |\n|:--|--:|--:|:--|")
    for name, value, target in rows:
        print(f"| {name} | {value:.3f} | {target} | {verdict(value, target)} |")
    print(
        f"\nTouching spheres of trimesh at as many points ({points:,}), extrapolated from "
        f"{SAMPLE}: {theirs:.0f} s, {theirs / wall_times[at]:.0f} times ours."
    )


if __name__ == "__main__":
    main()
