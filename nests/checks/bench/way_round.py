"""Way round: does a cradle made from a few sizes take its workpiece one way round only?

The workpiece in plan, less what print and measuring may take, is turned about the axis step by step
and shifted as far as its play goes, and the same upside down; where the wall of the pocket stands
in its way it does not go in. Other cradles follow an outline that was measured, which tells what
can be told.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from manifold3d import CrossSection

from nests.finding import Finding, Grade
from nests.given.zones import Round
from nests.holder.compose import Holder
from nests.holder.workpiece import rim_plan
from nests.parts.answers import Seat
from nests.solids.solid import offset
from nests.study import Study
from nests.units import Length

CRUMB = 1e-3
"""mm² of overlap that are still none."""
SMALL_TURN = math.radians(10.0)
"""A turn by which it is hardly laid in wrong; from memory."""
ORIGIN = "measured on the solid, in plan between rim face and lead-in"


def check(study: Study) -> list[Finding]:
    """Whether it goes in turned, and whether it goes in upside down."""
    holder = study.holder
    if holder is None or holder.recipe.workpiece.arbors_known:
        return []
    pocket = _pocket(holder)
    if pocket is None:
        return []
    label, name = pocket[0], holder.recipe.workpiece.name
    if isinstance(holder.recipe.workpiece.outline, Round):
        return [
            Finding(
                check="way round",
                grade=Grade.UNKNOWN,
                says=f"not assessed: whether it matters which way round '{name}' is laid in; it is "
                "round, and the pocket takes it any way.",
                parts=(label,),
                remedy="measure hour, width and depth of two notches of different width in its "
                "edge, or write a sheet with its true outline",
            )
        ]
    turned, over = ways_in(holder)
    if turned is None and over is None:
        return [
            Finding(
                check="way round",
                grade=Grade.CLEAR,
                says=f"'{name}' goes into its pocket one way round: neither turned nor upside "
                "down.",
                parts=(label,),
                origin=ORIGIN,
            )
        ]
    out = []
    for way, words in ((turned, "turned by"), (over, "upside down, turned by")):
        if way is not None:
            out.append(
                Finding(
                    check="way round",
                    grade=Grade.UNKNOWN,
                    says=f"not assessed: whether it matters that '{name}' goes in {words} "
                    f"{math.degrees(way):.0f}°, too; nothing in its edge hinders it.",
                    parts=(label,),
                    origin=ORIGIN,
                    remedy="measure one more notch in its edge, of another width and nearer to one "
                    "side, or write a sheet with its true outline",
                )
            )
    return out


def ways_in(holder: Holder) -> tuple[float | None, float | None]:
    """The turn, in rad, by which the workpiece goes in though it is turned, and that by which it
    goes in upside down; None where none does."""
    site = holder.recipe.site()
    pocket = _pocket(holder)
    if pocket is None:
        return None, None
    _, seat = pocket
    level, play = (seat.low + seat.mouth) / 2, (seat.bore - seat.takes) / 2
    wall = holder.solid.slice(level)
    doubt = holder.recipe.printer.scatter + site.sheet.uncertainty
    plan = rim_plan(site)
    return (
        _turn(plan, wall, play, doubt, SMALL_TURN),
        _turn(plan.mirror((1, 0)), wall, play, doubt, 0.0),
    )


def _pocket(holder: Holder) -> tuple[str, Seat] | None:
    """Label and seat of what takes the workpiece's own edge and carries it on pads."""
    site = holder.recipe.site()
    found = ((e.label, seat) for e in holder.laid for seat in e.part.seats(site)[:1])
    return next((each for each in found if each[1].ledge is None), None)


def _turn(
    plan: CrossSection, wall: CrossSection, play: Length, doubt: Length, least: float
) -> float | None:
    """The middle of the first turns of at least `least` rad at which a plan has room; its edge is
    moved by `doubt` mm from step to step, by which the plan may also be smaller."""
    core = offset(plan, -play - doubt, 32)
    small = offset(plan, -doubt, 32)
    radius = max(float(np.hypot(*ring.T).max()) for ring in plan.to_polygons())
    count = math.ceil(math.tau * radius / doubt)
    found: list[float] = []
    for index in range(count):
        turn = index * math.tau / count
        if not least <= turn <= math.tau - least:
            continue
        # what no shift moves away from must have room; only then the shifts are tried
        if _free(core, wall, turn) and any(_free(small, wall, turn, at) for at in _shifts(play)):
            found.append(turn)
        elif found:
            break
    return found[len(found) // 2] if found else None


def _shifts(play: Length) -> Iterator[tuple[Length, Length]]:
    """Where a workpiece may lie beside its middle: nowhere, half way, and all the way."""
    yield 0.0, 0.0
    for share, count in ((0.5, 6), (1.0, 12)):
        for index in range(count):
            turn = index * math.tau / count
            yield share * play * math.cos(turn), share * play * math.sin(turn)


def _free(
    plan: CrossSection, wall: CrossSection, turn: float, at: tuple[Length, Length] = (0.0, 0.0)
) -> bool:
    both = plan.rotate(math.degrees(turn)).translate(at) ^ wall
    return bool(both.area() <= CRUMB)
