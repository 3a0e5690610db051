"""Cameras, and what rays from them meet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from nests.papers.picture.meshes import unit_vectors
from nests.papers.picture.values import FINE, Buffers, Camera, Integers, Scene, Shown, Singles, View

Box: TypeAlias = tuple[float, float, float, float]


def aim(
    bodies: Sequence[Shown], view: View, size: tuple[int, int], box: Box | None = None
) -> Camera:
    """A camera that fits the bodies into `box` (left, top, right, bottom; pixels)."""
    right, up, toward = view.axes()
    left, top, far, bottom = box or (0.05 * size[0], 0.05 * size[1], 0.95 * size[0], 0.95 * size[1])
    points = np.concatenate([body.vertices for body in bodies])
    seen = np.stack([points @ right, points @ up, points @ toward], axis=1)
    low, high = seen.min(axis=0), seen.max(axis=0)
    span, middle = np.maximum(high - low, 1e-9), 0.5 * (low + high)
    fit = view.zoom * min((far - left) / span[0], (bottom - top) / span[1])
    origin = middle[0] * right + middle[1] * up + middle[2] * toward
    centre = (0.5 * (left + far), 0.5 * (top + bottom))
    return Camera(right, up, toward, origin, centre, view.scale or float(fit), size)


def grid_points(camera: Camera, y: NDArray[Any], x: NDArray[Any]) -> Singles:
    """Points (..., 3) of the plane through the origin under fine-grid cells; y, x broadcast."""
    across = ((x + 0.5) / FINE - camera.centre[0]) / camera.scale
    above = (camera.centre[1] - (y + 0.5) / FINE) / camera.scale
    left = (camera.origin + across[..., None] * camera.right).astype(np.float32)
    return left + (above[..., None] * camera.up).astype(np.float32)


def _meet(scene: Scene, camera: Camera, y: Integers, x: Integers) -> tuple[NDArray[Any], ...]:
    """Triangle, depth, u and v met under fine-grid cells; y, x broadcast."""
    far = np.float32(scene.reach + np.linalg.norm(scene.bounds.mean(axis=0) - camera.origin) + 1.0)
    start = grid_points(camera, y, x) + far * camera.toward.astype(np.float32)
    ahead = np.empty_like(start)
    ahead[:] = -camera.toward
    met = scene.rays[0].run(start.reshape(-1, 3), ahead.reshape(-1, 3), output=1)
    triangle = met["primID"]
    depth = np.where(triangle >= 0, met["tfar"] - far, np.float32(np.inf))
    return tuple(a.reshape(start.shape[:-1]) for a in (triangle, depth, met["u"], met["v"]))


def alike(cells: NDArray[Any]) -> NDArray[np.bool_]:
    """Pixels (h, w) all of whose fine-grid cells (FINE h, FINE w) hold one value."""
    first = cells[::FINE, ::FINE]
    same = np.ones(first.shape, np.bool_)
    for k in range(1, FINE * FINE):
        same &= cells[k // FINE :: FINE, k % FINE :: FINE] == first
    return same


def _plain(
    scene: Scene, camera: Camera, triangle: NDArray[np.int32], depth: Singles
) -> tuple[NDArray[np.bool_], Singles, Singles]:
    """Where the first ray of a pixel stands for all, and the change of depth a pixel down and
    across there.

    The cells of a pixel lie amid its first ray and those of the next pixels across and down: where
    the four meet one surface and part, in depth as its plane has it to a pixel.
    """
    plain = np.zeros(triangle.shape, np.bool_)
    change = np.zeros((2, *triangle.shape), np.float32)
    here, across, below = np.s_[:-1, :-1], np.s_[:-1, 1:], np.s_[1:, :-1]
    inner = np.ones(triangle[here].shape, np.bool_)
    for labels in (scene.surface[triangle], scene.part[triangle]):
        for there in (across, below, np.s_[1:, 1:]):
            inner &= labels[here] == labels[there]
    met = inner & (triangle[here] >= 0)
    normal = scene.normal[triangle[here][met]]
    facing = np.maximum(normal @ camera.toward.astype(np.float32), np.float32(0.03))
    straight = np.ones(len(normal), np.bool_)
    for out, after, along in zip(change, (below, across), (-camera.up, camera.right), strict=True):
        step = depth[after][met] - depth[here][met]
        planar = normal @ along.astype(np.float32) / facing / np.float32(camera.scale)
        straight &= np.abs(step - planar) < np.float32(1.0 / camera.scale)
        out[here][met] = step
    inner[met] = straight
    plain[here] = inner
    change[:, ~plain] = 0.0
    return plain, change[0], change[1]


def trace(scene: Scene, camera: Camera) -> Buffers:
    """Meet the scene with FINE x FINE rays per pixel.

    One ray a pixel finds where its neighbours lie on the same surface and part and the depth runs
    straight; there its triangle stands for the whole pixel. Everywhere else, hence at every edge,
    all rays are cast. What is thinner than a pixel may be missed.
    """
    width, height = camera.size
    shape = (FINE * height, FINE * width)
    depth, u, v = np.zeros((3, *shape), np.float32)
    depth[:] = np.inf
    out = Buffers(np.full(shape, -1, np.int32), depth, u, v)
    corners = np.array(np.meshgrid(*scene.bounds.T)).reshape(3, -1).T
    pixels = camera.project(corners)
    x0, y0 = np.clip(np.floor(pixels.min(axis=0)).astype(int) - 1, 0, camera.size)
    x1, y1 = np.clip(np.ceil(pixels.max(axis=0)).astype(int) + 1, 0, camera.size)
    if x1 <= x0 or y1 <= y0:
        return out
    block = np.s_[FINE * y0 : FINE * y1, FINE * x0 : FINE * x1]
    buffers = (out.triangle, out.depth, out.u, out.v)
    first_y, first_x = np.arange(FINE * y0, FINE * y1, FINE), np.arange(FINE * x0, FINE * x1, FINE)
    coarse = _meet(scene, camera, first_y[:, None], first_x[None, :])
    for buffer, values in zip(buffers, coarse, strict=True):
        buffer[block] = values.repeat(FINE, 0).repeat(FINE, 1)

    calm, down, across = _plain(scene, camera, coarse[0], coarse[1])
    for j in range(FINE):
        for i in range(FINE):
            out.depth[block][j::FINE, i::FINE] += (j * down + i * across) / FINE

    y, x = np.nonzero(~calm.repeat(FINE, 0).repeat(FINE, 1))
    y, x = y + FINE * y0, x + FINE * x0
    for buffer, values in zip(buffers, _meet(scene, camera, y, x), strict=True):
        buffer[y, x] = values
    return out


def met_points(camera: Camera, buffers: Buffers, cells: Integers) -> Singles:
    """Points (n, 3) met at flat fine-grid cells."""
    y, x = np.divmod(cells, buffers.triangle.shape[1])
    depth = buffers.depth.ravel()[cells]
    return np.asarray(grid_points(camera, y, x) - depth[:, None] * camera.toward.astype(np.float32))


def met_normals(scene: Scene, buffers: Buffers, cells: Integers) -> Singles:
    """Smooth unit normals (n, 3) at flat fine-grid cells."""
    corner = scene.corner_normals[buffers.triangle.ravel()[cells]]
    u, v = buffers.u.ravel()[cells, None], buffers.v.ravel()[cells, None]
    return unit_vectors(corner[:, 0] * (1 - u - v) + corner[:, 1] * u + corner[:, 2] * v)


def cast(scene: Scene, start: Singles, ahead: Singles, query: str) -> NDArray[Any]:
    """Answers (n, rays) to rays from points (n, 3) in directions (n, rays, 3)."""
    begin = np.empty_like(ahead)
    begin[:] = start[:, None, :]
    answer = scene.rays[0].run(begin.reshape(-1, 3), ahead.reshape(-1, 3), query=query)
    return np.asarray(answer).reshape(ahead.shape[:2])
