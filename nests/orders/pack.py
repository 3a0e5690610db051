"""The pack: the folder that goes out for one holder."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from nests.choosing import Choice, judged
from nests.consistency import require_recipe
from nests.documents.files import canonical
from nests.documents.folders import LIST, listing, write_folder
from nests.documents.schema import plain
from nests.finding import Finding, Grade, by_gravity, worst
from nests.holder.compose import Holder, refuse_wrong_kind
from nests.holder.recipe import Recipe
from nests.kinds import document
from nests.printing.mesh_files import NamedMesh, check_printable, stl, three_mf
from nests.study import Study
from nests.version import __version__

SHOWN = {
    "picture.png": "The holder from outside, and cut",
    "exploded.png": "The workpiece above the holder, and what lies in it",
    "thickness.png": "Thickness of its walls, in mm",
    "peel.png": "Area peeled off the film, layer by layer",
}
"""Pictures in the report, by the name of the file."""

DIGITS = 12
"""Of a figure in the findings; a double holds 15 to 17."""
LONGEST = 60
"""Letters of the name of a file; with the folders above it a path stays short enough everywhere."""
DEVICE = re.compile("con|prn|aux|nul|(com|lpt)[0-9]")
"""Names that Windows keeps for devices, whatever follows after a point; Microsoft, Naming Files,
Paths, and Namespaces."""


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

    @property
    def recipe(self) -> Recipe:
        """The recipe it was made from."""
        return self.holder.recipe

    def write(self, target: Path | str, *, replace: bool = False) -> None:
        """Write it as a folder that appears at once. With `replace` it takes the place of a pack
        that stands there as it was written, and of nothing else. Raises `BadInput`."""
        write_folder(Path(target), sorted(self.files.items()), replace=replace)


def build(
    recipe: Recipe,
    *,
    notes: Sequence[Finding] = (),
    papers: bool = True,
    choice: Choice | None = None,
) -> Pack:
    """Compose and judge a recipe, and make the files of its pack in memory.

    `choice` is what was found of this very recipe when it was chosen.

    `notes` are findings from before the composition, such as a diameter typed in lignes. With a
    `stop` among the findings the files to print from are withheld. `papers` asks for what people
    look at: the drawing, the pictures and the report. Raises `Refused` and `BadInput`.
    """
    refuse_wrong_kind(recipe.kind, recipe.workpiece)
    require_recipe(recipe)
    if choice is None or choice.recipe != recipe:
        choice = judged(recipe)
    study, holder = choice.study, choice.holder
    findings = by_gravity((*notes, *choice.findings))
    files: dict[str, bytes] = {
        "recipe.json": canonical(document(recipe)),
        "findings.json": canonical(findings_document(recipe.name, findings)),
    }
    if worst(findings) is not Grade.STOP:
        files |= _printable(recipe, study)
    if papers:
        if worst(findings) is not Grade.STOP:
            files |= _drawings(holder)
        files |= _pictures(holder, study, findings)
        files |= _report(holder, study, findings, files)
    files[LIST] = listing(sorted(files.items()))
    return Pack(holder, findings, files)


def findings_document(name: str, findings: Sequence[Finding]) -> dict[str, Any]:
    """The findings as data, gravest first, with a count of each grade.

    Figures have at most `DIGITS` digits, also behind the point: what lies beyond is the rounding of
    the libraries that computed them, and differs with their version.
    """
    return {
        "holder": name,
        "grade": worst(tuple(findings)).value,
        "count": {g.value: sum(f.grade is g for f in findings) for g in Grade},
        "findings": [
            {k: _figures(plain(v)) for k, v in vars(f).items() if v not in (None, "", ())}
            for f in findings
        ],
    }


def _figures(value: Any) -> Any:
    if isinstance(value, list):
        return [_figures(each) for each in value]
    return round(float(f"{value:.{DIGITS}g}"), DIGITS) if isinstance(value, float) else value


def slug(name: str) -> str:
    """A name as the name of a file or folder: some letters a to z, digits and hyphens, nothing that
    means a device."""
    flat = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    words = re.sub(r"[^a-z0-9]+", "-", flat).strip("-")[:LONGEST].strip("-") or "holder"
    return f"named-{words}" if DEVICE.fullmatch(words) else words


def bodies(study: Study) -> tuple[NamedMesh, ...]:
    """The bodies to print, the holder first, in their poses and as the files can hold them."""
    named = [(study.holder.recipe.name if study.holder is not None else study.name, study)]
    named += [(body.name, body) for body, _ in study.loose]
    out = tuple(NamedMesh.posed(name, each.mesh, each.to_print) for name, each in named)
    for body in out:
        check_printable(body)
    return out


def _pictures(holder: Holder, study: Study, findings: Sequence[Finding]) -> dict[str, bytes]:
    from nests.papers import scenes

    return {
        "picture.png": scenes.outside(holder, findings),
        "exploded.png": scenes.exploded(holder),
        "thickness.png": scenes.walls(study),
        "peel.png": scenes.peel(study),
    }


def _report(
    holder: Holder, study: Study, findings: Sequence[Finding], files: Mapping[str, bytes]
) -> dict[str, bytes]:
    from nests.papers import report

    shown = {alt: files[name] for name, alt in SHOWN.items() if name in files}
    digest = sha256(files["recipe.json"]).hexdigest()[:12]
    about = report.holder_report(holder, study, findings, shown, digest)
    return {"report.html": report.page(about), "report.pdf": report.paper(about)}


def _drawings(holder: Holder) -> dict[str, bytes]:
    """The technical drawing, and the half-profile for a turner where the holder is round."""
    from nests.papers import drawing

    made = drawing.model(holder)
    files = {"drawing.dxf": drawing.dxf(made), "drawing.svg": drawing.svg(made)}
    files["drawing.pdf"] = drawing.pdf(made)
    turned = drawing.turned_dxf(holder)
    return files if turned is None else {**files, "turned.dxf": turned}


def _printable(recipe: Recipe, study: Study) -> dict[str, bytes]:
    made = bodies(study)
    files: dict[str, bytes] = {}
    for name, body in zip(["holder", *(slug(each.name) for each in made[1:])], made, strict=True):
        # names that differ in letters a file name lacks must not write over each other
        ways = (f"{name}-{k}.stl" if k else f"{name}.stl" for k in (0, *range(2, len(made) + 2)))
        files[next(way for way in ways if way not in files)] = stl(body)
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
