"""Thin ink lines along edges, and the hatching of a section."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nests.papers.picture.values import FINE, SECTION, Buffers, Bytes, Camera, Scene, Singles


def line_ink(scene: Scene, camera: Camera, buffers: Buffers) -> Bytes:
    """Strength of ink 0 to 255 on the fine grid.

    Between neighbouring cells there is: an outline where one met nothing or depth jumps from
    the planes of both; a crease where the surface changes; a faint line where only the part
    changes; and the strongest line around a section.
    """
    ink: Bytes = np.zeros(buffers.triangle.shape, np.uint8)
    heavy: Bytes = np.zeros_like(ink)
    step = 1.0 / (FINE * camera.scale)
    met = buffers.triangle.ravel()
    for after, direction in ((1, camera.right), (ink.shape[1], -camera.up)):
        # the last cell of a row and the first of the next never met anything
        first = np.flatnonzero(met[after:] != met[:-after])
        second = first + after
        a, b = met[first], met[second]
        with np.errstate(invalid="ignore"):  # two cells that met nothing are never compared
            jump = buffers.depth.ravel()[second] - buffers.depth.ravel()[first]
        gap = np.full(len(a), np.inf, np.float32)
        for normal in (scene.normal[a], scene.normal[b]):
            facing = np.maximum(normal @ camera.toward.astype(np.float32), np.float32(0.03))
            slope = normal @ direction.astype(np.float32) / facing
            gap = np.minimum(gap, np.abs(jump - slope * np.float32(step)))
        # A growing step fades in, so that an outline does not flicker where it runs out and
        # small relief, such as engraving, is not drowned in ink.
        leap = np.clip((gap / np.float32(FINE * step) - 1) / 12, 0, 1)
        leap[(a < 0) | (b < 0)] = 1
        section = (scene.part[a] == SECTION) != (scene.part[b] == SECTION)
        crease = (scene.surface[a] != scene.surface[b]) | (scene.body[a] != scene.body[b])
        label = scene.part[a] != scene.part[b]
        least = np.select([section, crease, label], [255, 115, 55], default=0)
        broad = np.maximum(225 * leap, np.where(section, 255, 0))
        strength = np.maximum(least + (225 - least) * leap, least)
        for cell in (first, second):
            ink.ravel()[cell] = np.maximum(ink.ravel()[cell], strength.astype(np.uint8))
            heavy.ravel()[cell] = np.maximum(heavy.ravel()[cell], broad.astype(np.uint8))
    for axis in (0, 1):
        for shift in (1, -1):
            np.maximum(ink, np.roll(heavy, shift, axis), out=ink)
    return ink


def hatch(camera: Camera, points: Singles, normals: Singles, body: NDArray[np.int32]) -> Singles:
    """Cover 0 to 1 of 45-degree hatching on the section; neighbouring bodies lean both ways."""
    level = np.cross(np.array([0.0, 0.0, 1.0]), normals.astype(np.float64))
    level /= np.maximum(np.linalg.norm(level, axis=1), 1e-9)[:, None]
    lean = np.where(body % 2 == 0, 1.0, -1.0)
    along = (np.einsum("ij,ij->i", points, level) * lean + points[:, 2]) / math.sqrt(2.0)
    return stripe(along * camera.scale)


def stripe(across: NDArray[Any]) -> Singles:
    """Cover 0 to 1 of lines a pixel wide and 7 apart, at a distance in pixels across them."""
    off = np.abs((across / 7.0) % 1.0 - 0.5) * 7.0
    return np.asarray(np.clip((0.55 - off) * FINE + 0.5, 0.0, 1.0), np.float32)
