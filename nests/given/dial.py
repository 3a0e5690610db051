"""The dial of a movement, and how high the hands stand on it."""

from __future__ import annotations

from dataclasses import dataclass

from nests.finding import PRACTICE
from nests.given.zones import Outline
from nests.units import Length, Record, mm, said

DIAL, HANDS = "dial", "hands"
"""What the dial of a sheet and what stands on it are called."""


@dataclass(frozen=True, kw_only=True)
class Dial(Record):
    """The dial as it lies on the movement, and how high the hands stand on it."""

    outline: Outline = said("edge of the dial, round about the axis or a path")
    thickness: Length = mm(0.4, low=0.05, high=4.0, meaning="thickness", origin=PRACTICE)
    underside: Length = mm(low=-3.0, high=8.0, meaning="its underside above the dial-side rim face")
    hands_height: Length | None = mm(
        None, low=0.0, high=8.0, meaning="highest point of the hands above its face, 0 for no hands"
    )
    through: tuple[str, ...] = said(
        "names of keep-clears and arbors that stand through holes of it; what carries a hand does",
        (),
    )

    @property
    def face(self) -> Length:
        """Its face above the dial-side rim face."""
        return self.underside + self.thickness

    @property
    def top(self) -> Length:
        """The highest point of it and of its hands above the dial-side rim face."""
        return self.face + (self.hands_height or 0.0)
