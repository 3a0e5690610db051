"""Bodies to lay: what a recipe prints, each in the pose it is printed in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from nests.checks import judge, names
from nests.finding import Grade
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.orders.pack import bodies as meshes
from nests.printing.mesh_files import NamedMesh
from nests.printing.pose import laid
from nests.solids.solid import Solid
from nests.study import Study
from nests.units import BadInput, Length

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Body:
    """A body as it is printed: its mesh and its silhouette on the plate about its own origin, its
    height, volume (mm³), what it peels and seals off layer by layer (mm²), its largest sealed void
    (mm³), and the pose in words. `of` is the holder it belongs to, `job` counts the jobs."""

    name: str
    of: str
    mesh: NamedMesh
    plan: Any
    height: Length
    volume: float
    solid: Floats
    sealed: Floats
    cup: float
    pose: str
    job: int = 0

    @property
    def peel(self) -> Floats:
        """Area peeled off the film, layer by layer."""
        return np.asarray(self.solid + self.sealed)


def bodies_of(recipe: Recipe, job: int = 0) -> tuple[Body, ...]:
    """The holder and its loose bodies. Raises `BadInput` for one that is stopped at the printer's
    side, naming the reason."""
    study = Study.of(compose(recipe))
    stops = [f for f in judge(study, names("printer")) if f.grade is Grade.STOP]
    if stops:
        raise BadInput(f"{recipe.name} must not be printed: {stops[0].says}")
    own = (study, *(each for each, _ in study.loose))
    return tuple(
        _body(each, mesh, recipe.name, index, job)
        for index, (each, mesh) in enumerate(zip(own, meshes(study), strict=True))
    )


def _body(study: Study, mesh: NamedMesh, of: str, index: int, job: int) -> Body:
    name = mesh.name if index == 0 else f"{of}: {mesh.name}"
    peel = study.swept.peel
    return Body(
        name,
        of,
        NamedMesh(name, mesh.mesh),
        silhouette(laid(study.solid, study.to_print)),
        float(mesh.mesh.vertices[:, 2].max()),
        mesh.mesh.volume(),
        peel.solid,
        peel.sealed,
        max((cup.volume for cup in study.swept.cups), default=0.0),
        study.pose.words(),
        job,
    )


def silhouette(solid: Solid) -> Any:
    """What a solid covers of the plate, as a polygon of shapely."""
    rings = [np.asarray(ring) for ring in solid.project().to_polygons()]
    parts = [shapely.Polygon(ring) for ring in rings if len(ring) > 2]
    # outer rings run counterclockwise, those of holes clockwise
    outer = [p for p in parts if p.exterior.is_ccw]
    holes = [p for p in parts if not p.exterior.is_ccw]
    return shapely.union_all(outer).difference(shapely.union_all(holes))


def all_bodies(recipes: Sequence[tuple[Recipe, int]]) -> tuple[Body, ...]:
    """The bodies of recipes, each with the number of its job; one recipe twice is worked out once,
    and what has one name is numbered. Raises `BadInput`."""
    known: list[tuple[Recipe, tuple[Body, ...]]] = []
    out: list[Body] = []
    for recipe, job in recipes:
        found = next((made for same, made in known if same == recipe), None)
        if found is None:
            found = bodies_of(recipe)
            known.append((recipe, found))
        out += [replace(each, job=job) for each in found]
    return tuple(_numbered(out))


def _numbered(bodies: Iterable[Body]) -> Iterable[Body]:
    taken: set[str] = set()
    for each in bodies:
        ways = (each.name if k == 1 else f"{each.name} ({k})" for k in range(1, len(taken) + 3))
        name = next(way for way in ways if way not in taken)
        taken.add(name)
        yield replace(each, name=name, mesh=NamedMesh(name, each.mesh.mesh))
