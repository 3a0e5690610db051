"""Figures of the main job, as a table: python tests/benchmarks/make_table.py [runs]

Medians over the runs; the wall clock of a whole process, its peak memory, and the time to build
the shape of a round holder with four posts and two pusher slots. A table, not a test: figures
depend on the machine and on what else it does.
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from nests.given.sheet import Pusher, Rest, Sheet
from nests.given.zones import Disc, Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.parts.pusher_slot import PusherSlot
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Side, at_hour


def four_posts_two_slots() -> Recipe:
    """A round holder with a ring seat, four printed posts and two pusher slots."""
    rests = tuple(
        Rest(
            name=f"rest {h}",
            side=Side.BRIDGE,
            height=1.0,
            zone=Disc(centre=at_hour(h, 7.0), diameter=2.0),
        )
        for h in (1.0, 4.0, 7.0, 10.0)
    )
    pushers = tuple(
        Pusher(name=f"{h} h", hour=h, depth=1.0, lever_radius=12.8, travel=0.8) for h in (2.0, 4.0)
    )
    sheet = Sheet(
        name="bench",
        outline=Round(diameter=26.0),
        rim=2.0,
        bridge_height=2.0,
        rests=rests,
        pushers=pushers,
    )
    posts = tuple(StakePost(under=rest.name, tip=1.6, shank=2.5) for rest in rests)
    slots = tuple(PusherSlot(pusher=pusher.name) for pusher in pushers)
    return Recipe(name="bench", workpiece=sheet, parts=(RingSeat(), *posts, *slots))


def shape_time(runs: int) -> float:
    """Median seconds from a recipe to an evaluated solid, after one warm-up."""
    recipe, times = four_posts_two_slots(), []
    for _ in range(runs + 1):
        start = time.perf_counter()
        compose(recipe).solid.num_tri()  # booleans are lazy: ask for a figure
        times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


def process(arguments: Sequence[str], runs: int) -> float:
    """Median wall seconds of a whole process, after one warm-up."""
    times = []
    for _ in range(runs + 1):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "nests.faces.cli", *arguments], check=True, capture_output=True
        )
        times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


def main() -> None:
    """Print the table."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    with tempfile.TemporaryDirectory() as folder:
        make = [
            "make",
            "round",
            "--diameter",
            "26.0",
            "--height",
            "4.6",
            "--no-papers",
            "--replace",
            "--out",
            f"{folder}/pack",
        ]
        rows = [
            ("nests --help, wall", process(["--help"], runs) * 1e3, "ms", "150"),
            ("nests make round (STL, 3MF, recipe), wall", process(make, runs) * 1e3, "ms", "1000"),
        ]
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        rows.append(("the same, peak memory", peak, "MiB", "250"))
    rows.append(("shape of a round holder, 4 posts, 2 slots", shape_time(runs) * 1e3, "ms", "60"))
    print(f"median of {runs} runs\n\n| what | figure | target |\n|---|---|---|")
    for what, figure, unit, target in rows:
        print(f"| {what} | {figure:.0f} {unit} | ≤ {target} {unit} |")


if __name__ == "__main__":
    main()
