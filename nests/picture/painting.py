"""The bodies on paper: tone, hatching, ink and the translucent workpiece, with no writing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from nests.picture.colours import GHOST, HATCH, INK, PAPER, TONE_CUT, TONE_UNMEASURED, mix, palette
from nests.picture.ink import hatch, line_ink, stripe
from nests.picture.light import brightness, ground_shadow
from nests.picture.rays import met_normals, met_points, trace
from nests.picture.values import FINE, Buffers, Camera, Scene

if TYPE_CHECKING:
    from PIL.Image import Image


def paint(scene: Scene | None, ghost: Scene | None, camera: Camera) -> tuple[Image, Buffers]:
    """The bodies on paper, with no writing, and what the rays met."""
    from PIL import Image as Images

    width, height = camera.size
    paper = np.broadcast_to(np.array(PAPER, np.float32), (height, width, 3))
    nothing = np.full((FINE * height, FINE * width), -1, np.int32)
    blank = np.zeros(nothing.shape, np.float32)
    buffers = Buffers(nothing, blank + np.float32(np.inf), blank, blank)
    ground = 0.0
    if scene is not None:
        # Seen from below there is no bench: it would hide the body.
        ground = float(scene.bounds[0, 2]) if camera.toward[2] >= 0 else -1e9
        buffers = trace(scene, camera)
        paper = paper * ground_shadow(scene, camera, ground)[..., None]
    fine = paper.round().astype(np.uint8).repeat(FINE, 0).repeat(FINE, 1)
    flat = fine.reshape(-1, 3)
    if scene is not None:
        cells = np.flatnonzero(buffers.triangle >= 0)
        triangle = buffers.triangle.ravel()[cells]
        light = brightness(scene, camera, buffers, ground).ravel()[cells]
        flat[cells] = palette()[scene.tone[triangle], light]
        face = np.flatnonzero(scene.tone[triangle] == TONE_CUT)
        where, of = cells[face], triangle[face]
        cover = hatch(camera, met_points(camera, buffers, where), scene.normal[of], scene.body[of])
        flat[where] = mix(flat[where], HATCH, 0.85 * cover)
        blank_cells = cells[scene.tone[triangle] == TONE_UNMEASURED]
        y, x = np.divmod(blank_cells, FINE * width)
        flat[blank_cells] = mix(flat[blank_cells], INK, 0.45 * stripe((y + x) / FINE))
        ink = line_ink(scene, camera, buffers).ravel()
        drawn = np.flatnonzero(ink)
        flat[drawn] = mix(flat[drawn], INK, ink[drawn] / 255.0)
    if ghost is not None:
        glass = trace(ghost, camera)
        cells = np.flatnonzero(glass.triangle >= 0)
        front = glass.depth.ravel()[cells] < buffers.depth.ravel()[cells]
        facing = met_normals(ghost, glass, cells) @ camera.toward.astype(np.float32)
        veil = np.where(front, 0.13 + 0.22 * (1.0 - np.clip(facing, 0, 1)), 0.0)
        flat[cells] = mix(flat[cells], GHOST, veil)
        ink = line_ink(ghost, camera, glass).ravel()
        drawn = np.flatnonzero(ink)
        before = glass.depth.ravel()[drawn] <= buffers.depth.ravel()[drawn]
        strength = ink[drawn] / 255.0 * np.where(before, 0.85, 0.18)
        flat[drawn] = mix(flat[drawn], GHOST, strength)
    return Images.fromarray(fine).reduce(FINE), buffers
