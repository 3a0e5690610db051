"""The sizes every stand-in is made from: ⌀ and height, and the rim and what hangs below it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar

from nests.given.sheet import Sheet
from nests.given.zones import Outline, Round
from nests.places import Side
from nests.units import BadInput, Length, Record, mm

HIGHEST_RIM: Length = 1.5
LOWEST_RIM: Length = 0.4
RIM_SHARE = 0.4
"""Two fifths of the height, at most `HIGHEST_RIM` mm, are taken for the rim; common practice, no
source."""
HAIR: Length = 1e-6
"""mm that sums of floats may be off."""


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


def require_no_press(options: Mapping[str, object]) -> None:
    """Raise `BadInput` for an option that asks for a press, where there is no sheet."""
    for name in ("arbor", "force"):
        if options.get(name) not in (None, ""):
            unit = " N" if name == "force" else ""
            raise BadInput(
                f"{name} is {options[name]}{unit}, and without a sheet nothing may be pressed: "
                "where its arbors are is not known; give --sheet FILE."
            )
