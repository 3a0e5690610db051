"""The bodies on paper: tone, hatching, ink and the translucent workpiece, with no writing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from nests.papers.picture.colours import (
    GHOST,
    HATCH,
    INK,
    PAPER,
    TONE_CUT,
    TONE_UNMEASURED,
    mix,
    palette,
)
from nests.papers.picture.ink import hatch, line_ink, stripe
from nests.papers.picture.light import brightness, ground_shadow
from nests.papers.picture.rays import alike, met_normals, met_points, trace
from nests.papers.picture.values import FINE, Buffers, Bytes, Camera, Integers, Scene

if TYPE_CHECKING:
    from PIL.Image import Image


@dataclass(frozen=True)
class _Layer:
    """One scene as its rays met it: buffers and ink on the fine grid, and its light if it is lit.

    The ghost is a layer without light.
    """

    scene: Scene
    buffers: Buffers
    ink: Bytes
    light: Bytes | None = None

    def mixed(self) -> NDArray[np.bool_]:
        """Pixels (h, w) whose cells differ: in what was met, by ink, or by hatching."""
        triangle = self.buffers.triangle
        uneven = ~alike(triangle)
        for j in range(FINE):
            for i in range(FINE):
                uneven |= self.ink[j::FINE, i::FINE] > 0
        tone = self.scene.tone[triangle[::FINE, ::FINE]]
        return np.asarray(uneven | (tone == TONE_CUT) | (tone == TONE_UNMEASURED))


def paint(scene: Scene | None, ghost: Scene | None, camera: Camera) -> tuple[Image, Buffers]:
    """The bodies on paper, with no writing, and what the rays met.

    A pixel whose cells are all alike is painted once; the others cell by cell, and averaged.
    """
    from PIL import Image as Images

    width, height = camera.size
    image = np.broadcast_to(np.array(PAPER, np.float32), (height, width, 3))
    buffers = _nothing(camera)
    solid = glass = None
    mixed, met = np.zeros((2, height, width), np.bool_)
    if scene is not None:
        # Seen from below there is no bench: it would hide the body.
        ground = float(scene.bounds[0, 2]) if camera.toward[2] >= 0 else -1e9
        buffers = trace(scene, camera)
        light = brightness(scene, camera, buffers, ground)
        solid = _Layer(scene, buffers, line_ink(scene, camera, buffers), light)
        image = image * ground_shadow(scene, camera, ground)[..., None]
    if ghost is not None:
        behind = trace(ghost, camera)
        glass = _Layer(ghost, behind, line_ink(ghost, camera, behind))
        mixed |= ~alike(behind.depth < buffers.depth)
    for layer in (solid, glass):
        if layer is not None:
            mixed |= layer.mixed()
            met |= layer.buffers.triangle[::FINE, ::FINE] >= 0
    flat = image.round().astype(np.uint8).reshape(-1, 3)
    for pixels, spread in ((np.flatnonzero(met & ~mixed), 1), (np.flatnonzero(mixed), FINE)):
        row, column = np.divmod(pixels, width)
        first = row * (FINE * FINE * width) + column * FINE
        inside = np.arange(spread)
        cells = first[:, None] + (inside[:, None] * (FINE * width) + inside).ravel()
        shown = _coloured(flat[pixels].repeat(spread**2, 0), cells.ravel(), solid, glass, camera)
        total = shown.reshape(*cells.shape, 3).sum(axis=1, dtype=np.uint16)
        flat[pixels] = (total + spread**2 // 2) // spread**2
    return Images.fromarray(flat.reshape(height, width, 3)), buffers


def _nothing(camera: Camera) -> Buffers:
    """Buffers of rays that met nothing."""
    width, height = camera.size
    blank = np.zeros((FINE * height, FINE * width), np.float32)
    return Buffers(np.full(blank.shape, -1, np.int32), blank + np.float32(np.inf), blank, blank)


def _coloured(
    paper: Bytes, cells: Integers, solid: _Layer | None, glass: _Layer | None, camera: Camera
) -> Bytes:
    """Colours (n, 3) of flat fine-grid cells (n,) over their paper (n, 3)."""
    out = paper
    front: NDArray[Any] = np.full(len(cells), np.inf, np.float32)
    if solid is not None:
        out = _solid_over(out, cells, solid, camera)
        front = solid.buffers.depth.ravel()[cells]
    if glass is not None:
        out = _glass_over(out, cells, glass, front, camera)
    return out


def _solid_over(out: Bytes, cells: Integers, layer: _Layer, camera: Camera) -> Bytes:
    """Tone by light, hatching on a section, stripes where nothing was measured, and ink."""
    assert layer.light is not None
    scene, triangle = layer.scene, layer.buffers.triangle.ravel()[cells]
    tone = np.where(triangle >= 0, scene.tone[triangle], -1)
    met = np.flatnonzero(triangle >= 0)
    out[met] = palette()[tone[met], layer.light.ravel()[cells[met]]]
    face = np.flatnonzero(tone == TONE_CUT)
    points, of = met_points(camera, layer.buffers, cells[face]), triangle[face]
    cover = hatch(camera, points, scene.normal[of], scene.body[of])
    out[face] = mix(out[face], HATCH, 0.85 * cover)
    blank = np.flatnonzero(tone == TONE_UNMEASURED)
    y, x = np.divmod(cells[blank], layer.ink.shape[1])
    out[blank] = mix(out[blank], INK, 0.45 * stripe((y + x) / FINE))
    ink = layer.ink.ravel()[cells]
    drawn = np.flatnonzero(ink)
    out[drawn] = mix(out[drawn], INK, ink[drawn] / 255.0)
    return out


def _glass_over(
    out: Bytes, cells: Integers, layer: _Layer, front: NDArray[Any], camera: Camera
) -> Bytes:
    """A veil, denser where the glass is seen aslant, and its lines, faint behind the solid."""
    depth = layer.buffers.depth.ravel()[cells]
    met = np.flatnonzero((layer.buffers.triangle.ravel()[cells] >= 0) & (depth < front))
    facing = met_normals(layer.scene, layer.buffers, cells[met]) @ camera.toward.astype(np.float32)
    out[met] = mix(out[met], GHOST, 0.13 + 0.22 * (1.0 - np.clip(facing, 0, 1)))
    ink = layer.ink.ravel()[cells]
    drawn = np.flatnonzero(ink)
    strength = ink[drawn] / 255.0 * np.where(depth[drawn] <= front[drawn], 0.85, 0.18)
    out[drawn] = mix(out[drawn], GHOST, strength)
    return out
