"""Shapes with closed forms, and how the tests read a picture."""

from __future__ import annotations

import math
from io import BytesIO
from typing import Any

import manifold3d
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from nests.papers.picture import Shown, View, holder_picture
from nests.papers.picture.meshes import build_scene
from nests.papers.picture.rays import aim, trace
from nests.papers.picture.values import FINE
from nests.papers.picture.writing import font

Solid = manifold3d.Manifold
OUTER, BORE, WELL, HEIGHT, LEDGE, FLOOR = 15.0, 11.0, 9.0, 8.0, 5.0, 2.0
SEGMENTS = 720  # the polygon's area is below the circle's by 2 pi^2 / 3 n^2 = 1.3e-5


def body(solid: Any, *, name: str = "holder", ghost: bool = False) -> Shown:
    """A body whose part labels count the solids it was made from, in the order they were made."""
    mesh = solid.to_mesh64()
    index = np.array(mesh.run_index, np.int64) // 3
    _, label = np.unique(np.array(mesh.run_original_id), return_inverse=True)
    return Shown(
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


def holder() -> Shown:
    """The ring with a slot toward 3 h (label 3) and a post (label 4) off the axis."""
    slot = Solid.cube((20, 3, 20), False).translate((10, -1.5, 6)).as_original()
    return body(ring() - slot + disc(4.5, 1.2, FLOOR - 0.5, 3.0, 2.0))


def section_area() -> float:
    """Both halves of the ring's section: three rectangles less the recesses."""
    return 2 * (OUTER * HEIGHT - BORE * (HEIGHT - LEDGE) - WELL * (LEDGE - FLOOR))


def seen_area(bodies: list[Shown], view: View, part: int | None = None) -> float:
    """Area in the picture plane, mm2, of what rays met (of one part)."""
    camera = aim(bodies, view, (500, 420))
    scene = build_scene(bodies)
    triangle = trace(scene, camera).triangle
    hit = triangle >= 0 if part is None else scene.part[triangle] == part
    return float(hit.sum()) / (FINE * camera.scale) ** 2


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
    face = font(4 * size)
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


def page(**more: Any) -> bytes:
    """The test holder's page, 1200 by 700 pixels."""
    return holder_picture(
        [holder()], title="Ring seat, 11.5 ligne", **{"size": (1200, 700), **more}
    )


def plates() -> Shown:
    """Four plates in a row, labels 0 to 3."""
    row = [Solid.cube((8, 8, 2), True).translate((9.0 * k - 13.5, 0, 1)) for k in range(4)]
    pieces = [body(plate) for plate in row]
    starts = np.cumsum([0, *(len(piece.vertices) for piece in pieces)])
    return Shown(
        "plates",
        np.concatenate([piece.vertices for piece in pieces]),
        np.concatenate([p.triangles + s for p, s in zip(pieces, starts[:-1], strict=True)]),
        np.repeat(np.arange(4), [len(piece.triangles) for piece in pieces]),
    )
