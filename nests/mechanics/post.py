"""A post that stands on a floor: how stiff it is, what buckles it, where it is stressed most.

The resin is a body of revolution (`revolved`): shank, cone, bore, and as much of the floor as
matters. The floor lies on a rigid bench and may slide on it. Everything is on the safe side:

- A tip is pressed by an even pressure. Of all pressures of one sum that of a rigid face stores the
  least energy, so a jewel or bridge, which is stiffer than resin, presses it in less.
- An insert hands its force to the wall of its bore as an even shear over the length it is held in,
  and shortens by itself as that asks. Whatever it really does there, held on that length or on
  more, stores no more energy (principle of least complementary energy), so the post is no softer.
- No section is stressed less than by all of the force; the least one of a bored post is its mouth.
- A few elements are too stiff by up to `COARSE`, and that is taken off, as is what a tilted foot
  (`STIFF_FOOT`) and a cone (`STEPPED`) are.

Sources: E. Reissner's and Castigliano's principle of least complementary energy, any text on the
theory of elasticity; S. P. Timoshenko, J. M. Gere, *Theory of Elastic Stability*, 2nd ed., 1961,
chapter 2 (bars of stepped section, elastic ends, effect of shear); G. R. Cowper, *The shear
coefficient in Timoshenko's beam theory*, J. Appl. Mech. 33 (1966); from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np

from .arrays import Floats
from .column import Section, Segment
from .revolved import Revolved

COARSE = 0.015
"""Share by which the elements may be too stiff (tests/outside/test_mechanics_post.py)."""
STIFF_FOOT = 0.04
"""The same of a foot that is tilted."""
NEEDLE = 0.02
"""⌀ of a needle hole along the axis of what has no bore, over the ⌀ of its tip: so no node lies on
the axis. It takes less than a thousandth of any section."""
FLOOR_OUT = 2.5
"""How far beyond the shank the floor is followed, over its thickness."""
ACROSS = (0.0, 0.45, 0.8, 0.96, 1.0)
"""Ends of elements across a wall, as shares of it, closer where its corners are."""
BESIDE_A_BORE = (0.0, 0.12, 0.45, 0.8, 0.96, 1.0)
"""The same where the wall of a bore is pulled at."""
OUTWARDS = (0.015, 0.1, 0.4, 1.0)
"""The same along the floor beyond the shank."""
TOWARDS = (0.04, 0.25)
"""The same from either end of a length; between them even."""
CLOSE = 0.1
"""A length so short, as a share of the largest element, is one element."""
STEPPED = 0.005
"""Share by which a cone as a flight of steps may hold too much."""
LEVEL = 6
"""Digits of a height in mm that count: what lies nearer is one level."""
HALVINGS = 40
"""How often the range that holds a load is halved: to a part in 10¹²."""
CONE_STEPS = 64
"""Cylinders that a cone is taken as where it bends."""


@dataclass(frozen=True, kw_only=True)
class StandingPost:
    """A post of `straight` mm of shank and `cone` mm of cone on a `floor`, all ⌀ and lengths in mm.

    `shank` and `head` are the ⌀ at the foot and at the top. `bore` runs through from the top down
    to the bench (0: none), up to `wide_up_to` above the bench it is `wide`. `pressed` is the ⌀ of
    the even pressure on a top without a bore. On top stands `above`, from below upwards: a printed
    end beside a pivot's slot, a soft disc, or the insert. It is held in the bore over `held`, two
    heights above the bench. Modulus in MPa.
    """

    floor: float
    shank: float
    head: float
    straight: float
    cone: float
    modulus: float
    poisson: float
    bore: float = 0.0
    wide: float = 0.0
    wide_up_to: float = 0.0
    pressed: float = 0.0
    above: tuple[Segment, ...] = ()
    held: tuple[float, float] = (0.0, 0.0)

    @property
    def top(self) -> float:
        """Height of what is printed above the bench, mm."""
        return self.floor + self.straight + self.cone

    @cached_property
    def stiffness(self) -> float:
        """N/mm at the upper end of what stands on it."""
        more = math.fsum(each.compliance for each in self.above)
        if self.held[1] > self.held[0]:  # down to where it is held, and a third of that length
            rod = self.above[0]
            buried = self.top - self.held[1] + (self.held[1] - self.held[0]) / 3
            more += rod.compliance * buried / rod.length
        return 1.0 / (self._resin + more)

    @cached_property
    def _resin(self) -> float:
        return _pressed_in(self._body) / (1 - COARSE)

    @cached_property
    def turning(self) -> float:
        """Rotation of the foot on its floor per moment, 1/(N·mm), beyond that of a beam clamped
        where the floor begins."""
        if self.floor <= 0.0:
            return 0.0
        stump = 0.75 * self.shank
        wide = self.wide if self.wide_up_to > 0.0 else self.bore
        return (1 + STIFF_FOOT) * _turned(
            self.floor, self.shank, wide, stump, self.modulus, self.poisson
        )

    @property
    def narrowest(self) -> float:
        """Area of the least cross-section of the resin, mm²: all of the force runs through it."""
        sections = [Section(self.head, self.bore), *(
            [Section(self._outer(self.wide_up_to), self.wide)]
            if self.wide_up_to > self.floor else []
        )]  # fmt: skip
        least = min(each.area for each in sections)
        return min(least, Section(self.pressed).area) if self.pressed else least

    @property
    def buckling_load(self) -> float:
        """N at which it bends aside by itself: free at its top, on a foot that turns.

        Bending and shear of every cylinder of it are exact, a cone is a flight of them. Rotation
        φ and moment M run down from the free end by φ' = -M/EI, M' = P φ/(1 - P/κGA), and the load
        is the first at which the foot turns no more than its moment makes it. What is softer than
        the post itself is no column.
        """
        return (1 - STEPPED) * _buckles(self)

    def _parts(self) -> list[tuple[float, float, float]]:
        """Length, E I and κ G A of the column, from the top down."""
        e, v = self.modulus, self.poisson
        above = [each for each in reversed(self.above) if each.modulus >= e]
        below = reversed(self._steps())
        return [(each.length, each.modulus * each.section.second_moment, math.inf) for each in above
                ] + [(long, e * s.second_moment, _shear_stiffness(s, e, v)) for long, s in below
                     ]  # fmt: skip

    def _outer(self, z: float) -> float:
        """⌀ at a height above the bench."""
        up = z - self.floor - self.straight
        if up <= 0.0 or self.cone <= 0.0:
            return self.shank
        return self.shank + (self.head - self.shank) * min(up / self.cone, 1.0)

    def _steps(self) -> list[tuple[float, Section]]:
        """Cylinders of the resin from the foot up: length and section."""
        ends = [self.floor, self.floor + self.straight]
        if self.floor < self.wide_up_to < self.top:
            ends.append(self.wide_up_to)
        if self.cone > 0.0:
            # in even ratios of ⌀: closest where it is thinnest
            shares = ((self.head / self.shank) ** (k / CONE_STEPS) for k in range(1, CONE_STEPS))
            wide, less = self.shank, self.shank - self.head
            ends += [ends[1] + self.cone * wide * (1 - share) / less for share in shares if less]
            ends.append(self.top)
        ends = sorted({round(each, LEVEL) for each in ends})
        out = []
        for low, high in pairwise(ends):
            inner = self.wide if (low + high) / 2 < self.wide_up_to else self.bore
            # the mean of E I would be a bound from above: so the mean of its reciprocal
            narrow, wide = self._outer(high), self._outer(low)
            out.append((high - low, Section(_as_flexible(narrow, wide), inner)))
        return out

    @property
    def _body(self) -> _Body:
        return _Body(
            self.floor, self.shank, self.head, self.straight, self.cone, self.bore,
            self.wide, self.wide_up_to, self.pressed, self.held, self.modulus, self.poisson,
        )  # fmt: skip


@dataclass(frozen=True)
class _Body:
    """The resin of a post, as in `StandingPost`."""

    floor: float
    shank: float
    head: float
    straight: float
    cone: float
    bore: float
    wide: float
    wide_up_to: float
    pressed: float
    held: tuple[float, float]
    modulus: float
    poisson: float


def _as_flexible(narrow: float, wide: float) -> float:
    """⌀ of a cylinder that bends like a short frustum: the mean of 1/d⁴ over its length."""
    if wide - narrow < 1e-9:
        return wide
    mean = (narrow**-3 - wide**-3) / (3 * (wide - narrow))
    return float(mean**-0.25)


def _shear_stiffness(section: Section, modulus: float, poisson: float) -> float:
    """κ G A of a round section, solid or hollow (Cowper)."""
    m = (section.inner / section.outer) ** 2
    more = (20 + 12 * poisson) * m
    kappa = 6 * (1 + poisson) * (1 + m) ** 2 / ((7 + 6 * poisson) * (1 + m) ** 2 + more)
    return kappa * modulus / (2 * (1 + poisson)) * section.area


def _stands(parts: list[tuple[float, float, float]], turning: float, load: float) -> bool:
    """Whether a load is less than the first that buckles the parts, from the top down."""
    turn, moment = 1.0, 0.0
    for length, bending, shear in parts:
        force = load / (1.0 - load / shear)
        rate = math.sqrt(force / bending)
        cos, sin = math.cos(rate * length), math.sin(rate * length)
        turn, moment = (
            turn * cos - moment * sin / (bending * rate),
            moment * cos + turn * bending * rate * sin,
        )
        if turn <= 0.0:
            return False
    return turn > turning * moment


@lru_cache(maxsize=512)
def _buckles(post: StandingPost) -> float:
    parts = post._parts()
    clamped = (math.pi**2 / 4 * bending / length**2 for length, bending, _ in parts)
    low, high = 0.0, min(*clamped, *(shear for *_, shear in parts))
    for _ in range(HALVINGS):
        load = (low + high) / 2
        low, high = (load, high) if _stands(parts, post.turning, load) else (low, load)
    return low


@lru_cache(maxsize=512)
def _pressed_in(body: _Body) -> float:
    """Compliance in mm/N of the resin of a post, by energy."""
    section, inner = _section(body)
    rows = section.radius.shape[1]
    last = section.filled.shape[0] if body.floor <= 0.0 else inner[1]
    if body.held[1] > body.held[0]:
        at = inner[0] if body.wide_up_to >= body.held[1] else 0
        low, high = (int(np.argmin(np.abs(section.height[at] - z))) for z in body.held)
        nodes, area = section.line(2 * at, None, low, high)
    else:
        loaded = inner[0] if body.pressed and inner[0] else last
        nodes, area = section.line(None, rows - 1, 0, 2 * loaded)
    load = np.zeros(3 * section.radius.size)
    load[3 * nodes + 2] = area / area.sum()
    bench = np.arange(section.radius.shape[0])
    return section.energy(0, body.modulus, body.poisson, load, 3 * bench + 2)


@lru_cache(maxsize=512)
def _turned(
    floor: float, shank: float, bore: float, stump: float, modulus: float, poisson: float
) -> float:
    """Rotation per moment at the upper end of a stump of a post, less that of the stump."""
    body = _Body(floor, shank, shank, stump, 0.0, bore, 0.0, 0.0, 0.0, (0.0, 0.0), modulus, poisson)
    section, inner = _section(body)
    rows = section.radius.shape[1]
    nodes, area = section.line(None, rows - 1, 0, 2 * inner[1])
    radius = section.radius[: len(nodes), -1]
    across = area * radius
    load = np.zeros(3 * section.radius.size)
    moment = float(across @ radius) / 2
    load[3 * nodes + 2] = across / (2 * moment)
    bench = np.arange(section.radius.shape[0])
    held = np.r_[3 * bench + 2, 3 * bench[-1:]]  # and one ring against sliding as a whole
    hollow = Section(shank, max(bore, NEEDLE * shank))
    whole = section.energy(1, modulus, poisson, load, held)
    return whole - stump / (modulus * hollow.second_moment)


def _section(body: _Body) -> tuple[Revolved, tuple[int, int]]:
    """Half-section of post and floor, and how many columns of elements reach to the wide bore (or
    to the edge of the pressed face), and to the outside of the shank."""
    foot, top = body.floor, body.floor + body.straight + body.cone
    bore = (body.bore or NEEDLE * body.head) / 2
    levels = {0.0, foot, foot + body.straight, top}
    if body.wide_up_to > 0.0:
        levels.add(body.wide_up_to)
    if body.held[1] > body.held[0]:
        levels |= set(body.held)
    keys = sorted({round(each, LEVEL) for each in levels})
    heights = [0.0]
    for low, high in pairwise(keys):
        heights += _steps(low, high, 0.7 * body.shank)
    z = _with_middles(np.array(heights))
    up = np.clip((z - foot - body.straight) / body.cone, 0, 1) if body.cone else 0.0 * z
    outer = (body.shank + (body.head - body.shank) * up) / 2
    split = np.zeros_like(z)
    if body.wide_up_to > 0.0:
        at = (body.wide / 2 - bore) / (outer - bore)
        split = np.where(z < body.wide_up_to, at, at[np.argmin(np.abs(z - body.wide_up_to))])
    elif body.pressed and body.pressed < body.head - 1e-9:
        split = np.full_like(z, (body.pressed / 2 - bore) / (body.head / 2 - bore))
    first = 2 if split.any() else 0
    columns = [split * s for s in np.linspace(0, 1, first, endpoint=False)]
    across = ACROSS if body.held[1] == body.held[0] else BESIDE_A_BORE
    columns += [split + (1 - split) * s for s in across]
    radius = [bore + (outer - bore) * s for s in columns]
    within = len(radius) - 1
    if foot > 0.0:
        out = FLOOR_OUT * foot * np.array(OUTWARDS)
        radius += [outer[0] + more + 0 * z for more in out]
    r = np.stack([_with_middles(line) for line in np.stack(radius).T], axis=1)
    filled = np.ones((len(radius) - 1, (len(z) - 1) // 2), dtype=bool)
    middles = z[1::2]
    filled[within:, middles > foot] = False
    filled[:first, middles < body.wide_up_to] = False
    return Revolved(r, np.broadcast_to(z, r.shape).copy(), filled), (first, within)


def _steps(low: float, high: float, size: float) -> list[float]:
    """Ends of elements between two heights, shorter towards both."""
    if high - low < CLOSE * size:
        return [high]
    near, far = np.array(TOWARDS), 1.0 - np.array(TOWARDS[::-1])
    inside = max(math.ceil((high - low) / size) - 2, 1)
    even = np.linspace(TOWARDS[-1], far[0], inside + 1)[1:-1]
    return [float(s) for s in low + (high - low) * np.concatenate([near, even, far, [1.0]])]


def _with_middles(line: Floats) -> Floats:
    """A line of ends with the middles between them."""
    out = np.empty(2 * len(line) - 1)
    out[::2], out[1::2] = line, (line[1:] + line[:-1]) / 2
    return out
