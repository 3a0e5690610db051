"""The ground a part stands on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from manifold3d import CrossSection

from nests.given.printer_card import PrinterCard
from nests.given.sheet import Lug, Pusher, Sheet
from nests.given.zones import Round
from nests.places import Frame, Place, Points, Side, at_hour
from nests.solids.loops import Loop, circle, loop, normal_angle
from nests.solids.solid import OVER
from nests.units import Hour, Length

RUN_IN: Length = 0.05
"""mm a cut runs on past the edge of a pocket it opens into, more than all chords; from memory."""


class Ground(Protocol):
    """What a site has to know of the body a holder is cut from; lengths in mm."""

    @property
    def wall(self) -> Length:
        """From the workpiece to the outer face."""

    @property
    def floor(self) -> Length:
        """Thickness of the floor."""

    @property
    def under(self) -> Length:
        """Room under the lowest point of the workpiece."""

    @property
    def depth(self) -> Length:
        """How deep the rim sits."""

    @property
    def height(self) -> Length | None:
        """Height, if it does not follow from the seat."""

    @property
    def follow(self) -> str:
        """Whether it is round ('circle') or follows the 'outline'."""

    @property
    def edge_chamfer(self) -> Length:
        """Chamfer at the upper edge."""

    def plan(self, site: Site) -> Points:
        """Outer face in plan."""


@dataclass(frozen=True)
class Site:
    """The ground a part stands on: workpiece, side up, body, printer card and chord error."""

    sheet: Sheet
    side_up: Side
    card: PrinterCard
    chord: Length
    body: Ground
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
        """How far an underside must climb per mm it leans out, from the card's overhang angle; no
        flatter than at 45°, whatever the printer could: below a flatter one a gap runs out at the
        eaves in an edge so sharp that resin stays in it."""
        return max(1.0 / math.tan(math.radians(self.card.overhang)), 1.0)

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
        return self.runs_out(hour, width, pocket)

    def runs_out(self, hour: Hour, width: Length, pocket: Length) -> Length:
        """The same for a cut that has to be open into the pocket, over all its width."""
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

    def lever(self, pusher: Pusher) -> Length:
        """Holder z of the middle of a pusher's operating lever."""
        return self.frame.z(Side.DIAL, -pusher.depth)

    def lug_lie(self, lug: Lug) -> tuple[Place, float]:
        """Where the middle of a lug leaves the outline, in the holder frame, and the holder angle
        (rad) it runs outward along."""
        root = self.frame.place(at_hour(lug.hour, self.radius(lug.hour)))
        return root, self.frame.angle(lug.hour if lug.towards is None else lug.towards)

    def lug_plan(self, lug: Lug, *, more: Length = 0.0, back: Length | None = None) -> CrossSection:
        """The strip of a lug in plan, `more` mm wider on every side; it begins `back` mm before the
        outline, and without that as far back as the axis."""
        root, angle = self.lug_lie(lug)
        begins = math.hypot(root.x, root.y) if back is None else back
        across = lug.width + 2 * more
        strip = CrossSection.square((begins + lug.reach + more, across))
        strip = strip.translate((-begins, -across / 2)).rotate(math.degrees(angle))
        return strip.translate((root.x, root.y))

    def lug_beyond(self, lug: Lug, inner: CrossSection, more: Length = 0.0) -> CrossSection:
        """What of a lug's strip lies outside a plan about the axis, as far as it hangs together
        with the tip."""
        root, angle = self.lug_lie(lug)
        tip = np.array([root.x, root.y]) + (lug.reach + more) * np.array(
            [math.cos(angle), math.sin(angle)]
        )
        pieces = (self.lug_plan(lug, more=more) - inner).decompose()
        return min(pieces, key=lambda each: _nearest(each, tip), default=CrossSection())

    def lug_ends(self, lug: Lug) -> tuple[Length, Length]:
        """Holder z of a lug's lowest and highest point. Where the sheet does not say how far its
        tip droops, it is taken to end at the rim face."""
        back = self.frame.z(Side.BRIDGE, lug.droop or 0.0)
        front = self.frame.z(Side.DIAL, lug.dial_end(self.sheet.rim))
        return min(back, front), max(back, front)

    def upright(self) -> tuple[Length, Length] | None:
        """Holder z between which the flank is upright; None where the sheet does not say."""
        flank = self.sheet.flank
        if flank is None:
            return None
        ends = [self.frame.z(Side.DIAL, -each) for each in (flank.from_depth, flank.to_depth)]
        return min(ends), max(ends)


def _nearest(plan: CrossSection, point: Points) -> Length:
    """Least distance of a plan's corners from a point, and of the middles between them."""
    rings = plan.to_polygons()
    ends = np.vstack([np.vstack((each, (each + np.roll(each, -1, axis=0)) / 2)) for each in rings])
    return float(np.hypot(*(ends - point).T).min())


def along_ray(points: Points, angle: float) -> Length:
    """Where a ray from the axis at `angle` (rad) leaves a closed polygon (n, 2)."""
    x, y = math.cos(angle), math.sin(angle)
    across = points @ (-y, x)
    forth = points @ (x, y)
    next_across, next_forth = np.roll(across, -1), np.roll(forth, -1)
    crosses = (across <= 0.0) != (next_across <= 0.0)
    share = across[crosses] / (across[crosses] - next_across[crosses])
    return float(np.max(forth[crosses] + share * (next_forth[crosses] - forth[crosses])))
