"""Letters as the outlines of a font, for lettering by strokes that has no such letter."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias

from nests.letters import fonts

Line: TypeAlias = tuple[tuple[float, float], ...]
PIECES = 5
"""Chords of a curve between two corners of an outline."""


@cache
def _face(path: Path) -> tuple[Any, dict[int, str], float]:
    """Glyphs of a font file, their names by code point, and the height of a capital in its unit."""
    from fontTools.ttLib import TTFont

    face = TTFont(path, lazy=True, fontNumber=0)
    capital = getattr(face["OS/2"], "sCapHeight", 0) or 0.7 * face["head"].unitsPerEm
    return face.getGlyphSet(), face.getBestCmap() or {}, float(capital)


def outline(letter: str) -> tuple[float, tuple[Line, ...]] | None:
    """Advance and closed outlines of a letter, in heights of a capital; None where no font has it.

    Of a variable or coloured font it is the plain shape.
    """
    from fontTools.pens.basePen import BasePen

    path = fonts.other(letter) or fonts.thin()
    if ord(letter) not in fonts.letters_of(path):
        return None
    glyphs, names, capital = _face(path)
    lines: list[list[tuple[float, float]]] = []

    class Chords(BasePen):  # type: ignore[misc]
        """Curves as chords."""

        def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
            lines.append([pt])

        def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
            lines[-1].append(pt)

        def _curveToOne(  # noqa: N802
            self, pt1: tuple[float, float], pt2: tuple[float, float], pt3: tuple[float, float]
        ) -> None:
            start = lines[-1][-1]
            for step in range(1, PIECES + 1):
                t = step / PIECES
                share = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
                points = (start, pt1, pt2, pt3)
                x, y = (
                    math.fsum(s * p[k] for s, p in zip(share, points, strict=True)) for k in (0, 1)
                )
                lines[-1].append((x, y))

        def _closePath(self) -> None:  # noqa: N802
            lines[-1].append(lines[-1][0])

    glyph = glyphs[names[ord(letter)]]
    glyph.draw(Chords(glyphs))
    made = tuple(tuple((x / capital, y / capital) for x, y in line) for line in lines)
    return glyph.width / capital, made
