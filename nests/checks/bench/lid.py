"""Lid: does it go on, and does it meet nothing of what lies under it?

The lid is taken as it lies on the holder, the workpiece in the middle of its seat. What the sheet
gives no shape of is taken to fill all of the rim up to the highest point of its side.
"""

from __future__ import annotations

from collections.abc import Iterator

from nests.finding import Finding, Grade
from nests.holder.compose import Holder
from nests.holder.workpiece import MARGIN, allowance, rim_plan, volumes
from nests.parts.site import Site
from nests.solids.solid import Solid, pillar
from nests.study import Study

FAR = 1.0
"""mm beyond which a distance is of no interest."""
CRUMB = 1e-2
"""mm³ of overlap between lid and holder that are still a touch."""
ORIGIN = (
    "exact distance less play of the seat, measuring uncertainty and printer card; the margin is "
    "from memory"
)


def check(study: Study) -> list[Finding]:
    """Findings for every lid of a holder; none where it has none."""
    holder = study.holder
    if holder is None:
        return []
    site = holder.recipe.site()
    out: list[Finding] = []
    for each in holder.laid:
        cover = each.part.cover(site)
        if cover is not None:
            out += _goes_on(each.label, cover, holder)
            play = study.fitted[0].printed if study.fitted else 0.0
            out += _clear(each.label, cover, holder, site, play)
    return out


def _goes_on(label: str, cover: Solid, holder: Holder) -> Iterator[Finding]:
    fitted = [f for laid in holder.laid for f in laid.part.fittings(holder.recipe.site())]
    met = [("the holder", holder.solid), *((each.name, each.solid) for each in fitted)]
    for name, solid in met:
        both = cover ^ solid
        if both.volume() > CRUMB:
            x0, y0, z0, x1, y1, z1 = both.bounding_box()
            yield Finding(
                check="lid",
                grade=Grade.STOP,
                says=f"the {label} does not go on: {both.volume():.3g} mm³ of {name} stand in it.",
                parts=(label,),
                value=both.volume(),
                limit=CRUMB,
                unit="mm³",
                place=((x0 + x1) / 2, (y0 + y1) / 2, (z0 + z1) / 2),
                remedy="more room inside, or a gap where something stands out",
            )


def _clear(label: str, cover: Solid, holder: Holder, site: Site, play: float) -> Iterator[Finding]:
    """How near the lid comes to the workpiece, and to all the sheet says stands on it."""
    high = site.frame.z(site.side_up, site.sheet.height(site.side_up))
    low = site.seat + site.sheet.rim
    things = [(each.words, each.solid(), each.measuring)
              for each in volumes(site, holder.recipe.operation)]  # fmt: skip
    whole = pillar(rim_plan(site, site.side_up), site.seat, max(high, low))
    things.append(("highest point of the workpiece", whole, site.sheet.uncertainty))
    left = []
    for words, solid, measuring in things:
        spare = allowance(site, play, measuring)
        left.append((float(cover.min_gap(solid, FAR + spare.sideways)) - spare.sideways, words))
    least, words = min(left)
    grade = Grade.STOP if least <= 0.0 else Grade.MEND if least < MARGIN else Grade.CLEAR
    near = f"{least:.2f} mm of the {words}" if least < FAR else f"{FAR:g} mm of anything under it"
    yield Finding(
        check="lid",
        grade=grade,
        says=f"the {label} comes {'no nearer than' if least >= FAR else 'to'} {near}, less play "
        "of the seat, print and measuring." if least > 0.0
        else f"the {label} may meet the {words}.",
        parts=(label,),
        value=round(least, 4),
        limit=MARGIN,
        unit="mm",
        origin=ORIGIN,
        remedy="" if grade is Grade.CLEAR else "more room inside the lid",
    )  # fmt: skip
