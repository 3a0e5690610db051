"""Wall: local thickness, the largest ball that touches the surface and stays inside."""

from __future__ import annotations

import numpy as np

from nests.finding import Finding, Grade
from nests.study import GROOVE, GROOVE_FLOOR, Study
from nests.thickness import Thickness

WITHIN = 1e-3
"""mm by which a reading may lie below the limit and still meet it, so that a wall drawn just at
the limit passes; thickness is measured to 0.002 mm on shapes where it is known. Chosen, no
source."""
ROUNDED = 5e-3
"""mm by which a stroke may be drawn narrower than its line: its outline is simplified."""


def check(study: Study) -> list[Finding]:
    """A `stop` for each part (or pair of parts) whose wall is thinner than the card allows."""
    card = study.card
    return narrow(
        study,
        study.walls,
        check="wall",
        word="wall",
        limit=card.smallest_wall,
        origin=card.origin("smallest_wall"),
        remedy="a thicker wall",
    )


def narrow(
    study: Study, found: Thickness, *, check: str, word: str, limit: float, origin: str, remedy: str
) -> list[Finding]:
    """The narrowest place between each pair of makers below `limit` mm, or one `clear`.

    What an engraving leaves between its own strokes is judged against the finest line the
    printer shows, not as a wall. A shallow groove of which no part is known may be a stroke: where
    it is narrower than a gap it should change, but need not.
    """
    card = study.card
    pairs: dict[tuple[str, ...], int] = {}
    for index in _narrowest(study, found, limit - WITHIN):
        names = {study.part_of(int(f[index])) for f in (found.face, found.opposite_face)}
        key = tuple(sorted(names))
        strokes = [study.engraved(name) for name in key]
        # at its mouth a stroke's own width may be seen from the face it is sunk into
        mouth = check == "gap" and found.diameter[index] > card.smallest_line - ROUNDED
        # of two grooves the floor of one may face the side of the other, under what stands between
        if check == "wall" and key == (GROOVE_FLOOR, GROOVE):
            continue
        groove = check == "gap" and key == (GROOVE,)
        if groove and study.letters and mouth:
            continue
        if (all(strokes) or (mouth and any(strokes))) and not groove:
            continue
        if key not in pairs or found.diameter[index] < found.diameter[pairs[key]]:
            pairs[key] = index
    out = []
    for key, index in sorted(pairs.items()):
        x, y, z = (round(float(c), 4) for c in found.points[index])
        out.append(
            Finding(
                check=check,
                grade=Grade.MEND if key == (GROOVE,) else Grade.STOP,
                parts=key,
                value=float(found.diameter[index]),
                limit=limit,
                unit="mm",
                origin=origin,
                place=(x, y, z),
                remedy=remedy,
                says=f"the {word} {_between(key)} is {found.diameter[index]:.3f} mm; the printer "
                f"card asks for {limit:g} mm.",
            )
        )
    # what is narrower was let pass above
    counted = found.diameter[found.diameter >= limit - WITHIN]
    least = float(counted.min()) if len(counted) else np.inf
    return out or [
        Finding(
            check=check,
            grade=Grade.CLEAR,
            limit=limit,
            unit="mm",
            origin=origin,
            value=least if np.isfinite(least) else None,
            says=f"no {word} below {limit:g} mm, within {WITHIN:g} mm, at "
            f"{len(found.points)} points.",
        )
    ]


def _narrowest(study: Study, found: Thickness, limit: float) -> list[int]:
    """Index of the narrowest place below `limit` between each two makers of faces."""
    thin = np.flatnonzero(found.diameter < limit)
    makers = study.mesh.makers
    one, two = makers[found.face[thin]], makers[found.opposite_face[thin]]
    low, high = np.minimum(one, two), np.maximum(one, two)
    order = np.lexsort((found.diameter[thin], high, low))
    fresh = np.ones(len(order), dtype=np.bool_)
    fresh[1:] = (np.diff(low[order]) != 0) | (np.diff(high[order]) != 0)
    narrowest: list[int] = thin[order[fresh]].tolist()
    return narrowest


def _between(parts: tuple[str, ...]) -> str:
    return f"between {parts[0]} and {parts[1]}" if len(parts) == 2 else f"of {parts[0]}"
