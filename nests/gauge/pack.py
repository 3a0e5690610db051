"""The pack of a gauge plate: what to print, the drawing, the form to read it by, and what the
checks say: of the plate, and of what is meant to fail."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from manifold3d import CrossSection

from nests.checks import judge
from nests.consistency import require_card
from nests.documents.files import canonical
from nests.documents.folders import LIST, listing, write_folder
from nests.finding import Finding, Grade, worst
from nests.gauge.plate import NAME, GaugePlate, footed
from nests.gauge.specimen import Specimen
from nests.gauge.table import written
from nests.given.printer_card import PrinterCard
from nests.kinds import document
from nests.orders.pack import findings_document
from nests.papers import drawing as papers
from nests.papers.picture import Shown
from nests.papers.picture.pages import plate_picture
from nests.printing.mesh_files import NamedMesh, stl, three_mf
from nests.solids.solid import Solid, triangles, union
from nests.study import Study
from nests.version import __version__

AROUND = 1.5
"""mm of base left round a specimen that is judged by itself."""


@dataclass(frozen=True)
class MeantToFail:
    """A specimen beyond a figure of the card, or beyond that `share` of it from which it is spoken
    of, and what the checks say of it by itself."""

    name: str
    figure: str
    limit: float
    findings: tuple[Finding, ...]
    share: float = 1.0

    def says(self) -> str:
        """The same in a sentence."""
        told = " ".join(each.says for each in self.findings) or "No check says anything of it."
        share = "" if self.share == 1.0 else f"{self.share:g} of "
        return f"{self.name} lies beyond {share}{self.figure} ({self.limit:g}): {told}"


@dataclass(frozen=True)
class GaugePack:
    """The files of a gauge plate, what the checks say of all that is meant to come out, and of each
    thing that is not."""

    plate: GaugePlate
    findings: tuple[Finding, ...]
    failing: tuple[MeantToFail, ...]
    files: Mapping[str, bytes]

    @property
    def grade(self) -> Grade:
        """The gravest grade of what is meant to come out."""
        return worst(self.findings)

    def write(self, target: Path, *, replace: bool = False) -> None:
        """Write it as a folder that appears at once. Raises `BadInput`."""
        write_folder(target, sorted(self.files.items()), replace=replace)


def gauge_pack(card: PrinterCard) -> GaugePack:
    """Draw, judge and write up the plate for a card. Raises `BadInput` for a card that cannot be
    true, or whose build plate is too small."""
    require_card(card)
    plate = GaugePlate.of(card)
    fails = [each for each in plate.specimens if each.fails]
    sound = Study(plate.without([each.name for each in fails]), card, name=NAME, letters=True)
    findings = judge(sound)
    failing = tuple(_alone(plate, each) for each in fails)
    files = _files(plate, findings, failing)
    return GaugePack(plate, findings, failing, {**files, LIST: listing(sorted(files.items()))})


def _alone(plate: GaugePlate, each: Specimen) -> MeantToFail:
    """What the checks say of a specimen on a piece of base of its own."""
    left, low, right, high = each.box
    size = (right - left + 2 * AROUND, high - low + 2 * AROUND)
    slab = CrossSection.square(size).translate((left - AROUND, low - AROUND))
    own = [] if each.adds is None else [each.adds]
    on_plate = own and own[0].bounding_box()[2] <= 0.0
    solid: Solid = union(own if on_plate else [footed(slab, plate.ground), *own])
    whole = solid if each.cuts is None else solid - each.cuts
    study = Study(whole, plate.card, name=each.name, letters=True)
    found = tuple(
        f
        for f in judge(study)
        if f.grade in (Grade.MEND, Grade.STOP) and f.place is not None and _in(each, f.place)
    )
    figure = getattr(plate.card, each.figure)
    return MeantToFail(each.name, each.figure, figure, found, each.share)


def _in(each: Specimen, place: tuple[float, float, float]) -> bool:
    left, low, right, high = each.box
    spare = AROUND - 0.2
    return left - spare <= place[0] <= right + spare and low - spare <= place[1] <= high + spare


def _files(
    plate: GaugePlate, findings: tuple[Finding, ...], failing: tuple[MeantToFail, ...]
) -> dict[str, bytes]:
    from nests.gauge.drawing import drawing
    from nests.gauge.form import form

    body = NamedMesh.posed(NAME, triangles(plate.solid), np.eye(4))
    about = {
        "Title": f"{NAME} for {plate.card.name}",
        "Application": f"nests {__version__}",
        "Description": "To be printed flat as it lies, uncorrected, and read by its form.",
    }
    told = {
        **findings_document(NAME, findings),
        "meant_to_fail": [
            {
                "name": each.name,
                "beyond": each.figure,
                "limit": each.limit,
                "checks_say": [f.sentence() for f in each.findings],
            }
            for each in failing
        ],
    }
    made = drawing(plate)
    return {
        "gauge.3mf": three_mf([body], about),
        "gauge.stl": stl(body),
        "findings.json": canonical(told),
        "readings.json": canonical(document(plate.blank)),
        "readings.csv": written(plate.blank),
        "form.pdf": form(plate),
        "drawing.pdf": papers.pdf(made),
        "drawing.svg": papers.svg(made),
        "drawing.dxf": papers.dxf(made),
        "picture.png": _picture(plate),
    }


def _picture(plate: GaugePlate) -> bytes:
    mesh = triangles(plate.solid)
    middle = (mesh.vertices.min(axis=0) + mesh.vertices.max(axis=0)) / 2
    middle[2] = 0.0
    flat = np.zeros(len(mesh.faces), dtype=np.int64)
    shown = Shown(NAME, mesh.vertices - middle, mesh.faces, flat)
    words = "Bores, pins, steps and foot are gauged; the rest is good or bad. Drawn uncorrected."
    return plate_picture([shown], title=f"Gauge plate for {plate.card.name}", caption=(words,))
