"""The stake post: stands on the floor and carries one jewel or rest from below."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from nests.given.zones import Disc
from nests.mechanics.column import Section, Segment, foot_compliance, frustum, series_stiffness
from nests.parts.answers import Contact, Fitting, Now, Serves, Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn, Socket
from nests.parts.feature import BENCH, Feature, hyphened
from nests.parts.heights import SETTING, level_within
from nests.parts.post import METAL, SET, Foothold, Post, PostKind
from nests.parts.site import Site
from nests.places import Place
from nests.solids.solid import OVER, Solid, along, block, gable, turned
from nests.units import BadInput, Length, mm, quantity, said

LEAST_RING: Length = 0.1
"""mm of metal that bears round a drilled pivot hole; common practice, no source."""
SOFT = 5.0  # MPa, silicone pad; from memory


@dataclass(frozen=True, kw_only=True)
class StakePost(Part):
    """Post under one jewel or rest. Its height follows from the sheet and is never typed.

    kinds: *printed*; *pin*, bored for a metal pin that is set to height; *screw*, bored for a
    set screw that is set with an indicator; *soft*, with a recess for a soft disc.
    """

    tag: ClassVar[str] = "stake post"
    thickens: ClassVar[str] = "shank"
    widens: ClassVar[str] = "relief"
    under: str = said("name of the arbor or rest it carries")
    at: Place | None = said("place on the rest, if not its middle", None)
    kind: PostKind = said("what makes the contact", "printed")
    tip: Length = mm(1.2, low=0.3, high=12.0, meaning="⌀ of the contact")
    shank: Length = mm(3.0, low=0.6, high=15.0, meaning="⌀ at the floor")
    short: Length = mm(0.0, low=-0.5, high=2.0, meaning="drawn short of contact; negative is proud")
    insert: Length = mm(1.5, low=0.3, high=5.0, meaning="⌀ of pin, screw core or soft disc")
    insert_out: Length = mm(1.0, low=0.2, high=10.0, meaning="how far the insert stands out")
    relief: Length = mm(0.1, low=0.02, high=1.0, meaning="room round and under a pivot")
    weep_hour: float = quantity("h", 0.0, 0.0, 12.0, "hour the weep hole of a bore looks to")

    def variants(self, site: Site) -> Iterator[Part | None]:
        """Under a rest narrower, or not at all: it only steadies. Under a jewel its kind is chosen
        by its load path; one with a bore may be stouter, or its weep hole look elsewhere."""
        if any(each.name == self.under for each in site.sheet.rests):
            for share in (0.8, 0.6):
                tip, shank = round(self.tip * share, 2), round(self.shank * share, 2)
                if tip >= site.card.smallest_pin:
                    yield replace(self, tip=tip, shank=max(tip, shank))
            yield None
        elif self.kind != "printed":
            for more in (0.15, 0.3):
                yield replace(self, shank=round(self.shank + more, 3))
            for turn in (3.0, 6.0, 9.0, 1.5):
                yield replace(self, weep_hour=(self.weep_hour + turn) % 12.0)

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
                    f"the arbor '{self.under}' has no jewel or bush on the {down.value} side; "
                    "a post has nothing to carry there."
                )
            if (outer := sheet.outermost(arbor.name, down)) is not arbor:
                told = f"the {jewel.word} of '{self.under}' lies behind that of '{outer.name}'"
                raise BadInput(f"{told} on the same axis; a post meets that one.")
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

    def require_named(self, site: Site) -> None:
        """Raise `BadInput` if nothing of that name looks to the bench."""
        self.foothold(site)

    def stands(self, site: Site) -> tuple[object, ...]:
        """One in a place, whatever it carries."""
        at = self.foothold(site).at
        return (self.tag, round(at.x, 3), round(at.y, 3))

    def as_kind(self, kind: PostKind) -> StakePost:
        """The same post with another kind of contact, an insert as wide as its tip allows."""
        return replace(self, kind=kind, insert=min(self.insert, max(self.tip, 0.3)))

    def drawn_short(self, short: Length) -> StakePost:
        """The same post drawn so short of contact."""
        return replace(self, short=short)

    @property
    def wide(self) -> Length:
        """⌀ of what meets the workpiece."""
        return self.insert if self.kind in SET else self.tip

    def post(self) -> Post:
        """Itself."""
        return self

    def serves(self) -> Serves:
        """It stands under its arbor or rest."""
        return Serves(under=(self.under,))

    def lies(self, site: Site) -> None:
        """At a place."""

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """What it is bored for; all else of a post stands in sections and in the table of posts."""
        words = {"pin": "pin", "screw": "thread", "soft": "disc"}
        if self.kind == "printed":
            return ()
        at = self.foothold(site).at
        across = site.card.inside(self.insert)
        return (Socket(at, across, self.insert, words[self.kind]),)

    def fittings(self, site: Site) -> tuple[Fitting, ...]:
        """What of its insert stands out, drilled where a pivot needs it."""
        if self.kind == "printed":
            return ()
        hold = self.foothold(site)
        end, wide = hold.z - self.short, self.insert
        rod = turned([(wide, end - self.insert_out), (wide, end)], site.chord, at=hold.at)
        if hold.protrusion > 0.0:
            room, deep = hold.pivot + 2 * self.relief, hold.protrusion + self.relief
            hole = [(room, end - deep), (room, end + OVER)]
            rod -= turned(hole, site.chord, bore=True, at=hold.at)
        return (Fitting(f"insert under {self.under}", rod, metal=self.kind in SET),)

    def reread(self, now: Now) -> StakePost | None:
        """Under what is above it now; nothing where that is too far off to be called so."""
        over = now.over
        if over is None or not -0.5 <= over.gap <= 2.0:
            return None
        return replace(self, under=over.name, at=over.at, short=over.gap)

    def _drawn(self, site: Site, hold: Foothold) -> tuple[Length, Length, Length, Length]:
        """⌀ of the shank and of the head, holder z of the printed top, height of the cone.

        Raises `BadInput` where the room under is too low for a post.
        """
        top = hold.z - self.short - (self.insert_out if self.kind != "printed" else 0.0)
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
        return shank, head, top, min((shank - head) * 1.0, top - site.floor - 0.1)

    def column(self, site: Site) -> tuple[Segment, ...]:
        """What a press on the tip runs down through, from the floor up: shank, cone, tip, insert.

        A pin or screw is taken to hand its force to the resin evenly round the mouth of its bore.
        One that is fast all the way down is about twice as stiff, one that is fast only in its
        uppermost 0.3 mm half as stiff (tests/outside/test_solid_elements.py).
        """
        hold = self.foothold(site)
        shank, head, top, cone = self._drawn(site, hold)
        bore, modulus = self.insert if self.kind in ("pin", "screw") else 0.0, site.card.modulus
        slot = 0.0
        if self.kind == "printed" and hold.protrusion > 0.0:
            slot = min(hold.protrusion + self.relief, top - site.floor - 0.1)
        out = [Segment(top - max(cone, slot) - site.floor, Section(shank, bore), modulus)]
        if cone > slot:
            narrow = head + (shank - head) * slot / cone
            out.append(frustum(cone - slot, narrow, shank, modulus, bore))
        if slot > 0.0:
            out.append(Segment(slot, Section(self._beside_slot(site, hold, head)), modulus))
        if self.kind != "printed":
            give = SOFT if self.kind == "soft" else METAL
            out.append(Segment(self.insert_out, Section(self.insert, self._pivot(hold)), give))
        return tuple(out)

    def stiffness(self, site: Site) -> float:
        """Stiffness of the post in N/mm, with what its foot sinks into the floor."""
        foot, card = self.column(site)[0].section.outer, site.card
        floor = site.floor
        sinks = foot_compliance(foot, card.modulus, card.poisson, floor) if floor > 0.0 else 0.0
        return series_stiffness(self.column(site), more_compliance=sinks)

    def _pivot(self, hold: Foothold) -> Length:
        """⌀ drilled into the end of an insert for a pivot that stands out."""
        return min(hold.pivot + 2 * self.relief, 0.9 * self.insert) if hold.protrusion else 0.0

    def _slot_width(self, site: Site, hold: Foothold) -> Length:
        return site.card.inside(max(hold.pivot + 2 * self.relief, site.card.smallest_gap))

    def _beside_slot(self, site: Site, hold: Foothold, head: Length) -> Length:
        """⌀ of a disc of the same area as the tip beside its pivot slot."""
        half = min(self._slot_width(site, hold) / head, 0.95)
        left = head**2 / 2 * (math.acos(half) - half * math.sqrt(1.0 - half**2))
        return math.sqrt(4 / math.pi * left)

    def shape(self, site: Site) -> Shape:
        """Cone on a shank, with the bore, recess or relief its kind asks for."""
        hold = self.foothold(site)
        shank, head, top, cone = self._drawn(site, hold)
        root = max(site.floor - 0.3, 0.0)
        post = turned(
            [(shank, root), (shank, top - cone), (head, top)]
            if shank > head
            else [(head, root), (head, top)],
            site.chord,
            at=hold.at,
        )
        if self.kind == "printed" and hold.protrusion > 0.0:
            post -= self._pivot_slot(site, hold, head, top)
        if self.kind != "printed" and self._ring(hold) < LEAST_RING - 1e-6:
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

    def narrowest(self, site: Site) -> Length:
        """The thinnest that is printed of it: half the tip beside a pivot's room, the wall of a
        bore, else the head."""
        hold = self.foothold(site)
        _, head, _, _ = self._drawn(site, hold)
        if self.kind != "printed":
            return (head - site.card.inside(self.insert)) / 2
        return (head - self._slot_width(site, hold)) / 2 if hold.protrusion > 0.0 else head

    def _ring(self, hold: Foothold) -> Length:
        """Width of the ring left round a pivot that stands out, in the end of an insert."""
        room = hold.pivot + 2 * self.relief if hold.protrusion > 0.0 else 0.0
        return (self.insert - room) / 2

    def _pivot_slot(self, site: Site, hold: Foothold, head: Length, top: Length) -> Solid:
        """A slot, not a hole: it drains, and no cup faces the film."""
        width = self._slot_width(site, hold)
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

    def height_within(self, site: Site, datum: Length | None = None) -> Length:
        """mm ± to which the height of the finished post comes, above the bench or from a ledge
        drawn at `datum`: set by hand, or as printed."""
        if self.kind in SET:
            return SETTING
        return level_within(site, self.foothold(site).z - self.short, datum)

    def features(self, site: Site) -> tuple[Feature, ...]:
        """The height of the tip."""
        return (self.tip_feature(site),)

    def tip_feature(self, site: Site) -> Feature:
        """The height of the tip. A screw may be set again; a pin is pressed, and may not hold."""
        place = self.contacts(site)[0].place
        how = {"screw": f"set, and again where it is off: {BENCH}", "pin": f"set: {BENCH}"}
        return Feature(
            hyphened(f"under {self.under}"),
            f"height of the {self.label()}",
            how.get(self.kind, BENCH),
            "tip",
            place[2],
            self.height_within(site),
            place=place,
            under=self.under,
            set_again=self.kind == "screw",
            by_hand=self.kind in SET,
            anew="press the pin anew and gauge it" if self.kind == "pin" else "",
        )

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """The tip: printed, metal or soft, on its column."""
        hold = self.foothold(site)
        z = hold.z - self.short
        if self.kind == "printed" and hold.protrusion > 0.0:
            area = Section(self._beside_slot(site, hold, self.tip)).area
        elif self.kind in ("pin", "screw"):
            area = Section(self.insert, self._pivot(hold)).area
        else:
            area = Section(self.tip).area
        at = (hold.at.x, hold.at.y, z)
        stiffness = self.stiffness(site)
        printed = self.kind == "printed"
        return (
            Contact(
                self.label(), self.under, at, area, self.short, stiffness, above=False,
                printed=printed,
            ),
        )  # fmt: skip
