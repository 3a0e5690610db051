"""Rings parallel to a closed path of lines and arcs, corner by corner.

Every ring of a path has the same number of points, whatever its offset, so that rings can be
lofted. Between two edges a ring has the point where their offset curves cross; what of an edge lies
beyond falls into that point, and so does an edge that an offset leaves nothing of, such as a corner
whose radius is smaller than the offset.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from nests.places import Points
from nests.units import Length

SMOOTH = 2.0 - 1e-6
"""1 + cosine between the normals of two edges that meet without a corner: 0.08°."""
NOTHING: Length = 1e-6
"""mm of an edge or radius that count as nothing."""


@dataclass(frozen=True)
class Edge:
    """A line, or an arc that bulges outward, of a path walked counterclockwise.

    `first` (rad) is the angle of the start about `centre`, `sweep` how far it turns; an arc's
    `radius` is None for a line.
    """

    start: Points
    end: Points
    radius: Length | None
    centre: Points
    first: float
    sweep: float

    def normal(self, share: float) -> Points:
        """Outward unit normal at a share of the way."""
        if self.radius is None:
            dx, dy = (self.end - self.start) / np.linalg.norm(self.end - self.start)
            return np.array((dy, -dx))
        angle = self.first + share * self.sweep
        return np.array((math.cos(angle), math.sin(angle)))

    @property
    def runs_back(self) -> bool:
        """Whether a line is walked clockwise about the origin, as a flank of a notch may be."""
        (x0, y0), (x1, y1) = self.start, self.end
        return self.radius is None and bool(x0 * y1 - y0 * x1 <= 0.0)

    def met(self, ray: Points) -> Length:
        """How far from the origin a ray along a unit vector meets this edge, drawn out both ways;
        an arc where it leaves it. No line that runs through the origin may be asked."""
        if self.radius is None:
            out = self.normal(0.0)
            return float(self.start @ out) / float(ray @ out)
        across = float(ray @ self.centre)
        return across + math.sqrt(
            max(self.radius**2 - float(self.centre @ self.centre) + across**2, 0.0)
        )

    def normal_along(self, ray: Points) -> Points:
        """Outward normal where a ray from the origin along a unit vector meets this edge."""
        return self.normal(0.0) if self.radius is None else self.met(ray) * ray - self.centre

    def shares(self, count: int, *, round_about: bool) -> Points:
        """Shares of the way at which an arc has points between its ends: `count` tangents round
        about it, or `count` chords inside it; none for a line."""
        if self.radius is None:
            return np.empty(0)
        at = np.arange(count) + 0.5 if round_about else np.arange(1, count)
        return np.asarray(at / count)

    def along(self, point: Points) -> float:
        """How far along the edge the foot of a point lies: mm on a line, rad on an arc."""
        if self.radius is None:
            way = self.end - self.start
            return float((point - self.start) @ way / np.linalg.norm(way))
        x, y = point - self.centre
        return math.remainder(math.atan2(y, x) - self.first - self.sweep / 2, math.tau)


def edge(start: Points, end: Points, radius: Length | None) -> Edge:
    """The edge from one corner to the next."""
    if radius is None:
        return Edge(start, end, None, start, 0.0, 0.0)
    half = float(np.linalg.norm(end - start)) / 2
    along = (end - start) / (2 * half)
    inward = np.array((-along[1], along[0]))
    centre = (start + end) / 2 + inward * math.sqrt(max(radius**2 - half**2, 0.0))
    first = math.atan2(*(start - centre)[::-1])
    return Edge(start, end, radius, centre, first, 2 * math.asin(min(1.0, half / radius)))


def ring(
    edges: Sequence[Edge], counts: Sequence[int], offset: Length, *, round_about: bool
) -> Points:
    """The ring (n, 2) at an offset outside a path; `counts` are tangents or chords of each arc."""
    alive = [
        k for k, each in enumerate(edges)
        if each.radius is None or each.radius + offset > NOTHING
    ]  # fmt: skip
    while True:
        meets = {k: _meeting(edges, alive[i - 1], k, offset) for i, k in enumerate(alive)}
        ends = {k: meets[alive[(i + 1) % len(alive)]] for i, k in enumerate(alive)}
        gone = [k for k in alive if edges[k].along(ends[k]) <= edges[k].along(meets[k]) + 1e-12]
        if not gone or len(alive) - len(gone) < 2:
            break
        alive = [k for k in alive if k not in gone]
    out = []
    for k, each in enumerate(edges):
        following = next((j for j in alive if j >= k), alive[0])
        out.append(meets[following][None])
        shares = each.shares(counts[k], round_about=round_about)
        if not len(shares):
            continue
        if k not in meets:
            out.append(np.repeat(meets[following][None], len(shares), axis=0))
            continue
        assert each.radius is not None
        angle = each.first + shares * each.sweep
        far = each.radius + offset
        if round_about:  # corners of the tangents at the ends of each step
            far /= math.cos(each.sweep / counts[k] / 2)
        points = each.centre + far * np.column_stack((np.cos(angle), np.sin(angle)))
        at = (shares - 0.5) * each.sweep
        points[at < each.along(meets[k])] = meets[k]
        points[at > each.along(ends[k])] = ends[k]
        out.append(points)
    return np.vstack(out)


def _meeting(edges: Sequence[Edge], before: int, after: int, offset: Length) -> Points:
    """Where the offset curves of two edges cross, nearest to the corner between them."""
    one, two = edges[before], edges[after]
    first, second = one.normal(1.0), two.normal(0.0)
    meeting = 1.0 + float(first @ second)
    next_to = (before + 1) % len(edges) == after
    mitre = (first + second) / max(meeting, NOTHING)
    guess = (one.end + two.start) / 2 + offset * mitre
    # on the outer side of a corner a ring runs on along the tangents, as a mitre does
    outer = (first[0] * second[1] - first[1] * second[0]) * offset >= 0.0
    if next_to and (meeting >= SMOOTH or outer):
        return np.asarray(guess)
    found = _crossings(one, two, offset)
    return min(found, key=lambda p: float(np.linalg.norm(p - guess)), default=np.asarray(guess))


def _crossings(one: Edge, two: Edge, offset: Length) -> list[Points]:
    """Where two offset curves, drawn on beyond their ends, cross."""
    if one.radius is None and two.radius is None:
        p, q = one.start + offset * one.normal(0.0), two.start + offset * two.normal(0.0)
        along, back = one.end - one.start, two.end - two.start
        turn = along[0] * back[1] - along[1] * back[0]
        if abs(turn) < NOTHING:
            return []
        share = ((q - p)[0] * back[1] - (q - p)[1] * back[0]) / turn
        return [p + share * along]
    if one.radius is None or two.radius is None:
        line, arc = (one, two) if one.radius is None else (two, one)
        assert arc.radius is not None
        out = line.normal(0.0)
        foot = line.start + offset * out
        foot = foot + ((arc.centre - foot) @ _left(out)) * _left(out)
        return _spread(foot, _left(out), (arc.radius + offset) ** 2, arc.centre)
    far, near = one.radius + offset, two.radius + offset
    between = two.centre - one.centre
    apart = float(np.linalg.norm(between))
    if apart < NOTHING:
        return []
    share = (apart**2 + far**2 - near**2) / (2 * apart)
    foot = one.centre + share * between / apart
    return _spread(foot, _left(between / apart), far**2, one.centre)


def _spread(foot: Points, way: Points, squared: float, centre: Points) -> list[Points]:
    """The two points on a line through `foot`, the foot of `centre`, at a distance from that."""
    left = squared - float((foot - centre) @ (foot - centre))
    if left < 0.0:
        return []
    return [foot + math.sqrt(left) * way, foot - math.sqrt(left) * way]


def _left(way: Points) -> Points:
    return np.array((-way[1], way[0]))
