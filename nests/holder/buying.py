"""What is bought, cut and drilled for a holder: one list for drawing, report and job sheet."""

from __future__ import annotations

from dataclasses import replace

from nests.holder.recipe import Recipe
from nests.parts.metal import Bought


def to_buy(recipe: Recipe) -> tuple[Bought, ...]:
    """Everything that goes into a holder and is not printed, in the order of its parts; of what is
    the same and treated alike the count, and all its places. Raises `BadInput` as the parts do."""
    site, out = recipe.site(), dict[tuple[str, str], Bought]()
    for part in recipe.parts:
        for each in part.bought(site):
            before = out.get((each.what, each.work))
            if before is not None:
                places = f"{before.place}, {each.place}"
                each = replace(before, place=places, count=before.count + each.count)
            out[each.what, each.work] = each
    return tuple(out.values())


def lines(recipe: Recipe) -> tuple[str, ...]:
    """The same, a line each."""
    return tuple(
        f"{each.count} {each.what}{f' ({each.work})' if each.work else ''}: {each.place}"
        for each in to_buy(recipe)
    )
