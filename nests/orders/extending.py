"""A recipe that exists, with one way more to a pusher.

The pusher is entered on its workpiece, the slot among its parts, with the reason. Engraving that
stands in the way moves along the rim; anything else in the way is refused by name.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from manifold3d import CrossSection, OpType

from nests.checks import judge
from nests.consistency import require_recipe
from nests.families import slot_to
from nests.finding import Grade
from nests.given.sheet import Pusher
from nests.given.stand_in import HourDepth, pusher_name, with_pusher
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import given
from nests.parts.base import Part
from nests.parts.site import Site
from nests.places import hours_between
from nests.solids.solid import offset
from nests.study import Study
from nests.units import BadInput, Length, dial_hour

SAME_HOUR = 0.05
"""Hours between two pushers that are taken for one; from memory."""
LOOKED_AT = ("composition", "wall", "gap", "reach")
"""Checks that tell what stands in the way of a slot; all others judge it with the holder."""
STEP = 0.1
"""Hours by which an engraving is moved."""
HEIGHTS = (2.0, 1.6, 1.3, 1.0)
"""mm of letters, the preferred first."""
DEEPEST: Length = 1.0
"""mm below the upper face within which an engraving may meet a cut; vents lie deeper."""


def with_pushers(source: Recipe | Path, written: Sequence[str]) -> Recipe:
    """The recipe, or that in a file, with a slot for every pusher written as HOUR,DEPTH.

    Raises `BadInput` for what is no pusher, for one that has its way already or lies elsewhere on
    the workpiece, and, naming it, for what stands in the way.
    """
    recipe = given(source, Recipe)
    for each in written:
        recipe = _with_pusher(recipe, HourDepth.read(each, "--pusher"))
    return recipe


def _with_pusher(recipe: Recipe, at: HourDepth) -> Recipe:
    if recipe.kind != "movement holder":
        raise BadInput(
            f"--pusher is for a movement holder; '{recipe.name}' is a {recipe.kind}, and what lies "
            "in it has no pusher."
        )
    require_recipe(recipe)  # what contradicts itself is said of the document, not of the slot
    work, pusher = recipe.workpiece, _there(recipe, at)
    if pusher is None:
        work = with_pusher(work, at)
        pusher = work.pushers[-1]
    slot = slot_to(pusher.name)
    wider = replace(recipe, workpiece=work)
    require_recipe(wider)
    site = wider.site()
    pockets = [each for part in recipe.parts if (each := part.opens(site)) is not None]
    if pockets:
        slot = slot.into(site, max(pockets))
    reason = f"a slot leads to the pusher '{pusher.name}', as it was asked for."
    parts = (*_out_of_the_way(site, recipe.parts, slot), slot)
    made = replace(wider, parts=parts, reasons=(*recipe.reasons, reason))
    _require_free(made, slot, pusher)
    return made


def _there(recipe: Recipe, at: HourDepth) -> Pusher | None:
    """The pusher of the workpiece at an hour, if it has one and nothing works it."""
    for each in recipe.workpiece.pushers:
        if hours_between(each.hour, at.hour) >= SAME_HOUR:
            continue
        ways = [part.label() for part in recipe.parts if each.name in part.serves().pushers]
        if ways:
            raise BadInput(
                f"--pusher is {dial_hour(at.hour)} h, and '{recipe.name}' has its {ways[0]} there "
                "already."
            )
        if abs(each.depth - at.depth) > recipe.workpiece.uncertainty:
            raise BadInput(
                f"--pusher is {at.depth:g} mm deep; the pusher '{each.name}' of "
                f"'{recipe.workpiece.name}' at {dial_hour(each.hour)} h lies {each.depth:g} mm "
                "deep: give "
                "that, or correct the sheet."
            )
        return each
    return None


def _out_of_the_way(site: Site, parts: Sequence[Part], slot: Part) -> tuple[Part, ...]:
    """The parts with the engraving that the slot would cut moved; all of it where one finds no
    room beside the others, in smaller letters where need be.

    Raises `BadInput` where the wall has no room left for it.
    """
    marks = [each for each in parts if each.engraves()]
    cut = [
        each
        for each in marks
        if not (_plan(site, each, _wall(site)) ^ _plan(site, slot)).is_empty()
    ]
    if not cut:
        return tuple(parts)
    ways = [(cut, None), *((marks, height) for height in HEIGHTS)]
    for moved, height in ways:
        stay = [each for each in (*parts, slot) if each not in moved]
        found = _engraved(site, stay, moved, height)
        if found is not None:
            return tuple(found.get(each.engraves(), each) for each in parts)
    raise BadInput(
        f"{slot.label()} would cut {cut[0].label()}, and the wall has no room left to engrave it "
        "elsewhere; a thicker wall is needed."
    )


def _engraved(
    site: Site, stay: Sequence[Part], marks: Sequence[Part], height: Length | None
) -> dict[str, Part] | None:
    """Marks beside what stays, by their texts, the longest first, each at the free hour nearest to
    its own; None where one finds no room."""
    taken = CrossSection.batch_boolean(
        [_plan(site, each) for each in stay if not each.opens(site)], OpType.Add
    )
    out: dict[str, Part] = {}
    for each in sorted(marks, key=lambda mark: -len(mark.engraves())):
        lies = each.lies(site)
        assert lies is not None  # what is engraved has an hour
        largest = math.inf if height is None else height
        for turn in (sign * k * STEP for k in range(int(6 / STEP) + 1) for sign in (1, -1)):
            moved = each.engraved_at(round((lies.hour + turn) % 12.0, 3), largest)
            if (_plan(site, moved, _wall(site)) ^ taken).is_empty():
                out[each.engraves()] = moved
                taken += _plan(site, moved)
                break
        else:
            return None
    return out


def _wall(site: Site) -> Length:
    """What is left between two cuts."""
    return site.card.smallest_wall + 0.05


def _plan(site: Site, part: Part, room: Length = 0.0) -> CrossSection:
    """What a part cuts and adds at the upper face, in plan, grown by `room` mm."""
    shape = part.shape(site)
    solids = [each for each in (shape.cuts, shape.adds) if each is not None]
    high = [each.project() for each in solids if each.bounding_box()[5] > site.top - DEEPEST]
    plan = CrossSection.batch_boolean(high, OpType.Add)
    return offset(plan, room, 16) if room else plan


def _require_free(recipe: Recipe, slot: Part, pusher: Pusher) -> None:
    """Raise `BadInput` with what stops the slot, if anything does."""
    for each in judge(Study.of(compose(recipe)), LOOKED_AT):
        if each.grade is Grade.STOP and slot.label() in each.parts:
            raise BadInput(
                f"no slot can lead to the pusher {pusher_name(pusher.hour)} in '{recipe.name}': "
                f"{each.says}"
            )
