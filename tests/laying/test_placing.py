"""Placing against shapely's distances and against exhaustive search on small cases."""

from __future__ import annotations

import itertools
import math
import time

import numpy as np
import pytest
import shapely

from nests.laying.placing import Outline, Placement, Room, outline_of, place


def circle(diameter: float, count: int = 96) -> Outline:
    turn = np.linspace(0.0, 2 * np.pi, count, endpoint=False)
    return outline_of(diameter / 2 * np.column_stack((np.cos(turn), np.sin(turn))))


def box(wide: float, deep: float, group: int = 0) -> Outline:
    return outline_of(np.array(((0, 0), (wide, 0), (wide, deep), (0, deep)), float), group)


def lying(outlines: list[Outline], placed: tuple[Placement, ...]) -> list[shapely.Polygon]:
    """By shapely's own turning and moving."""
    out = []
    for each in placed:
        turned = shapely.affinity.rotate(
            shapely.Polygon(outlines[each.body].corners), 90 * each.quarters, origin=(0, 0)
        )
        out.append(shapely.affinity.translate(turned, each.x, each.y))
    return out


def least(outlines: list[Outline], placed: tuple[Placement, ...]) -> float:
    """Least distance between bodies of one plate."""
    polygons = lying(outlines, placed)
    pairs = itertools.combinations(range(len(placed)), 2)
    return min(
        (
            float(shapely.distance(polygons[a], polygons[b]))
            for a, b in pairs
            if placed[a].plate == placed[b].plate
        ),
        default=math.inf,
    )


def many(seed: int, count: int) -> list[Outline]:
    rng = np.random.default_rng(seed)
    out = []
    for _ in range(count):
        if rng.random() < 0.6:
            out.append(circle(float(rng.uniform(8, 30))))
        else:
            out.append(outline_of(rng.uniform(0, 1, (12, 2)) * rng.uniform(6, 28, 2)))
    return out


@pytest.mark.parametrize("seed", range(6))
def test_bodies_keep_their_distance_and_stay_on_the_plate(seed: int) -> None:
    outlines, room = many(seed, 14), Room(120.0, 68.0, 2.0, 1.0)
    placed = place(outlines, room)
    assert placed is not None
    assert sorted(each.body for each in placed) == list(range(14))
    assert least(outlines, placed) >= 2.0 - 2e-6
    for polygon in lying(outlines, placed):
        left, low, right, high = polygon.bounds
        assert min(left, low) >= 1.0 - 2e-6
        assert right <= 119.0 + 2e-6
        assert high <= 67.0 + 2e-6


def test_thirty_bodies_take_less_than_two_seconds() -> None:
    """Thirty holders, all different."""
    outlines = many(99, 30)
    begin = time.process_time()
    placed = place(outlines, Room(200.0, 120.0, 2.0, 1.0))
    took = time.process_time() - begin
    assert placed is not None
    assert least(outlines, placed) >= 2.0 - 2e-6
    assert took <= 2.0


def test_what_just_fits_is_laid() -> None:
    placed = place([box(20.0, 10.0)] * 4, Room(42.0, 22.0, 2.0, 0.0))
    assert placed is not None
    assert {each.plate for each in placed} == {0}
    # only on its side
    (one,) = place([box(10.0, 30.0)], Room(31.0, 11.0, 2.0, 0.5)) or ()
    assert one.quarters == 1


def test_what_fits_nowhere_is_said() -> None:
    assert place([box(10.0, 30.0), box(5.0, 5.0)], Room(29.0, 29.0, 2.0, 0.0)) is None


def test_groups_are_kept_together_and_loads_shared_out() -> None:
    heavy = [Outline(box(10, 10).corners, 0, np.array([60.0, 10.0])) for _ in range(3)]
    placed = place(heavy, Room(100.0, 100.0, 1.0, 0.0, most=130.0))
    assert placed is not None
    assert [each.plate for each in placed] == [0, 0, 1]
    alone = place(heavy, Room(100.0, 100.0, 1.0, 0.0, most=50.0))
    assert alone is not None
    assert [each.plate for each in alone] == [0, 1, 2]
    mixed = [box(30, 30, 1), box(30, 30, 0), box(30, 30, 1), box(30, 30, 0)]
    found = place(mixed, Room(62.0, 31.0, 1.0, 0.0))
    assert found is not None
    assert [each.plate for each in found] == [1, 0, 1, 0]


def test_the_same_bodies_are_placed_the_same() -> None:
    room = Room(120.0, 80.0, 2.0, 1.0)
    assert place(many(5, 12), room) == place(many(5, 12), room)


def exhaustive(sizes: list[tuple[int, int]], wide: int) -> int:
    """Least depth of a strip `wide` that takes whole-numbered boxes, turned or not, edge to edge:
    every place on the grid of whole mm, by branch and bound."""
    best = sum(max(size) for size in sizes)
    area = sum(a * b for a, b in sizes)

    def lay(left: list[tuple[int, int]], filled: np.ndarray, depth: int) -> None:
        nonlocal best
        if depth >= best or math.ceil(area / wide) >= best:
            return
        if not left:
            best = depth
            return
        (a, b), rest = left[0], left[1:]
        for w, d in {(a, b), (b, a)}:
            for y in range(best - d):
                for x in range(wide - w + 1):
                    if not filled[y : y + d, x : x + w].any():
                        filled[y : y + d, x : x + w] = True
                        lay(rest, filled, max(depth, y + d))
                        filled[y : y + d, x : x + w] = False

    lay(sorted(sizes, key=lambda s: -s[0] * s[1]), np.zeros((best, wide), dtype=bool), 0)
    return best


@pytest.mark.parametrize("seed", range(12))
def test_small_cases_come_near_an_exhaustive_search(seed: int) -> None:
    """Utilisation (area of the bodies over that of the strip they take) at least 85 % of the best
    there is."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(3, 6))
    sizes = [(int(rng.integers(2, 7)), int(rng.integers(2, 7))) for _ in range(count)]
    wide = 9
    outlines = [box(a, b) for a, b in sizes]
    placed = place(outlines, Room(wide, 60.0, 0.0, 0.0))
    assert placed is not None
    assert least(outlines, placed) >= -1e-6
    overlap = [
        a.intersection(b).area
        for a, b in itertools.combinations(lying(outlines, placed), 2)
    ]  # fmt: skip
    assert max(overlap) < 1e-4
    depth = max(polygon.bounds[3] for polygon in lying(outlines, placed))
    assert exhaustive(sizes, wide) / depth >= 0.85
