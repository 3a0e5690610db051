"""The photograph: its pixels and nothing else, scaled by the ⌀, turned by two clicks.

Exif 2.32 (JEITA CP-3451X) for what a camera writes; the way it lies against plain trigonometry.
"""

from __future__ import annotations

import io
import math

import pytest
from PIL import Image, ImageDraw
from PIL.PngImagePlugin import PngInfo

pytest.importorskip("starlette")

from nests.faces.page.photo import Photos, laid_by, without_metadata
from nests.places import Side
from nests.units import BadInput
from tests.bench_page.conftest import settled, until
from tests.bench_page.test_kept import begun


def jpeg(size=(300, 200), turned=1):
    picture = Image.new("RGB", size, "#998866")
    exif = Image.Exif()
    exif[0x010F] = "SECRET MAKER"
    exif[0x0112] = turned
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (47.0, 3.0, 30.5)
    out = io.BytesIO()
    picture.save(out, "JPEG", exif=exif, comment=b"SECRET COMMENT")
    return out.getvalue()


def test_what_a_camera_wrote_is_dropped():
    content = jpeg()
    assert b"SECRET" in content
    bare = without_metadata(content)
    assert b"SECRET" not in bare
    with Image.open(io.BytesIO(bare)) as picture:
        assert not picture.getexif()
        assert picture.info == {}
        assert picture.size == (300, 200)


def test_a_text_in_a_png_is_dropped():
    about, out = PngInfo(), io.BytesIO()
    about.add_text("Comment", "SECRET PLACE")
    Image.new("RGB", (20, 20)).save(out, "PNG", pnginfo=about)
    assert b"SECRET" in out.getvalue()
    assert b"SECRET" not in without_metadata(out.getvalue())


def test_a_picture_on_its_side_is_stood_up():
    with Image.open(io.BytesIO(without_metadata(jpeg(turned=6)))) as picture:
        assert picture.size == (200, 300)


def test_a_large_one_is_made_smaller():
    out = io.BytesIO()
    Image.new("RGB", (4000, 3000)).save(out, "JPEG")
    with Image.open(io.BytesIO(without_metadata(out.getvalue()))) as picture:
        assert picture.size == (1800, 1350)


@pytest.mark.parametrize("content", [b"", b"GIF89a", b"%PDF-1.7", b"<svg/>", jpeg()[:200]])
def test_what_is_no_photograph_is_refused(content):
    with pytest.raises(BadInput, match="no photograph"):
        without_metadata(content)


def test_a_vast_one_is_refused_before_it_is_opened():
    """A PNG of 30 000 x 30 000 pixels of one colour is small as a file."""
    import struct
    import zlib

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(
            ">I", zlib.crc32(kind + data))  # fmt: skip

    head = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * 1000)
    content = (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    )
    with pytest.raises(BadInput):
        without_metadata(content)


@pytest.mark.parametrize("turn", [0.0, 17.0, 90.0, 200.0])
@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("hour", [12.0, 3.0, 7.5])
def test_two_clicks_lay_it(turn, side, hour):
    """A plan drawn on a picture that is turned, shifted and scaled is laid back where it was."""
    scale, size, shift = 0.031, (900, 700), (40.0, -25.0)
    to_hour = math.radians(30.0 * hour) * (1 if side is Side.DIAL else -1)

    def pixel(x, y):  # from the plan, mm, y up, as it is looked at
        a = math.radians(turn)
        px, py = x / scale, -y / scale
        return (
            size[0] / 2 + shift[0] + px * math.cos(a) - py * math.sin(a),
            size[1] / 2 + shift[1] + px * math.sin(a) + py * math.cos(a),
        )

    edge = (13.0 * math.sin(to_hour), 13.0 * math.cos(to_hour))
    laid = laid_by(pixel(*edge), pixel(-edge[0], -edge[1]), size, hour, 26.0, side)
    assert laid.scale == pytest.approx(scale)

    def back(px, py):  # as the page lays it: turned about its middle, then shifted
        a = math.radians(laid.turn)
        dx, dy = (px - size[0] / 2) * laid.scale, (py - size[1] / 2) * laid.scale
        x, y = dx * math.cos(a) - dy * math.sin(a), dx * math.sin(a) + dy * math.cos(a)
        return laid.x + x, laid.y - y

    assert back(*pixel(3.2, -4.5)) == pytest.approx((3.2, -4.5), abs=1e-4)


def test_points_that_are_one_are_refused(tmp_path):
    photos = Photos(tmp_path)
    photos.take(Side.DIAL, jpeg())
    with pytest.raises(BadInput, match="as good as one"):
        photos.lay(Side.DIAL, {"points": [[5, 5], [6, 6]]}, 26.0)
    with pytest.raises(BadInput, match="two points"):
        photos.lay(Side.DIAL, {"points": [[5, float("nan")]]}, 26.0)
    with pytest.raises(BadInput):
        photos.lay(Side.DIAL, {"points": [[5, float("nan")], [float("inf"), 1]]}, 26.0)


@pytest.mark.slow
def test_it_is_laid_under_the_plan_in_the_browser(shared, tab, tmp_path):
    opened = shared()
    page = tab(opened.address)
    begun(page)
    settled(page)
    picture = Image.new("RGB", (600, 600), "#334")
    draw = ImageDraw.Draw(picture)
    draw.ellipse((100, 100, 500, 500), fill="#ccb")
    picture.save(tmp_path / "photo.png")
    page.locator("#photo-open").click()
    page.locator("#photo-file").set_input_files(tmp_path / "photo.png")
    page.wait_for_selector("#photo-says:has-text('Click a point')")
    canvas = page.locator("#photo-canvas")
    box = canvas.bounding_box()
    middle, radius = box["width"] / 2, box["width"] / 3
    canvas.click(position={"x": middle, "y": middle - radius})
    canvas.click(position={"x": middle, "y": middle + radius})
    page.locator("#photo-lay").click()
    until(page, "document.querySelector('#photo-dial')?.getAttribute('href')")
    scale = float(page.locator("#dial svg.plan").get_attribute("data-scale"))
    wide = float(page.locator("#photo-dial").get_attribute("width"))
    # 400 of 600 pixels are 26 mm (the canvas has less than half of them: a pixel is 0.1 mm)
    assert wide / scale == pytest.approx(26.0 * 600 / 400, abs=0.4)
    page.wait_for_timeout(300)
    assert page.locator("#photo-dial").evaluate("each => each.getBBox().width") > 10
    page.reload()
    until(page, "document.querySelector('#photo-dial')?.getAttribute('href')")
    assert page.errors == []
    assert all(url.startswith((opened.origin, "blob:")) for url in page.asked)
