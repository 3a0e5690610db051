"""Invented but ordinary movements, one for each seed, that nobody tuned to the program.

The distributions are those of a drawer of movements on a repairer's bench, from memory and common
practice; each is stated with its reason beside it. Heights follow from each other as they do in a
movement: bridges stand on the plate, jewels sit in bridges, the balance lies between them. What is
placed is placed where nothing else stands, so a sheet is true by construction. No such calibre
exists.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from random import Random

from nests.given.dial import Dial
from nests.given.sheet import (
    Arbor,
    CasingLedge,
    DialFoot,
    Jewel,
    KeepClear,
    PlateStock,
    Pusher,
    Rest,
    Sheet,
    Stem,
)
from nests.given.zones import Corner, Disc, Outline, Path, Polygon, Ring, Round, Sector
from nests.places import Place, Side, at_hour


@dataclass(frozen=True)
class Make:
    """A kind of movement: its share among all, ⌀ and total height in mm, and what it has."""

    name: str
    share: float
    across: tuple[float, float]
    height: tuple[float, float]
    round_share: float
    """Share that is round; small movements for ladies' watches were made in every shape."""


MAKES = (
    Make("ladies'", 0.16, (12.0, 18.0), (2.5, 4.2), 0.60),
    Make("usual", 0.40, (19.0, 28.0), (3.0, 5.2), 0.82),
    Make("thin", 0.08, (18.0, 28.0), (1.9, 2.8), 0.90),
    Make("automatic", 0.12, (24.0, 31.0), (4.2, 6.0), 1.00),
    Make("chronograph", 0.16, (25.0, 33.0), (5.0, 7.8), 1.00),
    Make("pocket", 0.08, (36.0, 45.0), (4.5, 8.0), 1.00),
)

RIM = 1.6
"""mm along the edge that are rim and bear no bridge, at the most; common practice, no source."""
METAL = 0.35
"""mm of bridge or plate round a jewel, at the least; common practice, no source."""


@dataclass
class Taken:
    """Discs (place, radius) in plan that are taken on one side."""

    discs: list[tuple[Place, float]] = field(default_factory=list)

    def free(self, at: Place, radius: float, apart: float) -> bool:
        """Whether a disc has room, `apart` mm from all others."""
        return all(at.distance(p) >= radius + r + apart for p, r in self.discs)

    def take(self, at: Place, radius: float) -> None:
        """Take a disc."""
        self.discs.append((at, radius))


DIALLED = 0.4
"""Share of movements of which the dial was measured; it comes with some of them, no source."""
WIDER = (-0.2, 5.5)
"""mm that a dial is wider than its movement: from flush with it to a movement in a larger case;
from memory."""


def movement(seed: int) -> Sheet:
    """The movement of a seed, some with their dial."""
    sheet = _Draft(Random(seed), seed).sheet()
    dice = Random(f"dial of {seed}")  # its own, so that nothing else of a seed depends on it
    return replace(sheet, dial=_dial(dice, sheet)) if dice.random() < DIALLED else sheet


def without_dial(seed: int) -> Sheet:
    """The movement of a seed whose dial and hands are off."""
    return replace(movement(seed), dial=None)


def _dial(dice: Random, sheet: Sheet) -> Dial:
    """A dial over all of the dial side but what carries the hands, on feet that lie under it."""
    wider = dice.uniform(*WIDER)
    if isinstance(sheet.outline, Round):
        edge = sheet.outline.diameter
        outline: Outline = Round(diameter=round(edge + max(wider, 0.0 if sheet.stem else wider), 2))
    else:
        assert isinstance(sheet.outline, Path)
        times = 1.0 + 0.02 * max(wider, 0.0)
        outline = Path(
            corners=tuple(
                Corner(
                    at=Place(round(c.at.x * times, 3), round(c.at.y * times, 3)),
                    radius=None if c.radius is None else round(c.radius * times * (1 - 1e-9), 3),
                )
                for c in sheet.outline.corners
            )
        )
    works = [k for k in sheet.keep_clear if k.name == "motion works"]
    under = [0.0]
    under += [k.to_height for k in sheet.keep_clear if k.side is Side.DIAL and k not in works]
    under += [r.height for r in sheet.rests if r.side is Side.DIAL]
    under += [
        j.height + j.pivot_protrusion
        for a in sheet.arbors
        for j in a.jewels
        if j.side is Side.DIAL and not a.carries
    ]
    if sheet.stem is not None:  # it never touches the dial
        under.append(sheet.stem.diameter / 2 - sheet.stem.depth)
    return Dial(
        outline=outline,
        thickness=round(dice.uniform(0.3, 0.6), 2),
        underside=round(max(under) + dice.choice((0.0, 0.0, dice.uniform(0.05, 0.25))), 2),
        hands_height=round(dice.uniform(1.2, 2.4), 2),
        through=tuple(k.name for k in works),
    )


class _Draft:
    """One movement while it is being drawn."""

    def __init__(self, dice: Random, seed: int) -> None:
        self.dice, self.seed = dice, seed
        self.make = dice.choices(MAKES, [each.share for each in MAKES])[0]
        self.across = self.between(*self.make.across)
        self.round = dice.random() < self.make.round_share
        self.outline, self.inside = self._outline()
        self.total = self.between(*self.make.height)
        # the seating rim is the plate's edge: less than half of the whole (common practice)
        self.rim = round(max(0.6, min(self.total * self.between(0.26, 0.42), 2.4)), 2)
        # motion works and cannon pinion stand out on the dial side, the train on the other
        above = self.total - self.rim
        self.dial = round(above * self.between(0.20, 0.45), 2)
        self.bridge = round(above - self.dial, 2)
        self.taken = {side: Taken() for side in Side}
        self.arbors: list[Arbor] = []
        self.rests: list[Rest] = []
        self.keep: list[KeepClear] = []
        self.pushers: list[Pusher] = []
        self.feet: list[DialFoot] = []

    def between(self, low: float, high: float) -> float:
        """A reading in hundredths of a mm."""
        return round(self.dice.uniform(low, high), 2)

    def some(self, share: float) -> bool:
        """True in a share of all cases."""
        return self.dice.random() < share

    # what stands where

    def _outline(self) -> tuple[Outline, Callable[[Place, float], bool]]:
        """The edge, and whether a disc lies wholly inside it."""
        if self.round:
            radius = self.across / 2
            return Round(diameter=self.across), lambda at, r: at.radius + r <= radius
        shape = self.dice.choice(("rectangle", "rectangle", "tonneau", "oval", "cushion"))
        wide, high = self.across, self.across
        if shape != "cushion":  # longer than wide by a fifth to four fifths
            wide = round(self.across / self.between(1.1, 1.35), 2)
            high = round(wide * self.between(1.2, 1.75), 2)
        return shaped(shape, wide, high, self.between(0.0, 1.2) if self.some(0.6) else 0.0)

    def place(
        self,
        radius: float,
        near: tuple[float, float],
        sides: tuple[Side, ...],
        *,
        hours: tuple[float, float] = (0.0, 12.0),
        apart: float = 0.25,
        edge: float = 0.15,
    ) -> Place | None:
        """A free place of a disc of `radius` mm at a share `near` of the half width, or none."""
        half = self.across / 2 if self.round else self.across / 2.4
        for _ in range(200):
            at = at_hour(self.dice.uniform(*hours) % 12.0, self.dice.uniform(*near) * half)
            at = Place(round(at.x, 2), round(at.y, 2))
            if self.inside(at, radius + edge) and all(
                self.taken[side].free(at, radius, apart) for side in sides
            ):
                for side in sides:
                    self.taken[side].take(at, radius)
                return at
        return None

    # what a movement has

    def _jewel(self, side: Side, height: float, size: tuple[float, float], pivot: float) -> Jewel:
        known = self.dice.choice(("interference", "push out", "neither"))
        across = self.between(*size)
        stands_out = self.some(0.5)
        return Jewel(
            side=side,
            diameter=across,
            height=round(height, 2),
            thickness=self.between(0.18, 0.35),
            # a hole is at most a quarter of its jewel, or too little is left round it
            pivot_diameter=round(min(pivot, 0.25 * across), 2) if stands_out else 0.0,
            pivot_protrusion=self.between(0.03, 0.2) if stands_out else 0.0,
            interference=self.between(4, 8) / 1000 if known == "interference" else None,
            push_out_force=self.between(8, 30) if known == "push out" else None,
        )

    def _train(self, top: float) -> None:
        """Centre, third wheel, fourth wheel; `top` is the height of the train bridge."""
        small = self.across < 18.0
        chronograph = self.make.name == "chronograph"
        sweep = not chronograph and self.some(0.55)
        sizes = (0.9, 1.4) if small else (1.3, 2.2)
        hands = ("hour hand", "minute hand")
        if chronograph:
            hands += ("chronograph seconds hand",)
        elif sweep:
            hands += ("seconds hand",)
        centre = Place(0.0, 0.0)
        for side in Side:
            self.taken[side].take(centre, sizes[1] / 2 + METAL)
        low = -self.between(0.0, 0.15)  # jewels of the plate lie flush or a little sunk
        pivot = self.between(0.2, 0.35)
        self.arbors.append(
            Arbor(
                name="centre",
                at=centre,
                carries=hands,
                endshake=self.between(0.02, 0.05),
                jewels=(self._jewel(Side.BRIDGE, top, sizes, pivot),),
            )
        )
        sizes = (0.8, 1.1) if small else (0.9, 1.5)
        wheels: list[tuple[str, tuple[str, ...], tuple[float, float], tuple[float, float]]] = [
            ("third wheel", (), (0.30, 0.65), (0.0, 12.0))
        ]
        if chronograph:
            wheels += [
                ("small seconds", ("seconds hand",), (0.40, 0.50), (8.9, 9.1)),
                ("minute recorder", ("recorder hand",), (0.40, 0.50), (2.9, 3.1)),
            ]
        elif not sweep:
            at = self.dice.choice((6.0, 6.0, 9.0))
            wheels.append(("fourth wheel", ("seconds hand",), (0.38, 0.55), (at - 0.05, at + 0.05)))
        for name, carries, near, hours in wheels:
            at_place = self.place(sizes[1] / 2 + METAL, near, tuple(Side), hours=hours)
            if at_place is None:
                continue
            step = self.between(-0.15, 0.0)  # a cock of its own lies lower, never higher here
            pivot = self.between(0.12, 0.22)
            jewels = [self._jewel(Side.BRIDGE, top + step, sizes, pivot)]
            if not carries:
                jewels.append(self._jewel(Side.DIAL, low, sizes, pivot))
            self.arbors.append(
                Arbor(
                    name=name,
                    at=at_place,
                    carries=carries,
                    endshake=self.between(0.02, 0.04),
                    jewels=tuple(jewels),
                )
            )

    def _balance(self) -> None:
        """The balance under the movement, in the corner the train leaves; the larger the better."""
        # in three of ten it comes near the edge, and the rim is not to be touched there
        edge = 0.3 if self.some(0.3) else RIM
        for share in (0.40, 0.36, 0.32, 0.28, 0.24):
            size = round(share * self.across * (1.0 if self.round else 0.8), 2)
            at = self.place(
                size / 2, (0.3, 0.75), (Side.BRIDGE,), hours=(4.0, 10.0), apart=0.1, edge=edge
            )
            if at is not None:
                self.keep.append(
                    KeepClear(
                        name="balance and hairspring",
                        side=Side.BRIDGE,
                        zone=Disc(centre=at, diameter=size),
                        from_height=-round(min(0.6 * self.rim, 1.2), 2),
                        to_height=round(self.bridge * self.between(0.85, 1.0), 2),
                    )
                )
                return

    def _bridges(self, top: float) -> None:
        """Places on bridges that bear a touch."""
        names = ("barrel bridge", "train bridge", "balance cock", "wheel cock")
        for name in names[: self.dice.choice((2, 3, 3, 4))]:
            for size in (3.4, 2.8, 2.2, 1.8, 1.5, 1.2):
                if size > self.across / 7:
                    continue
                at = self.place(size / 2, (0.3, 0.85), (Side.BRIDGE,), apart=0.2, edge=RIM)
                if at is not None:
                    height = round(top - self.between(0.0, 0.2), 2)
                    zone = Disc(centre=at, diameter=size)
                    self.rests.append(Rest(name=name, side=Side.BRIDGE, height=height, zone=zone))
                    break

    def _dial_side(self) -> None:
        """Motion works, keyless works, calendar ring and feet, and places on the plate."""
        half = self.across / 2
        if self.some(0.5):
            wide = round(min(0.28 * self.across, 6.0), 2)
            zone = Disc(centre=Place(0.0, 0.0), diameter=wide)
            self.keep.append(
                KeepClear(
                    name="motion works",
                    side=Side.DIAL,
                    zone=zone,
                    from_height=0.0,
                    to_height=self.dial,
                )
            )
            self.taken[Side.DIAL].take(Place(0.0, 0.0), wide / 2)
        if self.round and self.across >= 19.0 and self.some(0.25):
            outer, inner = round(1.62 * half, 2), round(1.35 * half, 2)
            self.keep.append(
                KeepClear(
                    name="calendar ring",
                    side=Side.DIAL,
                    zone=Ring(outer=outer, inner=inner),
                    from_height=0.0,
                    to_height=round(min(0.5, self.dial), 2),
                )
            )
        elif self.some(0.7):
            for name in ("plate at the barrel", "plate at the train", "plate at the balance"):
                size = round(min(3.0, self.across / 8), 2)
                at = self.place(size / 2, (0.35, 0.8), (Side.DIAL,), apart=0.2, edge=RIM)
                if at is not None:
                    self.rests.append(
                        Rest(
                            name=name,
                            side=Side.DIAL,
                            height=-self.between(0.0, 0.1),
                            zone=Disc(centre=at, diameter=size),
                        )
                    )
        if self.round and self.some(0.5):
            first = self.between(0.6, 2.2)
            for hour in (first, first + self.between(5.2, 6.4)):
                at = at_hour(hour % 12.0, half - self.between(0.8, 1.4))
                self.feet.append(DialFoot(at=Place(round(at.x, 2), round(at.y, 2)), diameter=0.7,
                                          length=round(min(2.2, self.rim + 0.3), 2)))  # fmt: skip

    def _rim(self, flange: float) -> None:
        """The rim faces, which are there to be held."""
        for side in Side:
            words = "rim below" if side is Side.BRIDGE else "rim"
            if isinstance(self.outline, Round):
                wide = self.across + (flange if side is Side.DIAL else 0.0)
                inner = round(self.across - 2 * self.between(0.9, 1.5), 2)
                zone = Ring(outer=round(wide, 2), inner=inner)
                self.rests.append(Rest(name=words, side=side, height=0.0, zone=zone))
                continue
            for number, strip in enumerate(strips(self.outline, self.between(0.9, 1.3))):
                self.rests.append(
                    Rest(name=f"{words} {number + 1}", side=side, height=0.0, zone=strip)
                )

    def _stem(self) -> Stem:
        # at 3 h; at 12 h in open-faced pocket watches; now and then at 4 h or 9 h
        hour = 3.0
        if self.make.name == "pocket":
            hour = self.dice.choice((12.0, 12.0, 3.0))
        elif self.some(0.12):
            hour = self.dice.choice((12.0, 4.0, 9.0, 3.8))
        if not self.round:
            hour = 3.0
        return Stem(
            hour=hour,
            depth=round(self.rim * self.between(0.4, 0.65), 2),
            diameter=self.between(1.2, 1.8)
            if self.make.name == "pocket"
            else self.between(0.8, 1.2),
            draw=self.between(0.6, 1.2),
        )

    def _levers(self, stem: Stem) -> None:
        """Pushers at 2 h and 4 h, with a third at 8 to 10 h, or one alone."""
        count = self.dice.choice((2, 2, 2, 3, 1))
        hours = {1: (2.0,), 2: (2.0, 4.0), 3: (2.0, 4.0, self.between(8.0, 10.0))}[count]
        if count == 3 and self.some(0.3):
            hours = (2.0, 4.0, 10.0)
        radius, high = self.across / 2, min(self.rim, self.rim * self.between(0.45, 0.9))
        # in an integrated chronograph the levers lie beside the works, beyond the rim
        if self.some(0.2):
            high = self.rim + self.between(0.1, 0.8)
        for number, hour in enumerate(hours):
            travel = self.between(0.4, 1.1)
            self.pushers.append(
                Pusher(
                    name=("start and stop", "return to zero", "fly back")[number],
                    hour=hour,
                    depth=round(min(high, self.rim + self.bridge - 0.4), 2),
                    lever_radius=round(radius - self.between(0.1, 0.9), 2),
                    travel=travel,
                    stop=round(travel + self.between(0.25, 0.6), 2) if self.some(0.4) else None,
                    force=self.between(4.0, 10.0),
                )
            )

    def sheet(self) -> Sheet:
        """The whole sheet."""
        top = round(self.bridge * self.between(0.62, 0.85), 2)
        flange = 0.0
        ledge = None
        if self.round and self.rim > 1.0 and self.some(0.35):
            flange = self.between(0.3, 0.9)
            ledge = CasingLedge(
                diameter=round(self.across + flange, 2),
                height=self.between(0.25, 0.45),
                side=Side.DIAL,
            )
        self._train(top)
        self._balance()
        self._bridges(top)
        self._dial_side()
        self._rim(flange)
        stem = self._stem()
        if self.make.name == "chronograph":
            self._levers(stem)
            hours = self.between(0.3, 1.2)
            half = self.across / 2
            zone = Sector(from_hour=hours, to_hour=hours + 0.9, outer=round(0.86 * half, 2),
                          inner=round(0.55 * half, 2))  # fmt: skip
            if self._sector_is_free(zone):
                self.keep.append(
                    KeepClear(
                        name="column wheel and hammers",
                        side=Side.BRIDGE,
                        zone=zone,
                        from_height=round(top - 0.6, 2),
                        to_height=self.bridge,
                    )
                )
        return Sheet(
            name=f"INV {self.seed:04d}",
            outline=self.outline,
            rim=self.rim,
            dial_height=self.dial,
            bridge_height=self.bridge,
            casing_ledge=ledge,
            # the plate is as thick as the rim or a little less, bridges take the rest
            plate=PlateStock(thickness=round(self.rim * self.between(0.8, 1.0), 2)),
            bridges=PlateStock(thickness=round(max(0.3, min(1.4, 0.55 * top)), 2)),
            arbors=tuple(self.arbors),
            rests=tuple(self.rests),
            keep_clear=tuple(self.keep),
            nothing_fragile=not self.keep,
            dial_feet=tuple(self.feet),
            stem=stem,
            pushers=tuple(self.pushers),
            sub_assemblies=(self._works(),) if self.make.name == "automatic" else (),
            # a fifth to a third of the envelope is metal of 8.4 g/cm³ (common practice, no source)
            mass=round(0.0084 * self.between(0.5, 0.7) * self.across**2 * 0.785 * self.total, 2),
            uncertainty=0.02,
            remarks="Invented, by a seed; no such calibre exists.",
        )

    def _sector_is_free(self, zone: Sector) -> bool:
        for place, radius in self.taken[Side.BRIDGE].discs:
            away = min(
                place.distance(at_hour(zone.from_hour + 0.1 * k, zone.inner + share))
                for k in range(10)
                for share in (0.0, (zone.outer - zone.inner) / 2, zone.outer - zone.inner)
            )
            if away < radius + 1.2:
                return False
        return True

    def _works(self) -> Sheet:
        """The automatic works of a movement, a bridge with wheels and three feet."""
        across = round(self.across * self.between(0.55, 0.72), 2)
        half, foot = across / 2, self.between(1.6, 2.4)
        start = self.between(0.0, 3.9)
        rests = []
        for number in range(3):
            hour = (start + 4.0 * number) % 12.0
            at = at_hour(hour, half - foot / 2 - 0.3)
            zone = Disc(centre=Place(round(at.x, 2), round(at.y, 2)), diameter=foot)
            rests.append(Rest(name=f"foot {number + 1}", side=Side.DIAL, height=0.3, zone=zone))
            edge = Sector(
                from_hour=(hour + 1.5) % 12.0,
                to_hour=(hour + 2.5) % 12.0,
                outer=half,
                inner=round(half - 1.5, 2),
            )
            rests.append(Rest(name=f"top {number + 1}", side=Side.BRIDGE, height=0.0, zone=edge))
        return Sheet(
            name=f"INV {self.seed:04d} AUTO",
            kind="sub-assembly",
            outline=Round(diameter=across),
            rim=self.between(0.5, 0.9),
            dial_height=self.between(0.5, 1.0),
            bridge_height=self.between(0.3, 0.7),
            rests=tuple(rests),
            keep_clear=(
                KeepClear(
                    name="reversing wheels",
                    side=Side.DIAL,
                    zone=Disc(centre=Place(0.0, 0.0), diameter=round(0.3 * across, 2)),
                    from_height=0.0,
                    to_height=0.45,
                ),
            ),
            mass=round(0.004 * across**2, 2),
            remarks="Invented, by a seed; no such works exist.",
        )


def shaped(
    shape: str, wide: float, high: float, corner: float
) -> tuple[Path, Callable[[Place, float], bool]]:
    """An outline that is not round, and whether a disc lies wholly inside it.

    `corner` is the radius of a rectangle's corners, 0 for sharp ones; a tonneau's flanks bulge, a
    cushion's four sides do, and an oval is drawn of four arcs.
    """
    import shapely

    a, b = round(wide / 2, 3), round(high / 2, 3)
    if shape == "rectangle" and corner > 0.1:
        c = corner
        turn = round(c * (1 - 1e-9), 3)
        corners = [
            Corner(at=Place(a, -b + c)), Corner(at=Place(a, b - c), radius=turn),
            Corner(at=Place(a - c, b)), Corner(at=Place(-a + c, b), radius=turn),
            Corner(at=Place(-a, b - c)), Corner(at=Place(-a, -b + c), radius=turn),
            Corner(at=Place(-a + c, -b)), Corner(at=Place(a - c, -b), radius=turn),
        ]  # fmt: skip
    else:
        flank, end = {
            "rectangle": (None, None),
            "tonneau": (round(1.6 * high, 2), None),
            "oval": (round(0.75 * high, 2), round(0.62 * wide, 2)),
            "cushion": (round(1.1 * high, 2), round(1.1 * wide, 2)),
        }[shape]
        if shape == "oval":
            a, b = round(0.75 * a, 3), round(0.75 * b, 3)
        corners = [
            Corner(at=Place(a, -b), radius=flank), Corner(at=Place(a, b), radius=end),
            Corner(at=Place(-a, b), radius=flank), Corner(at=Place(-a, -b), radius=end),
        ]  # fmt: skip
    path = Path(corners=tuple(corners))
    from nests.places import Frame
    from nests.solids.loops import loop

    edge = shapely.Polygon(loop(path, Frame(Side.DIAL, 0.0, 1.0), 0.005, 0.0).shaft(0.0))
    shapely.prepare(edge)

    def inside(at: Place, radius: float) -> bool:
        return bool(edge.contains(shapely.Point(at.x, at.y).buffer(radius)))

    return path, inside


def strips(outline: Outline, width: float) -> list[Polygon]:
    """Strips along the edges of a path, `width` mm wide, that together go all round it."""
    from nests.places import Frame
    from nests.solids.loops import loop

    assert isinstance(outline, Path)
    ring = loop(outline, Frame(Side.DIAL, 0.0, 1.0), 0.02, 0.0)
    outer, inner = ring.shaft(-0.003), ring.shaft(-width)
    count = len(outer)
    # cut at the points nearest to the diagonals, so that every strip follows one side
    angle = [math.atan2(y, x) for x, y in outer]
    cuts = sorted(
        {
            min(range(count), key=lambda i: abs(math.remainder(angle[i] - turn, math.tau)))
            for turn in _diagonals(outer)
        }
    )
    out = []
    for first, last in zip(cuts, [*cuts[1:], cuts[0] + count], strict=True):
        run = [i % count for i in range(first, last + 1)]
        points = [outer[i] for i in run] + [inner[i] for i in reversed(run)]
        out.append(Polygon(corners=tuple(Place(round(x, 3), round(y, 3)) for x, y in points)))
    return out


def _diagonals(points: object) -> list[float]:
    """Angles (rad) towards the four corners of the box about some points."""
    xs, ys = zip(*points, strict=True)  # type: ignore[call-overload]
    turn = math.atan2(max(ys), max(xs))
    return [turn, math.pi - turn, math.pi + turn, -turn]
