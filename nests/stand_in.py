"""Stand-ins: a sheet made from the few sizes a person knows, for a holder without a sheet.

What such a sheet had to assume, or knows nothing of, it says under `Sheet.assumed`; checks call it
`unknown`, each with what to measure. No arbor is known, so nothing may be pressed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import ClassVar, Literal, TypeVar

from nests.places import Side, at_hour
from nests.sheet import CasingLedge, Pusher, Sheet, Stem
from nests.units import BadInput, Hour, Length, Record, hour, mm, read_length, said
from nests.zones import Outline, Round

HIGHEST_RIM: Length = 1.5
LOWEST_RIM: Length = 0.4
RIM_SHARE = 0.4
"""Two fifths of the height, at most `HIGHEST_RIM` mm, are taken for the rim; common practice, no
source."""
TRAVEL: Length = 0.5
"""mm of travel of a lever of which it is not given; from memory."""
HAIR: Length = 1e-6
"""mm that sums of floats may be off."""

W = TypeVar("W", bound="Written")


@dataclass(frozen=True, kw_only=True)
class Written(Record):
    """Several numbers that are written as one option, with commas between them."""

    form: ClassVar[str]
    """How it is written; the hour comes first, all else is in mm."""
    example: ClassVar[str]

    @classmethod
    def read(cls: type[W], text: str, label: str) -> W:
        """Read what was typed; `label` is the option for the sentence. Raises `BadInput`."""
        first, *rest = text.split(",")
        names = [each.name for each in fields(cls)]
        try:
            at = float(first)
        except ValueError:
            rest = []
        if len(rest) != len(names) - 1:
            raise BadInput(
                f"{label} is '{text}'; written is {cls.form} with commas between them and a point "
                f"in a decimal number, such as {cls.example}: the hour of the dial, then mm."
            )
        lengths = [read_length(each, f"{label} '{text}': {name}")
                   for name, each in zip(names[1:], rest, strict=True)]  # fmt: skip
        try:
            return cls(**dict(zip(names, [at, *(each.mm for each in lengths)], strict=True)))
        except BadInput as bad:
            raise BadInput(f"{label} is '{text}': {bad}") from None


@dataclass(frozen=True, kw_only=True)
class HourDepth(Written):
    """Where a stem or the lever of a pusher lies."""

    form: ClassVar[str] = "HOUR,DEPTH"
    example: ClassVar[str] = "2,1.2"
    hour: Hour = hour(meaning="hour of the dial")
    depth: Length = mm(low=-2.0, high=12.0, meaning="below the dial-side rim face")


@dataclass(frozen=True, kw_only=True)
class BySizes(Record):
    """Options of a family that also makes a holder without a sheet.

    `sizes` are the options that are for that only.
    """

    sizes: ClassVar[tuple[str, ...]] = ("diameter", "height", "rim", "hangs")

    diameter: Length | None = mm(None, low=5.0, high=70.0, meaning="⌀ of the rim, without a sheet")
    height: Length | None = mm(None, low=0.6, high=25.0, meaning="total height, without a sheet")
    rim: Length | None = mm(
        None, low=0.4, high=15.0, meaning="height of the rim, face to face, without a sheet"
    )
    hangs: Length | None = mm(
        None,
        low=0.0,
        high=12.0,
        meaning="how far it reaches below the rim face that looks down, without a sheet",
    )

    def given(self) -> tuple[str, ...]:
        """Those of `sizes` that are given."""
        return tuple(each for each in self.sizes if getattr(self, each) not in (None, ()))

    def up(self, operation: Side | None) -> Side:
        """The side that looks up: the one wished for, else that of the operation, else the dial."""
        wished = getattr(self, "side_up", None)
        return Side(wished) if wished else operation or Side.DIAL

    def outline(self) -> tuple[Outline, str]:
        """The edge, and its size as it is engraved. Raises `BadInput` where a size lacks."""
        if self.diameter is None or self.height is None:
            raise BadInput("give --sheet FILE, or both --diameter and --height in mm.")
        return Round(diameter=self.diameter), f"D{self.diameter:.2f}"

    def stand_in(self, up: Side) -> Sheet:
        """The sheet that stands in for one, with `up` the side that looks up. Raises `BadInput`."""
        outline, size = self.outline()
        assert self.height is not None
        out = _plain(outline, size, self.height)
        if self.rim is None and self.hangs is None:
            return out
        most = self.height - (self.rim or LOWEST_RIM)
        if self.rim is not None and most < -HAIR:
            raise BadInput(
                f"rim is {self.rim:g} mm; the whole is {self.height:g} mm high, and that or less "
                "is allowed."
            )
        if self.hangs is not None and self.hangs > most + HAIR:
            raise BadInput(
                f"hangs is {self.hangs:g} mm; of {self.height:g} mm of height the rim takes "
                f"{self.rim or LOWEST_RIM:g} mm or more, so {max(most, 0.0):.2f} mm or less is "
                "allowed."
            )
        rim = self.rim or round(min(out.rim, self.height - (self.hangs or 0.0)), 3)
        rest = round(max(self.height - rim, 0.0), 3)
        down = rest if self.hangs is None else self.hangs
        above = rest if self.hangs is None else round(max(rest - down, 0.0), 3)
        known = {"/rim"} if self.rim is not None else set()
        if self.hangs is not None:
            known.add(_height(up.other))
        if self.rim is not None and self.hangs is not None:
            known.add(_height(up))
        dial, bridge = (above, down) if up is Side.DIAL else (down, above)
        assumed = tuple(each for each in out.assumed if each not in known)
        return replace(out, rim=rim, dial_height=dial, bridge_height=bridge, assumed=assumed)


@dataclass(frozen=True, kw_only=True)
class WithPushers(BySizes):
    """Sizes of a movement with its stem and its pushers."""

    sizes: ClassVar[tuple[str, ...]] = (*BySizes.sizes, "pusher", "stem")

    pusher: tuple[HourDepth, ...] = said(
        "HOUR,DEPTH of a pusher, without a sheet: hour, and mm of its lever's middle below the "
        "dial-side rim face; once for each",
        (),
    )
    stem: HourDepth | None = said(
        "HOUR,DEPTH of the stem, without a sheet: hour, and mm of its axis below the dial-side rim "
        "face",
        None,
    )

    def stand_in(self, up: Side) -> Sheet:
        """With stem and pushers."""
        out = super().stand_in(up)
        for each in self.pusher:
            out = with_pusher(out, each)
        if self.stem is None:
            return out
        stem = Stem(hour=self.stem.hour, depth=self.stem.depth)
        return replace(out, stem=stem, assumed=(*out.assumed, "/stem/diameter", "/stem/draw"))


@dataclass(frozen=True, kw_only=True)
class WithLevers(WithPushers):
    """Sizes with those of the flange and of the pushers' levers."""

    sizes: ClassVar[tuple[str, ...]] = (
        *WithPushers.sizes, "flange_diameter", "flange_height", "flange_side", "lever_radius",
        "travel",
    )  # fmt: skip

    flange_diameter: Length | None = mm(
        None,
        low=5.0,
        high=75.0,
        meaning="⌀ of the flange on the rim, without a sheet; the ⌀ of the rim says there is none",
    )
    flange_height: Length | None = mm(
        None, low=0.05, high=3.0, meaning="height of the flange, without a sheet"
    )
    flange_side: Literal["dial", "bridge"] | None = said(
        "side whose rim face the flange is flush with, without a sheet; taken as dial", None
    )
    lever_radius: Length | None = mm(
        None,
        low=1.0,
        high=40.0,
        meaning="from the axis to where a pusher's lever is met at rest, without a sheet",
    )
    travel: Length | None = mm(
        None, low=0.1, high=3.0, meaning="working travel of a pusher's lever, without a sheet"
    )

    def stand_in(self, up: Side) -> Sheet:
        """With flange and levers."""
        if not self.pusher:
            raise BadInput(
                "give --sheet FILE, or --pusher HOUR,DEPTH for every pusher beside --diameter and "
                "--height."
            )
        out = self._with_flange(super().stand_in(up))
        known = {
            f"/pushers/{index}/{name}"
            for name in ("lever_radius", "travel")
            if getattr(self, name) is not None
            for index in range(len(out.pushers))
        }
        pushers = tuple(
            replace(
                each,
                lever_radius=self.lever_radius or each.lever_radius,
                travel=self.travel or each.travel,
            )
            for each in out.pushers
        )
        assumed = tuple(each for each in out.assumed if each not in known)
        return replace(out, pushers=pushers, assumed=assumed)

    def _with_flange(self, out: Sheet) -> Sheet:
        wide = self.flange_diameter
        if wide is None:
            for name in ("flange_height", "flange_side"):
                if getattr(self, name) is not None:
                    raise BadInput(
                        f"--{name.replace('_', '-')} is given without --flange-diameter; give both."
                    )
            return out
        known = tuple(each for each in out.assumed if each != "/casing_ledge")
        if wide == self.diameter and self.flange_height is None:
            return replace(out, assumed=known)
        if self.flange_height is None:
            raise BadInput(
                f"flange_diameter is {wide:g} mm; give --flange-height in mm too, or the ⌀ of the "
                "rim where there is no flange."
            )
        ledge = CasingLedge(
            diameter=wide, height=self.flange_height, side=Side(self.flange_side or "dial")
        )
        said_side = () if self.flange_side else ("/casing_ledge/side",)
        return replace(out, casing_ledge=ledge, assumed=(*known, *said_side))


def _height(side: Side) -> str:
    """Where a sheet says how far it reaches beyond the rim face of a side."""
    return f"/{side.value}_height"


def _plain(outline: Outline, size: str, height: Length) -> Sheet:
    """Outline and total height alone; room is left on either side for all that is not rim."""
    rim = round(min(HIGHEST_RIM, max(LOWEST_RIM, RIM_SHARE * height)), 3)
    rest = round(max(height - rim, 0.0), 3)
    return Sheet(
        name=f"{size} H{height:.2f}",
        outline=outline,
        rim=rim,
        dial_height=rest,
        bridge_height=rest,
        assumed=("/rim", "/dial_height", "/bridge_height", "/casing_ledge", "/arbors"),
        remarks="Made from a few sizes alone, without a sheet: nothing may be pressed.",
    )


def stand_in(diameter: Length, height: Length) -> Sheet:
    """A sheet for a movement of which only ⌀ and height are known."""
    return BySizes(diameter=diameter, height=height).stand_in(Side.DIAL)


def pusher_name(at: Hour) -> str:
    """What a pusher is called of which only hour and depth are known."""
    return f"at {at or 12.0:g} h"


def with_pusher(sheet: Sheet, at: HourDepth) -> Sheet:
    """The sheet with one pusher more, of which only hour and depth are known: its lever is taken
    to be met at the edge. Raises `BadInput` where the edge is not round."""
    name = pusher_name(at.hour % 12.0)
    if not isinstance(sheet.outline, Round):
        raise BadInput(
            f"pusher {name}: the edge of '{sheet.name}' is not round, so where its lever is met is "
            "not known; enter it on a sheet with its lever_radius."
        )
    pusher = Pusher(
        name=name,
        hour=at.hour % 12.0,
        depth=at.depth,
        lever_radius=round(at_hour(at.hour, sheet.outline.diameter / 2).radius, 6),
        travel=TRAVEL,
    )
    index = len(sheet.pushers)
    unknown = (f"/pushers/{index}/lever_radius", f"/pushers/{index}/travel")
    return replace(sheet, pushers=(*sheet.pushers, pusher), assumed=(*sheet.assumed, *unknown))


def require_no_press(options: dict[str, object]) -> None:
    """Raise `BadInput` for an option that asks for a press, where there is no sheet."""
    for name in ("arbor", "force"):
        if options.get(name) not in (None, ""):
            unit = " N" if name == "force" else ""
            raise BadInput(
                f"{name} is {options[name]}{unit}, and without a sheet nothing may be pressed: "
                "where its arbors are is not known; give --sheet FILE."
            )


def angle_of(width: Length, radius: Length) -> float:
    """rad that a chord of a width takes of a circle to either side of its middle."""
    return math.asin(min(1.0, width / 2 / radius))
