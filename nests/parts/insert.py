"""The insert of a post: a pin that is set and glued, or a set screw, alone or under a pin.

Its bore runs through to the foot: resin drains, a pin can be pushed out again, and a screw is
turned from below, with the workpiece lying in the holder. A set screw meets the workpiece itself
where that leaves room for its ⌀; else a pin stands on it. Heights are in the holder frame.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from nests.given.printer_card import PrinterCard
from nests.parts.metal import (
    PIN_LENGTHS,
    Bought,
    SetScrew,
    longest_of,
    pin_words,
    set_screw,
    set_screw_under,
    shortest_of,
)
from nests.parts.site import Site
from nests.solids.solid import OVER
from nests.units import BadInput, Length, printed

RECESS: Length = 0.3
"""mm by which what stands in a bore stays above the bench; from memory."""
TRAVEL: Length = 0.3
"""mm a screw may be turned down or up from where it is drawn; from memory."""
GLUE_GAP: Length = 0.05
"""mm on the ⌀ between a pin and its bore, for glue, and for a pin that a screw pushes; from
memory."""
GLUE = 8.0
"""MPa of shear that glue holds between cleaned metal and cured resin: two-part epoxy or retaining
compound, from memory and low on purpose; its data sheet counts."""
STRIPS = 0.5
"""Share of the cylinder over a thread that the resin in it takes shear with; from memory."""
ENGAGED = 1.25
"""Times its ⌀ that a set screw is long in resin, at least; from memory."""

GUIDED = 0.8
"""Times its ⌀ that a pin on a screw is guided, at least; from memory."""


@dataclass(frozen=True)
class Insert:
    """What stands in the bore of a post.

    `across` ⌀ and `length` are of what meets the workpiece, with its `end`; `out` stands out of the
    resin. `screw` is the set screw, if there is one, `alone` says that it is that itself;
    `screw_length` and `screw_low` are its length and its lower end as drawn. Up to `step` the bore
    is tapped, above it is for the pin.
    """

    across: Length
    length: Length
    end: Length
    out: Length
    screw: SetScrew | None = None
    alone: bool = False
    screw_length: Length = 0.0
    screw_low: Length = 0.0
    step: Length = 0.0

    @property
    def low(self) -> Length:
        """Lower end of what meets the workpiece."""
        return self.end - self.length

    @property
    def bore(self) -> Length:
        """⌀ of the bore at the tip, as it should come out."""
        if self.alone and self.screw is not None:
            return self.screw.core
        return self.across + GLUE_GAP

    @property
    def widest(self) -> Length:
        """⌀ of the widest thing in the bore, with its thread."""
        return max(self.across, self.screw.across if self.screw is not None else 0.0)

    def profile(self, site: Site) -> list[tuple[Length, Length]]:
        """The bore as drawn: (⌀, z) from the foot up, wider at the mouth where the first layers
        spread."""
        card, foot = site.card, site.card.least_foot
        above = card.inside(self.bore)
        tapped = above
        if self.screw is not None:
            tapped = card.inside(self.screw.core)
        mouth = [(tapped + 2 * foot, 0.0), (tapped, foot * site.rise)]
        out = [(mouth[0][0], -OVER), *mouth]
        if tapped > above:
            cone = (tapped - above) / 2 * site.rise
            out += [(tapped, self.step), (above, self.step + cone)]
        return [*out, (above, self.end + OVER)]

    def bought(self, place: str, cup: str) -> tuple[Bought, ...]:
        """What to buy, cut and drill; `cup` says what is drilled into its end, if anything is."""
        then = f"; {cup}" if cup else ""
        out = []
        if self.screw is not None:
            work = f"tap the bore {self.screw.name} from below"
            what = f"set screw ISO 4026, {self.screw.name} × {self.screw_length:g}"
            out.append(Bought(what, work + (then if self.alone else ""), place))
        if not self.alone:
            what, work = pin_words(self.across, self.length)
            held = "" if self.screw is not None else ", glued when it is set"
            out.append(Bought(what, f"{work}{held}{then}", place))
        return tuple(out)

    def holds(self, card: PrinterCard) -> tuple[float, str]:
        """Force in N with which it is held in the resin, and by what."""
        if self.screw is None:
            area = math.pi * self.across * (self.length - self.out)
            how = f"glued over {printed(self.length - self.out, 1)} mm, {GLUE:g} MPa from memory"
            return GLUE * area, f"{how}; the data sheet of the glue counts"
        shear = card.modulus * card.strain_limit / math.sqrt(3.0)
        area = STRIPS * math.pi * self.screw.across * self.screw_length
        how = (
            f"{self.screw.name} over {self.screw_length:g} mm in resin that bears {shear:.0f} MPa "
            "of shear (modulus times strain limit over √3)"
        )
        return shear * area, how


def pin_in(site: Site, label: str, across: Length, out: Length, end: Length) -> Insert:
    """A pin, as long as may be. Raises `BadInput` where the post is too low for one."""
    length = longest_of(PIN_LENGTHS, end - RECESS)
    if length is None or length - out < across:
        raise _too_low(label, f"a pin of {across:g} mm", end)
    return Insert(across, length, end, out)


def screw_in(site: Site, label: str, across: Length, out: Length, end: Length) -> Insert:
    """A set screw of a ⌀ that is made, or the slimmest that carries a pin.

    Raises `BadInput` where the post is too low for it, or no screw carries such a pin.
    """
    own = set_screw(across)
    if own is not None:
        length = shortest_of(own.lengths(), out + ENGAGED * across)
        if length is None or length > end - RECESS:
            raise _too_low(label, f"a set screw {own.name}", end)
        low = end - length
        return Insert(across, length, end, out, own, True, length, low, end)
    screw = set_screw_under(across, GLUE_GAP)
    if screw is None:
        raise BadInput(f"{label}: no set screw carries a pin of {across:g} mm.")
    long = shortest_of(screw.lengths(), ENGAGED * screw.across)
    assert long is not None  # every one is made that long
    low = RECESS + TRAVEL
    length = math.floor(10.0 * (end - low - long) + 1e-6) / 10.0
    low = end - length - long
    step = low + long + TRAVEL
    guided = end - out - step - (screw.core - across) / 2 * site.rise
    if guided < GUIDED * across:
        raise _too_low(label, f"a pin of {across:g} mm on a set screw {screw.name}", end)
    return Insert(across, length, end, out, screw, False, long, low, step)


def _too_low(label: str, what: str, end: Length) -> BadInput:
    return BadInput(
        f"{label} ends {end:.2f} mm above the bench, too low for {what}: give more room under."
    )
