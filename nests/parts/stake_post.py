"""The stake post: stands on the floor and carries one jewel or rest from below."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import ClassVar

from nests.mechanics.column import Section
from nests.mechanics.post import StandingPost
from nests.parts.answers import Contact, Fitting, Now, Serves, Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn, Socket
from nests.parts.feature import BENCH, Feature, hyphened
from nests.parts.heights import SETTING, level_within
from nests.parts.insert import Insert, pin_in, screw_in
from nests.parts.metal import RODS, Bought, widest_pin
from nests.parts.post import SET, Foothold, Post, PostKind
from nests.parts.post_shape import (
    beside_slot,
    cup,
    fittings,
    foothold,
    groove,
    pivot_slot,
    standing,
    walls,
)
from nests.parts.site import Site
from nests.places import Place
from nests.solids.solid import OVER, turned
from nests.units import BadInput, Length, mm, printed, quantity, said

LEAST_RING: Length = 0.1
"""mm of metal that bears round a drilled pivot hole; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class StakePost(Part):
    """Post under one jewel or rest. Its height follows from the sheet and is never typed.

    kinds: *printed*; *pin*, bored for a metal pin that is set to height and glued; *screw*, for a
    set screw that is turned from below, alone or under a pin; *soft*, with a recess for a soft
    disc.
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
    insert: Length = mm(1.5, low=0.3, high=5.0, meaning="⌀ of pin, screw or soft disc")
    insert_out: Length = mm(1.0, low=0.2, high=10.0, meaning="how far the insert stands out")
    relief: Length = mm(0.1, low=0.02, high=1.0, meaning="room round and under a pivot")
    weep_hour: float = quantity("h", 0.0, 0.0, 12.0, "hour a bore's groove in the foot runs to")

    def variants(self, site: Site) -> Iterator[Part | None]:
        """Under a rest narrower, or not at all: it only steadies. Under a jewel its kind is chosen
        by its load path; one with a bore may be stouter, or its groove run elsewhere."""
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
        return foothold(site, self.under, self.at)

    def require_named(self, site: Site) -> None:
        """Raise `BadInput` if nothing of that name looks to the bench."""
        self.foothold(site)

    def stands(self, site: Site) -> tuple[object, ...]:
        """One in a place, whatever it carries."""
        at = self.foothold(site).at
        return (self.tag, round(at.x, 3), round(at.y, 3))

    def as_kind(self, kind: PostKind) -> StakePost:
        """The same post with another kind of contact, an insert as wide as its tip allows of those
        that are made."""
        most = min(self.insert, max(self.tip, 0.3))
        return replace(self, kind=kind, insert=widest_pin(most) or RODS[0])

    def inserted(self, site: Site) -> Insert | None:
        """What stands in its bore; None where it has none. Raises `BadInput` where that has no
        room."""
        if self.kind not in SET:
            return None
        end = self.foothold(site).z - self.short
        laid = pin_in if self.kind == "pin" else screw_in
        return laid(site, self.label(), self.insert, self.insert_out, end)

    def drawn_short(self, short: Length) -> StakePost:
        """The same post drawn so short of contact."""
        return replace(self, short=short)

    def least_shank(self, site: Site) -> Length:
        """⌀ of the slimmest shank that leaves a wall round a screw in it; 0 where none is in it."""
        held = self.inserted(site)
        if held is None or held.step <= site.floor:
            return 0.0
        return site.card.inside(held.widest) + walls(site)

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
        if self.kind == "printed":
            return ()
        at, held = self.foothold(site).at, self.inserted(site)
        if held is None:
            return (Socket(at, site.card.inside(self.insert), self.insert, "disc"),)
        out, screw = [], held.screw
        if not held.alone:
            out.append(Socket(at, site.card.inside(held.bore), held.across, "pin"))
        if screw is not None:
            out.append(Socket(at, site.card.inside(screw.core), screw.across, f"tap {screw.name}"))
        return tuple(out)

    def fittings(self, site: Site) -> tuple[Fitting, ...]:
        """Its insert, drilled where a pivot needs it, over the screw that carries it."""
        return () if self.kind == "printed" else fittings(site, self, self.foothold(site))

    def bought(self, site: Site) -> tuple[Bought, ...]:
        """Pin, screw or disc, and what is drilled into its end."""
        hold, held = self.foothold(site), self.inserted(site)
        if self.kind == "soft":
            thick = self.insert_out + 0.3
            return (Bought(f"soft disc ⌀{self.insert:g} mm, {thick:g} mm thick", "", self.label()),)
        return () if held is None else held.bought(self.label(), self.cup_words(hold))

    def cup_words(self, hold: Foothold) -> str:
        """What is drilled into the end of an insert; '' for nothing."""
        if self.kind not in SET or hold.protrusion <= 0.0:
            return ""
        room, deep = cup(hold, self.relief)
        return f"a cup ⌀{printed(room)} × {printed(deep)} mm deep drilled in its end"

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
        held, wall = self.inserted(site), walls(site)
        if self.kind != "printed":
            across = self.insert if held is None else held.widest if held.alone else held.bore
            head = max(head, site.card.inside(across) + wall)
        shank = max(site.card.outside(self.shank), head, self.least_shank(site))
        most = top - max(site.floor, 0.0 if held is None or held.alone else held.step) - 0.1
        return shank, head, top, min((shank - head) * 1.0, most)

    def standing(self, site: Site) -> StandingPost:
        """What a press on the tip runs down through."""
        hold = self.foothold(site)
        return standing(site, self, hold, self._drawn(site, hold), self._slot_width(site, hold))

    def stiffness(self, site: Site) -> float:
        """Stiffness of the post in N/mm, with what the floor gives."""
        return self.standing(site).stiffness

    def _slot_width(self, site: Site, hold: Foothold) -> Length:
        return site.card.inside(max(hold.pivot + 2 * self.relief, site.card.smallest_gap))

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
            width = self._slot_width(site, hold)
            if head - width < 2 * site.card.smallest_line:
                raise BadInput(
                    f"{self.label()}: the tip, {head:.2f} mm, leaves nothing beside the "
                    f"pivot's room of {width:.2f} mm; a wider tip or a pin is needed."
                )
            low = top - hold.protrusion - self.relief
            post -= pivot_slot(hold, width, max(head, self.shank), low, top)
        if self.kind != "printed" and self._ring(hold) < LEAST_RING - 1e-6:
            raise BadInput(
                f"{self.label()}: a {self.kind} of {self.insert:g} mm leaves "
                f"{max(self._ring(hold), 0.0):.2f} mm round {self._hollow_words(hold)}; "
                f"{LEAST_RING:g} mm are needed."
            )
        held, cuts = self.inserted(site), None
        if held is not None:
            bore = turned(held.profile(site), site.chord, bore=True, at=hold.at)
            post -= bore
            cuts = bore + groove(site, hold, self.weep_hour)
        if self.kind == "soft":
            recess = site.card.inside(self.insert)
            post -= turned(
                [(recess, top - 0.3), (recess, top + OVER)], site.chord, bore=True, at=hold.at
            )
        return Shape(adds=post, cuts=cuts)

    def narrowest(self, site: Site) -> Length:
        """The thinnest that is printed of it: half the tip beside a pivot's room, the wall of a
        bore, else the head."""
        hold = self.foothold(site)
        _, head, _, _ = self._drawn(site, hold)
        held = self.inserted(site)
        if held is not None:
            shank = self._drawn(site, hold)[0] if held.step > site.floor else math.inf
            beside = min(head - site.card.inside(held.bore), shank - held.widest)
            return beside / 2
        if self.kind != "printed":
            return (head - site.card.inside(self.insert)) / 2
        return (head - self._slot_width(site, hold)) / 2 if hold.protrusion > 0.0 else head

    def _hollow(self, hold: Foothold) -> Length:
        """⌀ inside which nothing is met: the room for a pivot that stands out, or the oil sink."""
        room = hold.pivot + 2 * self.relief if hold.protrusion > 0.0 else 0.0
        return max(room, hold.sink)

    def _hollow_words(self, hold: Foothold) -> str:
        if hold.sink > hold.pivot + 2 * self.relief or hold.protrusion <= 0.0:
            return f"an oil sink of {hold.sink:g} mm"
        return f"a pivot of {hold.pivot:g} mm that stands out"

    def _flat(self, site: Site) -> Length:
        """⌀ of the flat end of an insert."""
        held = self.inserted(site)
        return held.screw.least_flat if held and held.alone and held.screw else self.insert

    def _ring(self, hold: Foothold) -> Length:
        """Width of the ring that bears, in the end of an insert."""
        return (self.insert - self._hollow(hold)) / 2

    def height_within(self, site: Site, datum: Length | None = None) -> Length:
        """mm ± to which the height of the finished post comes, above the bench or from a ledge
        drawn at `datum`: set by hand, or as printed."""
        if self.kind in SET:
            return SETTING
        return level_within(site, self.foothold(site).z - self.short, datum)

    def features(self, site: Site) -> tuple[Feature, ...]:
        """The height of the tip, and the cup in the end of an insert."""
        tip, cup = self.tip_feature(site), self.cup_words(self.foothold(site))
        if not cup:
            return (tip,)
        name = hyphened(f"cup under {self.under}")
        says = f"end of the insert under {self.under}"
        how = "loupe, and the shank of a drill of that ⌀"
        return (tip, Feature(name, says, how, "trial", good=cup, place=tip.place))

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
            area = Section(beside_slot(self._slot_width(site, hold), self.tip)).area
        elif self.kind in SET:
            flat = self._flat(site)
            area = Section(flat, min(self._hollow(hold), 0.9 * flat)).area
        else:
            area = Section(self.tip, min(hold.sink, 0.9 * self.tip)).area
        at = (hold.at.x, hold.at.y, z)
        gives = partial(self.stiffness, site)  # only a press asks, and it takes finite elements
        printed = self.kind == "printed"
        return (
            Contact(
                self.label(), self.under, at, area, self.short, above=False,
                printed=printed, gives=gives,
            ),
        )  # fmt: skip
