"""Steady: nothing tips or slides under the presses of the operation, nor when pushers are worked.

The holder stands on the hull of its first layer, the workpiece on the hull of the faces that carry
it; both are measured on the solid. A press leans as a hand does, and the resultant of press and
weights must stay inside both. The workpiece is taken to weigh on its axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np

from nests.checks.bench._bearing import bearing_points, carrying
from nests.checks.bench._pushed import pushed
from nests.checks.bench._standing import LEAN, Standing
from nests.finding import Finding, Grade
from nests.holder.compose import Holder
from nests.holder.recipe import MOULD
from nests.holder.workpiece import Floats, lugs, rim_plan
from nests.load_path.loads import MASS, NO_MASS, Load, presses
from nests.load_path.steadiness import ORIGIN as STANDS
from nests.load_path.steadiness import TOUCH, least
from nests.load_path.strength import weight
from nests.mechanics.rests import (
    slides,
    support_polygon,
)
from nests.solids.solid import Triangles
from nests.study import Study
from nests.units import GRAVITY

LEAN_ORIGIN = "press leaning by 10°, from memory"
PLACES = 3
"""Contacts a workpiece needs: two tips, however wide, leave it to rock."""
STATICS = "statics of a rigid body on its support polygon"


def check(study: Study) -> list[Finding]:
    """Findings for holder and workpiece; none for a mould, in which nothing is worked on."""
    holder = study.holder
    if holder is None or holder.recipe.kind == MOULD:
        return []
    site = holder.recipe.site()
    loads = presses(site, holder.recipe.operation)
    bodies: list[Standing] = []
    out: list[Finding] = []
    for stand in (_holder, _workpiece):
        try:
            bodies.append(stand(study, holder))
        except ValueError:
            out.append(_on_a_line(holder, stand is _holder))
    for body in bodies:
        out += _pressed(body, loads)
        out += _at_the_edge(body)
    out += pushed(study, holder, bodies)
    own = [body for body in bodies if body.name == "holder"]
    return out + [_sliding(study, body, loads) for body in own]


def _holder(study: Study, holder: Holder) -> Standing:
    layer = study.solid.slice(study.lowest + study.card.layer / 2)
    own = study.mesh.volume() / 1000 * study.card.density * GRAVITY
    on_it = weight(holder.recipe.workpiece) or 0.0
    middle = centroid(study.mesh)[:2] * own / (own + on_it)
    outside = np.vstack(study.solid.project().hull().to_polygons())
    return Standing(
        "holder",
        support_polygon(np.vstack([*layer.to_polygons(), np.zeros((0, 2))])),
        study.lowest,
        own + on_it,
        (float(middle[0]), float(middle[1])),
        outside,
        ("body",),
    )


def _workpiece(study: Study, holder: Holder) -> Standing:
    site = holder.recipe.site()
    found = carrying(holder)
    ledges = {each.label for each in holder.laid if each.part.shelf(site) is not None}
    tips = [ring for lug in lugs(site) for ring in lug.plan.to_polygons()]
    on_ledge = any(label in ledges for label, _ in found)
    if len(found) < PLACES:
        raise ValueError("nothing stands on fewer than three contacts")
    return Standing(
        "workpiece",
        support_polygon(bearing_points(holder)),
        min((c.place[2] for _, c in found), default=site.seat),
        weight(site.sheet),
        (0.0, 0.0),
        np.vstack([*rim_plan(site, site.side_up).to_polygons(), *tips]),
        tuple(sorted({label for label, _ in found})),
        best=site.sheet.kind == "sub-assembly" or on_ledge,
        held=any(each.part.serves().holds for each in holder.laid),
        rim="rim or a lug" if tips else "rim",
    )


def centroid(mesh: Triangles) -> Floats:
    """Centre of volume (3,) of a closed mesh: signed tetrahedra from the origin."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0
    return np.asarray((a + b + c).T @ volumes / (4.0 * volumes.sum()))


def _on_a_line(holder: Holder, foot: bool) -> Finding:
    name = "holder" if foot else "workpiece"
    labels = tuple(sorted({label for label, _ in carrying(holder)}))
    return Finding(
        check="steady",
        grade=Grade.STOP,
        says=f"the {name} stands on fewer than three places that do not lie on one line: it tips.",
        parts=("body",) if foot or not labels else labels,
        origin=STATICS,
        remedy="a wider foot" if foot else "a ledge, or three posts or pads round the middle",
    )


def _pressed(body: Standing, loads: Iterable[Load]) -> Iterator[Finding]:
    """One finding for each press that fails, else one for the press nearest to failing."""
    judged = [(body.margin(load) - body.wanted(load), load) for load in loads]
    failing = [load for spare, load in judged if spare < 0.0]
    nearest = [min(judged, key=lambda pair: pair[0])[1]] if judged else []
    for load in failing or nearest:
        margin, wanted = body.margin(load), body.wanted(load)
        grade = Grade.STOP if margin < 0.0 else Grade.MEND if margin < wanted else Grade.CLEAR
        if margin >= 0.0:
            how = f"stays {margin:.2f} mm inside what the {body.name} stands on"
        else:
            how = f"falls {-margin:.2f} mm outside what the {body.name} stands on: it tips"
        yield Finding(
            check="steady",
            grade=grade,
            says=f"pressed with {load.force:g} N on '{load.arbor}', the resultant {how}; a press "
            f"that leans by {math.degrees(LEAN):.0f}° takes {wanted:.2f} mm of that.",
            parts=body.parts,
            value=margin,
            limit=wanted,
            unit="mm",
            origin=f"{STATICS}; {LEAN_ORIGIN}",
            place=(*load.at, body.z),
            remedy="" if grade is Grade.CLEAR else _support(body),
        )


def _support(body: Standing) -> str:
    if body.name == "holder":
        return "a wider body"
    return "a post under the arbor that is pressed, or a ledge or rests farther out than it"


def _at_the_edge(body: Standing) -> Iterator[Finding]:
    """The force at the rim that tips a body by itself."""
    if body.weight is None:
        yield Finding(
            check="steady",
            grade=Grade.UNKNOWN,
            says=f"not assessed: which force at its rim tips the {body.name}; its mass is not "
            "on the sheet.",
            parts=body.parts,
            origin=STATICS,
            remedy=NO_MASS,
            lacks=MASS,
        )
        return
    if body.polygon.margin(body.centre) < 0.0:
        yield Finding(
            check="steady",
            grade=Grade.STOP,
            says=f"the {body.name} tips by its own weight: its middle lies "
            f"{-body.polygon.margin(body.centre):.2f} mm outside what it stands on.",
            parts=body.parts,
            value=body.polygon.margin(body.centre),
            limit=0.0,
            unit="mm",
            origin=STATICS,
            place=(*body.centre, body.z),
            remedy=_support(body),
        )
        return
    force = body.tips_at_edge(body.weight)
    tips = math.isfinite(force)
    wanted = least(body.weight) if body.best else TOUCH
    grade = Grade.CLEAR
    if force < wanted and not body.held:
        grade = Grade.STOP if force < least(body.weight) else Grade.MEND
    farther = "farther in it stands"
    if grade is not Grade.CLEAR:
        farther = f"it rocks at a touch, {wanted:.3g} N are wanted"
    elif force < TOUCH:
        farther = "farther in it stands, so press it there alone"
        if body.held:
            farther = "clips or tabs hold it there"
    yield Finding(
        check="steady",
        grade=grade,
        says=f"the {body.name}, {body.weight / GRAVITY:.3g} g in all, "
        + (
            f"tips when its {body.rim} is pressed straight down with {force:.3g} N; {farther}."
            if tips
            else f"never tips when its {body.rim} is pressed straight down."
        ),
        parts=body.parts,
        value=force if tips else None,
        limit=wanted if tips and not body.held else None,
        unit="N" if tips else "",
        origin=f"{STATICS}; {STANDS}" if tips and not body.held else STATICS,
        remedy="" if grade is Grade.CLEAR else _support(body),
    )


def _sliding(study: Study, body: Standing, loads: tuple[Load, ...]) -> Finding:
    friction, own = study.card.friction, body.weight or 0.0
    origin = f"Coulomb; {study.card.origin('friction')}, taken for the bench too"
    gentlest = min((load.force for load in loads), default=0.0)
    sideways, down = gentlest * math.sin(LEAN), gentlest * math.cos(LEAN) + own
    if not loads:
        says = (
            f"{friction * own:.2g} N sideways slide the holder on the bench: it is held by its "
            "wall."
        )
        return Finding(
            check="steady", grade=Grade.CLEAR, says=says, parts=body.parts,
            value=friction * own, unit="N", origin=origin,
        )  # fmt: skip
    away = slides(sideways, down, friction)
    return Finding(
        check="steady",
        grade=Grade.MEND if away else Grade.CLEAR,
        says=f"a press that leans by {math.degrees(LEAN):.0f}° pushes {sideways:.2f} N sideways; "
        f"friction holds {friction * down:.2f} N" + (": the holder slides." if away else "."),
        parts=body.parts,
        value=sideways,
        limit=friction * down,
        unit="N",
        origin=f"{origin}; {LEAN_ORIGIN}",
        remedy="a mat of rubber under the holder" if away else "",
    )
