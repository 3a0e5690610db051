"""The ring seat: bore that centres the rim and ledge that carries it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from nests.given.zones import Round
from nests.mechanics.tolerance import Limits, fit_clearance
from nests.parts.answers import MOST_PLAY, Contact, Now, Seat, Serves, Shape, Shelf, own_edge
from nests.parts.base import Part
from nests.parts.drawn import Drawn
from nests.parts.feature import BENCH, Feature, bores, round_bore
from nests.parts.heights import level_within
from nests.parts.site import Site
from nests.places import hours_between
from nests.solids.loops import Loop
from nests.solids.solid import OVER, Solid, block, loft, union
from nests.units import BadInput, Hour, Length, mm, printed, quantity, said

WIDEST_GAP: Length = 40.0
"""mm of the widest gap in a ledge."""


@dataclass(frozen=True, kw_only=True)
class RingSeat(Part):
    """Bore and ledge for the seating rim, open down to the floor.

    Drawn for the flange when that looks down. `steps` are further, smaller diameters: each step
    is the ledge of the one above, lower by its own depth.
    """

    tag: ClassVar[str] = "ring seat"
    takes_workpiece: ClassVar[bool] = True
    goes_round: ClassVar[bool] = True
    widens: ClassVar[str] = "corner_relief"
    play: Length = mm(0.10, low=0.0, high=1.0, meaning="play of the rim in the bore, on the ⌀")
    fit: str = said("ISO 286 classes of bore and rim, such as H7/g6, instead of play", "")
    ledge: Length = mm(0.9, low=0.2, high=6.0, meaning="width of the ledge under the rim")
    lead_in: Length = mm(0.5, low=0.0, high=2.0, meaning="chamfer at the mouth of the bore")
    corner_relief: Length = mm(0.35, low=0.0, high=1.0, meaning="groove where ledge meets bore")
    drain_hour: float = quantity("h", 1.5, 0.0, 12.0, "hour of one of the groove's two drains")
    drop: Length = mm(
        0.0, low=0.0, high=2.0, meaning="ledge below the rim, which then only centres"
    )
    steps: tuple[float, ...] = said("⌀ in mm of smaller seats below, largest first", ())
    step_depth: Length = mm(1.0, low=0.2, high=5.0, meaning="depth of each smaller seat")
    pads: Literal[0, 3] = said("0 for a full ledge, 3 for three pads", 0)
    pad_hour: float = quantity("h", 0.0, 0.0, 12.0, "hour at the middle of the first pad")
    pad_width: Length = mm(4.0, low=1.0, high=20.0, meaning="width of a pad")
    gaps: tuple[float, ...] = said("hours at which the ledge is left out, to spare something", ())
    gap_width: Length = mm(4.0, low=0.5, high=WIDEST_GAP, meaning="width of a gap in the ledge")

    def asked(self, site: Site) -> Limits | None:
        """Clearance on the ⌀ that the fit allows; None where a play is given.

        Raises `BadInput` if there is no such fit, or none on this outline.
        """
        if not self.fit:
            return None
        if not isinstance(site.sheet.outline, Round):
            raise BadInput(
                f"ring seat fit is '{self.fit}'; the classes are for round bores: give a play."
            )
        across = site.sheet.outline.diameter + 2 * site.sheet.edge(site.side_down)[0]
        try:
            return fit_clearance(across, self.fit)
        except ValueError as error:
            raise BadInput(f"ring seat fit: {error}.") from None

    def aim(self, site: Site) -> Length:
        """Play on the ⌀ to aim at: the middle of the fit, or the play given."""
        asked = self.asked(site)
        return self.play if asked is None else (asked.lower + asked.upper) / 2

    def bore_offset(self, site: Site) -> Length:
        """How far the bore as drawn lies outside the outline: flange, play and printer bias."""
        flange, _ = site.sheet.edge(site.side_down)
        return (site.card.inside(site.across + 2 * flange + self.aim(site)) - site.across) / 2

    def levels(self, site: Site) -> list[tuple[Length, Length]]:
        """(offset of the bore from the outline, z of its ledge), from the top down."""
        bores = [self.bore_offset(site)]
        if self.steps:
            if not isinstance(site.sheet.outline, Round):
                raise BadInput("ring seat steps are for a round outline; this one is a path.")
            across = site.sheet.outline.diameter
            widths = [across, *self.steps]
            if sorted(widths, reverse=True) != widths or len(set(widths)) < len(widths):
                raise BadInput(
                    f"ring seat steps are {self.steps}; each must be smaller than the "
                    f"one before and than the seat, {across:g} mm."
                )
            play = self.aim(site)
            bores += [(site.card.inside(d + play) - across) / 2 for d in self.steps]
        top = site.seat - self.drop
        return [(bore, top - i * self.step_depth) for i, bore in enumerate(bores)]

    def features(self, site: Site) -> tuple[Feature, ...]:
        """The bore, or its widths, and the ledge of every seat, from the top down."""
        flange, _ = site.sheet.edge(site.side_down)
        out = list(bores("seat", "the seat", 2 * flange + self.aim(site), site))
        for index, (_, level) in enumerate(self.levels(site)):
            count = f"-{index + 1}" if index else ""
            if index:
                wanted = self.steps[index - 1] + self.aim(site)
                out.append(round_bore(f"seat{count}", f"seat {index + 1}", wanted, site, index))
            ledge = Feature(
                f"ledge{count}",
                f"height of {f'ledge {index + 1}' if index else 'the ledge'}",
                f"{BENCH}, at three places round it",
                "level",
                level,
                level_within(site, level),
                seat=index,
            )
            out.append(ledge)
        return tuple(out)

    def seats(self, site: Site) -> tuple[Seat, ...]:
        """The seat of the workpiece and those of smaller ones, from the top down."""
        sheet, levels = site.sheet, self.levels(site)
        wide, tall = sheet.edge(site.side_down)
        inner = [offset for offset, _ in levels[1:]] + [self.opening(site)]
        wanted = self.fit or f"play {printed(self.play)}"
        out = []
        for index, ((offset, ledge), inside) in enumerate(zip(levels, inner, strict=True)):
            bore = site.card.comes_out(site.across + 2 * offset)
            above = levels[index - 1][1] if index else site.top
            own = own_edge(sheet, wide) if index == 0 else None
            out.append(
                Seat(
                    name=f"seat bore {index + 1}" if index else "seat bore",
                    holds=own.holds if own else "the smaller workpiece",
                    size=own.size if own else self.steps[index - 1],
                    out=wide if own else 0.0,
                    measured=own.measured if own else (),
                    low=ledge,
                    high=min(site.top, site.seat + (tall or sheet.rim)) if own else above,
                    bore=bore,
                    takes=bore - self.aim(site),
                    ledge=ledge,
                    opening=site.card.comes_out(site.across + 2 * inside),
                    mouth=above if index else above - self.lead_in,
                    top=above,
                    floor=site.floor,
                    most=MOST_PLAY,
                    wanted=wanted,
                    edge=None if isinstance(sheet.outline, Round) else site.edge().bore(offset),
                    asked=self.asked(site),
                    fit=self.fit,
                )
            )
        return tuple(out)

    def shelf(self, site: Site) -> Shelf:
        """The ledge of the workpiece."""
        flange, _ = site.sheet.edge(site.side_down)
        middle = site.edge().shaft(flange - self.ledge / 2)
        level, pads = site.seat - self.drop, bool(self.pads)
        return Shelf(middle, self.ledge, level, self.drop, pads, self.corner_relief)

    def serves(self) -> Serves:
        """The workpiece lies in it."""
        return Serves(carries=True)

    def lies(self, site: Site) -> None:
        """Round the axis."""

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Nothing of its own: a drawing gives every bore, ledge and level of the seat."""
        return ()

    def bore_names(self, count: int) -> list[str]:
        """The opening inside the lowest ledge, then the seats."""
        if count < 2:
            return ["seat bore"] * count
        steps = [f"seat bore {count - k}" for k in range(1, count - 1)]
        return ["opening", *steps, "seat bore"]

    def turned_alone(self) -> RingSeat:
        """The whole ledge."""
        return replace(self, pads=0, gaps=())

    def reread(self, now: Now) -> RingSeat | None:
        """The one seat in which a workpiece lies now."""
        if not now.lies_here:
            return None
        return replace(
            self,
            play=min(now.play, 1.0),
            fit="",
            ledge=min(max((now.across - now.opening) / 2, 0.2), 6.0),
            drop=min(max(now.drop, 0.0), 2.0) if now.drop > 1e-6 else 0.0,
            steps=(),
        )

    def opening(self, site: Site) -> Length:
        """Offset of the opening inside the lowest ledge."""
        return self.levels(site)[-1][0] - self.aim(site) / 2 - self.ledge

    def opens(self, site: Site) -> Length:
        """Inside the lowest ledge."""
        return -self.opening(site)

    def variants(self, site: Site) -> Iterator[Part]:
        """With drains elsewhere, no groove, wider gaps, a smaller lead-in, a narrower ledge."""
        if self.corner_relief > 0.0:
            for step in (1.0, 2.0, 3.0, 4.0, 5.0):
                yield replace(self, drain_hour=(self.drain_hour + step) % 12.0)
            yield replace(self, corner_relief=0.0)
        if self.gaps:  # so wide that they take in the sliver beside them
            for more in (1.0, 2.0, 3.0):
                if self.gap_width + more <= WIDEST_GAP:
                    yield replace(self, gap_width=round(self.gap_width + more, 3))
        if self.lead_in > 0.25:
            yield replace(self, lead_in=0.25)
        for ledge in (0.7, 0.5):
            if ledge < self.ledge:
                yield replace(self, ledge=ledge, corner_relief=0.0)

    def leaves_out(self, site: Site) -> tuple[tuple[Hour, Length], ...]:
        """The gaps of the ledge."""
        return tuple((hour, self.gap_width) for hour in self.gaps)

    def profile(self, site: Site) -> list[tuple[Length, Length]]:
        """(offset from the outline, z) of the cut from the floor to the mouth."""
        low = site.floor if site.floor > 0.0 else -OVER
        seats = self.levels(site)
        if seats[-1][1] - self.corner_relief <= max(low, 0.0):
            raise BadInput(
                f"ring seat steps end {seats[-1][1]:.2f} mm above the bench, at or below "
                f"the floor at {site.floor:g} mm; give more room under."
            )
        out = [(self.opening(site), low)]
        for bore, level in reversed(seats):
            groove = self.corner_relief
            if groove > 0.0 and bore - groove > out[-1][0]:
                out += [
                    (out[-1][0], level),
                    (bore - groove, level),
                    (bore - groove, level - groove),
                    (bore, level - groove),
                ]
            else:
                out += [(out[-1][0], level), (bore, level)]
        out += [(out[-1][0], site.top - self.lead_in)]
        out += [(out[-1][0] + self.lead_in, site.top), (out[-1][0] + self.lead_in, site.top + OVER)]
        return out

    def stands(self, site: Site) -> tuple[object, ...]:
        """One seat takes the workpiece, whatever its sort."""
        return ("seat",)

    def shape(self, site: Site) -> Shape:
        """The cut for rim and underside."""
        if site.body.depth <= self.lead_in + 0.1:
            raise BadInput(
                f"ring seat lead_in is {self.lead_in:g} mm; it must leave 0.1 mm of the "
                f"seat's depth, {site.body.depth:g} mm."
            )
        edge = site.edge()
        cut = loft([(edge.bore(out), z) for out, z in self.profile(site)])
        if self.corner_relief > 0.0:
            cut = union([cut, *self._drains(site)])
        if self.pads == 3:
            cut = union([cut, self._between_pads(site, edge)])
        if self.gaps:
            cut = union([cut, self._left_out(site, edge)])
        return Shape(cuts=cut, room=True)

    def _drains(self, site: Site) -> list[Solid]:
        """Two ways from each groove across its ledge; else it is a closed ring, and a cup."""
        seats, groove = self.levels(site), self.corner_relief
        width = max(1.0, site.card.smallest_gap)
        inner = [bore for bore, _ in seats[1:]] + [self.opening(site)]
        out = []
        for hour in (self.drain_hour, (self.drain_hour + 6.0) % 12.0):
            radius, angle = site.radius(hour), site.frame.angle(hour)
            for (bore, level), end in zip(seats, inner, strict=True):
                # from well inside the next bore or opening to the middle of the groove
                near, far = radius + end - OVER / 2, radius + bore - groove / 2
                out.append(block(angle, near, far, width, level - groove, level))
        return out

    def _under(self, site: Site, edge: Loop) -> Solid:
        """All that is inside the bore below the rim."""
        bore, low = self.bore_offset(site), site.floor if site.floor > 0.0 else -OVER
        return loft([(edge.bore(bore), low), (edge.bore(bore), site.seat - self.drop)])

    def _between_pads(self, site: Site, edge: Loop) -> Solid:
        hours = [self.pad_hour + 4.0 * i for i in range(3)]
        return self._under(site, edge) - self._arms(site, hours, self.pad_width)

    def _left_out(self, site: Site, edge: Loop) -> Solid:
        return self._under(site, edge) ^ self._arms(site, self.gaps, self.gap_width)

    def _arms(self, site: Site, hours: Iterable[float], width: Length) -> Solid:
        far, low = 200.0, min(site.floor, 0.0) - 2 * OVER
        return union(
            block(site.frame.angle(hour), 0.0, far, width, low, site.top + OVER) for hour in hours
        )

    def _is_left_out(self, site: Site, hour: float) -> bool:
        """Whether a gap lies at an hour."""
        half = math.degrees(math.asin(min(1.0, self.gap_width / 2 / site.radius(hour)))) / 30.0
        return any(hours_between(hour, gap) < half for gap in self.gaps)

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """The ledge, as three or twelve places on the rim."""
        if self.drop > 0.0:
            return ()
        count = self.pads or 12
        hours = [self.pad_hour + i * 12.0 / count for i in range(count)]
        width = self.pad_width if self.pads else 2 * math.pi * site.radius(0.0) / count
        out = []
        for each in hours:
            if self._is_left_out(site, each % 12.0):
                continue
            radius, angle = site.radius(each) - self.ledge / 2, site.frame.angle(each)
            at = (radius * math.cos(angle), radius * math.sin(angle), site.seat)
            out.append(Contact(self.tag, "rim", at, self.ledge * width, above=False))
        return tuple(out)
