"""The stake post: stands on the floor and carries one jewel or rest from below."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar, Literal

from nests.parts.base import Contact, Part, Shape, Site
from nests.places import Place
from nests.sheet import Disc
from nests.solid import OVER, Solid, along, block, gable, turned
from nests.units import BadInput, Length, mm, quantity, said

METAL = 97_000.0  # MPa, brass; property page
LEAST_RING: Length = 0.1
"""mm of metal that bears round a drilled pivot hole; common practice, no source."""
SOFT = 5.0  # MPa, silicone pad; from memory


@dataclass(frozen=True)
class Foothold:
    """What a post carries: place in the holder, holder z, widest tip, and the pivot to spare."""

    at: Place
    z: Length
    widest: Length
    pivot: Length
    protrusion: Length


@dataclass(frozen=True, kw_only=True)
class StakePost(Part):
    """Post under one jewel or rest. Its height follows from the sheet and is never typed.

    kinds: *printed*; *pin*, bored for a metal pin that is set to height; *screw*, bored for a
    set screw that is set with an indicator; *soft*, with a recess for a soft disc.
    """

    tag: ClassVar[str] = "stake post"
    under: str = said("name of the arbor or rest it carries")
    at: Place | None = said("place on the rest, if not its middle", None)
    kind: Literal["printed", "pin", "screw", "soft"] = said("what makes the contact", "printed")
    tip: Length = mm(1.2, low=0.3, high=12.0, meaning="⌀ of the contact")
    shank: Length = mm(3.0, low=0.6, high=15.0, meaning="⌀ at the floor")
    short: Length = mm(0.0, low=-0.5, high=2.0, meaning="drawn short of contact; negative is proud")
    insert: Length = mm(1.5, low=0.3, high=5.0, meaning="⌀ of pin, screw core or soft disc")
    insert_out: Length = mm(1.0, low=0.2, high=10.0, meaning="how far the insert stands out")
    relief: Length = mm(0.1, low=0.02, high=1.0, meaning="room round and under a pivot")
    weep_hour: float = quantity("h", 0.0, 0.0, 12.0, "hour the weep hole of a bore looks to")

    def label(self) -> str:
        """Named after what it carries."""
        return f"stake post under {self.under}"

    def foothold(self, site: Site) -> Foothold:
        """The jewel or rest above this post. Raises `BadInput` if the sheet has none."""
        sheet, down = site.sheet, site.side_down
        arbor = next((each for each in sheet.arbors if each.name == self.under), None)
        if arbor is not None:
            jewel = arbor.jewel(down)
            if jewel is None:
                raise BadInput(
                    f"the arbor '{self.under}' has no jewel on the {down.value} side; "
                    "a post has nothing to carry there."
                )
            return Foothold(
                site.frame.place(arbor.at),
                site.frame.z(down, jewel.height),
                jewel.diameter,
                jewel.pivot_diameter,
                jewel.pivot_protrusion,
            )
        rest = sheet.rest(self.under)
        if rest.side is not down:
            raise BadInput(
                f"the rest '{self.under}' looks to the {rest.side.value} side; the "
                f"holder carries the {down.value} side."
            )
        if self.at is None and not isinstance(rest.zone, Disc):
            raise BadInput(f"the rest '{self.under}' is no disc; the post needs its place 'at'.")
        at = self.at if self.at is not None else rest.zone.centre  # type: ignore[attr-defined]
        widest = rest.zone.diameter if isinstance(rest.zone, Disc) else math.inf
        return Foothold(site.frame.place(at), site.frame.z(down, rest.height), widest, 0.0, 0.0)

    def shape(self, site: Site) -> Shape:
        """Cone on a shank, with the bore, recess or relief its kind asks for."""
        hold = self.foothold(site)
        out = self.insert_out if self.kind != "printed" else 0.0
        top, root = hold.z - self.short - out, max(site.floor - 0.3, 0.0)
        if top - site.floor < 0.3:
            raise BadInput(
                f"{self.label()} would be {top - site.floor:.2f} mm high; at least "
                "0.3 mm is needed: give more room under."
            )
        head = site.card.outside(self.tip)
        if self.kind != "printed":
            across = site.card.inside(self.insert)
            head = max(head, across + 2 * site.card.smallest_wall + 4 * site.chord)
        shank = max(site.card.outside(self.shank), head)
        cone = min((shank - head) * 1.0, top - site.floor - 0.1)
        post = turned(
            [(shank, root), (shank, top - cone), (head, top)]
            if shank > head
            else [(head, root), (head, top)],
            site.chord,
            at=hold.at,
        )
        if self.kind == "printed" and hold.protrusion > 0.0:
            post -= self._pivot_slot(site, hold, head, top)
        if self.kind != "printed" and self._ring(hold) < LEAST_RING:
            raise BadInput(
                f"{self.label()}: a {self.kind} of {self.insert:g} mm leaves "
                f"{self._ring(hold):.2f} mm round a pivot of {hold.pivot:g} mm that stands out; "
                f"{LEAST_RING:g} mm are needed."
            )
        if self.kind in ("pin", "screw"):
            post -= self._bore(site, hold, top)
        if self.kind == "soft":
            recess = site.card.inside(self.insert)
            post -= turned(
                [(recess, top - 0.3), (recess, top + OVER)], site.chord, bore=True, at=hold.at
            )
        return Shape(adds=post)

    def _ring(self, hold: Foothold) -> Length:
        """Width of the ring left round a pivot that stands out, in the end of an insert."""
        room = hold.pivot + 2 * self.relief if hold.protrusion > 0.0 else 0.0
        return (self.insert - room) / 2

    def _pivot_slot(self, site: Site, hold: Foothold, head: Length, top: Length) -> Solid:
        """A slot, not a hole: it drains, and no cup faces the film."""
        width = site.card.inside(max(hold.pivot + 2 * self.relief, site.card.smallest_gap))
        if head - width < 2 * site.card.smallest_line:
            raise BadInput(
                f"{self.label()}: the tip, {head:.2f} mm, leaves nothing beside the "
                f"pivot's room of {width:.2f} mm; a wider tip or a pin is needed."
            )
        depth = hold.protrusion + self.relief
        reach = max(head, self.shank)  # past the cone, however deep, so that both ends are open
        slot = block(0.0, -reach, reach, width, top - depth, top + OVER)
        return along(slot, math.atan2(hold.at.y, hold.at.x)).translate((hold.at.x, hold.at.y, 0.0))

    def _bore(self, site: Site, hold: Foothold, top: Length) -> Solid:
        """Blind bore from the tip with a weep hole at its end."""
        across = site.card.inside(self.insert)
        end = site.floor + 0.3
        if top - end < self.insert:
            raise BadInput(
                f"{self.label()}: the bore would be {top - end:.2f} mm deep; a "
                f"{self.insert:g} mm insert needs its own ⌀: give more room under."
            )
        bore = turned([(across, end), (across, top + OVER)], site.chord, bore=True, at=hold.at)
        wide = max(site.card.smallest_hole, 0.6)
        weep = gable(0.0, self.shank + OVER, wide, end, 0.3, site.rise)
        return bore + along(weep, site.frame.angle(self.weep_hour)).translate(
            (hold.at.x, hold.at.y, 0.0)
        )

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """The tip: printed, metal or soft, with its column stiffness E·A/L."""
        hold = self.foothold(site)
        z = hold.z - self.short
        tip = self.tip if self.kind in ("printed", "soft") else self.insert
        pivot = min(hold.pivot, tip) if hold.protrusion > 0.0 else 0.0
        area = math.pi / 4 * (tip**2 - pivot**2)
        length = z - site.floor
        printed = site.card.modulus * math.pi / 4 * self.shank**2 / length
        give = {"printed": math.inf, "soft": SOFT * area / self.insert_out}
        column = give.get(self.kind, METAL * area / self.insert_out)
        stiffness = 1.0 / (1.0 / printed + 1.0 / column)
        at = (hold.at.x, hold.at.y, z)
        return (Contact(self.label(), self.under, at, area, self.short, stiffness),)
