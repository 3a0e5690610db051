"""Composition: a recipe becomes a solid, and every face knows the part that made it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from nests.finding import refuse
from nests.given.at_work import pressed
from nests.given.sheet import Sheet
from nests.holder.folded import folded
from nests.holder.recipe import CARRIES, MOULD, HolderKind, Recipe
from nests.holder.shapes import shape_of
from nests.parts.answers import Contact, Shape
from nests.parts.base import Part
from nests.solids.solid import Solid, Triangles, triangles
from nests.units import BadInput


@dataclass(frozen=True)
class Laid:
    """A part with its unique label, its shape, and the ids of its faces."""

    label: str
    part: Part
    shape: Shape


@dataclass(frozen=True)
class Holder:
    """A recipe turned into a solid in the pose of use. It holds; others judge."""

    recipe: Recipe
    solid: Solid
    laid: tuple[Laid, ...]
    beside: tuple[tuple[str, Solid], ...]
    contacts: tuple[Contact, ...]
    made_by: Mapping[int, str]

    @cached_property
    def mesh(self) -> Triangles:
        """Mesh of the holder with the maker of each face."""
        return triangles(self.solid)

    def part_of(self, face: int) -> str:
        """Label of the part that made a face of `mesh`."""
        return self.made_by.get(int(self.mesh.makers[face]), "body")


def refuse_wrong_kind(kind: HolderKind, workpiece: Sheet) -> None:
    """Raise `Refused` if a kind of holder does not take this kind of workpiece."""
    wanted, got = CARRIES[kind], workpiece.kind
    if wanted == got:
        return
    reasons = {
        ("case holder", "movement"): "a case holder grips a closed case at its flanks; under a "
        "bare movement it would press on bridges and balance",
        (MOULD, "movement"): "on its pad lies a closed case; a bare movement would lie on its "
        "bridges and balance",
        ("movement holder", "case"): "a movement holder carries a bare movement at its rim; a "
        "case would stand on its ledge by the back or the bezel and tip",
    }
    why = reasons.get((kind, got), f"it is made to carry a {wanted} and nothing else")
    raise refuse(
        "kind",
        f"'{workpiece.name}' is a {got}, and a {kind} does not carry one: {why}.",
        "choose a family for this kind of workpiece",
    )


def compose(recipe: Recipe) -> Holder:
    """Build the solid of a recipe.

    Raises `Refused` on a wrong kind, and on a press where nothing is worked on. Raises `BadInput`
    for a press on what the workpiece does not have, and, naming the part, when a part cannot be
    built from the sheet. Conflicts between parts do not raise: see `checks.composition`.
    """
    refuse_wrong_kind(recipe.kind, recipe.workpiece)
    forces = pressed(recipe.workpiece, recipe.operation)
    if forces and recipe.kind == MOULD:
        raise refuse(
            "kind",
            f"'{recipe.operation.name}' presses {', '.join(forces)}, and in a {MOULD} nothing is "
            "worked on.",
            "choose an operation in which nothing is pressed",
        )
    site = recipe.site()
    named = _labelled(recipe)
    whole, *shapes = [_valid(label, shape_of(part, site)) for label, part in named]
    assert whole.adds is not None
    solid, body, own = folded(whole.adds, shapes)
    shown = (replace(whole, adds=body), *own)
    laid = tuple(Laid(*each, shape) for each, shape in zip(named, shown, strict=True))
    made_by = {
        made.original_id(): each.label
        for each in laid
        for made in (each.shape.cuts, each.shape.adds)
        if made is not None
    }
    beside = tuple(pair for each in laid for pair in each.shape.beside)
    contacts = tuple(c for each in laid for c in each.part.contacts(site))
    return Holder(recipe, solid, laid, beside, contacts, made_by)


def _labelled(recipe: Recipe) -> list[tuple[str, Part]]:
    names = Counter(part.label() for part in (recipe.body, *recipe.parts))
    seen: Counter[str] = Counter()
    out: list[tuple[str, Part]] = []
    for part in (recipe.body, *recipe.parts):
        name = part.label()
        seen[name] += 1
        out.append((f"{name} #{seen[name]}" if names[name] > 1 else name, part))
    return out


def _valid(label: str, shape: Shape) -> Shape:
    for solid in (shape.adds, shape.cuts):
        if solid is not None and solid.status().name != "NoError":
            raise BadInput(f"{label} has no valid shape ({solid.status().name}).")
    return shape
