"""The files of laid plates: a 3MF and a picture of each, what is to be said of them, the sums."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from nests.documents.files import canonical
from nests.documents.folders import LIST, listing
from nests.finding import Finding, Grade, worst
from nests.given.printer_card import PrinterCard
from nests.holder.recipe import Recipe
from nests.laying.bodies import all_bodies
from nests.laying.job import Waiting, in_order
from nests.laying.lain import GAP, BuildPlate, OnPlate, lay
from nests.orders.pack import findings_document
from nests.papers.picture import Shown
from nests.papers.picture.pages import plate_picture
from nests.printing.mesh_files import NamedMesh, three_mf
from nests.solids.solid import Triangles
from nests.units import BadInput, Length
from nests.version import __version__

UNKNOWN = "unknown: the card does not say"


@dataclass(frozen=True)
class Laid:
    """Plates with the card they are for, the jobs in the order in which they are printed, and the
    files."""

    plates: tuple[BuildPlate, ...]
    card: PrinterCard
    jobs: tuple[Waiting, ...]
    files: Mapping[str, bytes]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is to be said of every plate."""
        return tuple(f for plate in self.plates for f in plate.findings())

    @property
    def grade(self) -> Grade:
        """The gravest grade found."""
        return worst(self.findings)


def lay_out(
    recipes: Sequence[Recipe],
    jobs: Sequence[Waiting] = (),
    card: PrinterCard | None = None,
    gap: Length = GAP,
) -> Laid:
    """Lay recipes and what jobs wait for. The card is that of the recipes where none is given.

    Raises `BadInput` where nothing is to be printed, where recipes are drawn for printers of
    several names and no card is given, and where something fits on no plate or must not be
    printed.
    """
    ordered = in_order(jobs)
    numbered = [(recipe, k) for k, job in enumerate(ordered) for _, recipe in job.recipes]
    numbered += [(recipe, len(ordered)) for recipe in recipes]
    if not numbered:
        raise BadInput("nothing is to be printed: no pack is given, and no job waits for one.")
    card = card or _card_of([recipe for recipe, _ in numbered])
    for recipe, _ in numbered:
        if abs(recipe.printer.layer - card.layer) > 1e-9:
            raise BadInput(
                f"{recipe.name} is drawn for layers of {recipe.printer.layer:g} mm; the card has "
                f"{card.layer:g} mm: heights would come out otherwise. Make it anew with that card."
            )
    plates = lay(all_bodies(numbered), card, gap)
    files = _files(plates, card, ordered)
    return Laid(plates, card, ordered, {**files, LIST: listing(sorted(files.items()))})


def _card_of(recipes: Sequence[Recipe]) -> PrinterCard:
    names = sorted({recipe.printer.name for recipe in recipes})
    if len(names) > 1:
        raise BadInput(
            f"the recipes are drawn for several printers: {', '.join(names)}; give --card, or lay "
            "them apart."
        )
    return recipes[0].printer


def told(plates: Sequence[BuildPlate], card: PrinterCard, jobs: Sequence[Waiting]) -> list[str]:
    """The plates in sentences: what lies where, how much, how long, how dear, what first."""
    out = []
    for plate in plates:
        out.append(
            f"plate {plate.number}: {len(plate.lying)} bodies, {plate.height:.1f} mm high, "
            f"{plate.volume / 1000:.1f} ml, {hours(plate.seconds)}, {price(plate.price, card)}."
        )
        for each in plate.lying:
            at, body = each.where, each.body
            out.append(
                f"  {body.name}: at x {at.x:.2f}, y {at.y:.2f} mm, turned {90 * at.quarters}°, "
                f"printed {body.pose}, {body.height:.1f} mm high"
            )
    volume = math.fsum(plate.volume for plate in plates)
    seconds = math.fsum(plate.seconds for plate in plates)
    dear = None if card.resin_price is None else math.fsum(p.price or 0.0 for p in plates)
    out.append(f"all: {volume / 1000:.1f} ml, {hours(seconds)}, {price(dear, card)}.")
    out.append(f"resin left after it: {resin_left(volume, card)}.")
    for number, job in enumerate(jobs, 1):
        out.append(_first(number, job, plates))
    return out


def _first(number: int, job: Waiting, plates: Sequence[BuildPlate]) -> str:
    names = [recipe.name for _, recipe in job.recipes]
    where = sorted({p.number for p in plates for o in p.lying if o.body.job == number - 1})
    if not names:
        return f"{number}. {job.name}: nothing is to be printed."
    plural = "plates" if len(where) > 1 else "plate"
    start = "may start then" if job.plan.may_start else f"may not start even then: {job.plan.says}"
    most = job.recipes[0][0]
    return (
        f"{number}. {job.name}: {plural} {', '.join(map(str, where))} with {', '.join(names)}; it "
        f"{start}. {len(most.used)} operations are done in {most.name}."
    )


def hours(seconds: float) -> str:
    """A time in hours and minutes."""
    whole = round(seconds / 60.0)
    return f"{whole // 60} h {whole % 60:02d} min"


def price(value: float | None, card: PrinterCard) -> str:
    """A price in words; unknown where the card does not say."""
    return f"price {UNKNOWN}" if value is None else f"{value:.2f} {card.currency}"


def resin_left(volume: float, card: PrinterCard) -> str:
    """What a bottle has left after so many mm³, in words."""
    if card.resin_left is None:
        return UNKNOWN
    left = card.resin_left - volume / 1000
    short = f"; that is {-left:.1f} ml too little" if left < 0.0 else ""
    return f"{max(left, 0.0):.1f} ml of {card.resin_left:g} ml, losses aside{short}"


def _files(
    plates: Sequence[BuildPlate], card: PrinterCard, jobs: Sequence[Waiting]
) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    for plate in plates:
        moved = [_moved(each) for each in plate.lying]
        stem = f"plate-{plate.number}"
        if worst(plate.findings()) is not Grade.STOP:
            files[f"{stem}.3mf"] = three_mf(
                moved,
                {
                    "Title": f"plate {plate.number} of {len(plates)}",
                    "Application": f"nests {__version__}",
                    "Description": f"For {card.name}. Every body as it is to be printed.",
                },
                [(each.where.x, each.where.y) for each in plate.lying],
            )
        files[f"{stem}.png"] = _picture(plate, moved, len(plates))
    files["plates.json"] = canonical(_data(plates, card, jobs))
    files["plates.txt"] = "\n".join([*told(plates, card, jobs), ""]).encode()
    return files


def _moved(each: OnPlate) -> NamedMesh:
    """The mesh of a body, turned by its quarters; the 3MF moves it."""
    x, y, z = each.body.mesh.mesh.vertices.T
    turned = ((x, y), (-y, x), (-x, -y), (y, -x))[each.where.quarters]
    corners = np.column_stack((*turned, z)) + 0.0
    mesh = each.body.mesh.mesh
    return NamedMesh(each.body.name, Triangles(corners, mesh.faces, mesh.makers))


def _picture(plate: BuildPlate, moved: Sequence[NamedMesh], count: int) -> bytes:
    card = plate.card
    middle = np.array((card.build_x / 2, card.build_y / 2, 0.0))
    shown = [_slab(card)]
    names = []
    for each, body in zip(plate.lying, moved, strict=True):
        corners = body.mesh.vertices + (each.where.x, each.where.y, 0.0) - middle
        flat = np.zeros(len(body.mesh.faces), dtype=np.int64)
        shown.append(Shown(each.body.name, corners, body.mesh.faces, flat))
        low, high = corners.min(axis=0), corners.max(axis=0)
        top = (float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2, float(high[2]))
        names.append((top, each.body.name))
    return plate_picture(
        shown,
        title=f"Plate {plate.number} of {count} for {card.name}",
        caption=(f"{plate.volume / 1000:.1f} ml, {hours(plate.seconds)}.",),
        markers=names[:MOST_NAMED],
    )


MOST_NAMED = 12
"""Bodies that bear their name in a picture; all of them stand in the text."""
SLAB: Length = 1.5
"""mm; thickness of the build plate in a picture."""


def _slab(card: PrinterCard) -> Shown:
    x, y = card.build_x / 2, card.build_y / 2
    ring = np.array(((-x, -y), (x, -y), (x, y), (-x, y)))
    corners = np.vstack([np.column_stack((ring, np.full(4, z))) for z in (-SLAB, -0.02)])
    faces = [(0, 2, 1), (0, 3, 2), (4, 5, 6), (4, 6, 7)]
    for k in range(4):
        n = (k + 1) % 4
        faces += [(k, n, n + 4), (k, n + 4, k + 4)]
    return Shown("build plate", corners, np.array(faces), np.zeros(len(faces), dtype=np.int64))


def _data(
    plates: Sequence[BuildPlate], card: PrinterCard, jobs: Sequence[Waiting]
) -> dict[str, Any]:
    return {
        "printer": card.name,
        "plates": [
            {
                "number": plate.number,
                "height": round(plate.height, 3),
                "volume": round(plate.volume, 1),
                "seconds": round(plate.seconds, 1),
                "price": "unknown" if plate.price is None else round(plate.price, 2),
                "bodies": [
                    {
                        "name": each.body.name,
                        "x": each.where.x,
                        "y": each.where.y,
                        "turned": 90 * each.where.quarters,
                        "pose": each.body.pose,
                        "height": round(each.body.height, 3),
                        "volume": round(each.body.volume, 1),
                    }
                    for each in plate.lying
                ],
                **{
                    k: v
                    for k, v in findings_document("", plate.findings()).items()
                    if k != "holder"
                },
            }
            for plate in plates
        ],
        "print_first": [job.name for job in jobs],
    }
