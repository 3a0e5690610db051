"""From loose segments to the lines and arcs of a drawing."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nests.papers.drawing.values import Arc, Pen, Point, Stroke

Floats = NDArray[np.float64]
GRID = 4
"""Decimals of a mm at which two ends are one point."""
LEAST_CHORDS = 4
"""A chain of fewer chords stays a chain of lines."""
FLATTEST = 150.0
"""mm; the largest radius that is taken for an arc."""


@dataclass(frozen=True)
class Rounds:
    """What is known of a view's round lines: chord error, and true radii by their centre."""

    chord: float
    known: tuple[tuple[Point, float], ...] = ()

    def true(self, centre: Point, radius: float) -> tuple[Point, float]:
        """The known circle this one is a polygon of, if it is one."""
        for at, r in self.known:
            if math.dist(at, centre) < 2 * self.chord and abs(r - radius) < 2.5 * self.chord:
                return at, r
        return centre, radius


def drawn(start: Floats, end: Floats, pen: Pen, rounds: Rounds | None) -> list[Stroke | Arc]:
    """Segments (n, 2) in mm of the solid as lines and arcs; each drawn once.

    Without `rounds` everything is a line.
    """
    out: list[Stroke | Arc] = []
    for chain in chained(start, end):
        if rounds is None:
            out.append(_line(np.array(chain), pen))
        else:
            out += _split(chain, pen, rounds)
    return out


def enlarged(lines: Sequence[Stroke | Arc], scale: float) -> list[Stroke | Arc]:
    """Lines and arcs in mm of the solid as they are at a scale."""
    out: list[Stroke | Arc] = []
    for each in lines:
        if isinstance(each, Arc):
            at = (each.centre[0] * scale, each.centre[1] * scale)
            out.append(Arc(at, each.radius * scale, each.pen, each.first, each.last))
        else:
            points = tuple((x * scale, y * scale) for x, y in each.points)
            out.append(Stroke(points, each.pen, each.closed))
    return out


def chained(start: Floats, end: Floats) -> list[list[Point]]:
    """Segments joined end to end where just two meet. Segments that cover each other are one."""
    links: dict[Point, list[Point]] = defaultdict(list)
    ends = np.round(np.column_stack((start, end)), GRID) + 0.0
    ends = ends[np.abs(ends[:, :2] - ends[:, 2:]).max(axis=1, initial=0.0) > 0.0]
    flip = (ends[:, 0] > ends[:, 2]) | ((ends[:, 0] == ends[:, 2]) & (ends[:, 1] > ends[:, 3]))
    ends[flip] = ends[flip][:, [2, 3, 0, 1]]
    level, upright = ends[:, 1] == ends[:, 3], ends[:, 0] == ends[:, 2]
    ends = np.vstack(
        (
            ends[~level & ~upright],
            _merged(ends[level]),
            _merged(ends[upright][:, [1, 0, 3, 2]])[:, [1, 0, 3, 2]],
        )
    )
    for x0, y0, x1, y1 in np.unique(ends, axis=0).tolist():
        links[x0, y0].append((x1, y1))
        links[x1, y1].append((x0, y0))
    chains = []
    # from the ends of chains first, then round closed ones
    for begin in [*(p for p in links if len(links[p]) != 2), *links]:
        while links[begin]:
            chain = [begin]
            while links[chain[-1]]:
                here = chain[-1]
                ahead = links[here].pop()
                links[ahead].remove(here)
                chain.append(ahead)
                if len(links[ahead]) != 1:
                    break
            chains.append(chain)
    return chains


def _merged(level: Floats) -> Floats:
    """Level segments (n, 4), left end first, of which those that touch or overlap are one.

    Edges at one height are seen in one line, however far away each is.
    """
    if not len(level):
        return level
    level = level[np.lexsort((level[:, 0], level[:, 1]))]
    rows = np.flatnonzero(np.diff(level[:, 1], prepend=np.nan) != 0.0)
    # the farthest right end so far; a row begins afresh, as rows are lifted far apart
    lift = np.repeat(np.arange(len(rows)), np.diff(np.r_[rows, len(level)])) * 2e3
    reach = np.maximum.accumulate(level[:, 2] + lift) - lift
    fresh = np.r_[True, (level[1:, 0] > reach[:-1]) | (np.diff(level[:, 1]) != 0.0)]
    first = np.flatnonzero(fresh)
    out = level[first]
    out[:, 2] = np.round(np.maximum.reduceat(level[:, 2], first), GRID)
    return out


def _split(chain: Sequence[Point], pen: Pen, rounds: Rounds) -> list[Stroke | Arc]:
    """A chain as arcs where its chords follow a circle, and lines elsewhere."""
    points = np.array(chain)
    if chain[0] == chain[-1] and len(chain) > LEAST_CHORDS:
        whole = _arc(points, rounds)
        if whole is not None:
            return [_round(rounds.true(*whole), points, pen, closed=True)]
        points = _from_corner(points)
    out: list[Stroke | Arc] = []
    straight: list[int] = [0]
    at = 0
    while at < len(points) - 1:
        found = _longest(points, at, rounds)
        if found is None:
            at += 1
            straight.append(at)
            continue
        if len(straight) > 1:
            out.append(_line(points[straight], pen))
        circle = rounds.true(*found[0])
        out.append(_round(circle, points[at : found[1] + 1], pen, closed=False))
        at = found[1]
        straight = [at]
    if len(straight) > 1:
        out.append(_line(points[straight], pen))
    return out


def _longest(points: Floats, at: int, rounds: Rounds) -> tuple[tuple[Point, float], int] | None:
    """The longest arc that begins at a point, and the point at which it ends; None if none does."""
    good, bad, found = 0, LEAST_CHORDS, None
    end = len(points) - 1
    while bad <= end - at and (arc := _arc(points[at : at + bad + 1], rounds)) is not None:
        good, bad, found = bad, 2 * bad, arc
    if found is None:
        return None
    bad = min(bad, end - at + 1)
    while bad - good > 1:
        middle = (good + bad) // 2
        arc = _arc(points[at : at + middle + 1], rounds)
        if arc is None:
            bad = middle
        else:
            good, found = middle, arc
    return found, at + good


def _from_corner(ring: Floats) -> Floats:
    """A closed chain that starts at its sharpest corner, so that no arc is cut in two."""
    corners = ring[:-1]
    ahead = np.roll(corners, -1, axis=0) - corners
    back = corners - np.roll(corners, 1, axis=0)
    turn = np.einsum("ij,ij->i", ahead, back)
    turn /= np.maximum(np.linalg.norm(ahead, axis=1) * np.linalg.norm(back, axis=1), 1e-12)
    first = int(np.argmin(turn))
    rolled = np.roll(corners, -first, axis=0)
    return np.vstack((rolled, rolled[:1]))


def _arc(points: Floats, rounds: Rounds) -> tuple[Point, float] | None:
    """Centre and radius of the circle whose chords these are, or None.

    The inner corners lie on the circle. The two at the ends may lie on a chord, where another
    face cuts it off. No chord leaves the circle by more than about the chord error.
    """
    inner = points[1:-1] if len(points) > LEAST_CHORDS else points
    a, b, c = inner[0], inner[len(inner) // 2], inner[-1]
    if abs(a - c).max() < 1e-6:
        c = inner[(3 * len(inner)) // 4]
    det = 2 * float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    if abs(det) < 1e-9:
        return None
    bb, cc = float((b - a) @ (b - a)), float((c - a) @ (c - a))
    x = a[0] + ((c[1] - a[1]) * bb - (b[1] - a[1]) * cc) / det
    y = a[1] + ((b[0] - a[0]) * cc - (c[0] - a[0]) * bb) / det
    away = np.hypot(points[:, 0] - x, points[:, 1] - y)
    radius = float(np.hypot(a[0] - x, a[1] - y))
    half = np.hypot(*np.diff(points, axis=0).T) / 2
    sagitta = radius - np.sqrt(np.maximum(radius**2 - half**2, 0.0))
    if np.any(np.abs(away[1:-1] - radius) > 0.1 * rounds.chord) or radius > FLATTEST:
        return None
    if np.any(np.abs(away - radius) > 1.5 * rounds.chord) or np.any(sagitta > 1.6 * rounds.chord):
        return None
    turns = np.diff(np.unwrap(np.arctan2(points[:, 1] - y, points[:, 0] - x)))
    if not (np.all(turns > 1e-4) or np.all(turns < -1e-4)):
        return None
    return (float(x), float(y)), radius


def _round(circle: tuple[Point, float], points: Floats, pen: Pen, closed: bool) -> Arc:
    centre, radius = circle
    first = math.degrees(math.atan2(points[0, 1] - centre[1], points[0, 0] - centre[0]))
    last = math.degrees(math.atan2(points[-1, 1] - centre[1], points[-1, 0] - centre[0]))
    middle = points[len(points) // 2] if len(points) > 2 else points[0]
    passing = math.degrees(math.atan2(middle[1] - centre[1], middle[0] - centre[0]))
    if closed:
        return Arc(centre, radius, pen)
    if (passing - first) % 360.0 > (last - first) % 360.0:
        first, last = last, first
    return Arc(centre, radius, pen, first % 360.0, first % 360.0 + (last - first) % 360.0)


def _line(points: Floats, pen: Pen) -> Stroke:
    """A line through points, without those that lie on it anyway."""
    keep = [0]
    for k in range(1, len(points) - 1):
        back, ahead = points[k] - points[keep[-1]], points[k + 1] - points[k]
        bend = abs(back[0] * ahead[1] - back[1] * ahead[0]) > 1e-5 * float(np.hypot(*ahead))
        if bend or back @ ahead < 0.0:
            keep.append(k)
    keep.append(len(points) - 1)
    return Stroke(tuple((float(x), float(y)) for x, y in points[keep]), pen)
