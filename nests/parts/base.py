"""What every part of a recipe is, and the ground it stands on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, ClassVar

from manifold3d import CrossSection

from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.parts.feature import Feature
from nests.places import Frame, Place, Side
from nests.solids.loops import Loop, circle, loop, normal_angle
from nests.solids.solid import OVER, Solid
from nests.units import Hour, Length, Record

if TYPE_CHECKING:
    from nests.parts.body import Body


RUN_IN: Length = 0.05
"""mm a cut runs on past the edge of a pocket it opens into, more than all chords; from memory."""


@dataclass(frozen=True)
class Contact:
    """Where holder and workpiece meet.

    `place` is (x, y, z) in the holder frame, `area` in mm², `gap` in mm (proud < 0 < short),
    `stiffness` of the part alone in N/mm (infinite where it is not the part that gives).
    """

    part: str
    touches: str
    place: tuple[float, float, float]
    area: float
    gap: Length = 0.0
    stiffness: float = math.inf


def first_of_each(contacts: Sequence[Contact]) -> list[Contact]:
    """One contact with each thing that is touched, to gauge its height at."""
    return list({each.touches: each for each in reversed(contacts)}.values())[::-1]


@dataclass(frozen=True)
class Shape:
    """What a part adds, what it cuts, and the bodies that lie beside the holder.

    A part first cuts, then adds; `room` says that its cut is room for the workpiece, which
    other cuts may share.
    """

    adds: Solid | None = None
    cuts: Solid | None = None
    beside: tuple[tuple[str, Solid], ...] = ()
    room: bool = False


@dataclass(frozen=True)
class Site:
    """The ground a part stands on: workpiece, side up, body, printer card and chord error."""

    sheet: Sheet
    side_up: Side
    card: PrinterCard
    chord: Length
    body: Body
    frame: Frame = field(init=False)

    def __post_init__(self) -> None:
        """Work out how high the workpiece lies."""
        seat = self.body.floor + self.body.under + self.sheet.height(self.side_up.other)
        object.__setattr__(self, "frame", Frame(self.side_up, seat, self.sheet.rim))

    @property
    def side_down(self) -> Side:
        """The side that looks to the bench."""
        return self.side_up.other

    @property
    def floor(self) -> Length:
        """Holder z of the face the posts stand on."""
        return self.body.floor

    @property
    def seat(self) -> Length:
        """Holder z of the rim face that points down."""
        return self.frame.seat

    @property
    def top(self) -> Length:
        """Holder z of the upper face of the body."""
        return self.body.height or self.seat + self.body.depth

    @property
    def rise(self) -> float:
        """How far an underside must climb per mm it leans out, from the card's overhang angle."""
        return 1.0 / math.tan(math.radians(self.card.overhang))

    @property
    def reach(self) -> Length:
        """How far the body stands out beyond the outline."""
        return self.body.wall

    def edge(self) -> Loop:
        """The outline of the workpiece as a loop in the holder frame."""
        return loop(self.sheet.outline, self.frame, self.chord, self.reach)

    @property
    def across(self) -> Length:
        """⌀ of the outline, or of the circle of the same area where it is not round."""
        if isinstance(self.sheet.outline, Round):
            return self.sheet.outline.diameter
        return 2 * math.sqrt(CrossSection([self.edge().bore(0.0)]).area() / math.pi)

    def radius(self, hour: float) -> Length:
        """Distance from the axis to the outline in the direction of an hour."""
        if isinstance(self.sheet.outline, Round):
            return self.sheet.outline.diameter / 2
        return along_ray(self.edge().bore(0.0), self.frame.angle(hour))

    def normal(self, hour: float) -> float:
        """Holder angle in radians square to the outline, outward, in the direction of an hour."""
        return normal_angle(self.sheet.outline, self.frame, self.frame.angle(hour))

    def outer(self, hour: float) -> Length:
        """Distance from the axis to the outer face of the body in the direction of an hour."""
        return along_ray(self.body.plan(self), self.frame.angle(hour))

    def begins(self, hour: Hour, width: Length, pocket: Length) -> Length:
        """How far inside the edge a cut through the wall begins so that it runs out into a pocket.

        The cut is `width` mm wide at an hour, the pocket begins `pocket` mm inside the outline. A
        cut that ends in the pocket's very edge would leave a sliver there; where a whole wall is
        left before the pocket it may end.
        """
        if pocket - OVER >= self.card.smallest_wall:
            return OVER
        inside = CrossSection([self.edge().bore(-pocket)])
        radius = self.radius(hour)
        strip = CrossSection.square((radius, width)).translate((0.0, -width / 2))
        left = strip.rotate(math.degrees(self.frame.angle(hour))) - inside
        ahead = left.rotate(-math.degrees(self.frame.angle(hour)))
        return round(max(OVER, radius - float(ahead.bounds()[0]) + RUN_IN), 3)

    def spot(self, point: Sequence[float]) -> str:
        """Where on the dial a point (x, y, ...) of the holder lies: an hour, mm from the axis."""
        at = self.frame.place(Place(*point[:2]))
        if at.radius < 0.005:
            return "on the axis"
        hour = at.hour % 12.0 if round(at.hour % 12.0, 2) else 12.0
        return f"at {hour:.2f} h, {at.radius:.2f} mm"

    def circle(self, diameter: Length) -> Loop:
        """A circle about the axis."""
        return circle(diameter, self.chord, self.reach)


def along_ray(points: object, angle: float) -> Length:
    """Where a ray from the axis at `angle` (rad) leaves a closed polygon (n, 2)."""
    import numpy as np

    corners = np.asarray(points)
    x, y = math.cos(angle), math.sin(angle)
    across = corners @ (-y, x)
    forth = corners @ (x, y)
    next_across, next_forth = np.roll(across, -1), np.roll(forth, -1)
    crosses = (across <= 0.0) != (next_across <= 0.0)
    share = across[crosses] / (across[crosses] - next_across[crosses])
    return float(np.max(forth[crosses] + share * (next_forth[crosses] - forth[crosses])))


@dataclass(frozen=True, kw_only=True)
class Part(Record):
    """One reusable primitive of a recipe."""

    tag_key: ClassVar[str] = "part"
    casts: ClassVar[bool] = False
    """Whether a pad is cast in it, on which the workpiece is laid."""
    says_side: ClassVar[str | None] = ""
    strokes: ClassVar[bool] = False
    """Whether it is an engraving: its strokes are judged as fine lines, not as walls."""

    def label(self) -> str:
        """What findings and pictures call this part; made unique by the composition."""
        return self.tag

    def shape(self, site: Site) -> Shape:
        """What the part adds and cuts. Raises `BadInput` if the sheet lacks what it needs."""
        raise NotImplementedError

    def engraves(self) -> str:
        """The letters that the part engraves; '' for none."""
        return ""

    def require_named(self, site: Site) -> None:
        """Raise `BadInput` if the part names something that the sheet does not have."""

    def stands(self, site: Site) -> tuple[object, ...]:
        """Where it stands or what it is for: two with one answer are one part twice.

        Raises `BadInput` as `require_named`.
        """
        at = getattr(self, "at", None)
        return (self.tag, at % 12.0 if isinstance(at, int | float) else at)

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """Where the part touches the workpiece."""
        return ()

    def opens(self, site: Site) -> Length | None:
        """How far inside the outline the pocket begins that the part opens down to the floor; None
        if it opens none."""
        return None

    def variants(self, site: Site) -> Iterator[Part | None]:
        """What else it might be where something is in its way, the preferred first; None where it
        may be left out. Nothing that the workpiece asks for changes."""
        return iter(())

    def into(self, site: Site, pocket: Length) -> Part:
        """The part with its way through the wall run on into a pocket that begins `pocket` mm
        inside the outline; itself where it has none."""
        return self

    def works(self) -> tuple[str, ...]:
        """Names of the pushers that are worked through it."""
        return ()

    def leaves_out(self, site: Site) -> tuple[tuple[Hour, Length], ...]:
        """Where it leaves a ledge out, down to the floor: hour and width of each gap."""
        return ()

    def features(self, site: Site) -> tuple[Feature, ...]:
        """What of the part is gauged or tried on the print before a workpiece goes in."""
        return ()
