"""Fine detail: upright pins, ridges and bores, and engraved lines, below what the printer shows.

Pins and bores are judged on the layers: a region of solid (or an enclosed region of void) that is
gone when it is shrunk all round by half the card's smallest pin (or hole). Lying bores are judged
as gaps.
"""

from __future__ import annotations

import numpy as np
import shapely

from nests.checks._study import Study
from nests.finding import Finding, Grade
from nests.outlines import Ints
from nests.parts.mark import NOTCH, Mark
from nests.regions import Regions

LEGIBLE = 4.0
"""Least height of letters in widths of their strokes; common practice, no source."""


def check(study: Study) -> list[Finding]:
    """A `stop` for each fine pin and bore, `mend` for fine lines."""
    card, stack = study.card, study.layers
    out = _regions(study, stack.solids, card.smallest_pin, "pin or ridge", "smallest_pin")
    out += _regions(study, stack.voids, card.smallest_hole, "upright bore", "smallest_hole")
    out += _letters(study)
    return out or [
        Finding(
            check="fine detail",
            grade=Grade.CLEAR,
            unit="mm",
            limit=card.smallest_pin,
            origin=card.origin("smallest_pin"),
            says=f"no upright pin below {card.smallest_pin:g} mm, no upright bore below "
            f"{card.smallest_hole:g} mm, no line below {card.smallest_line:g} mm, in layers of "
            f"{stack.layer:g} mm.",
        )
    ]


def _regions(study: Study, found: Regions, limit: float, word: str, name: str) -> list[Finding]:
    """One finding for each upright stack of regions without room for a disc of ⌀ `limit`."""
    inner = np.flatnonzero(~found.outer)
    # a hair less than the limit, so that a pin of just that ⌀ passes
    gone = shapely.is_empty(shapely.buffer(found.polygons[inner], -(limit / 2 - 2e-3), quad_segs=4))
    small: Ints = inner[gone]
    out: list[Finding] = []
    seen: list[tuple[float, float]] = []
    for index in small:
        x, y = shapely.get_coordinates(shapely.point_on_surface(found.polygons[index]))[0]
        if any(np.hypot(x - a, y - b) < limit for a, b in seen):
            continue
        seen.append((float(x), float(y)))
        layer = int(study.layers.first_layer[found.section[index]])
        at = np.array([[x, y, study.layers.heights[layer]]])
        parts = study.parts_at(at)
        if parts and all(part.startswith("mark ") for part in parts):
            continue  # strokes are judged as lines
        circle = shapely.maximum_inscribed_circle(found.polygons[index], tolerance=1e-3)
        across = 2 * float(shapely.length(circle))
        out.append(
            Finding(
                check="fine detail",
                grade=Grade.STOP,
                parts=parts,
                value=across,
                limit=limit,
                unit="mm",
                origin=study.card.origin(name),
                place=study.in_use(at[0]),
                says=f"an {word} is {across:.3f} mm across; the printer card asks for {limit:g} mm."
                if word[0] in "aeiou"
                else f"a {word} is {across:.3f} mm across; the printer card asks for {limit:g} mm.",
                remedy=f"a larger {word}",
            )
        )
    return out


def _letters(study: Study) -> list[Finding]:
    """Engravings whose strokes are too fine, or so low that their strokes run together."""
    holder = study.holder
    limit = study.card.smallest_line
    out = []
    for each in holder.laid if holder is not None else ():
        mark = each.part
        if not isinstance(mark, Mark) or mark.text == NOTCH:
            continue
        line = max(mark.line, limit)
        if mark.height < LEGIBLE * line - 1e-9:
            out.append(
                Finding(
                    check="fine detail",
                    grade=Grade.MEND,
                    parts=(each.label,),
                    unit="mm",
                    value=mark.height,
                    limit=LEGIBLE * line,
                    origin="common practice, no source",
                    says=f"the letters of {each.label} are {mark.height:g} mm high with strokes of "
                    f"{line:g} mm; they run together below {LEGIBLE * line:g} mm.",
                    remedy="larger letters or a shorter text",
                )
            )
    return out
