"""The plunger: a guided pin that works a pusher's lever, with stop and spring pocket."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from manifold3d import CrossSection

from nests.parts.answers import GUIDE, Access, Guide, Lie, Now, Serves, Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn, Tunnel
from nests.parts.feature import LOOSE, Feature, hyphened, open_width, solid_width
from nests.parts.metal import Bought
from nests.parts.site import Site
from nests.places import at_hour
from nests.solids.solid import (
    OVER,
    Solid,
    along,
    block,
    gable,
    lying_bore,
    pillar,
    roof_point,
    trough,
    turned,
)
from nests.solids.volumes import Rod
from nests.units import BadInput, Hour, Length, mm, printed, quantity, said

SLIM: Length = 1.4
"""mm ⌀ of a pin where the usual one would stand too high; from memory."""
FARTHER: Length = 0.25
"""mm by which a guide is tried farther out."""
CAP: Length = 2.0
"""mm of the button's height."""
HOOD_WALL: Length = 1.0
"""mm of wall round the guide where it rises above the body; from memory."""


@dataclass(frozen=True, kw_only=True)
class Plunger(Part):
    """Stepped bore through the wall; the plunger goes in from inside, its button on outside.

    The collar stops it outward; the button meets the body at full travel, so that the lever is
    never driven past its stop. A coil spring fits the pocket under the button. Where a lever lies
    near the upper face of the body, a hood closes the guide.

    Rod and button are printed beside the holder. Both are chamfered where they stand on the plate,
    the rod at its tip; the groove across the button's foot is its vent in print and does no more.
    """

    tag: ClassVar[str] = "plunger"
    telling: ClassVar[int] = 2
    shown_hidden: ClassVar[bool] = True
    thickens: ClassVar[str] = "collar_height"
    pusher: str = said("name of the pusher on the sheet")
    pin: Length = mm(1.8, low=0.8, high=5.0, meaning="⌀ of the plunger")
    collar: Length = mm(3.0, low=1.2, high=8.0, meaning="⌀ of its collar")
    collar_height: Length = mm(0.8, low=0.4, high=3.0, meaning="length of the collar")
    play: Length = mm(0.2, low=0.02, high=0.6, meaning="play in the guide, on the ⌀")
    pocket: Length = mm(3.2, low=1.2, high=8.0, meaning="⌀ of the spring pocket, from outside")
    pocket_depth: Length = mm(1.5, low=0.0, high=10.0, meaning="depth of the spring pocket")
    rest_gap: Length = mm(0.15, low=0.0, high=1.0, meaning="from tip to lever at rest")
    past: Length = mm(0.15, low=0.0, high=1.0, meaning="stroke beyond the lever's working travel")
    button: Length = mm(5.0, low=2.0, high=10.0, meaning="⌀ of the button")
    at: Hour | None = quantity("h", None, 0.0, 12.0, "hour of the guide, if not the pusher's")
    out: Length = mm(
        0.0, low=0.0, high=20.0, meaning="how much farther out than usual its guide begins"
    )
    inward: Length = mm(OVER, low=0.2, high=20.0, meaning="how far inside the edge it begins")

    def label(self) -> str:
        """Named after its pusher."""
        return f"plunger {self.pusher}"

    def hour(self, site: Site) -> Hour:
        """Hour of the guide."""
        return site.sheet.pusher(self.pusher).hour if self.at is None else self.at

    def serves(self) -> Serves:
        """It works its pusher."""
        return Serves(pushers=(self.pusher,))

    def access(self, site: Site, pusher: str) -> Access:
        """By a rod in a guide."""
        hour = self.hour(site)
        guide = Guide(
            self.pin, self.play, self.shoulder(site), self.pocket, self.pocket_depth, self.button
        )
        return Access(
            hour,
            site.radius(hour),
            site.lever(site.sheet.pusher(pusher)),
            rest_gap=self.rest_gap,
            stroke=self.stroke(site),
            moves=guide,
        )

    def lies(self, site: Site) -> Lie:
        """Along its guide."""
        hour = self.hour(site)
        return Lie(hour, site.frame.angle(hour))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Its guide, and the pockets beside it."""
        z, across = site.lever(site.sheet.pusher(self.pusher)), self.pin + self.play
        return (Tunnel(self.lies(site), z, site.card.inside(across), self.pin, self.play),)

    def reread(self, now: Now) -> Plunger | None:
        """For the pusher that lies there now."""
        near = now.near((self.pusher,))
        return replace(self, pusher=near[0]) if near else None

    def moved_to(self, hour: Hour) -> Part:
        """Beside its pusher."""
        return replace(self, at=hour)

    def into(self, site: Site, pocket: Length) -> Part:
        """With the pocket of its collar begun inside that of the seat."""
        head = site.card.inside(self.collar + self.play)
        return replace(self, inward=site.begins(self.hour(site), head, pocket))

    def stroke(self, site: Site) -> Length:
        """From rest until the button meets the body."""
        return site.sheet.pusher(self.pusher).travel + self.rest_gap + self.past

    def shoulder(self, site: Site) -> Length:
        """Radius at which the collar rests: it meets the workpiece's edge at full stroke at most,
        and there the guide begins, or so much farther out."""
        tip = site.sheet.pusher(self.pusher).lever_radius + self.rest_gap
        clear = site.radius(self.hour(site)) + 0.2
        return max(tip, clear) + self.stroke(site) + self.collar_height + self.out

    def variants(self, site: Site) -> Iterator[Plunger]:
        """Guided farther out, so that nothing of it stands under what lies over the edge; then
        slimmer, and without a spring, so that it stands lower."""
        slim = replace(self, pin=min(self.pin, SLIM), pocket=min(self.pocket, SLIM + 1.0))
        slim = replace(slim, collar=min(self.collar, SLIM + 1.0))
        for each in (self, slim, replace(slim, pocket_depth=0.0)):
            room = site.outer(self.hour(site)) - each.pocket_depth - each.shoulder(site)
            steps = max(int((room - GUIDE * each.pin) / FARTHER + 1e-9), 0)
            for step in range(each is self, steps + 1):
                yield replace(each, out=round(each.out + step * FARTHER, 3))

    def sweeps(self, site: Site) -> tuple[Solid, ...]:
        """Rod, collar and button from rest to full stroke."""
        pusher, hour = site.sheet.pusher(self.pusher), self.hour(site)
        z, angle, stroke = site.lever(pusher), site.frame.angle(hour), self.stroke(site)
        outer, stop = site.outer(hour), self.shoulder(site)
        tip, shaft = pusher.lever_radius + self.rest_gap, site.card.outside(self.pin)
        collar = site.card.outside(self.collar)
        cone = (collar - shaft) / 2 * site.rise  # which the collar rises from in print
        ways = (
            (tip - stroke, outer + stroke, shaft),
            (stop - self.collar_height - cone - stroke, stop, collar),
            (outer, outer + stroke + CAP, self.button),
        )
        return tuple(
            Rod(self.label(), angle, inner, end, z, across, 0.0).solid()
            for inner, end, across in ways
        )

    def bought(self, site: Site) -> tuple[Bought, ...]:
        """The spring in its pocket, if it has one."""
        if self.pocket_depth <= 0.0:
            return ()
        free = self.pocket_depth + self.stroke(site)
        what = (
            f"compression spring, outside under ⌀{printed(self.pocket)} mm, inside over "
            f"⌀{printed(self.pin + self.play)} mm, about {printed(free, 1)} mm free"
        )
        return (Bought(what, "", self.label()),)

    def features(self, site: Site) -> tuple[Feature, ...]:
        """The ⌀ of rod and guide, as they should measure, and that it moves freely."""
        hour = self.hour(site)
        at = site.frame.place(at_hour(hour, site.outer(hour)))
        place = (at.x, at.y, site.lever(site.sheet.pusher(self.pusher)))
        rod = solid_width(
            hyphened(f"rod {self.pusher}"),
            f"⌀ of the rod of the {self.label()}",
            "micrometer, over all that runs in the guide",
            self.pin,
            site,
        )
        guide = open_width(
            hyphened(f"guide {self.pusher}"),
            f"⌀ of the guide of the {self.label()}",
            "pin gauge, from outside",
            self.pin + self.play,
            site,
        )
        return (rod, replace(guide, sort="bore", place=place), LOOSE)

    def require_named(self, site: Site) -> None:
        """Raise `BadInput` if the sheet has no such pusher."""
        site.sheet.pusher(self.pusher)

    def stands(self, site: Site) -> tuple[object, ...]:
        """One part works a pusher, whatever its sort."""
        return ("pusher", self.pusher)

    def shape(self, site: Site) -> Shape:
        """Guide, collar pocket and spring pocket; plunger and button as bodies of their own."""
        pusher, hour = site.sheet.pusher(self.pusher), self.hour(site)
        z, angle = site.lever(pusher), site.frame.angle(hour)
        outer, travel = site.outer(hour), self.stroke(site)
        tip = pusher.lever_radius + self.rest_gap
        bore_wall = site.radius(hour)
        stop = self.shoulder(site)
        guide_end = outer - self.pocket_depth
        if guide_end - stop < site.card.smallest_wall:
            raise BadInput(
                f"{self.label()} would have {guide_end - stop:.2f} mm of guide, less than the "
                f"thinnest wall, {site.card.smallest_wall:g} mm: a thicker wall."
            )
        across = site.card.inside(self.pin + self.play)
        head = site.card.inside(self.collar + self.play)
        hood = self._hood(site, stop, z)
        high = max(site.top, hood.bounding_box()[5] if hood is not None else 0.0) + OVER
        cut = lying_bore(stop - OVER, outer + OVER, across, z, site.rise, site.chord)
        inner = bore_wall - self.inward
        if self._covered(site, head, z):
            cut += lying_bore(inner, stop, head, z, site.rise, site.chord)
        else:  # a roof that breaks through the upper face would leave blades beside it
            cut += trough(inner, stop, head, z, high, site.chord)
        if self.pocket_depth > 0.0:
            cut += lying_bore(guide_end, outer + OVER, self.pocket, z, site.rise, site.chord)
        cut = along(cut, angle)
        adds = None
        if hood is not None:
            # flush with the outer face: the pocket stays closed above out to its end
            shell = pillar(CrossSection([site.body.plan(site)]), -OVER, high)
            adds = (along(hood, angle) ^ shell) - cut
        return Shape(cuts=cut, adds=adds, beside=self._bodies(site, tip, stop, outer, travel))

    def _covered(self, site: Site, diameter: Length, z: Length) -> bool:
        """Whether the body leaves a wall above the roof of a lying bore."""
        roof = z + roof_point(diameter, site.rise, site.chord)
        return roof + site.card.smallest_wall <= site.top

    def _widest(self, site: Site) -> Length:
        """⌀ of the widest bore the hood covers."""
        pocket = self.pocket if self.pocket_depth > 0.0 else 0.0
        return max(site.card.inside(self.pin + self.play), pocket)

    def across(self, site: Site) -> Length:
        """Width of the hood, which also walls in the pocket of the collar."""
        head = site.card.inside(self.collar + self.play)
        return max(self._widest(site), head) + 2 * self._hood_wall(site)

    def _hood_wall(self, site: Site) -> Length:
        return max(HOOD_WALL, site.card.smallest_wall + 0.1)

    def _hood(self, site: Site, stop: Length, z: Length) -> Solid | None:
        """What closes the guide over the body's upper face, where a lever lies as high as that."""
        if self._covered(site, self._widest(site), z):
            return None
        wall = self._hood_wall(site)
        high = z + roof_point(self._widest(site), site.rise, site.chord) + wall
        outer, low = site.outer(self.hour(site)), min(site.top, z) - wall
        return block(0.0, stop - wall / 2, outer + OVER, self.across(site), low, high)

    def _bodies(
        self, site: Site, tip: Length, stop: Length, outer: Length, travel: Length
    ) -> tuple[tuple[str, Solid], ...]:
        shaft, collar = site.card.outside(self.pin), site.card.outside(self.collar)
        length = outer + travel - tip
        shoulder = stop - tip
        foot, rise = min(site.card.least_foot, shaft / 4), site.rise
        rod = turned(
            [
                (shaft - 2 * foot, 0.0),
                (shaft, foot * rise),
                (shaft, shoulder - self.collar_height),
                (collar, shoulder - self.collar_height),
                (collar, shoulder),
                (shaft, shoulder),
                (shaft, length + 1.2),
            ],
            site.chord,
        )
        # printed standing on its tip, so that the collar rises from a cone
        lean = (collar - shaft) / 2 * site.rise
        rod += turned(
            [
                (shaft, shoulder - self.collar_height - lean),
                (collar, shoulder - self.collar_height),
            ],
            site.chord,
        )
        return ((f"{self.label()} rod", rod), (f"{self.label()} button", self._button(site)))

    def _button(self, site: Site) -> Solid:
        """The cap, chamfered at the plate; a groove across its foot vents the bore in print."""
        foot, hole = min(site.card.least_foot, self.button / 8), site.card.inside(self.pin)
        sides = [(self.button - 2 * foot, 0.0), (self.button, foot * site.rise), (self.button, CAP)]
        bore = turned([(hole, -OVER), (hole, CAP + OVER)], site.chord, bore=True)
        wide = max(site.card.smallest_hole, 0.6)
        groove = gable(0.0, self.button, wide, -OVER, OVER, site.rise)
        return turned(sides, site.chord) - bore - groove
