"""What the pictures of a holder show of it, and that nothing in them lies over anything else."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from picture_shapes import Solid, body, disc, ring

from nests.documents.files import data_folder
from nests.holder.compose import Holder, compose
from nests.orders import gallery
from nests.orders.order import order
from nests.papers import scenes
from nests.papers.picture import View
from nests.papers.picture.labels import Panel, write_labels
from nests.papers.picture.pages import _DIAL, set_panels
from nests.papers.picture.rays import trace
from nests.papers.picture.stages import set_stage, share_labels
from nests.papers.picture.values import Marker, Shown

LOOSE = {"inv-30-c-chronograph-plunger": 4, "inv-26-a-inspection-swing-tab-dial": 3}
"""Pieces of the gallery with bodies printed apart, and how many: rods and buttons, plates."""


def composed(name: str) -> Holder:
    piece = next(p for p in gallery.PIECES if p.slug() == name)
    root = data_folder("gallery")
    asked = order(
        piece.family,
        piece.options,
        sheet=root / "sheets" / f"{piece.sheet}.json",
        operation=piece.operation,
        printer=root / "printers" / "bench-printer.json",
    )
    return compose(asked.recipe)


@pytest.mark.parametrize(("name", "count"), LOOSE.items())
def test_loose_bodies_are_seen_and_named(
    name: str, count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each body printed apart lies beside the holder in the exploded picture, under its name.

    It overlaps neither the holder nor another body: seen from above, their boxes are apart.
    """
    shown: dict[str, Any] = {}

    def caught(apart: Sequence[Shown], laid: Sequence[Shown], **more: Any) -> bytes:
        shown.update(more, apart=apart, laid=laid)
        return b""

    monkeypatch.setattr(scenes, "exploded_picture", caught)
    holder = composed(name)
    scenes.exploded(holder)
    names = [each for each, _ in holder.beside]
    assert len(names) == count
    assert {text for _, text in shown["names"]} == {holder.recipe.workpiece.name, *names}
    loose = [each for each in shown["apart"] if each.name in names]
    assert [each.name for each in loose] == names
    solid = next(each for each in shown["apart"] if each.name == "holder")
    boxes = [(e.vertices[:, :2].min(axis=0), e.vertices[:, :2].max(axis=0)) for e in loose]
    assert all(high[1] < solid.vertices[:, 1].min() for _, high in boxes)
    assert all(a[1][0] < b[0][0] for a, b in pairwise(boxes))
    for each, made in zip(loose, holder.beside, strict=True):
        assert np.ptp(each.vertices, axis=0) == pytest.approx(np.ptp(_points(made[1]), axis=0))


def _points(solid: Any) -> Any:
    return np.asarray(solid.to_mesh64().vert_properties)[:, :3]


TALL = body(disc(60.0, 6.0))
FLAT = body(ring())
LONG = body(Solid.cube((160.0, 8.0, 3.0), True))


def laid_out(
    bodies: Sequence[Shown], markers: Sequence[Marker]
) -> tuple[list[Panel], tuple[int, int]]:
    stages = [set_stage(bodies, View()), set_stage(bodies, View(6.0, 0.4))]
    labels = share_labels(stages, {}, markers)
    return set_panels(stages, labels, (), (1200, 700), trim=True)


@pytest.mark.parametrize("solid", [TALL, FLAT, LONG])
@pytest.mark.parametrize("count", [0, 3, 12])
def test_bodies_stand_in_their_panels_clear_of_the_dial_and_of_labels(
    solid: Shown, count: int
) -> None:
    """Every corner projects into its panel, above the small dial and beside the labels."""
    markers = [((0.0, 0.0, float(k)), f"a label of some length, {k}") for k in range(count)]
    panels, size = laid_out([solid], markers)
    assert sum(panel.camera.size[0] for panel in panels) == 1200 - 60
    assert size[1] <= 700
    for panel in panels:
        x, y = panel.camera.project(solid.vertices).T
        wide, high = panel.camera.size
        column = panel.column + 24 if panel.labels else 0
        left, right = (column, wide) if panel.on_left else (0, wide - column)
        assert x.min() >= left
        assert x.max() <= right
        assert y.min() >= 0
        assert y.max() <= high - _DIAL


def test_a_flat_holder_fills_its_page() -> None:
    """A ring seen twice takes over three quarters of the page's width."""
    panels, _ = laid_out([FLAT], [])
    scale = min(panel.camera.scale for panel in panels)
    widths = [np.ptp(FLAT.vertices @ panel.stage.view.axes()[0]) * scale for panel in panels]
    assert sum(widths) > 0.75 * 1200


def test_labels_stay_above_the_dial(monkeypatch: pytest.MonkeyPatch) -> None:
    """A full column of labels ends above the strip in which the dial stands."""
    from PIL import Image

    low: list[float] = []
    monkeypatch.setattr("nests.papers.picture.labels.write", lambda _, __, y, *more: low.append(y))
    markers = [((-14.0, 0.0, 0.5 * k), f"label {k}") for k in range(16)]
    panels, _ = laid_out([FLAT], markers)
    for panel in panels:
        if panel.labels:
            image = Image.new("RGB", panel.camera.size)
            assert panel.stage.solid is not None
            write_labels(image, panel, trace(panel.stage.solid, panel.camera))
            assert max(low) <= panel.camera.size[1] - _DIAL
    assert len(low) == len(markers)
