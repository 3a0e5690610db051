"""Sheets as a workshop would write them, true by construction: nothing on them may be called false.

`true_sheet(seed)` gives one, the same every time. They reach from 12 to 45 mm, round and not,
either side, with and without small seconds, pushers and sub-assemblies, and lie near the limits on
purpose: a rest at the very highest point, a stem that fills its rim, a lever beyond the rim.
"""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random
from typing import Any

from nests.given.sheet import (
    Arbor,
    CasingLedge,
    Crown,
    DialFoot,
    Flank,
    Jewel,
    KeepClear,
    Lug,
    PlateStock,
    Pusher,
    Recess,
    Rest,
    Sheet,
    Stem,
)
from nests.given.zones import Corner, Disc, Outline, Path, Polygon, Ring, Round, Sector
from nests.places import Place, Side, at_hour

WORDS = (
    ("barrel bridge", "train bridge", "foot A", "foot B", "plate island", "cock foot"),
    ("Federhausbrücke", "Räderwerkbrücke", "Fuß 2", "Fuß 3", "Insel", "Kloben"),
    ("pont de barillet", "pont de rouage", "pied un", "pied deux", "îlot", "coq"),
    ("мост барабана", "мост колёс", "опора А", "опора Б", "площадка", "мост баланса"),
    ("香箱受", "輪列受", "脚 2", "脚 3", "地板", "天真受"),
)
"""Rests, as five workshops call them."""


def true_sheet(seed: int) -> Sheet:
    """The sheet of a seed: mostly movements, some cases and sub-assemblies."""
    rng = Random(seed)
    kind = rng.choice(["movement"] * 7 + ["sub-assembly"] * 2 + ["case"])
    if kind == "case":
        return _case(rng, seed)
    if kind == "sub-assembly":
        return _works(rng, f"TRUE {seed} works", _size(rng.uniform(12.0, 24.0)))
    return _Movement(rng, seed).sheet()


def _size(value: float) -> float:
    """As calipers show it."""
    return round(value * 20) / 20


def _case(rng: Random, seed: int) -> Sheet:
    across = _size(rng.uniform(30.0, 45.0))
    rim, height = _size(rng.uniform(2.5, 5.0)), _size(rng.uniform(1.5, 3.5))
    tilt = rng.uniform(1.0, 1.3)
    wide = _size(rng.uniform(4.0, 8.0))
    total = rim + 2 * height
    low = _size(rng.uniform(0.0, 4.0))
    droop: dict[str, Any] = rng.choice([{}, {"droop": low, "thickness": rim + low}])
    return Sheet(
        name=f"TRUE {seed} case",
        kind="case",
        outline=Round(diameter=across),
        rim=rim,
        dial_height=height,
        bridge_height=height,
        stem=rng.choice(
            [
                None,
                Stem(hour=3.0, depth=rim / 2, diameter=min(2.5, rim), draw=1.0),
                Stem(
                    hour=3.0,
                    depth=rim / 2,
                    diameter=min(2.5, rim),
                    crown=Crown(diameter=_size(rng.uniform(3.0, 6.0)), home=3.0),
                ),
            ]
        ),
        lugs=tuple(
            Lug(hour=hour, width=wide, reach=_size(rng.uniform(3.0, 7.0)), **droop)
            for hour in (tilt, 6 - tilt, 6 + tilt, 12 - tilt)
        ),
        flank=rng.choice([None, Flank(from_depth=0.5, to_depth=rim - 0.5)]),
        mass=round(rng.uniform(2.0, 9.0) * math.pi * across**2 / 4 * total / 1000.0, 1),
    )


def _works(rng: Random, name: str, across: float) -> Sheet:
    """A sub-assembly: feet below, arms above, something in the middle to be kept clear."""
    rim, low, high = (_size(rng.uniform(*ends)) for ends in ((0.5, 1.2), (0.4, 1.2), (0.3, 1.6)))
    ring = 0.38 * across
    wide = _size(min(2.4, 0.2 * across))
    rests = [
        Rest(
            name=f"{word} {letter}",
            side=side,
            height=rng.choice([height, _size(height * 0.5)]),
            zone=Disc(centre=at_hour((first + 4 * k) % 12.0, ring), diameter=wide),
        )
        for word, side, height, first in (
            ("foot", Side.DIAL, low, 0.0), ("arm", Side.BRIDGE, high, 2.0),
        )
        for k, letter in enumerate("ABC")
    ]  # fmt: skip
    middle = Disc(centre=Place(0.0, 0.0), diameter=_size(0.4 * across))
    keep = KeepClear(
        name="wheels", side=Side.BRIDGE, zone=middle, from_height=-(rim + low), to_height=high
    )
    return Sheet(
        name=name,
        kind="sub-assembly",
        outline=Round(diameter=across),
        rim=rim,
        dial_height=low,
        bridge_height=high,
        rests=tuple(rests),
        keep_clear=(keep,),
        mass=round(rng.uniform(1.0, 8.0) * math.pi * across**2 / 4 * (rim + low + high) / 1000, 3),
    )


class _Movement:
    """One movement while it is put together; `taken` are discs in plan that are used up."""

    def __init__(self, rng: Random, seed: int) -> None:
        self.rng, self.seed = rng, seed
        self.outline, self.half = self._outline()
        total = max(1.6, min(9.0, 2 * self.half * rng.uniform(0.1, 0.24)))
        self.rim = max(0.6, _size(total * rng.uniform(0.35, 0.6)))
        self.dial = _size(total * rng.uniform(0.12, 0.25))
        self.bridge = _size(max(0.3, total - self.rim - self.dial))
        self.taken: list[tuple[Place, float]] = []
        self.words = list(rng.choice(WORDS))

    def _outline(self) -> tuple[Outline, float]:
        """The edge, and the radius of a circle about the axis inside it."""
        rng, across = self.rng, _size(self.rng.uniform(12.0, 45.0))
        shape = rng.choice(["round"] * 6 + ["oblong", "tonneau", "oval"])
        if shape == "round":
            return Round(diameter=across), across / 2
        x, y = across / 2, across / 2 * rng.uniform(0.7, 0.95)
        if shape == "oval":
            radius = (x * x + y * y) / (2 * y)
            ends = (Place(-x, 0.0), Place(x, 0.0))
            return Path(corners=tuple(Corner(at=p, radius=radius) for p in ends)), y * 0.75
        bulge = 3.0 * across if shape == "tonneau" else None
        places = (Place(x, -y), Place(x, y), Place(-x, y), Place(-x, -y))
        if rng.random() < 0.5:
            places = places[::-1]
        return Path(corners=tuple(Corner(at=p, radius=bulge) for p in places)), y

    def spot(self, room: float, low: float = 0.25, high: float = 0.8) -> Place | None:
        """A free place for a disc of that radius, inside the edge."""
        for _ in range(60):
            radius = self.rng.uniform(low, high) * self.half
            at = at_hour(round(self.rng.uniform(0.0, 12.0), 1) % 12.0, round(radius, 1))
            if at.radius + room > 0.97 * self.half:
                continue
            if all(at.distance(p) > room + r + 0.15 for p, r in self.taken):
                self.taken.append((at, room))
                return at
        return None

    def jewel(self, side: Side, height: float, highest: float) -> Jewel:
        """A jewel of usual size; now and then its pivot reaches to the highest point."""
        rng = self.rng
        diameter = round(min(2.0, max(0.7, 0.06 * self.half + rng.uniform(0.5, 0.9))), 2)
        pivot = rng.random() < 0.4
        out = max(0.0, round(min(highest - height, rng.uniform(0.05, 0.25)), 2))
        return Jewel(
            side=side,
            diameter=diameter,
            height=height,
            thickness=rng.choice([None, 0.15, 0.2]),
            pivot_diameter=rng.choice([0.12, 0.2, 0.3]) if pivot else 0.0,
            pivot_protrusion=out if pivot else 0.0,
            interference=rng.choice([None, 0.005, 0.01]),
            push_out_force=rng.choice([None, 12.0, 25.0]),
        )

    def arbors(self) -> list[Arbor]:
        rng, bridge = self.rng, self.bridge
        face = round(rng.uniform(0.3, 1.0) * bridge, 2)
        hands = ["hour hand", "minute hand"]
        sweep = rng.random() < 0.3
        own_axis = sweep and face > 0.5 and rng.random() < 0.5
        seconds = [] if own_axis or not sweep else ["seconds hand"]
        centre = self.jewel(Side.BRIDGE, face, bridge)
        made = [
            Arbor(name="centre", at=Place(0.0, 0.0), carries=(*hands, *seconds),
                  jewels=(centre,), endshake=rng.choice([None, 0.02, 0.03]))
        ]  # fmt: skip
        self.taken.append((Place(0.0, 0.0), 1.2))
        if own_axis:  # the seconds arbor runs through the centre wheel; its jewel lies below
            lower = replace(centre, height=round(face - 0.45, 2), thickness=0.15)
            made[0] = replace(made[0], jewels=(replace(centre, thickness=0.15),))
            made.append(Arbor(name="sweep seconds", at=Place(0.0, 0.0),
                              carries=("seconds hand",), jewels=(lower,)))  # fmt: skip
        elif not sweep and rng.random() < 0.7:
            at = at_hour(rng.choice([6.0, 9.0]), round(0.5 * self.half, 1))
            self.taken.append((at, 1.1))
            stone = self.jewel(Side.BRIDGE, round(rng.uniform(0.2, 1.0) * bridge, 2), bridge)
            made.append(Arbor(name="small seconds", at=at, carries=("seconds hand",),
                              jewels=(stone,), endshake=0.03))  # fmt: skip
        for name in ("third wheel", "escape wheel"):
            if (at := self.spot(1.1)) is not None:
                stones = (
                    self.jewel(Side.BRIDGE, round(rng.uniform(0.0, 0.9) * bridge, 2), bridge),
                    self.jewel(Side.DIAL, rng.choice([-0.1, 0.0]), self.dial),
                )
                made.append(Arbor(name=name, at=at, jewels=stones, endshake=0.02))
        return made

    def balance(self) -> tuple[list[Arbor], list[KeepClear]]:
        wide = round(self.half * self.rng.uniform(0.2, 0.32), 1)
        at = self.spot(wide, 0.4, 0.9)
        if at is None:
            return [], []
        top = self.rng.choice([self.bridge, round(0.8 * self.bridge, 2)])
        stone = self.jewel(Side.BRIDGE, round(0.6 * self.bridge, 2), self.bridge)
        deep = -round(min(self.rim * 0.7, 1.4), 2)
        keep = KeepClear(name="balance and hairspring", side=Side.BRIDGE,
                         zone=Disc(centre=at, diameter=2 * wide), from_height=deep,
                         to_height=top)  # fmt: skip
        return [Arbor(name="balance", at=at, jewels=(stone,), endshake=0.02)], [keep]

    def rests(self) -> list[Rest]:
        """Islands on the bridges, some sunk, the rim's edge, and areas of the dial side."""
        rng, out = self.rng, []
        for word in self.words[: rng.randint(2, 5)]:
            room = rng.uniform(0.6, 1.4)
            if (at := self.spot(room, 0.3, 0.9)) is None:
                continue
            height = rng.choice([self.bridge, round(0.6 * self.bridge, 2), 0.0,
                                 -round(0.3 * self.rim, 2)])  # fmt: skip
            disc = Disc(centre=at, diameter=round(2 * room, 1))
            out.append(Rest(name=word, side=Side.BRIDGE, height=height, zone=disc))
            if rng.random() < 0.3:  # the same bridge, drawn in two pieces that overlap
                beside = Place(at.x + 0.2, at.y)
                zone = Disc(centre=beside, diameter=round(room, 1))
                out.append(Rest(name=f"{word}, end", side=Side.BRIDGE, height=height, zone=zone))
        return out

    def edge_rests(self, ledge: CasingLedge | None) -> list[Rest]:
        out = []
        if isinstance(self.outline, Round):
            across = self.outline.diameter
            for side in Side:
                wide = ledge.diameter if ledge is not None and ledge.side is side else across
                zone = Ring(outer=wide, inner=round(0.985 * across, 2))
                out.append(Rest(name=f"edge, {side}", side=side, height=0.0, zone=zone))
            if ledge is not None:  # what the flange shows to the other side
                under = Ring(outer=ledge.diameter, inner=across + 0.05)
                out.append(Rest(name="under the flange", side=ledge.side.other,
                                height=ledge.height - self.rim, zone=under))  # fmt: skip
        return out

    def dial_side(self) -> tuple[list[KeepClear], list[Rest]]:
        rng, top = self.rng, round(self.dial * 0.7, 2)
        keeps, rests = [], []
        if rng.random() < 0.5:
            ring = Ring(outer=round(1.8 * self.half, 1), inner=round(1.4 * self.half, 1))
            keeps.append(KeepClear(name="calendar ring", side=Side.DIAL, zone=ring,
                                   from_height=0.0, to_height=top))  # fmt: skip
        if rng.random() < 0.5:
            lever = Sector(from_hour=2.2, to_hour=3.6, outer=0.65 * self.half,
                           inner=0.35 * self.half)  # fmt: skip
            keeps.append(KeepClear(name="keyless works", side=Side.DIAL, zone=lever,
                                   from_height=-0.2, to_height=self.dial))  # fmt: skip
        if rng.random() < 0.5:
            at = at_hour(7.5, 0.5 * self.half)
            wide = 0.1 * self.half
            corners = tuple(Place(at.x + dx * wide, at.y + dy * wide)
                            for dx, dy in ((1, 1), (1, -1), (-1, -1), (-1, 1)))  # fmt: skip
            # as high as the dial side, so beside no jewel that stands above it
            rests.append(Rest(name="dial plate", side=Side.DIAL, height=self.dial,
                              zone=Polygon(corners=corners)))  # fmt: skip
        return keeps, rests

    def pushers(self, stem: Stem | None) -> tuple[Pusher, ...]:
        rng = self.rng
        if stem is None or self.half < 9.0 or rng.random() < 0.5:
            return ()
        depth = round(rng.choice([stem.depth, self.rim + 0.6 * self.bridge]), 2)
        return tuple(
            Pusher(
                name=name,
                hour=(stem.hour + turn) % 12.0,
                depth=depth,
                lever_radius=round(self.half * rng.uniform(0.85, 1.0), 1),
                travel=0.8,
                stop=rng.choice([None, 0.8, 1.1]),
            )
            for name, turn in (("start and stop", -1.0), ("return to zero", 1.0))
        )

    def sheet(self) -> Sheet:
        rng = self.rng
        ledge = None
        if isinstance(self.outline, Round) and rng.random() < 0.5:
            ledge = CasingLedge(
                diameter=self.outline.diameter + _size(rng.uniform(0.3, 1.2)),
                height=_size(rng.uniform(0.2, 0.5) * self.rim),
                side=rng.choice(list(Side)),
            )
        arbors = self.arbors()
        balance, keeps = self.balance()
        rests = self.rests()
        dial_keeps, dial_rests = self.dial_side()
        thick = round(min(self.rim, 0.55 * (self.rim + self.bridge)), 2)
        diameter = round(min(1.3, 0.9 * self.rim, rng.choice([self.rim, 1.1])), 2)
        stem = Stem(hour=rng.choice([3.0, 3.0, 3.0, 0.0, 4.0]), depth=round(self.rim / 2, 2),
                    diameter=max(0.4, diameter), draw=rng.choice([0.0, 0.8, 1.1]))  # fmt: skip
        feet = []
        if rng.random() < 0.7:
            length = round(min(2.4, self.rim + self.bridge), 2)
            feet = [
                DialFoot(at=at_hour(hour, round(0.92 * self.half, 2)), diameter=0.6, length=length)
                for hour in (rng.choice([1.2, 11.6]), 6.2)
            ]
        subs = ()
        if rng.random() < 0.35:
            wide = _size(rng.choice([1.0, 1.4, 1.9]) * self.half)
            subs = (_works(rng, f"TRUE {self.seed} auto works", wide),) if wide >= 8.0 else ()
        if subs and rng.random() < 0.5:  # the weight overhangs the edge a little
            disc = Disc(centre=Place(0.0, 0.0), diameter=round(2 * self.half + 0.8, 1))
            keeps.append(KeepClear(name="oscillating weight", side=Side.BRIDGE, zone=disc,
                                   from_height=round(self.bridge - 0.1, 2),
                                   to_height=self.bridge))  # fmt: skip
            rests = [each for each in rests if each.height < self.bridge - 0.2]
        area = math.pi * self.half**2
        mass = rng.uniform(2.0, 5.0) * area * (self.rim + self.dial + self.bridge) / 1000
        hole = Recess(zone=Disc(centre=at_hour(11.0, 0.6 * self.half), diameter=0.5), thickness=0.0)
        return Sheet(
            name=f"TRUE {self.seed}",
            outline=self.outline,
            rim=self.rim,
            dial_height=self.dial,
            bridge_height=self.bridge,
            casing_ledge=ledge,
            plate=PlateStock(thickness=thick, recesses=rng.choice([(), (hole,)])),
            bridges=PlateStock(
                thickness=rng.choice([None, max(0.25, round(0.4 * self.bridge, 2))]),
                material=rng.choice(["brass", "nickel silver"]),
                modulus=rng.choice([110_000.0, 120_000.0]),
            ),
            arbors=(*arbors, *balance),
            rests=(*rests, *self.edge_rests(ledge), *dial_rests),
            keep_clear=(*keeps, *dial_keeps),
            dial_feet=tuple(feet),
            stem=stem,
            pushers=self.pushers(stem),
            sub_assemblies=subs,
            mass=rng.choice([None, round(max(mass, 0.05), 2)]),
            uncertainty=rng.choice([0.01, 0.02, 0.05]),
            uncertainties=rng.choice([{}, {"/arbors/0/jewels/0/height": 0.01}]),
        )
