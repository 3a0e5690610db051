"""Parts of a recipe: each once, naming what the sheet has, and of the kind of holder."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._operation import stop
from nests.finding import Finding
from nests.holder.recipe import CARRIES, MOULD, Recipe
from nests.units import BadInput


def look(recipe: Recipe) -> Iterator[Finding]:
    """Every part against the sheet and against the others; nothing if the kinds do not match,
    which is refused in words of its own."""
    if CARRIES[recipe.kind] != recipe.workpiece.kind:
        return
    site = recipe.site()
    seen: dict[object, str] = {recipe.body.stands(site): "the body"}
    for index, part in enumerate(recipe.parts):
        name = f"parts[{index}] ({part.label()})"
        try:
            part.require_named(site)
            place = part.stands(site)
        except BadInput as bad:
            yield stop(f"{recipe.name}: {name}: {bad}", "name what the sheet has")
            continue
        if place in seen:
            yield stop(
                f"{recipe.name}: {name} is at the place of {seen[place]}, or for the same thing; "
                "one part is allowed there.",
                "take one of them away",
            )
        seen.setdefault(place, name)
    yield from _of_the_kind(recipe)


def _of_the_kind(recipe: Recipe) -> Iterator[Finding]:
    moulds = [part for part in recipe.parts if part.casts]
    if (recipe.kind == MOULD) != bool(moulds):
        count = len(moulds) or "none"
        yield stop(
            f"{recipe.name}: kind is {recipe.kind}, but of parts that cast a pad it has {count}; "
            f"a {MOULD} has one, any other holder none.",
            "say the kind that it is",
        )
