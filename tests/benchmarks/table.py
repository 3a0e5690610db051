"""All figures against general libraries in one table.

    python tests/benchmarks/table.py [--runs N] [--modeller PYTHON]

`--modeller` is a Python that has build123d (a virtual environment of its own with
`pip install build123d`); without it these rows say so. Seconds by the clock, the median of the
runs with the least and the most; the ratio is ours to theirs. A table, not a test: figures depend
on the machine and on what else it does.
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
import trimesh
from layers_table import drawn
from make_table import four_posts_two_slots
from thickness_table import holder as thick
from thickness_table import mesh, peer

from nests.documents.files import canonical
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import document
from nests.layers.slices import slice_solid
from nests.mechanics.plate import Plate
from nests.parts.mark import Mark
from nests.parts.vent import Vent
from nests.places import at_hour
from nests.planning.cover import smallest_cover
from nests.thickness import thickness

HERE = Path(__file__).resolve().parent


@dataclass(frozen=True)
class Row:
    """One line: what, our seconds, whose theirs are, and theirs."""

    what: str
    ours: list[float]
    whose: str = ""
    theirs: list[float] | None = None

    def text(self) -> str:
        """The line."""
        peer = _spread(self.theirs) if self.theirs else ""
        ratio = ""
        if self.theirs:
            ratio = f"{statistics.median(self.ours) / statistics.median(self.theirs):.3f}"
        return f"| {self.what} | {_spread(self.ours)} | {self.whose} | {peer} | {ratio} |"


def _spread(times: list[float]) -> str:
    low, middle, high = min(times), statistics.median(times), max(times)
    return f"{middle:.4g} s ({low:.4g} to {high:.4g})"


def timed(work: Callable[[], Any], runs: int) -> list[float]:
    """Seconds of each run, after one that warms up."""
    work()
    out = []
    for _ in range(runs):
        begin = time.perf_counter()
        work()
        out.append(time.perf_counter() - begin)
    return out


def process(command: list[str], runs: int) -> list[float]:
    """Seconds of a whole process. What it compiles is kept, as for a user, whose installer has
    compiled the peer's modules too."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return timed(lambda: subprocess.run(command, check=True, capture_output=True, env=kept), runs)


def lettered() -> Recipe:
    """The holder with posts, slots, vents and letters; nothing stops it."""
    base = four_posts_two_slots()
    words = (("MOVEMENT DIAL UP", 6.0), ("BENCH 26", 10.5), ("GENERAL", 8.0))
    marks = tuple(Mark(text=text, at=at) for text, at in words)
    vents = (Vent(at=7.5), Vent(at=1.0))
    return replace(base, parts=(*base.parts, *vents, *marks))


def widened(recipe: Recipe, step: int) -> Recipe:
    """A holder like it, whose wall is another."""
    return replace(recipe, body=replace(recipe.body, wall=recipe.body.wall + 0.001 * (step + 1)))


def with_a_post_moved(recipe: Recipe, step: int) -> Recipe:
    """The same holder with the first of its rests, and the post under it, moved."""
    rest, *others = recipe.workpiece.rests
    moved = replace(rest, zone=replace(rest.zone, centre=at_hour(1.0, 6.0 + 0.001 * step)))
    return replace(recipe, workpiece=replace(recipe.workpiece, rests=(moved, *others)))


def against_a_modeller(runs: int, modeller: str | None) -> Iterator[Row]:
    """The same holder as a whole process, and warm."""
    recipe = lettered()
    with tempfile.TemporaryDirectory() as folder:
        path, stl = Path(folder) / "recipe.json", str(Path(folder) / "peer.stl")
        path.write_bytes(canonical(document(recipe)))
        out = str(Path(folder) / "pack")
        checked = [sys.executable, "-m", "nests", "make", "--recipe", str(path), "--no-papers",
                   "--replace", "--out", out]  # fmt: skip
        bare = [sys.executable, "-c", BARE, str(path), str(Path(folder) / "ours.stl")]
        judged, drawn_only = process(checked, runs), process(bare, runs)
        step = itertools.count()
        # what is remembered must not count: each is another holder
        warm = timed(lambda: compose(widened(recipe, next(step))).mesh, runs)
        moved = timed(lambda: compose(with_a_post_moved(recipe, next(step))).mesh, runs)
        whole = told = None
        name = "build123d (not there)"
        if modeller is not None:
            command = [modeller, str(HERE / "peer_holder.py"), stl]
            whole = process(command, runs)
            done = subprocess.run(
                [*command, str(runs + 1)], check=True, capture_output=True, text=True
            )
            about = json.loads(done.stdout)
            told, name = about["seconds"][1:], f"build123d {about['version']}"
    yield Row("holder with letters, whole process, all checks run", judged, name, whole)
    yield Row("the same, shape and STL only", drawn_only, name, whole)
    yield Row("others like it, warm, shape and mesh", warm, name, told)
    yield Row("the same with one post moved, warm, shape and mesh", moved, name, told)


BARE = """
import sys
from pathlib import Path
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.printing.mesh_files import NamedMesh, stl
import numpy as np
made = compose(read(Path(sys.argv[1]), Recipe))
Path(sys.argv[2]).write_bytes(stl(NamedMesh.posed("holder", made.mesh, np.eye(4))))
"""


def against_trimesh(runs: int) -> Iterator[Row]:
    """Walls of a holder, and its layers."""
    vertices, faces = mesh(thick(80))
    count = len(thickness(vertices, faces, spacing=1.0).face)
    name = f"trimesh {version('trimesh')}"
    ours = timed(lambda: thickness(vertices, faces, spacing=1.0), runs)
    theirs = [each * count / 150 for each in timed(lambda: peer(vertices, faces), 1)]
    yield Row(f"wall thickness at {count} points", ours, f"{name}, touching spheres", theirs)
    solid = drawn(128)
    stack = slice_solid(solid, 0.05)
    corners, triangles = mesh(solid)
    body = trimesh.Trimesh(corners, triangles, process=False)
    heights = np.asarray(stack.planes)

    def sections() -> list[Any]:
        return body.section_multiplane((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), heights)

    ours = timed(lambda: slice_solid(solid, 0.05), runs)
    yield Row(f"{len(heights)} slices", ours, f"{name}, section_multiplane", timed(sections, 1))


def against_scikit_fem(runs: int) -> Iterator[Row]:
    """A plate under an even load: mesh given, Argyris elements, factored and solved."""
    import skfem
    from scipy.sparse.linalg import spsolve
    from skfem.helpers import dd, ddot, trace

    nu = 0.3
    corners = np.array([[0, 0], [9, 0], [11, 6], [3, 8.0]])

    def ours() -> Any:
        plate = Plate(corners, 1.0, 12 * (1 - nu**2), nu, rim="simple")
        return plate.factor.deflection(plate.factor.pressure(1.0), np.array([[5.0, 3.0]]))

    drawn_mesh = Plate(corners, 1.0, 12 * (1 - nu**2), nu, rim="simple").mesh
    points, triangles = drawn_mesh.points.T.copy(), drawn_mesh.triangles.T.copy()

    def theirs() -> Any:
        grid = skfem.MeshTri(points, triangles)
        basis = skfem.Basis(grid, skfem.ElementTriArgyris(), intorder=8)

        @skfem.BilinearForm
        def bending(u: Any, v: Any, _: Any) -> Any:
            return (1 - nu) * ddot(dd(u), dd(v)) + nu * trace(dd(u)) * trace(dd(v))

        @skfem.LinearForm
        def even(v: Any, _: Any) -> Any:
            return 1.0 * v

        rim = np.unique(grid.facets[:, grid.boundary_facets()])
        free = np.setdiff1d(np.arange(basis.N), basis.nodal_dofs[0, rim])
        load = even.assemble(basis)
        return spsolve(bending.assemble(basis)[free][:, free].tocsc(), load[free])

    name = f"scikit-fem {version('scikit-fem')}"
    what = f"plate of {len(drawn_mesh.triangles)} Argyris elements"
    yield Row(what, timed(ours, runs), name, timed(theirs, runs))


def families(runs: int) -> Iterator[Row]:
    """The smallest family out of so many holders, each of which serves some of 40 operations."""
    for count in (1, 3, 10, 30, 100, 300):
        draw = np.random.default_rng(count)
        sets = [frozenset(draw.choice(40, size=6, replace=False).tolist()) for _ in range(count)]
        weights = [1000 + int(w) for w in draw.integers(0, 200, count)]

        def solve(sets: Any = sets, weights: Any = weights) -> Any:
            return smallest_cover(sets, weights, 30.0)

        yield Row(f"smallest family of {count} holders", timed(solve, min(runs, 3)))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--modeller", help="a Python that has build123d")
    asked = parser.parse_args()
    print(f"median of {asked.runs} runs, Python {sys.version.split()[0]}, ", end="")
    print(", ".join(f"{name} {version(name)}" for name in ("manifold3d", "numpy", "scipy")))
    print("\n| what | ours | theirs | their time | ratio |\n|---|---|---|---|---|")
    for rows in (
        against_a_modeller(asked.runs, asked.modeller),
        against_trimesh(asked.runs),
        against_scikit_fem(asked.runs),
        families(asked.runs),
    ):
        for row in rows:
            print(row.text(), flush=True)


if __name__ == "__main__":
    main()
