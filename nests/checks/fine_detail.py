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
from nests.regions import Regions
from nests.thickness import Thickness


def check(study: Study) -> list[Finding]:
    """A `stop` for each fine pin and bore, `mend` for fine lines."""
    card, stack = study.card, study.layers
    out = _regions(study, stack.solids, card.smallest_pin, "pin or ridge", "smallest_pin")
    enclosed = _regions(study, stack.voids, card.smallest_hole, "upright bore", "smallest_hole")
    out += enclosed
    out += _lines(study, study.gaps, "a stroke")
    out += _lines(study, study.walls, "what is left between strokes")
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


def _lines(study: Study, found: Thickness, word: str) -> list[Finding]:
    """The narrowest engraved line, if it is finer than the printer shows."""
    limit = study.card.smallest_line
    worst: dict[str, int] = {}
    for index in np.flatnonzero(found.diameter < limit - 0.01).tolist():
        names = {study.part_of(int(f[index])) for f in (found.face, found.opposite_face)}
        if len(names) > 1 or not next(iter(names)).startswith("mark "):
            continue
        name = names.pop()
        if name not in worst or found.diameter[index] < found.diameter[worst[name]]:
            worst[name] = index
    return [
        Finding(
            check="fine detail",
            grade=Grade.MEND,
            parts=(name,),
            unit="mm",
            limit=limit,
            value=float(found.diameter[index]),
            origin=study.card.origin("smallest_line"),
            place=tuple(round(float(c), 4) for c in found.points[index]),  # type: ignore[arg-type]
            says=f"{word} of {name} is {found.diameter[index]:.3f} mm wide; the printer shows "
            f"lines of {limit:g} mm.",
            remedy="larger letters",
        )
        for name, index in sorted(worst.items())
    ]
