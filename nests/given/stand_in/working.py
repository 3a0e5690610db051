"""Stand-ins of movements that are worked while they lie in a holder: stem, pushers, flange."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from nests.given.sheet import CasingLedge, Pusher, Sheet, Stem
from nests.given.stand_in._written import Written
from nests.given.stand_in.sizes import BySizes
from nests.given.zones import Round
from nests.places import Side
from nests.units import BadInput, Hour, Length, dial_hour, hour, mm, said

TRAVEL: Length = 0.5
"""mm of travel of a lever of which it is not given; from memory."""


@dataclass(frozen=True, kw_only=True)
class HourDepth(Written):
    """Where a stem or the lever of a pusher lies."""

    form: ClassVar[str] = "HOUR,DEPTH"
    example: ClassVar[str] = "2,1.2"
    hour: Hour = hour(meaning="hour of the dial")
    depth: Length = mm(low=-2.0, high=12.0, meaning="below the dial-side rim face")


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


def pusher_name(at: Hour) -> str:
    """What a pusher is called of which only hour and depth are known."""
    return f"at {dial_hour(at or 12.0)} h"


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
        lever_radius=sheet.outline.diameter / 2,
        travel=TRAVEL,
    )
    index = len(sheet.pushers)
    unknown = (f"/pushers/{index}/lever_radius", f"/pushers/{index}/travel")
    return replace(sheet, pushers=(*sheet.pushers, pusher), assumed=(*sheet.assumed, *unknown))
