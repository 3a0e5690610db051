"""Stand-ins of sub-assemblies that lie in a cradle: on their edge, and one way round.

Where the edge has notches, the outline follows them and so does the pocket: what stands into a
notch is a key. A plain outline has nothing to tell one way round from another.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import ClassVar

from nests.given.sheet import Rest, Sheet
from nests.given.stand_in._written import Written
from nests.given.stand_in.sizes import BySizes
from nests.given.zones import Corner, Outline, Path, Polygon, Round, Sector, Zone
from nests.places import Place, Side, at_hour
from nests.units import BadInput, Hour, Length, dial_hour, hour, mm, said

BESIDE: Length = 1.0
"""mm beside a notch and a corner where the edge is not rested on; from memory."""
SHORTEST: Length = 1.5
"""mm of edge that are a rest; from memory."""
LONGEST_ARC = 4.0
"""Hours of one arc of an outline with notches: no arc of a path goes over half a turn."""
PADS = 3
"""Rests of a round edge: three carry, and never rock."""
PAD_HALVES = (0.8, 0.6, 0.4)
"""Hours to either side of the middle of a rest of a round edge, the preferred first; fingers have
the rest of it."""
WIDEST_GAP = 5.0
"""Hours between two of the rests at most: the middle lies well between them; from memory."""


@dataclass(frozen=True, kw_only=True)
class Notch(Written):
    """A notch in the edge of a workpiece, into which a key of the pocket stands."""

    form: ClassVar[str] = "HOUR,WIDTH,DEPTH"
    example: ClassVar[str] = "2,2.5,1.2"
    hour: Hour = hour(meaning="hour at its middle")
    width: Length = mm(low=2.0, high=20.0, meaning="width along the edge")
    depth: Length = mm(low=0.8, high=10.0, meaning="how far it goes in from the edge")


@dataclass(frozen=True, kw_only=True)
class WithEdge(BySizes):
    """Sizes of a sub-assembly, with what of its edge may be touched."""

    sizes: ClassVar[tuple[str, ...]] = (*BySizes.sizes, "length", "width", "edge", "notch")

    length: Length | None = mm(
        None, low=5.0, high=70.0, meaning="from 3 h to 9 h, where it is not round, without a sheet"
    )
    width: Length | None = mm(
        None, low=5.0, high=70.0, meaning="from 12 h to 6 h, where it is not round, without a sheet"
    )
    edge: Length | None = mm(
        None,
        low=0.5,
        high=20.0,
        meaning="how far inward from the edge the rim face that looks down may be touched, "
        "without a sheet",
    )
    notch: tuple[Notch, ...] = said(
        "HOUR,WIDTH,DEPTH of a notch in the edge, mm, without a sheet: a key of the pocket stands "
        "in it, so that the workpiece goes in one way round; once for each",
        (),
    )

    def outline(self) -> tuple[Outline, str]:
        """A circle, or lines from corner to corner, with their notches."""
        if self.length is None and self.width is None:
            if self.diameter is None or self.height is None:
                raise BadInput(
                    "give --sheet FILE, or --height and either --diameter or both --length and "
                    "--width, in mm."
                )
            whole = Round(diameter=self.diameter)
            notched = _circle(self.diameter / 2, self.notch) if self.notch else whole
            return notched, f"D{self.diameter:.2f}"
        if self.diameter is not None:
            raise BadInput("--diameter is given beside --length or --width; give one of the two.")
        if self.length is None or self.width is None or self.height is None:
            raise BadInput("give all of --length, --width and --height in mm.")
        return _oblong(self.length, self.width, self.notch), f"L{self.length:.2f} W{self.width:.2f}"

    def stand_in(self, up: Side) -> Sheet:
        """A sub-assembly with a rest along its edge."""
        out = super().stand_in(up)
        if self.edge is None:
            raise BadInput(
                "give --edge in mm, how far inward from the edge the rim face that looks down may "
                "be touched: where it may be touched at all is not known else, and no pad can "
                "stand there."
            )
        across = self.diameter or min(self.length or 0.0, self.width or 0.0)
        deepest = max((each.depth for each in self.notch), default=0.0)
        if self.edge >= across / 2 or deepest >= across / 3:
            what, was, most = (
                ("edge", self.edge, across / 2)
                if self.edge >= across / 2
                else ("depth of a notch", deepest, across / 3)
            )
            raise BadInput(
                f"{what} is {was:g} mm; the workpiece is {across:g} mm across, and less than "
                f"{most:.2f} mm is allowed."
            )
        zones = list(self._round_rests() if self.diameter else self._straight_rests())
        if len(zones) < PADS:
            raise BadInput(
                f"the notches leave less than {PADS} places of the edge to rest on, {BESIDE:g} mm "
                "beside them and all round; give those only that tell one way round from another."
            )
        rests = tuple(
            Rest(name=f"edge {index + 1}", side=up.other, height=0.0, zone=zone)
            for index, zone in enumerate(zones)
        )
        assumed = tuple(each for each in out.assumed if each != "/casing_ledge")
        return replace(out, kind="sub-assembly", rests=rests, assumed=assumed)

    def _round_rests(self) -> Iterator[Zone]:
        """Three sectors, turned so that no notch lies in one."""
        assert self.diameter is not None
        assert self.edge is not None
        radius = self.diameter / 2
        for half in PAD_HALVES:
            free = [
                step / 4
                for step in range(48)
                if all(_apart(radius, step / 4, half, each) for each in self.notch)
            ]
            spread = min(combinations(free, PADS), key=_widest_gap, default=None)
            if spread is not None and _widest_gap(spread) <= WIDEST_GAP:
                break
        else:
            return
        for middle in spread:
            yield Sector(
                from_hour=(middle - half) % 12.0,
                to_hour=(middle + half) % 12.0,
                outer=radius,
                inner=radius - self.edge,
            )

    def _straight_rests(self) -> Iterator[Zone]:
        """Two lengths of each of the two longer sides, less what notches take."""
        assert self.length is not None
        assert self.width is not None
        assert self.edge is not None
        lies = self.length >= self.width
        long, wide = (self.length, self.width) if lies else (self.width, self.length)
        taken = [_on_side(self.length, self.width, each) for each in self.notch]
        for sign in (1.0, -1.0):
            side = ("y" if lies else "x", sign)
            cuts = sorted((at - w / 2 - BESIDE, at + w / 2 + BESIDE) for s, at, w in taken
                          if s == side)  # fmt: skip
            for low, high in ((-long / 2 + BESIDE, -long / 8), (long / 8, long / 2 - BESIDE)):
                for first, last in _less(low, high, cuts):
                    near, far = sign * (wide / 2 - self.edge), sign * wide / 2
                    ring = [(first, near), (last, near), (last, far), (first, far)]
                    yield Polygon(
                        corners=tuple(Place(x, y) if lies else Place(y, x) for x, y in ring)
                    )


def _less(
    low: Length, high: Length, cuts: list[tuple[Length, Length]]
) -> Iterator[tuple[Length, Length]]:
    """What is left of a length, in pieces long enough."""
    ends = [low]
    for first, last in cuts:
        ends += [min(max(first, low), high), min(max(last, low), high)]
    ends.append(high)
    for first, last in list(pairwise(ends))[::2]:
        if last - first >= SHORTEST:
            yield first, last


def _half_hours(radius: Length, width: Length) -> float:
    """Hours that a chord of a width takes of a circle to either side of its middle."""
    return math.degrees(math.asin(min(1.0, width / 2 / radius))) / 30.0


def _widest_gap(middles: tuple[Hour, ...]) -> float:
    """Hours between those neighbours that lie farthest apart; `middles` in order."""
    return max(
        (b - a) % 12.0 or 12.0 for a, b in zip(middles, middles[1:] + middles[:1], strict=True)
    )


def _apart(radius: Length, middle: Hour, half: float, notch: Notch) -> bool:
    """Whether a rest of a round edge lies beside a notch."""
    gap = abs(middle - notch.hour) % 12.0
    wide = _half_hours(radius, notch.width + 2 * BESIDE)
    return min(gap, 12.0 - gap) >= half + wide


def _circle(radius: Length, notches: tuple[Notch, ...]) -> Path:
    """A circle with notches, clockwise on the dial."""
    around = sorted(notches, key=lambda each: each.hour % 12.0)
    corners: list[Corner] = []
    for index, each in enumerate(around):
        following = around[(index + 1) % len(around)]
        half, next_half = (_half_hours(radius, n.width) for n in (each, following))
        free = (following.hour - each.hour) % 12.0 or 12.0
        free -= half + next_half
        if free * math.pi / 6 * radius < 2 * BESIDE:
            raise BadInput(
                f"notch at {dial_hour(each.hour)} h and {dial_hour(following.hour)} h leave less "
                f"than {2 * BESIDE:g} mm of edge between them; take them as one, or set them apart."
            )
        inner = math.hypot(radius - each.depth, each.width / 2)
        aside = math.degrees(math.atan2(each.width / 2, radius - each.depth)) / 30.0
        at = each.hour
        corners += [
            Corner(at=at_hour(at - half, radius)),
            Corner(at=at_hour(at - aside, inner)),
            Corner(at=at_hour(at + aside, inner)),
        ]
        arcs = math.ceil(free / LONGEST_ARC)
        corners += [
            Corner(at=at_hour(at + half + free * k / arcs, radius), radius=radius)
            for k in range(arcs)
        ]
    return Path(corners=tuple(corners))


def _on_side(
    length: Length, width: Length, notch: Notch
) -> tuple[tuple[str, float], Length, Length]:
    """Which side an hour looks to, as axis and sign, and where along it, with the width there."""
    ray = at_hour(notch.hour, 1.0)
    if abs(ray.x) * width > abs(ray.y) * length:
        sign = math.copysign(1.0, ray.x)
        return ("x", sign), ray.y / abs(ray.x) * length / 2, notch.width
    sign = math.copysign(1.0, ray.y)
    return ("y", sign), ray.x / abs(ray.y) * width / 2, notch.width


def _oblong(length: Length, width: Length, notches: tuple[Notch, ...]) -> Path:
    """Four sides with notches, clockwise on the dial from the left end of the side at 12 h."""
    on: dict[tuple[str, float], list[tuple[Length, Length, Notch]]] = {}
    for each in notches:
        side, at, wide = _on_side(length, width, each)
        on.setdefault(side, []).append((at, wide, each))
    # each side with the direction it is walked in, its end that comes first, and half its length
    walk = (
        ("y", 1.0, 1.0, length / 2, width / 2),
        ("x", 1.0, -1.0, width / 2, length / 2),
        ("y", -1.0, -1.0, length / 2, width / 2),
        ("x", -1.0, 1.0, width / 2, length / 2),
    )
    corners = []
    for axis, sign, way, half, out in walk:
        last = -half
        line = [(-half, 0.0)]
        for at, wide, each in sorted(
            ((way * at, wide, each) for at, wide, each in on.get((axis, sign), [])),
            key=lambda item: item[0],
        ):
            if at - wide / 2 < last + BESIDE or at + wide / 2 > half - BESIDE:
                raise BadInput(
                    f"notch at {dial_hour(each.hour)} h is {wide:g} mm wide and ends less than "
                    f"{BESIDE:g} "
                    "mm from a corner or from another notch; a notch lies within one side."
                )
            first, last = at - wide / 2, at + wide / 2
            line += [(first, 0.0), (first, each.depth), (last, each.depth), (last, 0.0)]
        for along, deep in line:
            here = (way * along, sign * (out - deep))
            corners.append(Corner(at=Place(*(here if axis == "y" else here[::-1]))))
    return Path(corners=tuple(corners))
