"""Time and memory of `nests check` for rough meshes beside smooth ones, as a markdown table.

    python tests/benchmarks/rough_table.py [TRIANGLES ...]

Every row is a process of its own: seconds of processor time and the most memory it took, from the
STL to the findings (read from `/proc`, so on Linux only). *Rough*: a ball of 30 mm and a block of
40 × 40 × 10 mm whose corners are moved at random along the normal, by up to 0.6 and 0.3 of the
length of their edges; no such skin crosses itself. *Smooth*: the same ball and block as they are.
The exponents are fitted by least squares to the logarithms.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import trimesh
from manifold3d import Manifold

ROOT = Path(__file__).resolve().parents[2]
TRIANGLES = (20_000, 60_000, 150_000, 500_000)
JUDGE = """
import re, sys, time
from pathlib import Path
import nests
found = nests.check(Path(sys.argv[1]))
# not `ru_maxrss`: that begins with what the process was forked from
most = int(re.search(r"VmHWM:\\s*(\\d+) kB", Path("/proc/self/status").read_text())[1])
print(time.process_time(), most / 1024, len(found))
"""


def ball(count: int, share: float) -> trimesh.Trimesh:
    """A ball in about `count` triangles, its corners moved by up to `share` of an edge."""
    quarter = max(1, round((count / 8) ** 0.5))
    mesh = Manifold.sphere(15.0, 4 * quarter).to_mesh64()
    points = np.asarray(mesh.vert_properties)[:, :3]
    away = share * 15.0 * (np.pi / 2) / quarter
    moved = 1.0 + np.random.default_rng(1).uniform(-away, away, (len(points), 1)) / 15.0
    return trimesh.Trimesh(points * moved, np.asarray(mesh.tri_verts), process=False)


def block(count: int, share: float) -> trimesh.Trimesh:
    """A block in about `count` triangles, its corners but those on its edges moved likewise."""
    random, size = np.random.default_rng(1), (40.0, 40.0, 10.0)
    cell = (2.0 * 4800.0 / count) ** 0.5
    cuts = [max(2, round(each / cell)) for each in size]
    corners, faces, first = [], [], 0
    for axis in range(3):
        one, two = (axis + 1) % 3, (axis + 2) % 3
        for side in (0, 1):
            i, j = np.meshgrid(np.arange(cuts[one] + 1), np.arange(cuts[two] + 1), indexing="ij")
            points = np.zeros((*i.shape, 3))
            points[..., one], points[..., two] = (
                i * size[one] / cuts[one],
                j * size[two] / cuts[two],
            )
            noise = random.uniform(-share * cell, share * cell, i.shape)
            noise[[0, -1]] = noise[:, [0, -1]] = 0.0
            points[..., axis] = side * size[axis] + noise
            number = (first + np.arange(i.size)).reshape(i.shape)
            first += i.size
            a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
            pair = [np.column_stack([k.ravel() for k in each]) for each in ((a, b, c), (a, c, d))]
            faces.append(np.vstack(pair)[:, :: 1 if side else -1])
            corners.append(points.reshape(-1, 3))
    made = trimesh.Trimesh(np.vstack(corners), np.vstack(faces), process=False)
    made.merge_vertices(digits_vertex=9)
    return made


def judged(mesh: trimesh.Trimesh) -> tuple[float, float, int]:
    """Seconds, MB and findings of a process that judges a mesh."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "given.stl"
        mesh.export(path)
        said = subprocess.run(
            [sys.executable, "-c", JUDGE, str(path)],
            check=True,
            capture_output=True,
            text=True,
            cwd=ROOT,
        ).stdout.split()
    return float(said[0]), float(said[1]), int(said[2])


def main(counts: list[int]) -> None:
    """Print the table and the exponents."""
    print("| body | triangles | rough s | MB | findings | smooth s | MB |")
    print("|:--|--:|--:|--:|--:|--:|--:|")
    for name, make, share in (("ball", ball, 0.6), ("block", block, 0.3)):
        sizes, rough, smooth = [], [], []
        for count in counts:
            mesh = make(count, share)
            sizes.append(len(mesh.faces))
            rough.append(judged(mesh))
            smooth.append(judged(make(count, 0.0)))
            (s, mb, found), (plain_s, plain_mb, _) = rough[-1], smooth[-1]
            print(
                f"| {name} | {sizes[-1]:,} | {s:.1f} | {mb:.0f} | {found} | {plain_s:.1f} | "
                f"{plain_mb:.0f} |",
                flush=True,
            )
        if len(counts) > 1:
            for word, rows in (("rough", rough), ("smooth", smooth)):
                slope = np.polyfit(np.log(sizes), np.log([each[0] for each in rows]), 1)[0]
                print(f"\nexponent of the {word} {name}: {slope:.2f}\n")


if __name__ == "__main__":
    main([int(each) for each in sys.argv[1:]] or list(TRIANGLES))
