"""The mark: what is engraved, and the notch at 12 h."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Any, ClassVar

import numpy as np
from manifold3d import CrossSection, FillRule

from nests.letters.engraving import require_strokes
from nests.parts.answers import Letters, Lie, Shape
from nests.parts.base import Part
from nests.parts.drawn import Drawn
from nests.parts.feature import Feature
from nests.parts.site import Site
from nests.places import Points
from nests.solids.solid import OVER, Solid, along, pillar, remembered
from nests.units import BadInput, Hour, Length, hour, mm, said

GAP = 0.25  # between letters, in letter heights
NOTCH = "12 h notch"
REMEMBERED = 64
"""Engravings that are kept: while a holder is changed its words stay."""


@dataclass(frozen=True, kw_only=True)
class Mark(Part):
    """Text engraved along the upper face, upright when 12 h points away; or the 12 h notch.

    Strokes have one width, the finest line the printer shows, so they neither close nor thin.
    """

    tag: ClassVar[str] = "mark"
    strokes: ClassVar[bool] = True
    text: str = said("what is engraved; '12 h notch' cuts the notch instead")
    at: Hour = hour(meaning="hour at its middle")
    height: Length = mm(2.0, low=0.8, high=8.0, meaning="height of the letters")
    depth: Length = mm(0.4, low=0.1, high=1.5, meaning="depth of the engraving")
    line: Length = mm(0.3, low=0.1, high=1.0, meaning="width of a stroke")

    def label(self) -> str:
        """Named after its text."""
        return f"mark '{self.text}'"

    def span(self, radius: Length) -> float:
        """Hours the text takes on a circle of that radius (mm)."""
        if self.text == NOTCH:
            return 12.0 / np.pi * np.arcsin(min(1.0, 1.5 / radius)) if radius > 0 else 12.0
        return float(np.degrees(advance(self.text) * self.height / radius)) / 30.0

    def letters(self) -> Letters | None:
        """Its text; the notch is none."""
        return None if self.text == NOTCH else Letters(self.text, self.height, self.line)

    def engraved_at(self, at: Hour, height: Length) -> Mark:
        """Along the upper face elsewhere, no larger than asked."""
        return replace(self, at=at, height=min(height, self.height))

    def lies(self, site: Site) -> Lie:
        """At the hour of its middle."""
        return Lie(self.at, site.frame.angle(self.at))

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """Nothing: it is read in the plan, and how deep it is stands in the notes."""
        return ()

    def features(self, site: Site) -> tuple[Feature, ...]:
        """Nothing: it is read."""
        return ()

    def shape(self, site: Site) -> Shape:
        """The strokes, or the notch, sunk into the upper face."""
        outer, inner = site.outer(self.at), site.radius(self.at)
        if self.text == NOTCH:
            return Shape(cuts=self._notch(site, outer))
        margin = site.body.edge_chamfer + site.card.smallest_wall + 0.2
        if outer - inner < self.height + 2 * margin:
            raise BadInput(
                f"{self.label()}: the upper face is {outer - inner:.2f} mm wide; letters "
                f"of {self.height:g} mm need {self.height + 2 * margin:g} mm."
            )
        middle = outer - margin - self.height / 2
        require_strokes(self.text)
        lower = 3.0 < self.at % 12.0 < 9.0
        line = max(self.line, site.card.smallest_line)
        cut = _engraving(
            self.text, self.height, middle, lower, line, site.top - self.depth, site.top + OVER
        )
        return Shape(cuts=along(cut, site.frame.angle(self.at) - np.pi / 2))

    def _notch(self, site: Site, outer: Length) -> Solid:
        half, deep = 1.0, 1.2
        plan = CrossSection(
            [[(0.0, outer - deep), (half * 2, outer + deep), (-half * 2, outer + deep)]]
        )
        cut = pillar(plan, -OVER, site.top + OVER)
        return along(cut, site.frame.angle(0.0) - np.pi / 2)


@cache
def _font() -> Any:
    from HersheyFonts import HersheyFonts

    font = HersheyFonts()
    font.load_default_font("futural")
    font.normalize_rendering(1.0)
    return font


@cache
def strokes(text: str) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Strokes of a line of text one unit high, starting at x = 0 (font: Hershey, futura light)."""
    return tuple(tuple((x, y) for x, y in line) for line in _font().strokes_for_text(text))


def advance(text: str) -> float:
    """Width of a line of text in letter heights."""
    lines = strokes(text)
    return max((x for line in lines for x, _ in line), default=0.0) + GAP


def bent(text: str, height: Length, radius: Length, inward: bool) -> list[Points]:
    """Strokes bent along a circle of `radius`, centred on +y, tops outward or inward."""
    width, turn = advance(text) - GAP, -1.0 if inward else 1.0
    out = []
    for line in strokes(text):
        xy = np.array(line)
        angle = np.pi / 2 - turn * (xy[:, 0] - width / 2) * height / radius
        at = radius + turn * (xy[:, 1] - 0.5) * height
        out.append(np.column_stack((at * np.cos(angle), at * np.sin(angle))))
    return out


@remembered(REMEMBERED)
def _engraving(
    text: str, height: Length, radius: Length, inward: bool, line: Length, low: Length, top: Length
) -> Solid:
    """What is cut away for a text on +y, from `low` to `top`."""
    return pillar(_thick(bent(text, height, radius, inward), line), low, top)


def _thick(lines: list[Points], width: Length) -> CrossSection:
    import shapely

    plan = shapely.union_all(
        shapely.buffer(
            shapely.MultiLineString([shapely.LineString(p) for p in lines]), width / 2, quad_segs=3
        )
    )
    rings = []
    for each in shapely.get_parts(plan):
        rings.append(np.asarray(each.exterior.coords)[:-1])
        rings += [np.asarray(hole.coords)[:-1] for hole in each.interiors]
    return CrossSection(rings, FillRule.EvenOdd).simplify(0.002)
