"""DXF, SVG and PDF: read back by other libraries, and the same bytes every time."""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import ezdxf
import pytest
from drawn_holders import drawing, holder
from ezdxf.document import Drawing as Document
from pypdf import PdfReader

from nests.papers.drawing import dxf, pdf, svg, turned_dxf
from nests.papers.drawing.dxf import marked
from tests.pieces import every

TWO = ("inv-26-a-hand-setting", "inv-30-c-chronograph-plunger")


def read_dxf(data: bytes) -> Document:
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


@pytest.mark.parametrize("name", every(names=True))
def test_a_dxf_has_no_errors_and_its_dimensions_measure_what_they_say(name: str) -> None:
    made = drawing(name)
    doc = read_dxf(dxf(made))
    audit = doc.audit()
    assert not audit.errors
    assert not audit.fixes
    assert doc.dxfversion == "AC1024"  # R2010
    assert doc.units == ezdxf.units.MM
    found = list(doc.modelspace().query("DIMENSION"))
    assert len(found) == len(made.dimensions)
    for entity, given in zip(found, made.dimensions, strict=True):
        style = doc.dimstyles.get(entity.dxf.dimstyle)
        measured = float(entity.get_measurement()) * style.dxf.dimlfac
        # a foot or a ledge is shown at its outline, a chord's breadth from where it was measured
        assert measured == pytest.approx(given.value, abs=0.011), given.name
        assert entity.dxf.actual_measurement == pytest.approx(given.value)
        text = entity.dxf.text.replace("<>", f"{given.value:.2f}")
        assert text == marked(given.text.words)
        assert entity.dxf.geometry in doc.blocks


def test_model_space_is_the_solid_at_true_size() -> None:
    doc = read_dxf(dxf(drawing("inv-26-a-hand-setting")))
    radii = {round(each.dxf.radius, 3) for each in doc.modelspace().query("CIRCLE ARC")}
    # bore as asked of the sheet, 26 + 0.10 + 0.06, and body 26 + 2·8
    assert {13.08, 21.0} <= radii


def test_layers_have_plain_names() -> None:
    doc = read_dxf(dxf(drawing("inv-26-a-hand-setting")))
    used = {each.dxf.layer for each in doc.modelspace()}
    assert used <= {
        "outline", "fine edges", "hidden edges", "centre lines", "cutting planes", "hatching",
        "dimensions", "lettering", "sheet",
    }  # fmt: skip
    assert {"outline", "dimensions", "hatching"} <= used
    assert all(doc.layers.has_entry(name) for name in used)


@pytest.mark.parametrize("name", every(names=True))
def test_a_pdf_gives_its_text_back(name: str) -> None:
    made = drawing(name)
    reader = PdfReader(io.BytesIO(pdf(made)), strict=True)
    assert len(reader.pages) == len(made.sheets)
    text = "\n".join(page.extract_text() for page in reader.pages)
    for each in made.dimensions:
        assert each.text.words in text, each.name
    assert {"⌀", "µ", "±"} <= set(text)
    wide, tall = reader.pages[0].mediabox[2:]
    assert (float(wide) / 72 * 25.4, float(tall) / 72 * 25.4) == pytest.approx(made.size, abs=0.01)


def test_a_pdf_knows_no_clock() -> None:
    data = pdf(drawing(TWO[0]))
    for word in (b"CreationDate", b"ModDate", b"CreateDate", b"ModifyDate"):
        assert word not in data
    assert pdf(drawing(TWO[0])) == data
    assert PdfReader(io.BytesIO(data)).metadata["/Title"] == "INV 26-A hand setting"


@pytest.mark.parametrize("name", TWO)
def test_an_svg_is_well_formed_and_names_its_texts(name: str) -> None:
    made = drawing(name)
    root = ElementTree.fromstring(svg(made))
    assert root.get("width") == f"{made.width:g}mm"
    labels = [each.get("aria-label") for each in root.iter() if each.get("aria-label")]
    assert sorted(labels) == sorted(text.words for text in made.texts if text.words)


def test_another_process_writes_the_same_bytes() -> None:
    script = (
        "import hashlib, sys; sys.path[:0] = [sys.argv[1]]\n"
        "from drawn_holders import drawing, holder\n"
        "from nests.papers.drawing import dxf, pdf, svg, turned_dxf\n"
        f"made = drawing({TWO[0]!r})\n"
        f"for data in (dxf(made), svg(made), pdf(made), turned_dxf(holder({TWO[0]!r}))):\n"
        "    print(hashlib.sha256(data).hexdigest())\n"
    )
    here = Path(__file__).parent
    environment = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    ran = subprocess.run(
        [sys.executable, "-c", script, str(here)],
        cwd=here.parent.parent, env=environment, capture_output=True, text=True, check=True,
    )  # fmt: skip
    made = drawing(TWO[0])
    mine = [dxf(made), svg(made), pdf(made), turned_dxf(holder(TWO[0])) or b""]
    assert ran.stdout.split() == [hashlib.sha256(data).hexdigest() for data in mine]
