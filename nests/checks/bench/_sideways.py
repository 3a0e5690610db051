"""What pushers do to holder and workpiece: loads from the side, each at its height.

A pusher presses radially inward at its hour, at the height of its lever, with its force at full
travel. Of all that moments about the sides of a support polygon and Coulomb's friction decide
(J. L. Meriam, L. G. Kraige, *Engineering Mechanics: Statics*, chapters 3 and 6; known formulas,
from memory):

- *Workpiece.* It moves through its play to the opposite wall of the bore, which pushes back at any
  height at which wall and rim meet. A lever within those heights lifts nothing. Above or below
  them, forces F at heights z and the wall's reaction at h turn it over a side of what it stands on,
  outward normal n and offset o, with the moment Σ F (z - h) u·n. Against that its weight W about c
  has W (o - n·c), and friction on the wall, at p, up to V = µ ΣF, has V (o - n·p). It stays if any
  h and V do for every side. Where they do not, the side with the levers lifts, and each slides up
  over its peg, at r, against D = µ F of that, which has D (o - n·r): a peg that is pushed level
  holds it down so far, be it guided or in a hand. Radial forces all run through the middle of the
  seat, so they do not turn it about its axis.
- *Holder.* Alone on the bench it slides from µ W, or tips from W (o - n·c) / (z u·n), a few tenths
  of a newton; whoever works a pusher holds the body with the other hand, or in a vice. A hand can
  hold against it up to the top of the wall; a lever above that tips the holder out of the hand.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from manifold3d import CrossSection

from nests.given.sheet import Pusher
from nests.holder.workpiece import FINE, plan_distances, uncertainty
from nests.mechanics.rests import SupportPolygon
from nests.parts.site import Site
from nests.places import Place
from nests.solids.loops import loop
from nests.solids.volumes import Floats
from nests.study import Study
from nests.units import Length

HEIGHTS = 50
"""Heights of the rim at which the wall is looked for."""
WALL: Length = 0.5
"""mm from the rim within which a wall opposite stops it; more than any play."""
NEAR: Length = 0.03
"""mm by which a wall may lie farther off than its nearest part and still be met."""
FACING = math.cos(math.radians(45.0))
"""What of an edge looks away from a pusher: its normal within 45° of the push."""
SHARES = 11
"""Shares of the friction that are tried."""
PEG_FRICTION = 0.1
"""Friction of a peg or pin on a lever, steel on steel that may be oiled; from memory, at least."""
LITTLE = 1e-6
"""N of a sideways force that count as none: pushers that face each other."""


@dataclass(frozen=True)
class Push:
    """One pusher, or several at once: names, forces u F (n, 2) in N, heights (n,), holder z, and
    the places (n, 2) at which the levers are met."""

    names: tuple[str, ...]
    forces: Floats
    heights: Floats
    places: Floats

    @property
    def sum(self) -> Floats:
        """The force in plan, (2,) N."""
        return np.asarray(self.forces.sum(axis=0))

    @property
    def size(self) -> float:
        """N of it."""
        return float(np.linalg.norm(self.sum))

    @property
    def words(self) -> str:
        """What is pushed, for a sentence."""
        named = " and ".join(f"'{each}'" for each in self.names)
        newtons = " and ".join(f"{float(np.linalg.norm(f)):g}" for f in self.forces)
        return f"{named} pushed{' together' if len(self.names) > 1 else ''} with {newtons} N"

    def opposite(self, site: Site) -> float:
        """Hour of the dial towards which it pushes."""
        return site.frame.place(Place(*map(float, self.sum))).hour

    def higher(self, by: Length) -> Push:
        """The same with every lever `by` mm higher."""
        return replace(self, heights=self.heights + by)

    def pegs(self, polygon: SupportPolygon) -> Floats:
        """N·mm with which the pegs' friction on the levers holds a body down over each side."""
        down = PEG_FRICTION * np.linalg.norm(self.forces, axis=1)
        return np.asarray(
            (polygon.offsets[:, None] - polygon.normals @ self.places.T) @ down, dtype=np.float64
        )

    def moments(self, polygon: SupportPolygon, held: Length) -> Floats:
        """N·mm with which it turns a body outward over each side, held against it at a height."""
        about = polygon.normals @ self.forces.T
        return np.asarray(about @ self.heights - held * about.sum(axis=1))


@dataclass(frozen=True)
class Balance:
    """How a push is borne at best: N·mm that lift over the gravest side, and N·mm that hold, with
    the friction of the pegs or without."""

    lifts: float
    holds: float
    pegs: bool = False

    @property
    def stays(self) -> bool:
        """Whether it holds."""
        return self.lifts <= self.holds + 1e-9


def pushes(site: Site) -> list[Push]:
    """Each pusher of the sheet, and every two together."""
    all_of = site.sheet.pushers
    alone = [(each,) for each in all_of]
    return [_push(site, some) for some in [*alone, *combinations(all_of, 2)]]


def _push(site: Site, pushers: Sequence[Pusher]) -> Push:
    turn = np.array([site.frame.angle(each.hour) for each in pushers])
    force = np.array([each.force for each in pushers])
    inward = -np.column_stack((np.cos(turn), np.sin(turn)))
    heights = np.array([site.lever(each) for each in pushers])
    radius = np.array([each.lever_radius for each in pushers])
    return Push(
        tuple(each.name for each in pushers),
        inward * force[:, None],
        heights,
        -inward * radius[:, None],
    )


def off(site: Site) -> Length:
    """How far levers and wall may be off in height, mm."""
    pointers = [f"/pushers/{k}/depth" for k in range(len(site.sheet.pushers))]
    return uncertainty(site.sheet, *pointers) + site.card.scatter


def balance(
    push: Push,
    polygon: SupportPolygon,
    weight: float,
    centre: tuple[float, float],
    wall: Floats,
    friction: float = 0.0,
    rim: Length = 0.0,
) -> Balance:
    """Best balance of a body of `weight` N about `centre`, held at any of the heights `wall` (n,),
    with `friction` on the wall, which is met `rim` mm from the axis, and with that of the pegs only
    where it does not stay without."""
    without = _best(push, polygon, weight, centre, wall, friction, rim, 0.0)
    if without.stays or not friction:
        return without
    shares = np.linspace(0.0, 1.0, SHARES)[1:]
    some = [_best(push, polygon, weight, centre, wall, friction, rim, s) for s in shares]
    best = max(some, key=lambda each: each.holds - each.lifts)
    return replace(best, pegs=True)


def _best(
    push: Push, polygon: SupportPolygon, weight: float, centre: tuple[float, float],
    wall: Floats, friction: float, rim: Length, pegs: float,
) -> Balance:  # fmt: skip
    """The best of all heights of the wall, with a share `pegs` of the pegs' friction."""
    own = pegs * push.pegs(polygon) + weight * (
        polygon.offsets - polygon.normals @ np.asarray(centre)
    )
    sideways = push.size > LITTLE
    ahead = push.sum / push.size if sideways else np.zeros(2)
    grip = polygon.offsets - polygon.normals @ (rim * ahead)
    down = np.linspace(0.0, friction * push.size, SHARES if friction * push.size > 0.0 else 1)
    heights = wall if sideways else wall[:1]
    turning = np.array([push.moments(polygon, float(held)) for held in heights])
    holds = own + down[:, None] * grip
    spare = holds - turning[:, None]  # by height, share and side
    side = spare.argmin(axis=2)
    height, share = np.unravel_index(int(spare.min(axis=2).argmax()), side.shape)
    gravest = side[height, share]
    return Balance(float(turning[height, gravest]), float(holds[share, gravest]))


def rim_plans(study: Study, site: Site) -> list[tuple[Length, CrossSection]]:
    """The holder cut at heights evenly up the rim, holder z."""
    low, high = site.seat, site.frame.z(site.side_up, 0.0)
    heights = low + (np.arange(HEIGHTS) + 0.5) * ((high - low) / HEIGHTS)
    return [(float(z), study.solid.slice(float(z))) for z in heights]


def met_heights(
    plans: Sequence[tuple[Length, CrossSection]], site: Site, push: Push
) -> tuple[Floats, Length]:
    """Heights (n,), holder z, of these plans of the holder at which the wall opposite meets the
    rim, none if there is no wall; and how far from the axis, mm. All for pushers that face each
    other, for then no wall is asked."""
    heights = np.array([z for z, _ in plans])
    if push.size <= LITTLE:
        return heights, 0.0
    ahead = push.sum / push.size
    edges: dict[Length, Floats] = {}
    away = []
    for z, plan in plans:
        out = _flange(site, z)
        if out not in edges:
            edges[out] = _looking(site, out, ahead)
        away.append(_nearest(plan, edges[out]))
    far = max(float(np.max(edge @ ahead)) for edge in edges.values())
    distance = np.array(away)
    if distance.min() > WALL:
        return np.zeros(0), far
    met = heights[distance <= distance.min() + NEAR]
    half = float(heights[1] - heights[0]) / 2
    return np.concatenate(([met[0] - half], met, [met[-1] + half])), far


def _nearest(plan: CrossSection, edge: Floats) -> Length:
    """mm from an edge (n, 2) to a plan of the holder."""
    return math.inf if plan.is_empty() else float(plan_distances(plan, edge).min())


def _flange(site: Site, z: Length) -> Length:
    """mm by which the edge stands out of the outline at a height."""
    down, deep = site.sheet.edge(site.side_down)
    up, high = site.sheet.edge(site.side_up)
    at_top = site.frame.z(site.side_up, 0.0) - high
    return max(down if z < site.seat + deep else 0.0, up if z > at_top else 0.0)


def _looking(site: Site, out: Length, ahead: Floats) -> Floats:
    """Points (n, 2) of the edge that look the way of a push."""
    ring = loop(site.sheet.outline, site.frame, FINE, out).shaft(out)
    along = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    normal = np.column_stack((along[:, 1], -along[:, 0]))
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    sense = 1.0 if float(np.sum(normal * ring)) > 0.0 else -1.0
    return np.asarray(ring[sense * (normal @ ahead) >= FACING])


def alone(
    push: Push, polygon: SupportPolygon, z: Length, weight: float,
    centre: tuple[float, float], friction: float,
) -> tuple[float, float]:  # fmt: skip
    """N of a push as high as this one, on the mean, from which a body that nobody holds slides on
    its foot at holder `z`, and from which it tips; inf for a push of no size."""
    if push.size <= LITTLE:
        return math.inf, math.inf
    turning = push.moments(polygon, z)
    own = weight * (polygon.offsets - polygon.normals @ np.asarray(centre))
    shares = [h / m for h, m in zip(own, turning, strict=True) if m > 0.0]
    return friction * weight, push.size * min(shares, default=math.inf)


def opposite_words(push: Push, site: Site) -> str:
    """Where the other hand is."""
    return f"opposite, at {push.opposite(site):.1f} h" if push.size > LITTLE else "all round"


def place_of(push: Push) -> tuple[float, float, float]:
    """A place of a push: the middle, as high as its levers."""
    return 0.0, 0.0, round(float(push.heights.mean()), 4)
