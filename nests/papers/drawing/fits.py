"""The fits of a drawing: what fits into what, as drawn and as it should measure when printed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from nests.given.zones import Round
from nests.papers.drawing.cuts import HalfPlane
from nests.papers.drawing.noted import guide_bores
from nests.papers.drawing.planes import SectionPlane, part_hour, post_place
from nests.papers.drawing.profile import Subject, bores, spans
from nests.papers.drawing.tables import table
from nests.papers.drawing.values import Block
from nests.parts.base import Site
from nests.parts.cradle import Cradle
from nests.parts.mould import Mould
from nests.parts.plunger import Plunger
from nests.parts.ring_seat import RingSeat
from nests.parts.seat_below import SeatBelow
from nests.parts.stake_post import StakePost
from nests.units import printed


@dataclass(frozen=True)
class Fit:
    """One fit: its name and of which things, nominal and drawn size in mm, what was asked, and
    the sign of the size (⌀ if round)."""

    name: str
    of: tuple[str, ...]
    nominal: float
    asked: str
    drawn: float
    sign: str = "⌀"

    def same(self, other: Fit) -> bool:
        """Whether both say the same of different things, to the figures written."""
        one, two = ((f.name, f.sign, f.asked, *f.sizes()) for f in (self, other))
        return one == two

    def sizes(self) -> tuple[str, str]:
        """Nominal and drawn size as written."""
        return f"{self.sign}{printed(self.nominal)}", f"{self.sign}{printed(self.drawn)}"


def fit_table(subject: Subject, sections: list[SectionPlane]) -> Block | None:
    """The fits: nominal, asked, as drawn, and as it should measure when printed."""
    card = subject.holder.recipe.printer
    rows = []
    for each in _together(_fits(subject, sections)):
        comes_out = each.drawn * (1.0 + card.inside_bias_slope) + card.inside_bias
        name = f"{each.name} {', '.join(each.of)}".strip()
        nominal, drawn = each.sizes()
        measures = f"{each.sign}{printed(comes_out)} ±{printed(card.scatter)}"
        rows.append((name, nominal, each.asked, drawn, measures))
    if not rows:
        return None
    return table("fits", "Fits", ("fit", "nominal", "asked", "as drawn", "should measure"), rows)


def _together(fits: Iterator[Fit]) -> list[Fit]:
    """Fits that say the same of several things as one."""
    out: list[Fit] = []
    for each in fits:
        for k, other in enumerate(out):
            if each.of and other.same(each):
                out[k] = replace(other, of=other.of + each.of)
                break
        else:
            out.append(each)
    return out


def _fits(subject: Subject, sections: list[SectionPlane]) -> Iterator[Fit]:
    yield from _seat(subject, sections)
    posts = 0
    for each in subject.holder.laid:
        part = each.part
        if isinstance(part, SeatBelow):
            found = [c for c in subject.faces.cylinders(each.label) if c.bore]
            if found:
                asked = f"play {printed(part.play)}"
                yield Fit("seat below", (), part.diameter, asked, 2 * found[0].radius)
        elif isinstance(part, Plunger):
            guides = guide_bores(subject, each.label, part)
            if guides:
                of = (f"{part_hour(subject, part):g} h",)
                drawn, asked = 2 * guides["guide"].radius, f"play {printed(part.play)}"
                yield Fit("guide at", of, part.pin, asked, drawn)
        elif isinstance(part, StakePost):
            posts += 1
            place = post_place(subject, part)
            assert place is not None
            found = [c for c in subject.faces.cylinders(each.label, place.x, place.y) if c.bore]
            if part.kind != "printed" and found:
                drawn = 2 * max(found, key=lambda c: c.high).radius
                asked = {"pin": "pin", "screw": "thread", "soft": "disc"}[part.kind]
                yield Fit("in post", (str(posts),), part.insert, asked, drawn)


def _seat(subject: Subject, sections: list[SectionPlane]) -> Iterator[Fit]:
    """The seat of the workpiece; one that is not round straight across at its sections."""
    if subject.seat is None:
        return
    recipe, (_, part) = subject.holder.recipe, subject.seat
    site, outline = recipe.site(), recipe.workpiece.outline
    sheet = recipe.workpiece
    _, shown = sections[0].turned
    if isinstance(part, Mould):
        for what, _ in bores(subject, shown)[-1:]:
            yield Fit("pad", (), part.diameter, "the pad's ⌀", what.value)
        return
    if isinstance(part, RingSeat):
        name, asked = "seat bore", part.fit or f"play {printed(part.play)}"
        flange = sheet.edge(site.side_down)[0]
    elif isinstance(part, Cradle):
        name, asked = "pocket", f"play {printed(2 * part.clearance)}"
        flange = max(sheet.edge(side)[0] for side in (site.side_up, site.side_down))
    else:
        return
    if isinstance(outline, Round):
        for what, _ in bores(subject, shown)[-1:]:
            yield Fit(name, (), outline.diameter + 2 * flange, asked, what.value)
        return
    for each in sections:
        if each.is_across:
            for what, _, _ in spans(subject, each.left, each.right, each.name)[-1:]:
                nominal = outline_across(site, each.right.plane) + 2 * flange
                yield Fit(f"{name} across at {each.name}", (), nominal, asked, what.value, "")


def outline_across(site: Site, plane: HalfPlane) -> float:
    """Length in mm of the line in which a whole plane cuts the outline of the workpiece."""
    corners = np.asarray(site.edge().bore(0.0))
    side, along = corners @ plane.left - plane.offset, corners @ plane.ahead
    next_side, next_along = np.roll(side, -1), np.roll(along, -1)
    crosses = (side < 0.0) != (next_side < 0.0)
    share = side[crosses] / (side[crosses] - next_side[crosses])
    reached = along[crosses] + share * (next_along[crosses] - along[crosses])
    return float(np.ptp(reached))
