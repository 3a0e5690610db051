"""Map and labels: every code is read back from the paper by a reader that is not ours."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from pypdf import PdfReader

from nests.drawer.filing import file_holder, retire
from nests.drawer.shelf import every_holder
from nests.kinds.kept import make_id
from nests.orders.drawer_page import HIGH, MODULE, QUIET, WIDE, code_picture, drawer_page
from nests.papers.typeset import compiled
from nests.units import BadInput

from .conftest import readings

MM = 72 / 25.4


@pytest.fixture
def many(folder, hands, plain, cased):
    """Thirty holders, the third retired, one with a name that would break a page."""
    rude = replace(plain.workpiece, name='<b>&"x"</b> #a name much too \\long] for its label')
    rude_one = replace(plain, workpiece=rude)
    made = [file_holder(folder, each, readings()) for each in (hands, rude_one, cased) * 10]
    retire(folder, made[2].id, "cracked")
    return folder


def raster(paper: bytes):
    """Its sheets as pictures, eight dots to the millimetre, by a library that is not ours."""
    import pypdfium2

    shown = pypdfium2.PdfDocument(paper)
    return [shown[k].render(scale=8 / MM).to_pil().convert("L") for k in range(len(shown))]


def said(paper: bytes) -> list[list[str]]:
    """Lines of text of every sheet."""
    return [page.extract_text().split("\n") for page in PdfReader(io.BytesIO(paper)).pages]


@pytest.mark.parametrize("number", [1, 12, 999, 1234567])
def test_a_code_is_read_by_another_reader(number):
    """Drawn by the typesetter, rendered by PDFium, read by ZXing: ISO/IEC 18004."""
    zxingcpp = pytest.importorskip("zxingcpp")
    wanted = make_id("movement holder", number)
    source = ('#set document(title: "x")\n#set page(width: 29mm, height: 29mm, margin: 0mm)\n'
              '#image("code.svg", width: 29mm, alt: "code")')  # fmt: skip
    (picture,) = raster(compiled(source, {"code.svg": code_picture(wanted)}))
    (read,) = zxingcpp.read_barcodes(picture)
    assert read.text == wanted
    dark = picture.point(lambda v: 255 if v < 128 else 0).getbbox()
    modules = 2 * QUIET + 21  # version 1, which holds every id
    quiet = picture.width * QUIET / modules
    far = picture.width - quiet
    assert dark == pytest.approx((quiet, quiet, far, far), abs=1)


def test_every_code_on_the_paper_is_read_and_has_its_size(many):
    zxingcpp = pytest.importorskip("zxingcpp")
    holders, _ = every_holder(many)
    pictures = raster(drawer_page(holders))
    found = [read for each in pictures for read in zxingcpp.read_barcodes(each)]
    assert sorted(read.text for read in found) == sorted(
        k.id for k in holders if k.now.state != "retired"
    )
    for read in found:
        at = read.position
        across = abs(at.top_right.x - at.top_left.x) / 8
        assert across == pytest.approx(21 * MODULE, abs=0.3)


def test_the_paper_is_sound_and_the_same_each_time(many):
    holders, _ = every_holder(many)
    paper = drawer_page(holders, title="Bench & drawer")
    assert paper == drawer_page(tuple(reversed(holders)), title="Bench & drawer")
    read = PdfReader(io.BytesIO(paper), strict=True)
    assert read.metadata.title == "Bench & drawer"
    sizes = [(float(p.mediabox.width), float(p.mediabox.height)) for p in read.pages]
    assert sizes == [pytest.approx((WIDE * MM, HIGH * MM), abs=0.1)] * 3
    maps = [words[0] for words in said(paper)[:2]]
    assert maps == [f"Bench & drawer: compartments {k + 1} to {k + 24}" for k in (0, 24)]
    assert any('<b>&"x"</b> #a name' in line for line in said(paper)[2])


def test_a_long_name_stays_within_its_label(many):
    """Nothing dark stands between the last label of a row and the edge of the sheet."""
    holders, _ = every_holder(many)
    sheet = raster(drawer_page(holders))[-1]
    right = sheet.crop((round(8 * (10.0 + 3 * 62.0 + 0.3)), 0, sheet.width, sheet.height))
    assert right.getextrema()[0] > 200
    assert sheet.crop((0, 0, round(8 * 9.7), sheet.height)).getextrema()[0] > 200


def test_a_retired_holder_has_no_label_and_its_compartment_stays_free(many):
    holders, _ = every_holder(many)
    lines = [line for sheet in said(drawer_page(holders)) for line in sheet]
    (gone,) = [k.id for k in holders if k.now.state == "retired"]
    assert lines.count(gone) == 0
    assert lines.count(f"{gone} is retired") == 1
    kept = [k.id for k in holders if k.now.state != "retired"]
    assert all(lines.count(each) == 2 for each in kept)  # on the map, on its label
    # the map goes on counting: compartment 4 holds the fourth that was filed
    order = sorted(holders, key=lambda k: k.history[0].number)
    assert lines[lines.index("4") + 1] == order[3].id


def test_an_empty_drawer_has_a_map():
    assert said(drawer_page([], columns=1, rows=1)) == [["Drawer: compartments 1 to 1", "1"]]


@pytest.mark.parametrize(("columns", "rows"), [(0, 6), (4, 0), (9, 6), (4, 17)])
def test_a_grid_that_does_not_fit(many, columns, rows):
    with pytest.raises(BadInput, match="1 to 8 columns"):
        drawer_page(every_holder(many)[0], columns=columns, rows=rows)
