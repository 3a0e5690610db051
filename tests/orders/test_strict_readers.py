"""Strict readers of general use accept every file that is written, as it is."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pytest

from nests.documents.files import data_folder
from nests.given.operation import WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.orders import gallery, pack
from nests.papers import report
from nests.planning.job import solve
from nests.planning.readiness import readiness
from nests.planning.whole import files as plan_files
from tests.ordering import preferred
from tests.strict_readers import READERS, faults

ROOT = data_folder("gallery")
PACKS = Path(__file__).parents[2] / "gallery" / "packs"
ASKED = {
    "round": ("round", None, None, {"diameter": 26.0, "height": 4.6}),
    "plungers": ("chronograph", "inv-30-c", "chronograph-hands", {"pushed_by": "plunger"}),
}
"""One that is turned, one with loose bodies and springs."""


@cache
def made(which: str) -> Mapping[str, bytes]:
    """The files of a holder of the gallery."""
    family, sheet, operation, options = ASKED[which]
    path = ROOT / "sheets" / f"{sheet}.json" if sheet else None
    chosen = preferred(family, options, sheet=path, operation=operation)
    return pack.build(chosen.recipe, notes=chosen.notes, choice=chosen.choice).files


@pytest.mark.parametrize("which", ["round", pytest.param("plungers", marks=pytest.mark.slow)])
def test_every_file_of_a_pack_is_taken_as_it_is(which: str) -> None:
    files = made(which)
    assert {name.rsplit(".", 1)[1] for name in files} == set(READERS) - {"txt"}
    assert [each for name, data in files.items() for each in faults(name, data)] == []


def test_plan_and_job_sheet_are_taken_as_they_are() -> None:
    sheet = read(ROOT / "sheets" / "inv-26-a.json", Sheet)
    usual = read(sorted((ROOT / "work_plans").glob("*.json"))[0], WorkPlan)
    work = WorkPlan(name="<b>Quartz & Söhne</b> ✂ 時", operations=usual.operations[:1])
    job = solve(sheet, work, PrinterCard())
    plan = readiness(job)
    about = report.job_sheet(plan, job.work, job.sheet, {}, "0" * 12)
    files = plan_files(plan) | {"job.html": report.page(about), "job.pdf": report.paper(about)}
    assert [each for name, data in files.items() for each in faults(name, data)] == []


@pytest.mark.slow
def test_the_whole_gallery_is_taken_as_it_is() -> None:
    """As the README's first command built it."""
    written = [path for path in sorted(PACKS.rglob("*")) if path.is_file()]
    if not written:
        pytest.skip("gallery/packs is not built here: nests gallery --out gallery")
    assert len({path.parent for path in written}) >= len(gallery.PIECES)
    assert [each for path in written for each in faults(path.name, path.read_bytes())] == []


def _moved(data: bytes) -> bytes:
    """A PDF whose table of objects is off by one byte."""
    body, _, rest = data.rpartition(b"startxref\n")
    number, _, end = rest.partition(b"\n")
    return body + b"startxref\n%d\n" % (int(number) + 1) + end


def _displaced(data: bytes) -> bytes:
    """A PDF whose table has one object in another's place."""
    return data.replace(b"0000000016 00000 n", b"0000000017 00000 n", 1)


def _repacked(data: bytes) -> bytes:
    """A 3MF whose model names a vertex that is not there."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, content.replace(b'v1="0"', b'v1="99999999"', 1))
    return out.getvalue()


BROKEN = {
    "its table is elsewhere": ("report.pdf", _moved),
    "an object is elsewhere": ("report.pdf", _displaced),
    "a PDF cut off": ("drawing.pdf", lambda data: data[:-400]),
    "a layer with a forbidden name": (
        "drawing.dxf",
        lambda data: data.replace(b"\n  8\noutline", b"\n  8\nout|li<ne", 1),
    ),
    "a DXF cut off": ("drawing.dxf", lambda data: data[: len(data) // 2]),
    "an open element": ("drawing.svg", lambda data: data.replace(b"</svg>", b"")),
    "a control character": ("drawing.svg", lambda data: data.replace(b"</svg>", b"\x01</svg>")),
    "an open cell": ("report.html", lambda data: data.replace(b"</table>", b"", 1)),
    "a bare ampersand": ("report.html", lambda data: data.replace(b"<h1>", b"<h1>&nosuch;", 1)),
    "a vertex that is not there": ("holder.3mf", _repacked),
    "a triangle too few": ("holder.stl", lambda data: data[:-50]),
    "a wrong sum": ("picture.png", lambda data: data[:-20] + b"\0\0\0\0" + data[-16:]),
    "no number": ("findings.json", lambda data: data.replace(b"{", b'{"value": NaN, ', 1)),
    "a name twice": ("findings.json", lambda data: data.replace(b"{", b'{"a": 1, "a": 2, ', 1)),
}


@pytest.mark.parametrize("how", BROKEN)
def test_the_readers_find_what_is_broken(how: str) -> None:
    name, broken = BROKEN[how]
    data = made("round")[name]
    assert broken(data) != data
    assert faults(name, broken(data)) != []
