"""Pictures against closed forms: silhouettes, sections, the scale bar, light, the field's scale."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import manifold3d
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw

from nests import picture
from nests.picture import SECTION, Body, View, holder_picture, render
from nests.places import at_hour

Solid = manifold3d.Manifold
OUTER, BORE, WELL, HEIGHT, LEDGE, FLOOR = 15.0, 11.0, 9.0, 8.0, 5.0, 2.0
SEGMENTS = 720  # the polygon's area is below the circle's by 2 pi^2 / 3 n^2 = 1.3e-5


def body(solid: Any, *, name: str = "holder", ghost: bool = False) -> Body:
    """A body whose part labels count the solids it was made from, in the order they were made."""
    mesh = solid.to_mesh64()
    index = np.array(mesh.run_index, np.int64) // 3
    _, label = np.unique(np.array(mesh.run_original_id), return_inverse=True)
    return Body(
        name,
        np.array(mesh.vert_properties, np.float64)[:, :3],
        np.array(mesh.tri_verts, np.int64),
        np.repeat(label.astype(np.int64), index[1:] - index[:-1]),
        ghost,
    )


def disc(height: float, radius: float, z: float = 0.0, x: float = 0.0, y: float = 0.0) -> Any:
    """An upright cylinder standing at x, y, z; a piece with a label of its own."""
    round_ = Solid.cylinder(height, radius, radius, SEGMENTS).translate((x, y, z))
    return round_.as_original()


def ring() -> Any:
    """A ring with a ledge and a floor: labels 0 outside, 1 bore and ledge, 2 well."""
    return disc(HEIGHT, OUTER) - disc(20, BORE, LEDGE) - disc(20, WELL, FLOOR)


def holder() -> Body:
    """The ring with a slot toward 3 h (label 3) and a post (label 4) off the axis."""
    slot = Solid.cube((20, 3, 20), False).translate((10, -1.5, 6)).as_original()
    return body(ring() - slot + disc(4.5, 1.2, FLOOR - 0.5, 3.0, 2.0))


def section_area() -> float:
    """Both halves of the ring's section: three rectangles less the recesses."""
    return 2 * (OUTER * HEIGHT - BORE * (HEIGHT - LEDGE) - WELL * (LEDGE - FLOOR))


def seen_area(bodies: list[Body], view: View, part: int | None = None) -> float:
    """Area in the picture plane, mm2, of what rays met (of one part)."""
    camera = picture.aim(bodies, view, (500, 420))
    scene = picture.build_scene(bodies)
    triangle = picture.trace(scene, camera).triangle
    hit = triangle >= 0 if part is None else scene.part[triangle] == part
    return float(hit.sum()) / (picture.FINE * camera.scale) ** 2


def pixels(png: bytes) -> NDArray[np.int64]:
    """The picture as (h, w, 3) integers."""
    return np.asarray(Image.open(BytesIO(png)).convert("RGB")).astype(np.int64)


def likeness(image: Image.Image, text: str, size: float) -> float:
    """Best normalised cross-correlation of the text, set in the embedded font, with any place.

    J. P. Lewis, "Fast Normalized Cross-Correlation", Vision Interface 1995. All sixteen
    quarter-pixel offsets are tried, since text is set to a quarter of a pixel. The slow shade
    of the paper is taken off by a black top-hat (closing less image).
    """
    from scipy.ndimage import black_tophat
    from scipy.signal import oaconvolve

    dark = black_tophat(np.asarray(image.convert("L"), np.float64), size=(17, 17))
    face = picture.font(4 * size)
    left, top, right, bottom = face.getbbox(text)
    wide, tall, skip = math.ceil(right / 4) + 2, math.ceil(bottom / 4) + 2, int(top // 4)
    ones = np.ones((tall - skip, wide))
    total, square = (oaconvolve(dark**k, ones, "valid") for k in (1, 2))
    variance = np.maximum(square - total**2 / ones.size, 1.0)
    best = 0.0
    for x, y in ((x, y) for x in range(4) for y in range(4)):
        large = Image.new("L", (4 * wide, 4 * tall), 0)
        ImageDraw.Draw(large).text((4 - left + x, y), text, font=face, fill=255)
        shape = np.asarray(large.reduce(4), np.float64)[skip:]
        shape = shape - shape.mean()
        cross = oaconvolve(dark, shape[::-1, ::-1], "valid")
        best = max(best, float((cross / np.sqrt(variance * (shape**2).sum())).max()))
    return best


# --- what is seen -------------------------------------------------------------------------------


@pytest.mark.parametrize("elevation", [-90, -25, 0, 10, 36, 60, 90])
def test_shadow_of_a_cylinder(elevation: float) -> None:
    """Projected: an ellipse of pi r^2 sin e and a rectangle 2 r h cos e (elementary geometry)."""
    rise = math.radians(elevation)
    r, h = 6.0, 9.0
    expected = math.pi * r * r * abs(math.sin(rise)) + 2 * r * h * math.cos(rise)
    assert seen_area([body(disc(h, r))], View(2.0, rise)) == pytest.approx(expected, rel=2e-3)


def test_shadow_of_a_sphere() -> None:
    """Pi r^2 from everywhere."""
    ball = body(Solid.sphere(7.0, 400))
    for view in (View(1.3, 0.2), View(8.0, 1.0)):
        assert seen_area([ball], view) == pytest.approx(math.pi * 49.0, rel=2e-3)


def test_painted_silhouette_is_the_closed_form_and_half_a_line() -> None:
    """From below there is no shadow: all that is not paper is body, or the outline's outer half."""
    view, size, r, h = View(4.0, -0.6), (500, 420), 6.0, 9.0
    solid = body(disc(h, r))
    camera = picture.aim([solid], view, size)
    image = np.asarray(render([solid], view=View(4.0, -0.6, scale=camera.scale), size=size))
    drawn = int((image != picture.PAPER).any(axis=2).sum())
    area = math.pi * r * r * math.sin(0.6) + 2 * r * h * math.cos(0.6)
    # Ramanujan's second formula for the half ellipses at both ends, and the two sides.
    a, b = r, r * math.sin(0.6)
    k = 3 * ((a - b) / (a + b)) ** 2
    edge = math.pi * (a + b) * (1 + k / (10 + math.sqrt(4 - k))) + 2 * h * math.cos(0.6)
    least = area * camera.scale**2
    assert least < drawn < least + 2.0 * edge * camera.scale


def test_what_is_seen_lies_where_it_projects() -> None:
    """The middle of a ball's cells is the projection of its centre, to a tenth of a pixel."""
    ball = body(Solid.sphere(3.0, 200).translate((7, -4, 5)))
    camera = picture.aim([ball, body(disc(4, 12))], View(2.0, 0.7), (500, 420))
    y, x = np.nonzero(picture.trace(picture.build_scene([ball]), camera).triangle >= 0)
    middle = np.array([x.mean() + 0.5, y.mean() + 0.5]) / picture.FINE
    assert middle == pytest.approx(camera.project(np.array([[7.0, -4.0, 5.0]]))[0], abs=0.1)


def test_thin_wall_between_nodes_is_whole() -> None:
    """A fin 1.5 pixels wide is never lost to the coarse first pass."""
    fin = body(Solid.cube((0.15, 10, 10), True))
    far = body(Solid.cube((42, 1, 1), True).translate((0, 0, 8)), name="bar")
    camera = picture.aim([fin, far], View(6.0, 0.0), (500, 420))
    scene = picture.build_scene([fin, far])
    seen = scene.body[picture.trace(scene, camera).triangle] == 0
    assert 1.2 < 0.15 * camera.scale < 1.8
    area = seen.sum() / (picture.FINE * camera.scale) ** 2
    assert area == pytest.approx(1.5, rel=0.5 / (0.15 * camera.scale))
    rows = seen.any(axis=1)
    assert rows.sum() == pytest.approx(10 * picture.FINE * camera.scale, abs=2)


@pytest.mark.parametrize("hour", [0.0, 3.0, 4.5, 9.0, 11.9])
def test_the_eye_stands_at_its_hour(hour: float) -> None:
    """`places.at_hour` and the camera agree: the place at the hour is nearest to the eye."""
    right, up, toward = View(hour, 0.3).axes()
    near, three_on = at_hour(hour, 1.0), at_hour(hour - 3.0, 1.0)
    assert np.array([near.x, near.y, 0.0]) @ toward == pytest.approx(math.cos(0.3))
    assert np.array([three_on.x, three_on.y, 0.0]) @ right == pytest.approx(1.0)
    assert np.cross(right, up) == pytest.approx(toward)


# --- cut ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("hour", [0.0, 2.5, 7.0, 12.0])
def test_section_of_a_ring(hour: float) -> None:
    """Three rectangles a side, foreshortened by cos e when the eye is square to the cut."""
    half = picture.cut(body(ring()), hour)
    assert half is not None
    rise = math.radians(24.0)
    area = seen_area([half], View(hour + 3.0, rise), SECTION) / math.cos(rise)
    assert area == pytest.approx(section_area(), rel=5e-3)


def test_half_a_ring_is_closed_and_half_the_volume() -> None:
    """Divergence theorem over the cut mesh against pi r^2 h; labels keep their wall areas."""
    half = picture.cut(body(ring()), 1.0)
    assert half is not None
    corner = half.vertices[half.triangles]
    cross = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    volume = np.einsum("ij,ij->", corner[:, 0], cross) / 6.0
    area = np.linalg.norm(cross, axis=1) / 2.0
    whole = OUTER**2 * HEIGHT - BORE**2 * (HEIGHT - LEDGE) - WELL**2 * (LEDGE - FLOOR)
    assert volume == pytest.approx(math.pi * whole / 2, rel=5e-5)
    assert area[half.part == SECTION].sum() == pytest.approx(section_area(), rel=5e-5)
    bore = math.pi * BORE * (HEIGHT - LEDGE) + math.pi * (BORE**2 - WELL**2) / 2
    assert area[half.part == 1].sum() == pytest.approx(bore, rel=5e-5)


def test_the_hour_of_a_cut_lies_to_the_right() -> None:
    """The slot toward 3 h takes 5 x 2 mm from the right of a 3 h cut and nothing from the left."""
    half = picture.cut(holder(), 3.0)
    assert half is not None
    camera = picture.aim([half], View(6.0, 0.0), (500, 420))
    scene = picture.build_scene([half])
    face = scene.part[picture.trace(scene, camera).triangle] == SECTION
    axis = round(picture.FINE * camera.project(np.zeros((1, 3)))[0, 0])
    left, right = (a.sum() / (picture.FINE * camera.scale) ** 2 for a in np.split(face, [axis], 1))
    assert left == pytest.approx(section_area() / 2, rel=5e-3)
    # The slot starts at x = 10: from 11 on it meets the ring's rim, 4 x 2; under the bore nothing.
    assert right == pytest.approx(section_area() / 2 - 4 * 2, rel=5e-3)


@pytest.mark.parametrize(("hour", "area"), [(12.0, 100.0), (6.0, 85.0)])
def test_a_wall_in_the_plane_of_the_cut_is_no_section(hour: float, area: float) -> None:
    """A 5 x 3 notch whose wall lies in the plane: cut a hair to either side, no double face."""
    notch = Solid.cube((10, 20, 3), False)
    half = picture.cut(body(Solid.cube((10, 10, 10), True) - notch), hour)
    assert half is not None
    corner = half.vertices[half.triangles[half.part == SECTION]]
    cross = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    assert np.linalg.norm(cross, axis=1).sum() / 2 == pytest.approx(area, rel=1e-4)


def test_section_is_painted_light_and_hatched_where_it_lies() -> None:
    """In the picture: the section's tone fills its rectangles, with lines, and is nowhere else."""
    half = picture.cut(body(ring()), 12.0)
    assert half is not None
    view, size = View(3.0, 0.4), (1400, 800)
    camera = picture.aim([half], view, size, (24, 24, 1376, 776))
    image = np.asarray(render([half], view=View(3.0, 0.4), size=size)).astype(int)
    light = image[..., 0] > picture.PAPER[0] + 4  # nothing else is lighter than the paper
    inside = np.zeros(light.shape, bool)
    for y0, y1, z0, z1 in (
        (-OUTER, -BORE, 0, HEIGHT), (BORE, OUTER, 0, HEIGHT), (-BORE, -WELL, 0, LEDGE),
        (WELL, BORE, 0, LEDGE), (-WELL, WELL, 0, FLOOR),
    ):  # fmt: skip
        ends = camera.project(np.array([(0, y0, z1), (0, y1, z0)]))
        (x0, top), (x1, bottom) = ends.round().astype(int)
        inside[top:bottom, x0:x1] = True
        share = light[top:bottom, x0:x1].mean()
        assert 0.5 < share < 0.95, "filled, but crossed by lines"
    assert light[~inside].sum() < 0.01 * light.sum()
    from scipy.ndimage import binary_closing

    face = binary_closing(light, iterations=4).sum()  # closes the hatching
    expected = section_area() * math.cos(0.4) * camera.scale**2
    # The outline's inner half is 1 px, and the pixel beside it may be an average of both.
    upright = 2 * HEIGHT + 2 * (HEIGHT - FLOOR)
    edge = (4 * OUTER + upright * math.cos(0.4)) * camera.scale
    assert expected - 2 * edge < face < expected - 0.5 * edge
    assert 2 * edge < 0.035 * expected


def test_an_open_mesh_is_refused() -> None:
    """A cube without one triangle has no section."""
    cube = body(Solid.cube((10, 10, 10), True))
    broken = Body("box", cube.vertices, cube.triangles[1:], cube.part[1:])
    with pytest.raises(ValueError, match="box cannot be cut"):
        picture.cut(broken, 3.0)


def test_a_body_before_the_plane_is_cut_away() -> None:
    """Nothing is left of what stands wholly before the cut."""
    assert picture.cut(body(disc(3, 2, 0, 0, -9)), 3.0) is None


# --- the page -----------------------------------------------------------------------------------


def page(**more: Any) -> bytes:
    """The test holder's page."""
    return holder_picture([holder()], title="Ring seat, 11.5 ligne", **more)


def test_same_input_same_bytes() -> None:
    """Twice here and once in a fresh process with another hash seed."""
    more = {"caption": ["Two lines", "of text"], "cut_hour": 7.0, "lit": {4: "thin: mend"}}
    first = page(**more)
    assert first == page(**more)
    tests = Path(__file__).parent
    code = (
        f"import sys; sys.path[:0] = [{str(tests)!r}, {str(tests.parent)!r}]\n"
        f"from test_picture import page\nsys.stdout.buffer.write(page(**{more!r}))"
    )
    environment = {**os.environ, "PYTHONHASHSEED": "5"}
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, env=environment)
    assert run.stdout == first, run.stderr.decode()


@pytest.mark.parametrize("radius", [4.0, 15.0, 60.0])
def test_scale_bar(radius: float) -> None:
    """A disc seen from above gives pixels per mm; the bar is 1, 2 or 5 x 10^k mm to a pixel."""
    png = holder_picture([body(disc(0.3 * radius, radius))], title="disc", size=(1200, 700))
    image = pixels(png)
    panel = image[60:600, 600:1170]
    seen = np.abs(panel - picture.INK).sum(axis=2) < 60
    across = seen[:480].any(axis=0).nonzero()[0][[0, -1]]
    per_mm = (across[1] - across[0] + 1 - 1.0) / (2 * radius)  # the outline is 1 px outside
    # A circle that overflowed its panel would not be as high as it is wide.
    down = seen[:, 200:480].any(axis=1).nonzero()[0][[0, -1]]
    assert abs(int(np.diff(down)[0]) - int(np.diff(across)[0])) <= 1
    dark = (image[660:, 600:] == picture.INK).all(axis=2)
    bar = max(dark.sum(axis=1))
    exponent = math.log10(bar / per_mm) % 1.0
    first = min((1, 2, 5, 10), key=lambda n: abs(math.log10(n) - exponent))
    length = first * 10.0 ** math.floor(math.log10(bar / per_mm))
    # 1 px from rounding the bar's ends; 1.5 px over the disc's width from measuring its outline.
    assert abs(bar - length * per_mm) <= 1.0 + 1.5 * length / (2 * radius)
    corner = Image.fromarray(image[600:, 900:].astype(np.uint8))
    assert likeness(corner, f"{length:g} mm", 13) > 0.97
    assert likeness(corner, f"{2 * length:g} mm", 13) < 0.93


def test_scale_bar_drawn_to_the_pixel() -> None:
    """The bar at 7.3 px per mm: 20 mm are 146 px."""
    canvas = Image.new("RGB", (300, 60), picture.PAPER)
    picture._scale_bar(canvas, 290.0, 40, 7.3)
    dark = (np.asarray(canvas) == picture.INK).all(axis=2)[40]
    assert picture.scale_length(7.3, 170.0) == 20.0
    assert abs(int(dark.sum()) - 146) <= 1
    assert dark.nonzero()[0].tolist() == list(range(144, 290))


@pytest.mark.parametrize(
    ("scale", "expected"), [(1.7, 100.0), (1.71, 50.0), (8.5, 20.0), (17.1, 5.0), (400.0, 0.2)]
)
def test_scale_length(scale: float, expected: float) -> None:
    """The longest of the 1-2-5 series that takes at most 170 pixels."""
    assert picture.scale_length(scale, 170.0) == pytest.approx(expected)


def test_title_caption_and_headings_are_written() -> None:
    """Found by correlation with the embedded font."""
    image = Image.open(BytesIO(page(caption=["Seat clearance 0.05 mm"], cut_hour=3.0)))
    assert likeness(image.crop((0, 0, 600, 56)), "Ring seat, 11.5 ligne", 25) > 0.97
    assert likeness(image.crop((0, 630, 600, 700)), "Seat clearance 0.05 mm", 14) > 0.97
    heading = image.crop((600, 600, 1200, 640))
    assert likeness(heading, "cut from 9 h to 3 h, seen from 6 h", 13) > 0.97


def test_lit_part_has_a_tone_and_a_label() -> None:
    """The reason is written in both views, and the part is darker in greyscale too."""
    plain = Image.open(BytesIO(page())).convert("RGB")
    image = Image.open(BytesIO(page(lit={4: "thin: mend"}))).convert("RGB")
    for left in (0, 600):
        half = (left, 240, left + 600, 420)
        assert likeness(image.crop(half), "thin: mend", 13) > 0.97
        assert likeness(plain.crop(half), "thin: mend", 13) < 0.8
    view = View(5.0, 0.6, scale=16.0)
    camera = picture.aim([holder()], view, (700, 600))
    post = holder().vertices[np.unique(holder().triangles[holder().part == 4])]
    x, y = camera.project(np.array([[3.0, 2.0, post[:, 2].max()]]))[0].astype(int)
    grey = [
        np.asarray(picture._paint(stage.solid, None, camera)[0].convert("L"), int)[y, x]
        for stage in (picture._stage([holder()], view, lit) for lit in ((), (4,)))
    ]
    assert grey[0] - grey[1] > 60


def test_leader_ends_on_the_lit_part() -> None:
    """The ink dot lies on a pixel of the part, and leader ink runs from it to the label."""
    view, size = View(5.0, 0.8), (700, 500)
    stage = picture._stage([holder()], view, (4,))
    (labels,) = picture._share_labels([stage], {4: "thin: mend"}, [])
    panel = picture._arrange(stage, labels, size)
    assert stage.solid is not None
    buffers = picture.trace(stage.solid, panel.camera)
    x, y = picture._anchor(labels[0], panel, buffers)
    cell = buffers.triangle[int(picture.FINE * y), int(picture.FINE * x)]
    assert stage.solid.part[cell] == 4
    drawn = picture._draw(panel)
    bare = picture._paint(stage.solid, None, panel.camera)[0]
    added = np.asarray(ImageChops.difference(drawn, bare).convert("L")) > 12
    from scipy.ndimage import label as regions

    named, _ = regions(added, np.ones((3, 3)))
    column = size[0] - 24 - int(panel.column)
    assert named[int(y), int(x)] > 0
    assert named[int(y), int(x)] in named[:, column - 8 : column], "one stroke from dot to label"


def test_leaders_of_a_crowd_do_not_cross() -> None:
    """Thirty random sets of eight points; crossing by exact orientation of all pairs (shapely)."""
    from shapely import LineString

    generator = np.random.default_rng(4)
    for _ in range(30):
        points = [(float(x), float(y)) for x, y in generator.uniform((0, 0), (300, 400), (8, 2))]
        heights = [28.0, 44.0] * 4
        order, tops = picture._uncross(points, heights, 400.0, 500)
        tall = np.array([heights[k] for k in order])
        assert (np.diff(tops) >= tall[:-1] - 1e-9).all()
        assert tops[0] >= 8.0
        assert tops[-1] + tall[-1] <= 492.0
        ends = [(400.0, top + h / 2) for top, h in zip(tops, tall, strict=True)]
        leads = [LineString([points[k], end]) for k, end in zip(order, ends, strict=True)]
        crossing = [i for i, a in enumerate(leads) for b in leads[:i] if a.crosses(b)]
        assert not crossing


def test_hidden_marker_is_a_ring_and_a_seen_one_a_dot() -> None:
    """The middle of the mark is paper where the body hides the point."""
    block = body(disc(HEIGHT, OUTER))
    marks = [((0.0, 0.0, HEIGHT), "top"), ((0.0, 0.0, 0.0), "underside")]
    image = np.asarray(render([block], view=View(), size=(700, 500), markers=marks)).astype(int)
    stage = picture._stage([block], View())
    (labels,) = picture._share_labels([stage], {}, marks)
    assert [label.seen for label in labels] == [True, False]
    camera = picture._arrange(stage, labels, (700, 500)).camera
    for (place, _), colour in zip(marks, (picture.INK, picture.PAPER), strict=True):
        x, y = camera.project(np.array([place]))[0].astype(int)
        assert np.abs(image[y, x] - colour).max() <= 2


def test_marker_before_the_cut_stays_in_the_outside_view() -> None:
    """A point on the half that was taken away is not led to in the cut view."""
    solid = body(ring())
    half = picture.cut(solid, 3.0)
    assert half is not None
    inner = (0.0, -WELL, 3.0)  # seen only by an eye across the axis, once the near half is gone
    stages = [
        picture._stage([solid], View(6.0, 0.1)),
        picture._stage([half], View(6.0, 0.4), front=1e-3),
    ]
    shared = picture._share_labels(stages, {}, [(inner, "near"), ((0.0, WELL, 3.0), "far")])
    assert [(label.text, label.seen) for label in shared[0]] == [("near", False)]
    assert [(label.text, label.seen) for label in shared[1]] == [("far", True)]


@pytest.mark.parametrize("cut_hour", [None, 1.0, 8.0])
def test_dial_points_to_twelve(cut_hour: float | None) -> None:
    """The small dial's hand lies along the projection of +y in both views."""
    image = pixels(page(cut_hour=cut_hour))
    views = [View(), View(6.0, math.pi / 2) if cut_hour is None else View(cut_hour + 3, 0.4189)]
    for left, view in zip((30, 600), views, strict=True):
        right, up, _ = view.axes()
        ahead = np.array([right[1], -up[1]])
        foot = 700 - picture._foot(())
        patch = 765 - image[foot - 86 : foot - 10, left + 6 : left + 82].sum(axis=2)
        y, x = np.indices(patch.shape) - 38.0 + 0.5
        # Undo the projection: on the dial the hand is the ink within 18 px of the middle.
        flat = np.linalg.solve(
            np.array([[right[0], right[1]], [-up[0], -up[1]]]), np.stack([x.ravel(), y.ravel()])
        )
        ink = np.where(np.hypot(*flat) < 18, (patch > 300).ravel(), 0)
        # The triangle before the middle outweighs the tail behind it.
        mean = (np.stack([x.ravel(), y.ravel()]) * ink).sum(axis=1)
        assert mean @ ahead / np.linalg.norm(mean) / np.linalg.norm(ahead) > math.cos(0.15)


def test_workpiece_is_a_translucent_outline() -> None:
    """A ghost tints what is behind it, and casts no shadow on it."""
    base, block = body(disc(3, 15)), body(disc(4, 6, 5.0), ghost=True)
    view = View(6.0, 1.0, scale=14.0)
    # The ghost moves the fit, so both are aimed by the bodies together.
    camera = picture.aim([base, block], view, (600, 500))
    solid, ghost = picture.build_scene([base]), picture.build_scene([block])
    plain = np.asarray(picture._paint(solid, None, camera)[0]).astype(int)
    tinted = np.asarray(picture._paint(solid, ghost, camera)[0]).astype(int)
    near = picture.trace(ghost, camera).triangle >= 0
    covered = np.asarray(near.reshape(500, picture.FINE, 600, picture.FINE).any(axis=(1, 3)))
    from scipy.ndimage import binary_erosion

    beside, deep = binary_erosion(~covered, iterations=4), binary_erosion(covered, iterations=14)
    assert (plain[beside] == tinted[beside]).all()
    share = (plain[deep] - tinted[deep]).sum() / (plain[deep] - picture.GHOST).sum()
    assert 0.05 < share < 0.5


# --- light --------------------------------------------------------------------------------------


def test_sky_rays_follow_lamberts_law() -> None:
    """Within an angle t of the normal lies sin^2 t of cosine-weighted light (Lambert)."""
    normal = np.array([[0.36, -0.48, 0.8]], np.float32)
    rays = picture._unit(normal + picture._sphere(9 * picture._SKY_RAYS))
    tilt = np.arccos(np.clip(rays @ normal[0], -1, 1))
    for limit in np.radians([20, 40, 60, 80]):
        assert (tilt < limit).mean() == pytest.approx(math.sin(limit) ** 2, abs=0.02)


def test_sky_seen_from_the_floor_of_a_well() -> None:
    """View factor of a coaxial disc from a small area: R^2 / (R^2 + H^2).

    J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, B-13 (number from
    memory; the integral of sin^2 over the opening's half-angle gives the same).
    """
    well = body(disc(12, 9) - disc(20, 6, 4))
    scene = picture.build_scene([well])
    normal = np.array([[0, 0, 1]], np.float32)
    ahead = picture._unit(normal[:, None] + picture._sphere(9 * picture._SKY_RAYS)[None])
    free = picture._cast(scene, np.array([[0, 0, 4.001]], np.float32), ahead, "OCCLUDED") < 0
    assert free.mean() == pytest.approx(36 / (36 + 64), abs=0.02)


def test_open_sky_on_a_floor_and_on_a_wall() -> None:
    """A sky of 0.86 + 0.14 sin(height) over a bench of 0.65, weighted by the cosine.

    Over the hemisphere about the zenith the cosine-weighted mean of the cosine is 2/3; over the
    upper half about a horizontal normal the mean height is 4 / (3 pi). Both integrate by hand.
    """
    scene = picture.build_scene([body(disc(2, 3))])
    normals = np.array([[0, 0, 1], [0, -1, 0]] * 9, np.float32)
    points = np.array([[0, 0, 50], [0, -50, 50]] * 9, np.float32)
    pattern = np.repeat(np.arange(9), 2).astype(np.int32)
    lamp = np.array([0, 0, 1], np.float32)
    light = picture._light(scene, points, normals, pattern, lamp, -1e9)[:, 0].reshape(9, 2)
    floor, wall = light.mean(axis=0)
    assert floor == pytest.approx(0.86 + 0.14 * 2 / 3, abs=5e-3)
    assert wall == pytest.approx(0.5 * (0.86 + 0.14 * 4 / (3 * math.pi)) + 0.5 * 0.65, abs=5e-3)


def test_shadow_lies_behind_the_post() -> None:
    """The lamp's direction decides: a point behind the post is dark, one before it is lit.

    As draughtsmen have it the light comes from the upper left: the shadow falls to the right.
    """
    plate, post = disc(2, 20), disc(10, 2, 1.5)
    scene = picture.build_scene([body(plate + post)])
    lamp = picture._key_lamp(picture.aim([body(plate + post)], View(), (400, 300)))
    away = -lamp[:2] / np.linalg.norm(lamp[:2])
    assert away @ View().axes()[0][:2] > 0.5
    points = np.array([[*(4 * away), 2], [*(-4 * away), 2]], np.float32)
    normal = np.array([[0, 0, 1]] * 2, np.float32)
    light = picture._light(scene, points, normal, np.zeros(2, np.int32), lamp, 0.0, (40, 40))
    assert light[:, 1].tolist() == [0.0, 1.0]


# --- field --------------------------------------------------------------------------------------


def lightness(colour: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE 1976 L* of 8-bit sRGB: IEC 61966-2-1 decoding, then CIE 15 (formulas from memory)."""
    value = colour / 255.0
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    y = linear @ np.array([0.2126, 0.7152, 0.0722])
    return np.asarray(np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, 24389 / 27 * y))


def test_scale_of_a_field_is_even_in_lightness() -> None:
    """L* rises all along, and nowhere strays from a straight line by more than 3 of 100."""
    level = lightness(picture.field_colours(np.linspace(0, 1, 101)).astype(np.float64))
    assert (np.diff(level) > 0).all()
    assert np.abs(level - np.linspace(level[0], level[-1], 101)).max() < 3.0
    assert level[-1] - level[0] > 70


def plates() -> Body:
    """Four plates in a row, labels 0 to 3."""
    row = [Solid.cube((8, 8, 2), True).translate((9.0 * k - 13.5, 0, 1)) for k in range(4)]
    pieces = [body(plate) for plate in row]
    starts = np.cumsum([0, *(len(piece.vertices) for piece in pieces)])
    return Body(
        "plates",
        np.concatenate([piece.vertices for piece in pieces]),
        np.concatenate([p.triangles + s for p, s in zip(pieces, starts[:-1], strict=True)]),
        np.repeat(np.arange(4), [len(piece.triangles) for piece in pieces]),
    )


def test_field_values_read_back_from_the_pixels() -> None:
    """The colour nearest on the scale gives the value to a step of 1/64 and the light's tint."""
    row = plates()
    tone = picture._FIELD + np.array([6, 25, 44, 60])[row.part]
    scene = picture.build_scene([row], tone.astype(np.int32))
    camera = picture.aim([row], View(6.0, 1.1), (600, 300))
    image = np.asarray(picture._paint(scene, None, camera)[0]).astype(float)
    scale = np.linspace(0, 1, 513)
    for k, step in enumerate((6, 25, 44, 60)):
        x, y = camera.project(np.array([[9.0 * k - 13.5, 0, 2]]))[0].astype(int)
        off = np.abs(picture.field_colours(scale).astype(float) - image[y, x]).sum(axis=1)
        assert scale[off.argmin()] == pytest.approx((step + 0.5) / 64, abs=0.04)


def test_field_page() -> None:
    """Numbers, unit, least and greatest are written; NaN is said to be not measured."""
    row = plates()
    value = np.array([0.35, 0.8, np.nan, 1.62])[row.part]
    png = picture.field_picture(row, value, "mm", (0.4, 1.2), "Wall thickness")
    assert png == picture.field_picture(row, value, "mm", (0.4, 1.2), "Wall thickness")
    image = Image.open(BytesIO(png)).convert("RGB")
    foot = image.crop((0, 630, 900, 700))
    for text in ("0.400", "0.800", "1.200", "not measured"):
        assert likeness(foot, text, 13) > 0.97
    left = image.crop((0, 60, 600, 600))
    for fraction in (0.5 / 64, 32.5 / 64, 63.5 / 64):  # below the limits, the middle, above them
        colour = picture.field_colours(np.array([fraction])).astype(int)[0]
        near = np.abs(np.asarray(left).astype(int) - colour).sum(axis=2) < 24
        assert near.sum() > 400
    assert likeness(left, "least 0.35 mm", 13) > 0.97
    assert likeness(left, "greatest 1.62 mm", 13) > 0.97
    known = picture.field_picture(row, np.nan_to_num(value), "mm", (0.4, 1.2), "Wall thickness")
    assert likeness(Image.open(BytesIO(known)).crop((0, 630, 900, 700)), "not measured", 13) < 0.8


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: picture.field_picture(plates(), np.zeros(3), "mm", (0, 1), "t"), "3,"),
        (lambda: picture.field_picture(plates(), np.zeros(48), "mm", (1, 1), "t"), "empty"),
        (lambda: render([], view=View()), "nothing to draw"),
        (lambda: Body("x", np.zeros((3, 3)), np.zeros((1, 3), int), np.zeros(2, int)), "labels"),
        (lambda: Body("x", np.zeros((3, 3)), np.zeros((0, 3), int), np.zeros(0, int)), "(T, 3)"),
    ],
)
def test_bad_input_is_refused(call: Callable[[], object], words: str) -> None:
    """With the value at fault in the sentence."""
    with pytest.raises(ValueError, match=words.replace("(", r"\(").replace(")", r"\)")):
        call()


def test_text_is_spelled_in_the_embedded_font() -> None:
    """No empty boxes: what the font lacks is spelled out or loses its accent."""
    spelled = picture.spell("⌀2.2 \u00d7 3 \u2013 Größe, à 0.5 µm, 1½")
    assert spelled == "dia. 2.2 x 3 - Grosse, a 0.5 um, 1 1/2"
    assert picture.spell("\u65e5") == "?"


def test_import_is_light() -> None:
    """Rays, solids, images and sparse graphs are imported only when a picture is drawn."""
    code = (
        "import sys, nests.picture\n"
        "heavy = {'PIL', 'embreex', 'manifold3d', 'scipy', 'trimesh'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    root = str(Path(__file__).parent.parent)
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=root)
    assert run.stdout.strip() == "[]", run.stderr
