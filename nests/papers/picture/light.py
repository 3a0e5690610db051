"""Light: a soft sky, one lamp, and the shadow on the bench."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nests.papers.picture.meshes import unit_vectors
from nests.papers.picture.rays import alike, cast, grid_points, met_normals, met_points
from nests.papers.picture.values import FINE, Buffers, Bytes, Camera, Integers, Scene, Singles

_NODE = 5 * FINE  # light is sampled on every fifth pixel and carried over face by face
_OFF_PLANE = 4.0  # pixels; light is not shared between points further off a plane
_CHUNK = 4096  # points lit at a time: their rays stay in the cache
SKY_RAYS, KEY_RAYS = 14, 6  # per node; nine interleaved sets of directions are averaged


def sphere_directions(count: int) -> Singles:
    """Evenly spread unit vectors (count, 3): the golden-angle spiral."""
    index = np.arange(count) + 0.5
    z = 1.0 - 2.0 * index / count
    turn = index * math.pi * (3.0 - math.sqrt(5.0))
    radius = np.sqrt(1.0 - z * z)
    return np.stack([radius * np.cos(turn), radius * np.sin(turn), z], 1).astype(np.float32)


def sample_light(
    scene: Scene,
    points: Singles,
    normals: Singles,
    pattern: NDArray[np.int32],
    key: Singles,
    ground: float,
    rays: tuple[int, int] = (SKY_RAYS, KEY_RAYS),
) -> Singles:
    """Sky light and the visible share of the key lamp, (n, 2), both 0 to 1.

    The sky is sampled by the cosine: normal + (evenly spread unit vector) points that way. The
    bench returns some light; a near wall of the body hides more than a far one. `pattern`
    (n,) 0..8 chooses among nine sets of directions, to be averaged by the caller.
    """
    start = points + normals * np.float32(1e-4 * scene.reach)
    per_mm = np.float32(3.0 / scene.reach)
    spread = sphere_directions(9 * rays[0]).reshape(rays[0], 9, 3).transpose(1, 0, 2)
    disc = unit_vectors(key + 0.16 * sphere_directions(9 * rays[1]))
    disc = disc.reshape(rays[1], 9, 3).transpose(1, 0, 2)
    out = np.empty((len(points), 2), np.float32)
    for first in range(0, len(points), _CHUNK):
        some = slice(first, first + _CHUNK)
        ahead = unit_vectors(normals[some, None, :] + spread[pattern[some]])
        away = cast(scene, start[some], ahead, "DISTANCE")
        fall = -ahead[..., 2]
        below = (start[some, 2] - np.float32(ground))[:, None] / np.maximum(fall, 1e-6)
        seen = np.where(fall > 0, 0.30 + 0.35 * np.minimum(per_mm * below, 1), 0.86 - 0.14 * fall)
        wall = away < np.minimum(below, 1e6)
        seen[wall] = 0.15 + 0.45 * np.minimum(per_mm * away[wall], 1)
        out[some, 0] = seen.mean(axis=1)
        out[some, 1] = (cast(scene, start[some], disc[pattern[some]], "OCCLUDED") < 0).mean(axis=1)
    return out


def _pattern(shape: tuple[int, int]) -> NDArray[np.int32]:
    """3 x 3 interleaving: any 3 x 3 window of nodes holds all nine sets of directions."""
    y, x = np.indices(shape, np.int32)
    return np.asarray(3 * (y % 3) + x % 3, np.int32)


def _windows(values: NDArray[Any]) -> Iterable[NDArray[Any]]:
    """The nine neighbours of every node of a grid, edges repeated."""
    pad = np.pad(values, [(1, 1), (1, 1), *[(0, 0)] * (values.ndim - 2)], mode="edge")
    height, width = values.shape[:2]
    return (pad[j : j + height, i : i + width] for j in range(3) for i in range(3))


def key_lamp(camera: Camera) -> Singles:
    """Direction to the one lamp: to the left of the eye, above it, or below if the eye is."""
    above = math.copysign(0.95, float(camera.toward[2]))
    lamp = 0.55 * camera.toward - 0.62 * camera.right + np.array([0.0, 0.0, above])
    return np.asarray(lamp / np.linalg.norm(lamp), np.float32)


@dataclass(frozen=True)
class _Nodes:
    """Light at every `_NODE`-th cell of the fine grid, with the surface it belongs to."""

    surface: NDArray[np.int32]
    point: Singles
    light: Singles


def _node_light(
    scene: Scene, camera: Camera, buffers: Buffers, key: Singles, ground: float
) -> tuple[_Nodes, Singles]:
    """Light at the nodes, averaged over neighbours on the same surface and plane; their normals."""
    width = buffers.triangle.shape[1]
    triangle = buffers.triangle[::_NODE, ::_NODE]
    met = triangle >= 0
    row, column = np.nonzero(met)
    cells = row * (_NODE * width) + column * _NODE
    point, normal = np.zeros((2, *met.shape, 3), np.float32)
    raw = np.zeros((*met.shape, 2), np.float32)
    point[met], normal[met] = met_points(camera, buffers, cells), met_normals(scene, buffers, cells)
    raw[met] = sample_light(scene, point[met], normal[met], _pattern(met.shape)[met], key, ground)
    surface = scene.surface[triangle]
    neighbours = zip(_windows(surface), _windows(point), strict=True)
    near = _OFF_PLANE / camera.scale
    use = []
    for label, at in neighbours:
        off = np.abs(np.einsum("ijk,ijk->ij", at - point, normal))
        use.append(((label == surface) & (off < near))[..., None])
    weight = np.maximum(np.sum(use, axis=0), 1).astype(np.float32)
    light: Singles = raw
    for _ in range(2):  # the second pass takes out the steps between the shadows of single rays
        total = sum(v * u for v, u in zip(_windows(light), use, strict=True))
        light = np.asarray(total / weight, np.float32)
    return _Nodes(surface, point, light), normal


def _carry(
    nodes: _Nodes,
    y: Integers,
    x: Integers,
    surface: NDArray[np.int32],
    here: Singles,
    facing: Singles,
    near: float,
) -> tuple[Singles, Singles]:
    """Light (n, 2) at fine-grid cells from the four nodes around each, and the weight found.

    Weights are bilinear and count only nodes on the cell's own surface and tangent plane.
    """
    height, width = nodes.surface.shape
    at_y = np.minimum(y / np.float32(_NODE), np.float32(height - 1))
    at_x = np.minimum(x / np.float32(_NODE), np.float32(width - 1))
    low_y, low_x = at_y.astype(np.int64), at_x.astype(np.int64)
    part_y, part_x = at_y - low_y, at_x - low_x
    light, weight = np.zeros((len(y), 2), np.float32), np.zeros(len(y), np.float32)
    for j in (0, 1):
        for i in (0, 1):
            row, column = np.minimum(low_y + j, height - 1), np.minimum(low_x + i, width - 1)
            bilinear = (part_y if j else 1 - part_y) * (part_x if i else 1 - part_x)
            off = np.abs(np.einsum("ij,ij->i", nodes.point[row, column] - here, facing))
            same = (nodes.surface[row, column] == surface) & (off < near)
            use = np.where(same, bilinear + np.float32(1e-3), np.float32(0))
            light += use[:, None] * nodes.light[row, column]
            weight += use
    light /= np.maximum(weight, np.float32(1e-9))[:, None]
    return light, weight


def _plain_light(
    nodes: _Nodes, normal: Singles, labels: NDArray[np.int32], near: float
) -> tuple[Singles, NDArray[np.bool_]]:
    """Light (h, w, 2) of pixels between four nodes of one plane and surface, and which these are.

    `labels` (h, w) are the surfaces of pixels, -1 where several meet in one. There the weights
    are the same for every square of nodes, so that all squares are done at once.
    """
    step = _NODE // FINE
    rows, columns = nodes.surface.shape[0] - 1, nodes.surface.shape[1] - 1
    corners = [np.s_[j : rows + j, i : columns + i] for j in (0, 1) for i in (0, 1)]
    first = nodes.surface[corners[0]]
    square = labels[: step * rows, : step * columns].reshape(rows, step, columns, step)
    flat = (first >= 0) & (square == first[:, None, :, None]).all(axis=(1, 3))
    for a in corners:
        flat &= nodes.surface[a] == first
    at = np.nonzero(flat)
    points = np.stack([nodes.point[a][at] for a in corners], axis=1)
    upright = np.stack([normal[a][at] for a in corners], axis=1)
    off = np.abs(np.einsum("nakx,nax->nak", points[:, None, :, :] - points[:, :, None, :], upright))
    level = (off < near).all(axis=(1, 2))
    at = (at[0][level], at[1][level])
    part = np.arange(step) / np.float32(step)
    ends = np.stack([1 - part, part])
    share = np.einsum("jy,ix->jiyx", ends, ends).reshape(4, -1)
    light = np.stack([nodes.light[a][at] for a in corners], axis=1)
    out = np.zeros((rows, columns, step, step, 2), np.float32)
    out[at] = np.einsum("ncl,cp->npl", light, share).reshape(-1, step, step, 2)
    plain = np.zeros((rows, columns), np.bool_)
    plain[at] = True
    whole = np.zeros((*labels.shape, 2), np.float32)
    whole[: step * rows, : step * columns] = out.transpose(0, 2, 1, 3, 4).reshape(
        step * rows, step * columns, 2
    )
    done = np.zeros(labels.shape, np.bool_)
    done[: step * rows, : step * columns] = plain.repeat(step, 0).repeat(step, 1)
    return whole, done


def brightness(scene: Scene, camera: Camera, buffers: Buffers, ground: float) -> Bytes:
    """Light 0 to 255 at every fine-grid cell that met something.

    Cells of a pixel within one surface share a value; cells that no node serves are traced by
    themselves.
    """
    width = buffers.triangle.shape[1]
    key, near = key_lamp(camera), _OFF_PLANE / camera.scale
    nodes, normal = _node_light(scene, camera, buffers, key, ground)
    labels = scene.surface[buffers.triangle]
    even = alike(labels) & (labels[::FINE, ::FINE] >= 0)
    light, plain = _plain_light(nodes, normal, np.where(even, labels[::FINE, ::FINE], -1), near)
    mixed = ~even.repeat(FINE, 0).repeat(FINE, 1) & (buffers.triangle >= 0)
    level: Bytes = np.zeros(even.shape, np.uint8)

    def of(cells: Integers, at: Singles | None) -> Bytes:
        """Brightness of flat fine-grid cells, whose light is known or carried from the nodes."""
        out = np.empty(len(cells), np.uint8)
        eye = camera.toward.astype(np.float32)
        for first in range(0, len(cells), 4 * _CHUNK):
            some = cells[first : first + 4 * _CHUNK]
            facing = met_normals(scene, buffers, some)
            if at is not None:
                lit = at[first : first + 4 * _CHUNK]
            else:
                here = met_points(camera, buffers, some)
                y, x = np.divmod(some, width)
                lit, weight = _carry(nodes, y, x, labels[y, x], here, facing, near)
                lost = np.flatnonzero(weight == 0)
                calm = np.zeros(len(lost), np.int32)
                lit[lost] = sample_light(
                    scene, here[lost], facing[lost], calm, key, ground, (24, 12)
                )
            lamp, fill = np.maximum(facing @ key, 0), np.maximum(facing @ eye, 0)
            total = lit[:, 0] * (0.47 + 0.10 * fill) + 0.45 * lit[:, 1] * lamp
            out[first : first + 4 * _CHUNK] = np.clip(255 * total, 0, 255)
        return out

    for pixels, known in ((plain, True), (even & ~plain, False)):
        row, column = np.nonzero(pixels)
        cells = row * (FINE * width) + column * FINE
        level[row, column] = of(cells, light[row, column] if known else None)
    out = level.repeat(FINE, 0).repeat(FINE, 1)
    out[mixed] = of(np.flatnonzero(mixed), None)
    return out


def ground_shadow(scene: Scene, camera: Camera, ground: float) -> Singles:
    """Factor (h, w) that darkens the paper where the bench lies in the body's shadow."""
    from PIL import Image as Images

    width, height = camera.size
    rise = float(camera.toward[2])
    factor = np.ones((height, width), np.float32)
    if rise < math.sin(math.radians(4.0)):
        return factor
    margin = 0.7 * (scene.bounds[1, 2] - ground) + 0.12 * scene.reach
    low, high = scene.bounds[0, :2] - margin, scene.bounds[1, :2] + margin
    # A spot every eight pixels or so.
    count = int(np.clip((high - low).max() * camera.scale / 8, 40, 240))
    spots = np.linspace(0.0, 1.0, count)
    x, y = np.meshgrid(low[0] + spots * (high - low)[0], low[1] + spots * (high - low)[1])
    points = np.stack([x, y, np.full_like(x, ground)], -1).reshape(-1, 3).astype(np.float32)
    upward = np.zeros_like(points)
    upward[:, 2] = 1
    key = key_lamp(camera)
    pattern = _pattern((count, count)).ravel()
    raw = sample_light(scene, points, upward, pattern, key, ground, (12, 8))
    calm: Singles = raw.reshape(count, count, 2)
    for _ in range(3):
        calm = np.asarray(np.mean(list(_windows(calm)), axis=0), np.float32)
    dark = 0.34 * np.clip(0.95 - calm[..., 0], 0, 1) + 0.20 * (1.0 - calm[..., 1])
    taper = np.clip(8.0 * np.minimum(spots, 1.0 - spots), 0.0, 1.0)
    dark = dark * (taper * taper * (3 - 2 * taper)) * (taper * taper * (3 - 2 * taper))[:, None]

    # Pixel to bench is affine: send three pixels down their rays and let Pillow resample.
    y, x = np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])
    eye = grid_points(camera, FINE * y - 0.5, FINE * x - 0.5).astype(np.float64)
    fall = (ground - eye[:, 2]) / rise
    at = (eye[:, :2] + fall[:, None] * camera.toward[:2] - low) / (high - low) * (count - 1) + 0.5
    matrix = np.stack([at[1] - at[0], at[2] - at[0], at[0]], axis=1).ravel().tolist()
    texture = Images.fromarray(dark.astype(np.float32))
    how, smooth = Images.Transform.AFFINE, Images.Resampling.BICUBIC
    # Fade at the picture's rim, so that a panel has no visible border.
    down, across = (np.minimum(np.arange(n), np.arange(n)[::-1]) + 0.5 for n in (height, width))
    rim = 0.12 * min(height, width)
    fade = np.clip(down / rim, 0, 1)[:, None] * np.clip(across / rim, 0, 1)
    shade = np.asarray(texture.transform((width, height), how, matrix, smooth), np.float32)
    return np.asarray(1 - fade * shade, np.float32)
