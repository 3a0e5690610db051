"""The pack: the folder that goes out for one holder."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nests import __version__
from nests.checks import judge
from nests.checks._study import FACING, Study
from nests.compose import Holder, compose
from nests.consistency import require_consistent
from nests.documents import canonical, write_folder
from nests.finding import Finding, Grade, by_gravity, worst
from nests.kinds import document
from nests.mesh_files import NamedMesh, check_printable, in_single, stl, three_mf
from nests.places import Place, Side
from nests.recipe import Recipe
from nests.schema import plain
from nests.solid import Triangles, triangles

FIELD = 1.0
"""mm; longest edge of a triangle in the picture of the walls."""


@dataclass(frozen=True)
class Pack:
    """The files of one holder by name, and what was found about it."""

    holder: Holder
    findings: tuple[Finding, ...]
    files: Mapping[str, bytes]

    @property
    def grade(self) -> Grade:
        """The gravest grade found."""
        return worst(self.findings)


def build(
    recipe: Recipe,
    *,
    notes: Sequence[Finding] = (),
    picture: bool = True,
    thickness: bool = False,
) -> Pack:
    """Compose and judge a recipe, and make the files of its pack in memory.

    `notes` are findings from before the composition, such as a diameter typed in lignes. With a
    `stop` among the findings the files to print from are withheld. `thickness` adds a picture of
    the walls. Raises `Refused` and `BadInput`.
    """
    require_consistent(recipe.workpiece)
    holder = compose(recipe)
    study = Study.of(holder)
    findings = by_gravity((*notes, *judge(study)))
    files: dict[str, bytes] = {
        "recipe.json": canonical(document(recipe)),
        "findings.json": canonical(findings_document(recipe.name, findings)),
    }
    if worst(findings) is not Grade.STOP:
        files |= _printable(holder)
    if picture:
        files["picture.png"] = draw(holder, findings)
    if thickness:
        files["thickness.png"] = draw_thickness(study)
    return Pack(holder, findings, files)


def write(pack: Pack, target: Path, *, replace: bool = False) -> None:
    """Write a pack as a folder that appears at once. Raises `BadInput`; nothing is lost."""
    write_folder(target, sorted(pack.files.items()), replace=replace)


def findings_document(name: str, findings: Sequence[Finding]) -> dict[str, Any]:
    """The findings as data, gravest first, with a count of each grade."""
    return {
        "holder": name,
        "grade": worst(tuple(findings)).value,
        "count": {g.value: sum(f.grade is g for f in findings) for g in Grade},
        "findings": [
            {k: plain(v) for k, v in vars(f).items() if v not in (None, "", ())} for f in findings
        ],
    }


def slug(name: str) -> str:
    """A name as the name of a file or folder."""
    flat = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", flat).strip("-") or "holder"


def bodies(holder: Holder) -> tuple[NamedMesh, ...]:
    """The bodies to print, the holder first, as the files can hold them."""
    out = [NamedMesh(holder.recipe.name, in_single(holder.mesh))]
    out += [NamedMesh(name, in_single(triangles(solid))) for name, solid in holder.beside]
    for body in out:
        check_printable(body)
    return tuple(out)


def _printable(holder: Holder) -> dict[str, bytes]:
    recipe, made = holder.recipe, bodies(holder)
    files = {"holder.stl": stl(made[0])}
    files |= {f"{slug(body.name)}.stl": stl(body) for body in made[1:]}
    files["holder.3mf"] = three_mf(
        made,
        {
            "Title": recipe.name,
            "Application": f"nests {__version__}",
            "Description": f"{recipe.kind} for {recipe.workpiece.name}, {recipe.side_up.value} up, "
            f"{recipe.operation.name}. {recipe.workpiece.remarks}".strip(),
        },
    )
    return files


def draw(holder: Holder, findings: Sequence[Finding]) -> bytes:
    """The picture: outside and cut, the parts of `stop` findings lit and named.

    With a finding that has a place, the cut goes through the gravest one's place, and points at it.
    """
    import numpy as np

    from nests.picture import Body, holder_picture

    recipe, mesh = holder.recipe, holder.mesh
    labels = [each.label for each in holder.laid]
    number = {label: index for index, label in enumerate(labels)}
    part = [number.get(holder.made_by.get(int(m), "body"), 0) for m in mesh.makers]
    lit = {
        number[name]: f"{f.grade.value}: {name}"
        for f in findings
        if f.grade is Grade.STOP
        for name in f.parts
        if name in number and (name != "body" or len(f.parts) == 1)
    }
    faults = [f for f in by_gravity(tuple(findings)) if f.grade in (Grade.STOP, Grade.MEND)]
    points = [(f.place, f"{f.grade.value}: {f.check}") for f in faults if f.place is not None][:1]
    hour = Place(*points[0][0][:2]).hour if points else _cut_hour(holder)
    count = {g: sum(f.grade is g for f in findings) for g in Grade}
    words = ", ".join(f"{n} {g.value}" for g, n in count.items() if n)
    scene = [Body("holder", mesh.vertices, mesh.faces, np.array(part, dtype=np.int64))]
    scene += _beside(holder, mesh)
    return holder_picture(
        scene,
        title=recipe.name,
        caption=(
            f"{recipe.kind}, {recipe.side_up.value} side up, for: {recipe.operation.name}",
            f"findings: {words}. {recipe.workpiece.remarks}",
        ),
        cut_hour=hour,
        markers=points,
        lit=lit,
        mirrored=recipe.side_up is Side.BRIDGE,
    )


def draw_thickness(study: Study) -> bytes:
    """Picture of the local wall thickness, face by face; grey where no side faces another."""
    import numpy as np

    from nests.picture import Body, field_picture
    from nests.thickness import thickness

    # long thin triangles would show streaks: one value stands for a whole triangle
    mesh, limit = triangles(study.solid.refine_to_length(FIELD)), study.card.smallest_wall
    found = thickness(mesh.vertices, mesh.faces, spacing=FIELD, facing_angle=FACING)
    walls = found.by_face(len(mesh.faces))
    walls[~np.isfinite(walls)] = np.nan
    body = Body("holder", mesh.vertices, mesh.faces, np.zeros(len(mesh.faces), dtype=np.int64))
    name = study.holder.recipe.name if study.holder is not None else "mesh"
    title = f"{name}: wall thickness, limit {limit:g} mm"
    return field_picture(body, walls, "mm", (0.0, 5 * limit), title)


def _beside(holder: Holder, mesh: Triangles) -> list[Any]:
    """The further bodies in a row in front of the holder."""
    import numpy as np

    from nests.picture import Body

    out = []
    x, y = float(mesh.vertices[:, 0].min()), float(mesh.vertices[:, 1].min())
    for name, solid in holder.beside:
        made = triangles(solid)
        low, high = made.vertices.min(axis=0), made.vertices.max(axis=0)
        moved = made.vertices + (x - low[0], y - 3.0 - high[1], -low[2])
        x += float(high[0] - low[0]) + 2.0
        out.append(Body(name, moved, made.faces, np.zeros(len(made.faces), dtype=np.int64)))
    return out


def _cut_hour(holder: Holder) -> float:
    """Hour of the holder to cut at: the post farthest out, to show what carries; else 3 h."""
    from nests.parts.stake_post import StakePost

    site = holder.recipe.site()
    posts = [p.foothold(site).at for p in holder.recipe.parts if isinstance(p, StakePost)]
    far = max(posts, key=lambda at: at.radius, default=None)
    return 3.0 if far is None or far.radius < 1.0 else round(far.hour, 2)
