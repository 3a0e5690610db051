"""Map and labels: every code is read back by a reader that is not ours."""

from __future__ import annotations

import html
import io
import re
import shutil
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from nests.drawer.filing import file_holder, retire
from nests.drawer.paper import HIGH, MODULE, QUIET, WIDE, code_path, drawer_page
from nests.drawer.shelf import every_holder
from nests.kinds.kept import make_id
from nests.units import BadInput

from .conftest import readings

CHROMIUM = shutil.which("chromium")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--enable-unsafe-swiftshader", "--use-angle=swiftshader",
]  # fmt: skip


@pytest.fixture
def many(folder, hands, plain, cased):
    """Thirty holders, the third retired, one with a name that would break a page."""
    rude = replace(plain.workpiece, name='<b>&"x"</b> a name much too long for its label')
    rude_one = replace(plain, workpiece=rude)
    made = [file_holder(folder, each, readings()) for each in (hands, rude_one, cased) * 10]
    retire(folder, made[2].id, "cracked")
    return folder


@pytest.mark.parametrize("number", [1, 12, 999, 1234567])
def test_a_code_is_read_by_another_reader(number):
    """Drawn from our path with another library, read by ZXing: ISO/IEC 18004."""
    zxingcpp = pytest.importorskip("zxingcpp")
    from PIL import Image, ImageDraw

    wanted = make_id("movement holder", number)
    path, edge = code_path(wanted, 0.0, 0.0)
    scale = 10 / MODULE
    picture = Image.new("L", (round(edge * scale),) * 2, 255)
    draw = ImageDraw.Draw(picture)
    boxes = [tuple(map(float, m)) for m in
             re.findall(r"M([\d.]+) ([\d.]+)h([\d.]+)v([\d.]+)h-[\d.]+z", path)]  # fmt: skip
    assert "".join(f"M{x:.2f} {y:.2f}h{w:.2f}v{h:g}h-{w:.2f}z" for x, y, w, h in boxes) == path
    for x, y, wide, high in boxes:
        ends = (x * scale, y * scale, (x + wide) * scale - 1, (y + high) * scale - 1)
        draw.rectangle(ends, fill=0)
    quiet = min(min(x, y) for x, y, *_ in boxes)
    assert quiet == pytest.approx(QUIET * MODULE)
    (read,) = zxingcpp.read_barcodes(picture)
    assert read.text == wanted


def test_the_page_is_sound_and_the_same_each_time(many):
    holders, _ = every_holder(many)
    page = drawer_page(holders, title="Bench & drawer")
    assert page == drawer_page(tuple(reversed(holders)), title="Bench & drawer")
    text = page.decode()
    root = ElementTree.fromstring(text.split("\n", 1)[1].replace('<meta charset="utf-8">', "")
                                  .replace('<meta name="viewport" content="width=device-width, '
                                           'initial-scale=1">', ""))  # fmt: skip
    space = "{http://www.w3.org/2000/svg}"
    sheets = root.findall(f".//{space}svg")
    assert [s.get("aria-label") for s in sheets] == [
        "Bench & drawer: map", "Bench & drawer: map", "Bench & drawer: labels",
    ]  # fmt: skip
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "")
    assert "<b>" not in text
    for box in root.iter(f"{space}rect"):
        x, y, wide, high = (float(box.get(k, "nan")) for k in ("x", "y", "width", "height"))
        assert 0 <= x < x + wide <= WIDE
        assert 0 <= y < y + high <= HIGH


def test_a_retired_holder_has_no_label_and_its_compartment_stays_free(many):
    holders, _ = every_holder(many)
    text = html.unescape(drawer_page(holders).decode())
    (gone,) = [k.id for k in holders if k.now.state == "retired"]
    assert text.count(f">{gone}<") == 0
    assert text.count(f">{gone} is retired<") == 1
    kept = [k.id for k in holders if k.now.state != "retired"]
    assert all(text.count(f">{each}<") == 2 for each in kept)  # on the map, on its label
    # the map goes on counting: compartment 4 holds the fourth that was filed
    shown = re.findall(r">(\d+)</text>\n(?:<text[^>]*>)([^<]+)<", text)
    order = sorted(holders, key=lambda k: k.history[0].number)
    assert shown[3] == ("4", order[3].id)


@pytest.mark.parametrize(("columns", "rows"), [(0, 6), (4, 0), (9, 6), (4, 17)])
def test_a_grid_that_does_not_fit(many, columns, rows):
    with pytest.raises(BadInput, match="1 to 8 columns"):
        drawer_page(every_holder(many)[0], columns=columns, rows=rows)


@pytest.mark.slow
@pytest.mark.skipif(CHROMIUM is None, reason="chromium is not on this machine")
def test_in_the_browser(many):
    """On paper three sheets of A4; on the screen every code is read, and axe finds nothing."""
    from axe_playwright_python.sync_playwright import Axe
    from PIL import Image
    from playwright.sync_api import sync_playwright
    from pypdf import PdfReader

    zxingcpp = pytest.importorskip("zxingcpp")
    holders, _ = every_holder(many)
    with sync_playwright() as play:
        shown = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        tab = shown.new_page(viewport={"width": 1200, "height": 900})
        tab.set_content(drawer_page(holders).decode())
        found = Axe().run(tab)
        assert found.violations_count == 0, found.generate_report()
        picture = Image.open(io.BytesIO(tab.screenshot(full_page=True)))
        paper = PdfReader(io.BytesIO(tab.pdf(prefer_css_page_size=True)))
        clipped = tab.evaluate(
            "[...document.querySelectorAll('text')].filter(t => t.getBBox().x + t.getBBox().width "
            "> 210).length"
        )
        shown.close()
    assert clipped == 0
    assert {read.text for read in zxingcpp.read_barcodes(picture)} == {
        k.id for k in holders if k.now.state != "retired"
    }
    boxes = [page.mediabox for page in paper.pages]
    sizes = [(round(float(b.width) / 72 * 25.4), round(float(b.height) / 72 * 25.4)) for b in boxes]
    assert sizes == [(210, 297)] * 3
