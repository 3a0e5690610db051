"""The fits of a drawing: what fits into what, as drawn and as it should measure when printed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from nests.given.zones import Round
from nests.papers.drawing.cuts import HalfPlane
from nests.papers.drawing.noted import bore_at, guide_bores
from nests.papers.drawing.planes import SectionPlane
from nests.papers.drawing.profile import Subject, bores, spans
from nests.papers.drawing.tables import table
from nests.papers.drawing.values import Block
from nests.parts.drawn import Socket, Tunnel, Well
from nests.parts.site import Site
from nests.places import Place
from nests.units import dial_hour, printed


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
        comes_out = card.comes_out(each.drawn)
        name = f"{each.name} {', '.join(each.of)}".strip()
        nominal, drawn = each.sizes()
        within = card.scatter + card.bore_doubt(each.drawn)
        measures = f"{each.sign}{printed(comes_out)} ±{printed(within)}"
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
    site, posts = subject.holder.recipe.site(), 0
    for each in subject.holder.laid:
        for seat in each.part.seats(site):
            if seat.in_foot and seat.size is not None:
                bore = bore_at(subject, each.label, Place(0.0, 0.0), site.card.inside(seat.bore))
                yield Fit(seat.name, (), seat.size, seat.wanted, 2 * bore.radius)
        posts += each.part.post() is not None
        for item in each.part.drawn(site):
            if isinstance(item, Tunnel):
                drawn = 2 * guide_bores(subject, each.label, item)["guide"].radius
                of, asked = (f"{dial_hour(item.lie.hour)} h",), f"play {printed(item.play)}"
                yield Fit("guide at", of, item.takes, asked, drawn)
            elif isinstance(item, Socket):
                bore = bore_at(subject, each.label, item.at, item.nominal)
                yield Fit("in post", (str(posts),), item.takes, item.asked, 2 * bore.radius)
            elif isinstance(item, Well) and item.asked:
                bore = bore_at(subject, each.label, item.at, item.nominal)
                yield Fit(each.label, (), item.takes, item.asked, 2 * bore.radius)


def _seat(subject: Subject, sections: list[SectionPlane]) -> Iterator[Fit]:
    """The seat of the workpiece; one that is not round straight across at its sections."""
    if subject.seat is None:
        return
    recipe, (_, part) = subject.holder.recipe, subject.seat
    site, outline = recipe.site(), recipe.workpiece.outline
    _, shown = sections[0].turned
    cast = part.cast(site)
    if cast is not None:
        for what, _ in bores(subject, shown)[-1:]:
            yield Fit("pad", (), cast.diameter, "the pad's ⌀", what.value)
    for seat in part.seats(site)[:1]:
        if isinstance(outline, Round):
            for what, _ in bores(subject, shown)[-1:]:
                nominal = outline.diameter + 2 * seat.out
                yield Fit(seat.name, (), nominal, seat.wanted, what.value)
            continue
        for each in sections:
            if each.is_across:
                for what, _, _ in spans(subject, each.left, each.right, each.name)[-1:]:
                    nominal = outline_across(site, each.right.plane) + 2 * seat.out
                    name = f"{seat.name} across at {each.name}"
                    yield Fit(name, (), nominal, seat.wanted, what.value, "")


def outline_across(site: Site, plane: HalfPlane) -> float:
    """Length in mm of the line in which a whole plane cuts the outline of the workpiece."""
    corners = np.asarray(site.edge().bore(0.0))
    side, along = corners @ plane.left - plane.offset, corners @ plane.ahead
    next_side, next_along = np.roll(side, -1), np.roll(along, -1)
    crosses = (side < 0.0) != (next_side < 0.0)
    share = side[crosses] / (side[crosses] - next_side[crosses])
    reached = along[crosses] + share * (next_along[crosses] - along[crosses])
    return float(np.ptp(reached))
