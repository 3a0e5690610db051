"""The sheet of a record: a pure function; what it took by default and what still lacks it says.

The ± of a place goes to the sheet for its x and y. The check of tips asks for the general ±: that
is the largest ± of any place under which a tip stands (rests, pressed arbors), of one taken by
distances whatever the direction, and of half its ⌀; all other lengths of which a check asks the ±
keep their own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from nests.given.dial import Dial
from nests.given.sheet import (
    Arbor,
    CasingLedge,
    Jewel,
    KeepClear,
    PlateStock,
    Pusher,
    Rest,
    Sheet,
    Stem,
)
from nests.given.zones import Disc, Outline, Polygon, Ring, Round, Zone
from nests.kinds.measured import Measured
from nests.measuring._reader import Reader
from nests.measuring.asking import MOVEMENT, passed_over, pressed_of, questions
from nests.measuring.placing import doubt_of, listed
from nests.measuring.reading import halves_of, names_of, outline_of
from nests.places import Place, Side
from nests.units import BadInput, Length

NEEDED = ("name", "diameter", "rim", "dial height", "bridge height")
"""Without these there is no sheet."""
SEEN_FROM = Side.BRIDGE
"""The side that heights are read on where an answer says none: the questions say it."""


@dataclass(frozen=True)
class Made:
    """A sheet, what was taken by default, what was passed over, and what lacks before it is whole:
    a thing that lacks one of these is not on the sheet."""

    sheet: Sheet
    defaults: tuple[str, ...]
    open: tuple[str, ...]
    lacks: tuple[str, ...]
    misfits: tuple[str, ...] = ()


def lacking(record: Measured) -> tuple[str, ...]:
    """What a sheet cannot do without and is not answered."""
    return tuple(each for each in NEEDED if record.text("whole", "", each) is None)


@lru_cache(maxsize=16)
def sheet_of(record: Measured) -> Made:
    """The sheet of a record. Raises `BadInput` where what it cannot do without lacks, or where two
    answers together are out of limits."""
    if short := lacking(record):
        raise BadInput(f"there is no sheet yet; it lacks {', '.join(short)}.")
    return _Maker(record).made()


class _Maker(Reader):
    """One record being made into a sheet."""

    def made(self) -> Made:
        text = self.record.text
        outline = outline_of(str(text("whole", "", "diameter")), "diameter")
        self.doubts["/outline/diameter"] = doubt_of(self.record, "whole", "", "diameter")
        kind = (text("whole", "", "kind") or self.took("kind", MOVEMENT)).casefold()
        fragile = listed(self.record, "fragile")
        arbors = listed(self.record, "arbors")
        movement = kind == MOVEMENT
        flange = self._flange() if movement else None
        assumed = [] if arbors is not None else ["/arbors"]
        if movement and text("whole", "", "flange") is None:
            assumed.append("/casing_ledge")
        whole = Sheet(
            name=str(text("whole", "", "name")),
            mark=text("whole", "", "mark") or "",
            kind=kind,  # type: ignore[arg-type]
            outline=outline,
            rim=self.length("rim") or 0.0,
            dial_height=self.length("dial height") or 0.0,
            bridge_height=self.length("bridge height") or 0.0,
            casing_ledge=flange,
            plate=PlateStock(thickness=self.length("plate")),
            bridges=PlateStock(thickness=self.length("bridges")),
            arbors=tuple(self._arbors(arbors or ())),
            rests=tuple(self._rests(outline, flange)),
            keep_clear=tuple(self._fragile(fragile or ())),
            nothing_fragile=fragile == (),
            dial=self._dial() if movement else None,
            stem=self._stem() if movement else None,
            pushers=tuple(self._pushers()) if movement else (),
            mass=self.number("whole", "", "mass"),
            assumed=tuple(assumed),
            remarks=text("whole", "", "remarks") or "",
        )
        general = math.ceil(self.worst * 1000.0 - 1e-6) / 1000.0
        own = {k: v for k, v in sorted(self.doubts.items()) if v != general}
        if not isinstance(outline, Round):
            own.pop("/outline/diameter", None)
        self._usual_doubt(general)
        return Made(
            replace(whole, uncertainty=general, uncertainties=own),
            tuple(self.defaults),
            tuple(each.label for each in passed_over(self.record)),
            tuple(self.lacks),
            tuple(each.misfit for each in self.places.at.values() if each.misfit),
        )

    def _usual_doubt(self, general: Length) -> None:
        known = self.record.now
        for each in questions(self.record):
            default = "" if each.ask.usual else each.ask.default
            if default and each.key not in known:
                self.took(each.label, default)
        self.took("±", f"{general:g} mm of every length that has none of its own")
        if any(not each.left for each in self.places.at.values()):
            self.took("± of places by hour and radius or x and y", f"{general:g} mm")

    def _flange(self) -> CasingLedge | None:
        wide, high = self.length("flange"), self.level("whole", "", "flange height")
        if wide is None:
            return None
        if high is None:
            self.lacks.append("flange height")
            return None
        return CasingLedge(diameter=wide, height=high.height, side=high.side or Side.DIAL)

    def _stem(self) -> Stem | None:
        hour, depth = self.hour("stem"), self.length("stem depth")
        if hour is None:
            return None
        if depth is None:
            self.lacks.append("stem depth")
            return None
        self.doubts["/stem/depth"] = doubt_of(self.record, "whole", "", "stem depth")
        thick, draw = self.length("stem diameter"), self.length("stem draw")
        return Stem(
            hour=hour, depth=depth, diameter=Stem.diameter if thick is None else thick,
            draw=Stem.draw if draw is None else draw,
        )  # fmt: skip

    def _dial(self) -> Dial | None:
        """The dial, if it is on; its hands are unknown to the sheet until they are measured."""
        wide, under = self.length("dial"), self.length("dial underside")
        if self.record.text("whole", "", "dial") is None:
            self.took("dial", "none on it")
        if wide is None:
            return None
        if under is None:
            self.lacks.append("dial underside")
            return None
        thick = self.length("dial thickness")
        return Dial(
            outline=Round(diameter=wide), underside=under,
            hands_height=self.length("hands height"),
            thickness=Dial.thickness if thick is None else thick,
        )  # fmt: skip

    def _pushers(self) -> Iterator[Pusher]:
        for name in listed(self.record, "pushers") or ():
            hour = self.hour("hour", "pusher", name)
            depth, lever, travel = (
                self.length(each, "pusher", name) for each in ("depth", "lever", "travel")
            )
            force = self.number("pusher", name, "force")
            if hour is None or depth is None or lever is None or travel is None:
                self.lack(name, hour=hour, depth=depth, lever=lever, travel=travel)
                continue
            yield Pusher(
                name=name, hour=hour, depth=depth, lever_radius=lever, travel=travel,
                force=Pusher.force if force is None else force,
            )  # fmt: skip

    def _arbors(self, names: tuple[str, ...]) -> Iterator[Arbor]:
        pressed, count = pressed_of(self.record), 0
        for name in names:
            at = self.place("arbor", name, f"/arbors/{count}/at")
            if at is None:
                continue
            jewel = self._jewel(name, f"/arbors/{count}/jewels/0") if name in pressed else None
            hands = self.record.text("arbor", name, "hands")
            yield Arbor(
                name=name, at=at, jewels=() if jewel is None else (jewel,),
                carries=() if hands is None else names_of(hands, f"{name}: hands"),
                endshake=self.length("endshake", "arbor", name),
            )  # fmt: skip
            count += 1

    def _jewel(self, name: str, pointer: str) -> Jewel | None:
        wide, level = self.length("diameter", "arbor", name), self.level("arbor", name, "height")
        if wide is None or level is None:
            self.lack(name, diameter=wide, height=level)
            return None
        out = self.length("pivot", "arbor", name) or 0.0
        thick = self.length("pivot diameter", "arbor", name)
        if self.record.text("arbor", name, "pivot") is None:
            self.lack(name, pivot=None)
        if out and thick is None:
            self.lacks.append(f"{name}: pivot diameter")
        self.doubt("arbor", name, pointer, height="height")
        self.half("arbor", name)
        if out and thick is not None:
            self.doubt("arbor", name, pointer, pivot="pivot_protrusion",
                        **{"pivot diameter": "pivot_diameter"})  # fmt: skip
        return Jewel(
            side=level.side or SEEN_FROM, diameter=wide, height=level.height,
            thickness=self.length("thickness", "arbor", name),
            oil_sink=self.length("oil sink", "arbor", name),
            pivot_protrusion=out if thick is not None else 0.0, pivot_diameter=thick or 0.0,
            push_out_force=self.number("arbor", name, "push-out"),
        )  # fmt: skip

    def _fragile(self, names: tuple[str, ...]) -> Iterator[KeepClear]:
        count = 0
        for name in names:
            at = self.place("fragile", name, f"/keep_clear/{count}/zone/centre")
            wide = self.length("diameter", "fragile", name)
            low, high = (self.level("fragile", name, each) for each in ("from", "to"))
            if at is None or wide is None or low is None or high is None:
                self.lack(name, diameter=wide, to=high, **{"from": low})
                continue
            side = high.side or low.side or SEEN_FROM
            if low.side not in (None, side):
                raise BadInput(f"{name}: its ends are read on two sides; read both on one.")
            self.doubt("fragile", name, f"/keep_clear/{count}", diameter="zone/diameter",
                        to="to_height", **{"from": "from_height"})  # fmt: skip
            what = self.record.text("fragile", name, "what")
            yield KeepClear(
                name=name, side=side, zone=Disc(centre=at, diameter=wide),
                from_height=low.height, to_height=high.height,
                what=None if what is None else what.casefold(),  # type: ignore[arg-type]
            )  # fmt: skip
            count += 1

    def _rests(self, outline: Outline, flange: CasingLedge | None) -> Iterator[Rest]:
        count = 0
        for side, asks in ((Side.BRIDGE, "rim level"), (Side.DIAL, "dial rim level")):
            wide = self.length(asks)
            if wide is not None:
                found = tuple(level_rim(outline, flange, side, wide))
                yield from found
                count += len(found)
        for name in listed(self.record, "rests") or ():
            at = self.place("rest", name, f"/rests/{count}/zone/centre")
            wide, level = (
                self.length("diameter", "rest", name),
                self.level("rest", name, "height"),
            )
            if at is None or wide is None or level is None:
                self.lack(name, diameter=wide, height=level)
                continue
            self.doubt("rest", name, f"/rests/{count}", height="height")
            self.half("rest", name)
            yield Rest(
                name=name, side=level.side or SEEN_FROM, height=level.height,
                zone=Disc(centre=at, diameter=wide),
            )  # fmt: skip
            count += 1


def level_rim(
    outline: Outline, flange: CasingLedge | None, side: Side, wide: Length
) -> Iterator[Rest]:
    """The rim face of a side as rests, level so far inward from the edge."""
    out = flange.diameter if flange is not None and flange.side is side else None
    name = "rim" if side is Side.BRIDGE else "dial-side rim"
    for where, zone in _rim(outline, out, wide):
        yield Rest(name=f"{name}{where}", side=side, height=0.0, zone=zone)


def _rim(outline: Outline, flange: Length | None, wide: Length) -> Iterator[tuple[str, Zone]]:
    """The rim face, level as far inward as was measured: a ring, or a strip along each side of an
    oblong, with a word for which it is."""
    if isinstance(outline, Round):
        outer = outline.diameter if flange is None else flange
        yield "", Ring(outer=outer, inner=outer - 2.0 * wide)
        return
    x, y = halves_of(outline)
    for hour, (left, right, low, high) in (
        (12, (-x, x, y - wide, y)),
        (3, (x - wide, x, wide - y, y - wide)),
        (6, (-x, x, -y, wide - y)),
        (9, (-x, wide - x, wide - y, y - wide)),
    ):
        around = ((left, low), (right, low), (right, high), (left, high))
        yield f" at {hour} h", Polygon(corners=tuple(Place(*each) for each in around))
