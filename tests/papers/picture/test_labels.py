"""Labels: what they point at, and that their leaders do not cross."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from picture_shapes import HEIGHT, OUTER, WELL, body, disc, holder, likeness, page, ring
from PIL import Image, ImageChops

from nests.papers.picture import View, cut, render
from nests.papers.picture.colours import INK, PAPER
from nests.papers.picture.labels import anchor_pixel, arrange, draw_panel, uncross
from nests.papers.picture.painting import paint
from nests.papers.picture.rays import aim, trace
from nests.papers.picture.stages import set_stage, share_labels
from nests.papers.picture.values import FINE
from nests.papers.picture.writing import SMALL


@pytest.mark.slow
def test_lit_part_has_a_tone_and_a_label() -> None:
    """The reason is written in both views, and the part is darker in greyscale too."""
    plain = Image.open(BytesIO(page())).convert("RGB")
    image = Image.open(BytesIO(page(lit={4: "thin: mend"}))).convert("RGB")
    for left in (0, 600):
        half = (left, 240, left + 600, 420)
        assert likeness(image.crop(half), "thin: mend", SMALL) > 0.97
        assert likeness(plain.crop(half), "thin: mend", SMALL) < 0.8
    view = View(5.0, 0.6, scale=16.0)
    camera = aim([holder()], view, (700, 600))
    post = holder().vertices[np.unique(holder().triangles[holder().part == 4])]
    x, y = camera.project(np.array([[3.0, 2.0, post[:, 2].max()]]))[0].astype(int)
    grey = [
        np.asarray(paint(stage.solid, None, camera)[0].convert("L"), int)[y, x]
        for stage in (set_stage([holder()], view, lit) for lit in ((), (4,)))
    ]
    assert grey[0] - grey[1] > 60


def test_leader_ends_on_the_lit_part() -> None:
    """The ink dot lies on a pixel of the part, and leader ink runs from it to the label."""
    view, size = View(5.0, 0.8), (700, 500)
    stage = set_stage([holder()], view, (4,))
    (labels,) = share_labels([stage], {4: "thin: mend"}, [])
    panel = arrange(stage, labels, size)
    assert stage.solid is not None
    buffers = trace(stage.solid, panel.camera)
    x, y = anchor_pixel(labels[0], panel, buffers)
    cell = buffers.triangle[int(FINE * y), int(FINE * x)]
    assert stage.solid.part[cell] == 4
    drawn = draw_panel(panel)
    bare = paint(stage.solid, None, panel.camera)[0]
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
        order, tops = uncross(points, heights, 400.0, 500)
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
    stage = set_stage([block], View())
    (labels,) = share_labels([stage], {}, marks)
    assert [label.seen for label in labels] == [True, False]
    camera = arrange(stage, labels, (700, 500)).camera
    for (place, _), colour in zip(marks, (INK, PAPER), strict=True):
        x, y = camera.project(np.array([place]))[0].astype(int)
        assert np.abs(image[y, x] - colour).max() <= 2


def test_marker_before_the_cut_stays_in_the_outside_view() -> None:
    """A point on the half that was taken away is not led to in the cut view."""
    solid = body(ring())
    half = cut(solid, 3.0)
    assert half is not None
    inner = (0.0, -WELL, 3.0)  # seen only by an eye across the axis, once the near half is gone
    stages = [
        set_stage([solid], View(6.0, 0.1)),
        set_stage([half], View(6.0, 0.4), front=1e-3),
    ]
    shared = share_labels(stages, {}, [(inner, "near"), ((0.0, WELL, 3.0), "far")])
    assert [(label.text, label.seen) for label in shared[0]] == [("near", False)]
    assert [(label.text, label.seen) for label in shared[1]] == [("far", True)]
