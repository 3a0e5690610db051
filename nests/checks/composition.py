"""Composition: do the parts of a recipe leave each other whole?

A slot that cuts a post, two parts that claim one place, a part outside the body, a part of which
nothing is left, a holder in pieces, a wall between two parts below the card's minimum.
"""

from __future__ import annotations

import numpy as np
from manifold3d import CrossSection

from nests.finding import Finding, Grade
from nests.holder.compose import Holder, Laid
from nests.solids.solid import Solid, pillar, triangles, union
from nests.study import Study

CRUMB = 1e-4
"""Volume in mm³ below which two solids only touch."""


def check(study: Study) -> list[Finding]:
    """Findings that name the two parts; a mesh without a recipe has no parts to speak of."""
    if study.holder is None:
        return []
    holder = study.holder
    laid = holder.laid[1:]
    room = [each.shape.cuts for each in laid if each.shape.room and each.shape.cuts is not None]
    inside = union(room) if room else None
    out: list[Finding] = []
    for index, later in enumerate(laid):
        out += _outside(holder, later)
        for earlier in laid[:index]:
            out += _clash(earlier, later, inside)
    out += _left(holder)
    return out


def _overlap(one: Solid | None, two: Solid | None) -> Solid | None:
    if one is None or two is None or not _boxes_meet(one, two):
        return None
    both = one ^ two
    return both if both.volume() > CRUMB else None


def _boxes_meet(one: Solid, two: Solid) -> bool:
    a, b = one.bounding_box(), two.bounding_box()
    return all(a[k] < b[k + 3] and b[k] < a[k + 3] for k in range(3))


def _middle(solid: Solid) -> tuple[float, float, float]:
    x0, y0, z0, x1, y1, z1 = solid.bounding_box()
    return round((x0 + x1) / 2, 4), round((y0 + y1) / 2, 4), round((z0 + z1) / 2, 4)


def _clash(earlier: Laid, later: Laid, inside: Solid | None) -> list[Finding]:
    names = (later.label, earlier.label)
    cut = _overlap(earlier.shape.adds, later.shape.cuts)
    if cut is not None:
        return [
            _stop(
                f"{later.label} cuts {cut.volume():.3g} mm³ out of {earlier.label}",
                names,
                cut,
                "move one of the two",
            )
        ]
    both = _overlap(earlier.shape.adds, later.shape.adds)
    if both is not None:
        return [
            _stop(
                f"{later.label} and {earlier.label} claim one place ({both.volume():.3g} mm³)",
                names,
                both,
                "move one of the two, or make it thinner",
            )
        ]
    if earlier.shape.room or later.shape.room:
        return []
    filled = _overlap(earlier.shape.cuts, later.shape.adds)
    shared = filled or _overlap(earlier.shape.cuts, later.shape.cuts)
    if shared is not None and inside is not None:
        shared = shared - inside
    if shared is not None and shared.volume() > CRUMB:
        return [
            _stop(
                f"{later.label} and {earlier.label} claim one place ({shared.volume():.3g} mm³)",
                names,
                shared,
                "move one of the two",
            )
        ]
    return []


def _stop(says: str, parts: tuple[str, ...], where: Solid, remedy: str) -> Finding:
    return Finding(
        check="composition",
        grade=Grade.STOP,
        says=says + ".",
        parts=parts,
        value=where.volume(),
        limit=0.0,
        unit="mm³",
        place=_middle(where),
        remedy=remedy,
    )


def _outside(holder: Holder, each: Laid) -> list[Finding]:
    """Additions that leave the body in plan."""
    adds = each.shape.adds
    if adds is None:
        return []
    site = holder.recipe.site()
    box = adds.bounding_box()
    column = pillar(CrossSection([holder.recipe.body.plan(site)]), box[2] - 1.0, box[5] + 1.0)
    beyond = adds - column
    if beyond.volume() <= CRUMB:
        return []
    return [
        _stop(
            f"{each.label} lies outside the body",
            (each.label, "body"),
            beyond,
            "move it inward or widen the body",
        )
    ]


def _left(holder: Holder) -> list[Finding]:
    out = []
    if holder.solid.is_empty() or holder.solid.volume() <= CRUMB:
        return [
            Finding(
                check="composition",
                grade=Grade.STOP,
                says="nothing is left of the body.",
                parts=("body",),
                remedy="make the body larger",
            )
        ]
    there = set(np.unique(holder.mesh.makers).tolist())
    for each in holder.laid:
        for solid, verb in ((each.shape.adds, "of what it adds"), (each.shape.cuts, "to cut")):
            if solid is not None and solid.original_id() not in there:
                out.append(
                    Finding(
                        check="composition",
                        grade=Grade.STOP,
                        parts=(each.label,),
                        says=f"{each.label}: nothing is left {verb}.",
                        place=_middle(solid),
                        remedy="move it into the body",
                    )
                )
    pieces = [p for p in holder.solid.decompose() if p.volume() > CRUMB]
    if len(pieces) > 1:
        loose = min(pieces, key=lambda p: p.volume())
        names = {holder.made_by.get(int(m), "body") for m in set(triangles(loose).makers.tolist())}
        out.append(
            _stop(
                f"the holder falls into {len(pieces)} pieces; one is loose",
                tuple(sorted(names)),
                loose,
                "join the loose piece to the body",
            )
        )
    return out
