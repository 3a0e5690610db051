"""The body of a recipe: high enough for its seat, thick enough for its chamfers."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._operation import stop
from nests.finding import Finding
from nests.holder.recipe import MOULD, Recipe


def look(recipe: Recipe) -> Iterator[Finding]:
    """Height and chamfers."""
    site, body = recipe.site(), recipe.body
    if body.height is not None and recipe.kind != MOULD and body.height <= site.seat:
        yield stop(
            f"{recipe.name}: body.height is {body.height:g} mm; the rim face that points down lies "
            f"{site.seat:g} mm above the bench, and the body reaches higher than that.",
            "leave body.height out",
        )
    for field in ("foot_chamfer", "edge_chamfer"):
        chamfer = getattr(body, field)
        if chamfer >= body.wall:
            yield stop(
                f"{recipe.name}: body.{field} is {chamfer:g} mm; body.wall is {body.wall:g} mm, "
                "and the chamfer is less than that.",
                "give a smaller chamfer",
            )
    high = body.foot_chamfer * site.rise + body.edge_chamfer
    if high >= site.top:
        yield stop(
            f"{recipe.name}: body.foot_chamfer and body.edge_chamfer are {body.foot_chamfer:g} and "
            f"{body.edge_chamfer:g} mm and take {high:g} mm of its height; the body is "
            f"{site.top:g} mm high, and they take less than that.",
            "give smaller chamfers",
        )
