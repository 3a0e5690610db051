"""Pictures of a holder without a display: rays, one soft light, thin ink lines, a true section.

Input is plain arrays (`Body`), so that anything with triangles can be drawn. The picture plane
is orthographic: a length parallel to it measures the same everywhere, hence the scale bar.
Rays are traced in float32, whose numbers near 100 mm lie 10 nm apart. The same input gives the same
bytes: sampling directions are fixed, and the only font is the one embedded in Pillow.

Coordinates are the holder frame in mm: z up from the bench, 12 h at +y, 3 h at +x.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from importlib import import_module
from io import BytesIO
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFont import FreeTypeFont

Floats: TypeAlias = NDArray[np.float64]
Singles: TypeAlias = NDArray[np.float32]
Integers: TypeAlias = NDArray[np.int64]
Bytes: TypeAlias = NDArray[np.uint8]
Colour: TypeAlias = tuple[int, int, int]
Box: TypeAlias = tuple[float, float, float, float]
Marker: TypeAlias = tuple[Sequence[float], str]

SECTION = -1
"""Part label of the faces that `cut` makes; labels given by a caller are 0 or more."""

FINE = 2
"""Rays per pixel edge: a picture is traced twice as large and averaged down."""

PAPER: Colour = (239, 235, 227)
INK: Colour = (36, 41, 49)
GHOST: Colour = (62, 96, 122)
HATCH: Colour = (66, 82, 104)
RULE: Colour = (190, 185, 176)
# A ramp runs from unlit to fully lit. The tones differ in greyscale as well as in hue.
RESIN = ((52, 55, 63), (140, 139, 135), (224, 217, 204))
LIT = ((46, 12, 8), (142, 42, 24), (200, 88, 54))
CUT_FACE = ((252, 243, 219),) * 3
UNMEASURED = ((110, 108, 112), (196, 194, 198), (246, 244, 246))
_LIT, _CUT, _UNMEASURED, _FIELD = 1, 2, 3, 4

# Every 15th colour of cividis, rounded to 8 bits: J. R. Nunez, C. R. Anderton, R. S. Renslow,
# "Optimizing colormaps with consideration for color vision deficiency to enable accurate
# interpretation of scientific data", PLoS ONE 13(7), 2018; 256-row table published by matplotlib.
CIVIDIS: Bytes = np.array(
    [
        (0, 34, 78), (0, 45, 104), (22, 55, 112), (46, 65, 109), (63, 76, 108), (78, 86, 108),
        (92, 97, 110), (105, 107, 113), (118, 118, 118), (131, 129, 121), (146, 140, 120),
        (160, 152, 117), (175, 164, 113), (191, 176, 107), (207, 189, 98), (223, 202, 87),
        (240, 216, 70), (254, 232, 56),
    ],
    np.uint8,
)  # fmt: skip

CREASE_ANGLE = math.radians(28.0)
"""Edges that turn by more than this are drawn; the rest are shaded as one smooth surface."""

_MARGIN, _EDGE, _HEAD = 24, 30, 58  # pixels: round a panel, at the sides and top of a page
_SMALL = 13  # pixels: size of all small writing
_STEPS = 64  # shades of a field: finer than the eye tells apart on a shaded body
_NODE = 3 * FINE  # light is sampled on every third pixel and carried over face by face
_OFF_PLANE = 4.0  # pixels; light is not shared between points further off a plane
_CHUNK = 4096  # points lit at a time: their rays stay in the cache
_SKY_RAYS, _KEY_RAYS = 14, 6  # per node; nine interleaved sets of directions are averaged


@dataclass(frozen=True)
class Body:
    """One closed triangle mesh: `vertices` (V, 3) mm, `triangles` (T, 3), `part` (T,) labels >= 0.

    A `ghost` (the workpiece) is drawn as a translucent outline and casts no shadow.
    """

    name: str
    vertices: Floats
    triangles: Integers
    part: Integers
    ghost: bool = False

    def __post_init__(self) -> None:
        """Refuse arrays that do not fit together."""
        if self.triangles.ndim != 2 or self.triangles.shape[1] != 3 or not len(self.triangles):
            raise ValueError(f"body {self.name}: triangles {self.triangles.shape}, not (T, 3)")
        if self.part.shape != (len(self.triangles),):
            raise ValueError(f"body {self.name}: {self.part.shape} part labels, not one a triangle")


@dataclass(frozen=True)
class View:
    """Where the eye stands: at an `hour` of the dial, `elevation` radians above the bench.

    `zoom` 1 fits the bodies into the picture; `scale` (pixels per mm) overrides the fit.
    """

    hour: float = 5.0
    elevation: float = math.radians(36.0)
    zoom: float = 1.0
    scale: float | None = None

    def axes(self) -> tuple[Floats, Floats, Floats]:
        """Unit vectors to the right, up the picture and toward the eye."""
        across, rise = math.radians(30.0 * self.hour), self.elevation
        out = np.array([math.sin(across), math.cos(across), 0.0])
        zenith = np.array([0.0, 0.0, 1.0])
        toward = out * math.cos(rise) + zenith * math.sin(rise)
        return np.cross(zenith, out), zenith * math.cos(rise) - out * math.sin(rise), toward


@dataclass(frozen=True)
class Camera:
    """An orthographic camera: `origin` (mm) lies at `centre` (pixels), at `scale` pixels per mm."""

    right: Floats
    up: Floats
    toward: Floats
    origin: Floats
    centre: tuple[float, float]
    scale: float
    size: tuple[int, int]

    def project(self, points: Floats) -> Floats:
        """Pixels (n, 2), x to the right and y down, of points (n, 3) mm."""
        away = np.atleast_2d(points) - self.origin
        x, y = away @ self.right, away @ self.up
        return np.stack([self.centre[0] + self.scale * x, self.centre[1] - self.scale * y], axis=1)


@dataclass(frozen=True)
class Scene:
    """Bodies made ready for rays. Arrays by triangle end with one row that means "nothing"."""

    rays: Any
    bounds: Floats
    normal: Singles
    corner_normals: Singles
    surface: NDArray[np.int32]
    part: NDArray[np.int32]
    body: NDArray[np.int32]
    centroid: Singles
    tone: NDArray[np.int32]

    @property
    def reach(self) -> float:
        """Diagonal of the bounding box, mm."""
        return float(np.linalg.norm(self.bounds[1] - self.bounds[0]))


@dataclass(frozen=True)
class Buffers:
    """What each of the FINE x FINE rays of a pixel met, all of shape (FINE h, FINE w).

    `triangle` is -1 for nothing; `depth` runs away from the eye in mm, 0 at the camera's origin;
    `u`, `v` are the barycentric weights of the second and third corner.
    """

    triangle: NDArray[np.int32]
    depth: Singles
    u: Singles
    v: Singles


# --- meshes -------------------------------------------------------------------------------------


def _unit(vectors: Singles) -> Singles:
    lengths = np.sqrt(np.einsum("...i,...i->...", vectors, vectors))[..., None]
    return np.asarray(vectors / np.maximum(lengths, np.float32(1e-20)), np.float32)


def _surfaces(vertices: Floats, triangles: Integers) -> tuple[Singles, Singles, NDArray[np.int32]]:
    """Face normals, corner normals of the smooth shape, and a smooth-surface number by triangle.

    Triangles belong to one surface while the edges between them turn less than `CREASE_ANGLE`.
    Corner normals are weighted by angle and area, so that a large flat keeps its own normal
    beside a narrow chamfer.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    corners = vertices[triangles]
    edges = np.roll(corners, -1, axis=1) - corners
    cross = np.cross(edges[:, 0], edges[:, 1])
    area = np.linalg.norm(cross, axis=1)
    normal = cross / np.maximum(area, 1e-300)[:, None]
    # One number per place, since a mesh may repeat a vertex along a seam.
    _, place = np.unique(vertices.round(7), axis=0, return_inverse=True)
    at = place.reshape(-1)[triangles]
    low, high = np.minimum(at, np.roll(at, -1, 1)), np.maximum(at, np.roll(at, -1, 1))
    key = (low * (at.max() + 1) + high).ravel()
    order = np.argsort(key, kind="stable")
    pair = np.flatnonzero(key[order][1:] == key[order][:-1])
    first, second = order[pair] // 3, order[pair + 1] // 3
    soft = np.einsum("ij,ij->i", normal[first], normal[second]) > math.cos(CREASE_ANGLE)
    count = len(triangles)
    links = coo_array((np.ones(soft.sum()), (first[soft], second[soft])), shape=(count, count))
    surface = connected_components(links, directed=False)[1].astype(np.int64)

    side = edges / np.maximum(np.linalg.norm(edges, axis=2), 1e-300)[..., None]
    angle = np.arccos(np.clip(-np.einsum("ijk,ijk->ij", side, np.roll(side, 1, 1)), -1.0, 1.0))
    _, group = np.unique(surface[:, None] * (at.max() + 1) + at, return_inverse=True)
    group = group.reshape(-1)
    weighted = (cross[:, None, :] * angle[..., None]).reshape(-1, 3)
    total = np.stack([np.bincount(group, weighted[:, k]) for k in range(3)], axis=1)
    smooth = _unit(total[group].reshape(-1, 3, 3).astype(np.float32))
    return normal.astype(np.float32), smooth, surface.astype(np.int32)


def build_scene(bodies: Sequence[Body], tone: NDArray[np.int32] | None = None) -> Scene:
    """The bodies as one scene for rays; `tone` (T,) chooses a ramp for each triangle in turn."""
    rtcore = import_module("embreex.rtcore_scene")
    construction = import_module("embreex.mesh_construction")
    start = np.cumsum([0, *(len(body.vertices) for body in bodies)])
    vertices = np.concatenate([body.vertices for body in bodies]).astype(np.float64)
    triangles = np.concatenate(
        [body.triangles + first for body, first in zip(bodies, start[:-1], strict=True)]
    ).astype(np.int64)
    part = np.concatenate([body.part for body in bodies])
    number = np.repeat(np.arange(len(bodies)), [len(body.triangles) for body in bodies])
    rays = rtcore.EmbreeScene()
    mesh = construction.TriangleMesh(rays, vertices.astype(np.float32), triangles.astype(np.int32))
    normal, corner_normals, surface = _surfaces(vertices, triangles)
    tones = np.where(part == SECTION, _CUT, 0) if tone is None else tone

    def closed(values: NDArray[Any], kind: type, nothing: int) -> NDArray[Any]:
        return np.concatenate([values, np.full((1, *values.shape[1:]), nothing)]).astype(kind)

    return Scene(
        rays=(rays, mesh),
        bounds=np.stack([vertices.min(axis=0), vertices.max(axis=0)]),
        normal=closed(normal, np.float32, 0),
        corner_normals=closed(corner_normals, np.float32, 0),
        surface=closed(surface, np.int32, -1),
        part=closed(part, np.int32, -2),
        body=closed(number, np.int32, -1),
        centroid=vertices[triangles].mean(axis=1).astype(np.float32),
        tone=closed(tones, np.int32, 0),
    )


def cut(body: Body, hour: float) -> Body | None:
    """The half of `body` behind the vertical plane through the axis and `hour`, or None if empty.

    The eye stands three hours on, with `hour` to its right. The new faces carry the label
    `SECTION`; they are known by the kernel's provenance (which input a triangle came from), not
    guessed from coordinates. The plane lies a hair (10 nm) within the half that is kept, so that
    a wall that happens to lie in it leaves no film.

    Raises ValueError if the mesh is not a closed manifold.
    """
    kernel = import_module("manifold3d")
    count = len(body.triangles)
    own = kernel.Manifold.reserve_ids(1)
    mesh = kernel.Mesh64(
        np.array(body.vertices, np.float64, order="C"),
        np.array(body.triangles, np.uint64, order="C"),
        run_index=np.array([0, 3 * count], np.uint64),
        run_original_id=np.array([own], np.uint32),
        face_id=np.arange(count, dtype=np.uint64),
    )
    mesh.merge()
    solid = kernel.Manifold(mesh)
    if solid.status() != kernel.Error.NoError:
        raise ValueError(f"body {body.name} cannot be cut: {solid.status()}")
    _, _, toward = View(hour + 3.0, 0.0).axes()
    half = solid.trim_by_plane((-toward[0], -toward[1], 0.0), 1e-5).to_mesh64()
    triangles = np.asarray(half.tri_verts, np.int64)
    if not len(triangles):
        return None
    index = np.asarray(half.run_index, np.int64) // 3
    is_own = np.repeat(np.asarray(half.run_original_id) == own, index[1:] - index[:-1])
    source = np.asarray(half.face_id, np.int64)
    part = np.where(is_own, body.part[np.where(is_own, source, 0)], SECTION)
    vertices = np.asarray(half.vert_properties, np.float64)[:, :3]
    return replace(body, vertices=vertices, triangles=triangles, part=part)


# --- rays ---------------------------------------------------------------------------------------


def aim(
    bodies: Sequence[Body], view: View, size: tuple[int, int], box: Box | None = None
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


def _grid(camera: Camera, y: NDArray[Any], x: NDArray[Any]) -> Singles:
    """Points (..., 3) of the plane through the origin under fine-grid cells; y, x broadcast."""
    across = ((x + 0.5) / FINE - camera.centre[0]) / camera.scale
    above = (camera.centre[1] - (y + 0.5) / FINE) / camera.scale
    left = (camera.origin + across[..., None] * camera.right).astype(np.float32)
    return left + (above[..., None] * camera.up).astype(np.float32)


def _meet(scene: Scene, camera: Camera, y: Integers, x: Integers) -> tuple[NDArray[Any], ...]:
    """Triangle, depth, u and v met under fine-grid cells; y, x broadcast."""
    far = np.float32(scene.reach + np.linalg.norm(scene.bounds.mean(axis=0) - camera.origin) + 1.0)
    start = _grid(camera, y, x) + far * camera.toward.astype(np.float32)
    ahead = np.empty_like(start)
    ahead[:] = -camera.toward
    met = scene.rays[0].run(start.reshape(-1, 3), ahead.reshape(-1, 3), output=1)
    triangle = met["primID"]
    depth = np.where(triangle >= 0, met["tfar"] - far, np.float32(np.inf))
    return tuple(a.reshape(start.shape[:-1]) for a in (triangle, depth, met["u"], met["v"]))


def _steady(label: NDArray[Any]) -> NDArray[np.bool_]:
    """Whether a cell and its eight neighbours carry one label; the rim never does."""
    same = np.zeros(label.shape, np.bool_)
    row = (label[:, 1:-1] == label[:, 2:]) & (label[:, 1:-1] == label[:, :-2])
    column = (label[1:-1] == label[2:]) & (label[1:-1] == label[:-2])
    same[1:-1, 1:-1] = row[:-2] & row[1:-1] & row[2:] & column[:, 1:-1]
    return same


def _slopes(depth: Singles, bend: float) -> tuple[Singles, Singles, NDArray[np.bool_]]:
    """Change of depth per cell down and across, and where it bends by less than `bend` mm."""
    down, across = np.zeros_like(depth), np.zeros_like(depth)
    straight = np.zeros(depth.shape, np.bool_)
    with np.errstate(invalid="ignore"):  # inf - inf where nothing was met: never straight
        down[1:-1] = (depth[2:] - depth[:-2]) / 2
        across[:, 1:-1] = (depth[:, 2:] - depth[:, :-2]) / 2
        fold_down = np.abs(depth[2:] + depth[:-2] - 2 * depth[1:-1])[:, 1:-1]
        fold_across = np.abs(depth[:, 2:] + depth[:, :-2] - 2 * depth[:, 1:-1])[1:-1]
        straight[1:-1, 1:-1] = np.maximum(fold_down, fold_across) < np.float32(bend)
    return down, across, straight


def trace(scene: Scene, camera: Camera) -> Buffers:
    """Meet the scene with FINE x FINE rays per pixel.

    One ray a pixel finds where its eight neighbours lie on the same surface and part and the
    depth runs straight; there its triangle stands for the whole pixel. Everywhere else, hence
    at every edge, all rays are cast. What is thinner than a pixel may be missed.
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

    met = coarse[0] >= 0
    down, across, straight = _slopes(coarse[1], 1.0 / camera.scale)
    calm = _steady(scene.surface[coarse[0]]) & _steady(scene.part[coarse[0]]) & (straight | ~met)
    down[~calm | ~met], across[~calm | ~met] = 0, 0
    for j in range(FINE):
        for i in range(FINE):
            out.depth[block][j::FINE, i::FINE] += (j * down + i * across) / FINE

    y, x = np.nonzero(~calm.repeat(FINE, 0).repeat(FINE, 1))
    y, x = y + FINE * y0, x + FINE * x0
    for buffer, values in zip(buffers, _meet(scene, camera, y, x), strict=True):
        buffer[y, x] = values
    return out


# --- light --------------------------------------------------------------------------------------


def _sphere(count: int) -> Singles:
    """Evenly spread unit vectors (count, 3): the golden-angle spiral."""
    index = np.arange(count) + 0.5
    z = 1.0 - 2.0 * index / count
    turn = index * math.pi * (3.0 - math.sqrt(5.0))
    radius = np.sqrt(1.0 - z * z)
    return np.stack([radius * np.cos(turn), radius * np.sin(turn), z], 1).astype(np.float32)


def _light(
    scene: Scene,
    points: Singles,
    normals: Singles,
    pattern: NDArray[np.int32],
    key: Singles,
    ground: float,
    rays: tuple[int, int] = (_SKY_RAYS, _KEY_RAYS),
) -> Singles:
    """Sky light and the visible share of the key lamp, (n, 2), both 0 to 1.

    The sky is sampled by the cosine: normal + (evenly spread unit vector) points that way. The
    bench returns some light; a near wall of the body hides more than a far one. `pattern`
    (n,) 0..8 chooses among nine sets of directions, to be averaged by the caller.
    """
    start = points + normals * np.float32(1e-4 * scene.reach)
    per_mm = np.float32(3.0 / scene.reach)
    spread = _sphere(9 * rays[0]).reshape(rays[0], 9, 3).transpose(1, 0, 2)
    disc = _unit(key + 0.16 * _sphere(9 * rays[1])).reshape(rays[1], 9, 3).transpose(1, 0, 2)
    out = np.empty((len(points), 2), np.float32)
    for first in range(0, len(points), _CHUNK):
        some = slice(first, first + _CHUNK)
        ahead = _unit(normals[some, None, :] + spread[pattern[some]])
        away = _cast(scene, start[some], ahead, "DISTANCE")
        fall = -ahead[..., 2]
        below = (start[some, 2] - np.float32(ground))[:, None] / np.maximum(fall, 1e-6)
        seen = np.where(fall > 0, 0.30 + 0.35 * np.minimum(per_mm * below, 1), 0.86 - 0.14 * fall)
        wall = away < np.minimum(below, 1e6)
        seen[wall] = 0.15 + 0.45 * np.minimum(per_mm * away[wall], 1)
        out[some, 0] = seen.mean(axis=1)
        out[some, 1] = (_cast(scene, start[some], disc[pattern[some]], "OCCLUDED") < 0).mean(axis=1)
    return out


def _cast(scene: Scene, start: Singles, ahead: Singles, query: str) -> NDArray[Any]:
    """Answers (n, rays) to rays from points (n, 3) in directions (n, rays, 3)."""
    begin = np.empty_like(ahead)
    begin[:] = start[:, None, :]
    answer = scene.rays[0].run(begin.reshape(-1, 3), ahead.reshape(-1, 3), query=query)
    return np.asarray(answer).reshape(ahead.shape[:2])


def _pattern(shape: tuple[int, int]) -> NDArray[np.int32]:
    """3 x 3 interleaving: any 3 x 3 window of nodes holds all nine sets of directions."""
    y, x = np.indices(shape, np.int32)
    return np.asarray(3 * (y % 3) + x % 3, np.int32)


def _windows(values: NDArray[Any]) -> Iterable[NDArray[Any]]:
    """The nine neighbours of every node of a grid, edges repeated."""
    pad = np.pad(values, [(1, 1), (1, 1), *[(0, 0)] * (values.ndim - 2)], mode="edge")
    height, width = values.shape[:2]
    return (pad[j : j + height, i : i + width] for j in range(3) for i in range(3))


def _key_lamp(camera: Camera) -> Singles:
    """Direction to the one lamp: to the left of the eye, above it, or below if the eye is."""
    above = math.copysign(0.95, float(camera.toward[2]))
    lamp = 0.55 * camera.toward - 0.62 * camera.right + np.array([0.0, 0.0, above])
    return np.asarray(lamp / np.linalg.norm(lamp), np.float32)


def _points(camera: Camera, buffers: Buffers, cells: Integers) -> Singles:
    """Points (n, 3) met at flat fine-grid cells."""
    y, x = np.divmod(cells, buffers.triangle.shape[1])
    depth = buffers.depth.ravel()[cells]
    return np.asarray(_grid(camera, y, x) - depth[:, None] * camera.toward.astype(np.float32))


def _normals(scene: Scene, buffers: Buffers, cells: Integers) -> Singles:
    """Smooth unit normals (n, 3) at flat fine-grid cells."""
    corner = scene.corner_normals[buffers.triangle.ravel()[cells]]
    u, v = buffers.u.ravel()[cells, None], buffers.v.ravel()[cells, None]
    return _unit(corner[:, 0] * (1 - u - v) + corner[:, 1] * u + corner[:, 2] * v)


@dataclass(frozen=True)
class _Nodes:
    """Light at every `_NODE`-th cell of the fine grid, with the surface it belongs to."""

    surface: NDArray[np.int32]
    point: Singles
    light: Singles


def _node_light(
    scene: Scene, camera: Camera, buffers: Buffers, key: Singles, ground: float
) -> _Nodes:
    """Light of `_light` at the nodes, averaged over neighbours on the same surface and plane."""
    width = buffers.triangle.shape[1]
    triangle = buffers.triangle[::_NODE, ::_NODE]
    met = triangle >= 0
    row, column = np.nonzero(met)
    cells = row * (_NODE * width) + column * _NODE
    point, normal = np.zeros((2, *met.shape, 3), np.float32)
    raw = np.zeros((*met.shape, 2), np.float32)
    point[met], normal[met] = _points(camera, buffers, cells), _normals(scene, buffers, cells)
    raw[met] = _light(scene, point[met], normal[met], _pattern(met.shape)[met], key, ground)
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
    return _Nodes(surface, point, light)


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


def _brightness(scene: Scene, camera: Camera, buffers: Buffers, ground: float) -> Bytes:
    """Light 0 to 255 at every fine-grid cell that met something.

    Cells of a pixel within one surface share a value; cells that no node serves are traced by
    themselves.
    """
    height, width = buffers.triangle.shape
    key, eye = _key_lamp(camera), camera.toward.astype(np.float32)
    nodes = _node_light(scene, camera, buffers, key, ground)
    labels = scene.surface[buffers.triangle]
    even = labels[::FINE, ::FINE] >= 0
    for j in range(FINE):
        for i in range(FINE):
            even &= labels[j::FINE, i::FINE] == labels[::FINE, ::FINE]
    row, column = np.nonzero(even)
    mixed = ~even.repeat(FINE, 0).repeat(FINE, 1) & (buffers.triangle >= 0)
    cells = np.concatenate([row * (FINE * width) + column * FINE, np.flatnonzero(mixed)])
    level = np.empty(len(cells), np.uint8)
    for first in range(0, len(cells), 4 * _CHUNK):
        some = cells[first : first + 4 * _CHUNK]
        here, facing = _points(camera, buffers, some), _normals(scene, buffers, some)
        y, x = np.divmod(some, width)
        near = _OFF_PLANE / camera.scale
        light, weight = _carry(nodes, y, x, labels[y, x], here, facing, near)
        lost = np.flatnonzero(weight == 0)
        calm = np.zeros(len(lost), np.int32)
        light[lost] = _light(scene, here[lost], facing[lost], calm, key, ground, (24, 12))
        lamp, fill = np.maximum(facing @ key, 0), np.maximum(facing @ eye, 0)
        total = light[:, 0] * (0.47 + 0.10 * fill) + 0.45 * light[:, 1] * lamp
        level[first : first + 4 * _CHUNK] = np.clip(255 * total, 0, 255)
    out = np.zeros((height, width), np.uint8)
    for j in range(FINE):
        for i in range(FINE):
            out[j::FINE, i::FINE][even] = level[: len(row)]
    out[mixed] = level[len(row) :]
    return out


def _ground_shadow(scene: Scene, camera: Camera, ground: float) -> Singles:
    """Factor (h, w) that darkens the paper where the bench lies in the body's shadow."""
    from PIL import Image as Images

    width, height = camera.size
    rise = float(camera.toward[2])
    factor = np.ones((height, width), np.float32)
    if rise < math.sin(math.radians(4.0)):
        return factor
    margin = 0.7 * (scene.bounds[1, 2] - ground) + 0.12 * scene.reach
    low, high = scene.bounds[0, :2] - margin, scene.bounds[1, :2] + margin
    # A spot every six pixels or so.
    count = int(np.clip((high - low).max() * camera.scale / 6, 40, 240))
    spots = np.linspace(0.0, 1.0, count)
    x, y = np.meshgrid(low[0] + spots * (high - low)[0], low[1] + spots * (high - low)[1])
    points = np.stack([x, y, np.full_like(x, ground)], -1).reshape(-1, 3).astype(np.float32)
    upward = np.zeros_like(points)
    upward[:, 2] = 1
    key = _key_lamp(camera)
    pattern = _pattern((count, count)).ravel()
    raw = _light(scene, points, upward, pattern, key, ground, (12, 8)).reshape(count, count, 2)
    calm: Singles = raw
    for _ in range(3):
        calm = np.asarray(np.mean(list(_windows(calm)), axis=0), np.float32)
    dark = 0.34 * np.clip(0.95 - calm[..., 0], 0, 1) + 0.20 * (1.0 - calm[..., 1])
    taper = np.clip(8.0 * np.minimum(spots, 1.0 - spots), 0.0, 1.0)
    dark = dark * (taper * taper * (3 - 2 * taper)) * (taper * taper * (3 - 2 * taper))[:, None]

    # Pixel to bench is affine: send three pixels down their rays and let Pillow resample.
    y, x = np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])
    eye = _grid(camera, FINE * y - 0.5, FINE * x - 0.5).astype(np.float64)
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


# --- ink ----------------------------------------------------------------------------------------


def _lines(scene: Scene, camera: Camera, buffers: Buffers) -> Bytes:
    """Strength of ink 0 to 255 on the fine grid.

    Between neighbouring cells there is: an outline where one met nothing or depth jumps from
    the planes of both; a crease where the surface changes; a faint line where only the part
    changes; and the strongest line around a section.
    """
    ink: Bytes = np.zeros(buffers.triangle.shape, np.uint8)
    heavy: Bytes = np.zeros_like(ink)
    step = 1.0 / (FINE * camera.scale)
    for axis, direction in ((1, camera.right), (0, -camera.up)):
        y, x = np.nonzero(np.diff(buffers.triangle, axis=axis))
        first = y * ink.shape[1] + x
        second = first + (1 if axis else ink.shape[1])
        a, b = buffers.triangle.ravel()[first], buffers.triangle.ravel()[second]
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


def _hatch(camera: Camera, points: Singles, normals: Singles, body: NDArray[np.int32]) -> Singles:
    """Cover 0 to 1 of 45-degree hatching on the section; neighbouring bodies lean both ways."""
    level = np.cross(np.array([0.0, 0.0, 1.0]), normals.astype(np.float64))
    level /= np.maximum(np.linalg.norm(level, axis=1), 1e-9)[:, None]
    lean = np.where(body % 2 == 0, 1.0, -1.0)
    along = (np.einsum("ij,ij->i", points, level) * lean + points[:, 2]) / math.sqrt(2.0)
    return _stripe(along * camera.scale)


def _stripe(across: NDArray[Any]) -> Singles:
    """Cover 0 to 1 of lines a pixel wide and 7 apart, at a distance in pixels across them."""
    off = np.abs((across / 7.0) % 1.0 - 0.5) * 7.0
    return np.asarray(np.clip((0.55 - off) * FINE + 0.5, 0.0, 1.0), np.float32)


def _ramp(stops: Sequence[Colour]) -> Bytes:
    """A (256, 3) ramp through evenly spaced stops."""
    at = np.linspace(0, 255, len(stops))
    rows = [np.interp(np.arange(256), at, [stop[k] for stop in stops]) for k in range(3)]
    return np.stack(rows, axis=1).round().astype(np.uint8)


def field_colours(fraction: Floats) -> Bytes:
    """Colours (n, 3) of the even scale at fractions 0 to 1; lightness rises all along it."""
    at = np.linspace(0.0, 1.0, len(CIVIDIS))
    channels = [np.interp(fraction, at, CIVIDIS[:, k]) for k in range(3)]
    return np.stack(channels, axis=-1).round().astype(np.uint8)


def _palette() -> Bytes:
    """All ramps (tones, 256, 3): resin, lit, section, unmeasured, then the steps of a field."""
    field = field_colours((np.arange(_STEPS) + 0.5) / _STEPS)
    # A field must be readable off the scale, so light only tints it.
    shade = np.interp(np.arange(256), (0, 90, 190, 255), (0.62, 0.86, 1.0, 1.0))
    steps = (field[:, None, :] * shade[:, None]).round().astype(np.uint8)
    return np.concatenate([[_ramp(t) for t in (RESIN, LIT, CUT_FACE, UNMEASURED)], steps])


def _mix(below: Bytes, above: Colour, cover: NDArray[Any]) -> Bytes:
    """`above` laid over `below` (n, 3) with cover (n,) 0 to 1."""
    share = cover.astype(np.float32)[:, None]
    return np.asarray(below * (1 - share) + np.array(above, np.float32) * share, np.uint8)


def _paint(scene: Scene | None, ghost: Scene | None, camera: Camera) -> tuple[Image, Buffers]:
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
        paper = paper * _ground_shadow(scene, camera, ground)[..., None]
    fine = paper.round().astype(np.uint8).repeat(FINE, 0).repeat(FINE, 1)
    flat = fine.reshape(-1, 3)
    if scene is not None:
        cells = np.flatnonzero(buffers.triangle >= 0)
        triangle = buffers.triangle.ravel()[cells]
        light = _brightness(scene, camera, buffers, ground).ravel()[cells]
        flat[cells] = _palette()[scene.tone[triangle], light]
        face = np.flatnonzero(scene.tone[triangle] == _CUT)
        where, of = cells[face], triangle[face]
        cover = _hatch(camera, _points(camera, buffers, where), scene.normal[of], scene.body[of])
        flat[where] = _mix(flat[where], HATCH, 0.85 * cover)
        blank_cells = cells[scene.tone[triangle] == _UNMEASURED]
        y, x = np.divmod(blank_cells, FINE * width)
        flat[blank_cells] = _mix(flat[blank_cells], INK, 0.45 * _stripe((y + x) / FINE))
        ink = _lines(scene, camera, buffers).ravel()
        drawn = np.flatnonzero(ink)
        flat[drawn] = _mix(flat[drawn], INK, ink[drawn] / 255.0)
    if ghost is not None:
        glass = trace(ghost, camera)
        cells = np.flatnonzero(glass.triangle >= 0)
        front = glass.depth.ravel()[cells] < buffers.depth.ravel()[cells]
        facing = _normals(ghost, glass, cells) @ camera.toward.astype(np.float32)
        veil = np.where(front, 0.13 + 0.22 * (1.0 - np.clip(facing, 0, 1)), 0.0)
        flat[cells] = _mix(flat[cells], GHOST, veil)
        ink = _lines(ghost, camera, glass).ravel()
        drawn = np.flatnonzero(ink)
        before = glass.depth.ravel()[drawn] <= buffers.depth.ravel()[drawn]
        strength = ink[drawn] / 255.0 * np.where(before, 0.85, 0.18)
        flat[drawn] = _mix(flat[drawn], GHOST, strength)
    return Images.fromarray(fine).reduce(FINE), buffers


# --- writing ------------------------------------------------------------------------------------

# The embedded font knows printable ASCII and these; everything else is spelled out or unaccented.
_GLYPHS = frozenset(map(chr, range(32, 127))) | set("°±·´«»‘’“”…")
_SPELLED = {
    "⌀": "dia. ", "ø": "dia. ", "Ø": "dia. ", "×": "x", "–": "-", "—": "-", "−": "-",
    "µ": "u", "μ": "u", "≤": "<=", "≥": ">=", "→": "->", "½": " 1/2", "¼": " 1/4", "ß": "ss",
    "æ": "ae", "œ": "oe",
}  # fmt: skip


def spell(text: str) -> str:
    """The text in the glyphs of the embedded font; what it lacks is spelled out, else "?"."""
    out = []
    for letter in text:
        bare = letter if letter in _GLYPHS else _SPELLED.get(letter)
        if bare is None:
            bare = "".join(c for c in unicodedata.normalize("NFKD", letter) if c in _GLYPHS)
        out.append(bare or ("" if unicodedata.combining(letter) else "?"))
    return "".join(out)


def font(size: float) -> FreeTypeFont:
    """The font embedded in Pillow; raises RuntimeError if Pillow was built without FreeType."""
    from PIL import ImageFont

    found = ImageFont.load_default(size)
    if not isinstance(found, ImageFont.FreeTypeFont):
        raise RuntimeError("Pillow was built without FreeType: no text can be drawn")
    return found


def _write(
    image: Image,
    x: float,
    y: float,
    text: str,
    size: float,
    anchor: str = "ls",
    colour: Colour = INK,
) -> None:
    """Text with its anchor (Pillow's two letters) at pixel x, y, set without hinting.

    Glyphs are drawn four times as large and averaged, so that spacing is even at small sizes.
    """
    from PIL import Image as Images
    from PIL import ImageDraw

    face, text = font(4 * size), spell(text)
    box = ImageDraw.Draw(image).textbbox((4 * x, 4 * y), text, font=face, anchor=anchor)
    left, top = math.floor(box[0] / 4) - 1, math.floor(box[1] / 4) - 1
    wide, tall = math.ceil(box[2] / 4) + 1 - left, math.ceil(box[3] / 4) + 1 - top
    mask = Images.new("L", (4 * wide, 4 * tall), 0)
    at = (4 * (x - left), 4 * (y - top))
    ImageDraw.Draw(mask).text(at, text, font=face, fill=255, anchor=anchor)
    image.paste(colour, (left, top), mask.reduce(4))


def _strokes(
    image: Image, paths: Iterable[Sequence[tuple[float, float]]], colour: Colour, width: float
) -> None:
    """Smooth-edged lines on the image; a closed path of at least three points is filled."""
    from PIL import Image as Images
    from PIL import ImageDraw

    times = 4
    mask = Images.new("L", (image.width * times, image.height * times), 0)
    draw = ImageDraw.Draw(mask)
    for path in paths:
        points = [(times * x, times * y) for x, y in path]
        if len(points) > 3 and points[0] == points[-1]:
            draw.polygon(points, fill=255)
        else:
            draw.line(points, fill=255, width=max(1, round(times * width)), joint="curve")
    image.paste(colour, (0, 0), mask.reduce(times))


def _circle(x: float, y: float, radius: float) -> list[tuple[float, float]]:
    turn = np.append(np.linspace(0.0, 2.0 * math.pi, 32, endpoint=False), 0.0)
    return [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turn]


# --- labels -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Label:
    """A text to be led to a point (mm); `part` is set for a lit part, `seen` false if hidden."""

    point: Floats
    text: str
    part: int | None = None
    seen: bool = True


@dataclass(frozen=True)
class _Stage:
    """Bodies before an eye, ready for rays; `front` bounds what a cut has left (mm), if cut."""

    bodies: Sequence[Body]
    view: View
    solid: Scene | None
    ghost: Scene | None
    front: float = math.inf

    def shows(self, points: Floats) -> NDArray[np.bool_]:
        """Whether the eye sees each point (n, 3), to 0.3 % of the scene."""
        toward = self.view.axes()[2]
        level = toward[:2] / max(float(np.linalg.norm(toward[:2])), 1e-9)
        kept = points[:, :2] @ level < self.front
        if self.solid is None or not len(points):
            return np.asarray(kept)
        start = (points + toward * 3e-3 * self.solid.reach).astype(np.float32)
        ahead = np.empty((len(points), 1, 3), np.float32)
        ahead[:] = toward
        return np.asarray(kept & (_cast(self.solid, start, ahead, "OCCLUDED")[:, 0] < 0))


@dataclass(frozen=True)
class _Panel:
    """A stage with its camera and labels, which stand in a column `column` pixels wide."""

    stage: _Stage
    camera: Camera
    labels: Sequence[_Label]
    column: float
    on_left: bool


def _stage(
    bodies: Sequence[Body], view: View, lit: Iterable[int] = (), front: float = math.inf
) -> _Stage:
    """Raises ValueError if there is nothing to draw."""
    solids, ghosts = [b for b in bodies if not b.ghost], [b for b in bodies if b.ghost]
    if not bodies:
        raise ValueError("nothing to draw: no body was given, or the cut left none")
    part = np.concatenate([np.zeros(0, np.int64), *(body.part for body in solids)])
    tone = np.select([part == SECTION, np.isin(part, list(lit))], [_CUT, _LIT], 0)
    solid = build_scene(solids, tone.astype(np.int32)) if solids else None
    return _Stage(bodies, view, solid, build_scene(ghosts) if ghosts else None, front)


def _lit_labels(stage: _Stage, lit: Mapping[int, str]) -> list[_Label]:
    """One label for every lit part on the stage, at the middle of what can be seen of it."""
    if stage.solid is None or not lit:
        return []
    part, centroid = stage.solid.part[:-1], stage.solid.centroid.astype(np.float64)
    facing = stage.solid.normal[:-1] @ stage.view.axes()[2] > 0.05
    labels = []
    for number, text in sorted(lit.items()):
        own = centroid[part == number]
        seen = own[stage.shows(own) & facing[part == number]]
        if len(own):
            middle = (seen if len(seen) else own).mean(axis=0)
            labels.append(_Label(middle, text, number, bool(len(seen))))
    return labels


def _share_labels(
    stages: Sequence[_Stage], lit: Mapping[int, str], markers: Sequence[Marker]
) -> list[list[_Label]]:
    """Labels by stage: lit parts wherever they are seen, a marker where it is seen first.

    What no stage shows is labelled on the first stage that holds it, as hidden.
    """
    found = [_lit_labels(stage, lit) for stage in stages]
    out = [[label for label in labels if label.seen] for labels in found]
    shown = {label.part for labels in out for label in labels}
    for k, labels in enumerate(found):
        lost = [label for label in labels if label.part not in shown]
        out[k] += lost
        shown |= {label.part for label in lost}
    points = np.array([place for place, _ in markers], np.float64).reshape(-1, 3)
    seen = np.array([stage.shows(points) for stage in stages])
    for n, (_, text) in enumerate(markers):
        first = int(seen[:, n].argmax())
        out[first].append(_Label(points[n], text, None, bool(seen[first, n])))
    return out


def _arrange(stage: _Stage, labels: Sequence[_Label], size: tuple[int, int]) -> _Panel:
    """Fit the bodies beside the column of labels, which stands where most of their points are."""
    right = stage.view.axes()[0]
    middle = float(aim(stage.bodies, stage.view, size).origin @ right)
    on_left = sum(math.copysign(1.0, label.point @ right - middle) for label in labels) < 0
    column = max([0.0, *(min(0.25 * size[0], _width(label.text)) for label in labels)])
    taken = column + 24.0 if labels else 0.0
    box = (
        _MARGIN + (taken if on_left else 0.0),
        _MARGIN,
        size[0] - _MARGIN - (0.0 if on_left else taken),
        size[1] - _MARGIN,
    )
    return _Panel(stage, aim(stage.bodies, stage.view, size, box), labels, column, on_left)


def _width(text: str, size: float = _SMALL) -> float:
    return font(4 * size).getlength(spell(text)) / 4


def _wrap(text: str, width: float, size: float = _SMALL) -> list[str]:
    """Lines no wider than `width` pixels, broken at blanks; a longer word stands alone."""
    lines: list[str] = []
    # A number stays with what follows it, most often its unit.
    for word in re.split(r"(?<!\d) +", spell(text).strip()):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and _width(longer, size) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines or [""]


def _spread(wanted: Floats, heights: Floats, low: float, high: float) -> Floats:
    """Tops near the wanted ones, in order, that do not overlap and stay within low and high."""
    tops = np.maximum(wanted, low)
    for k in range(1, len(tops)):
        tops[k] = max(tops[k], tops[k - 1] + heights[k - 1])
    limit = high
    for k in range(len(tops) - 1, -1, -1):
        tops[k] = min(tops[k], limit - heights[k])
        limit = tops[k]
    return tops


def _uncross(
    points: Sequence[tuple[float, float]], heights: Sequence[float], x: float, height: int
) -> tuple[list[int], Floats]:
    """Order of labels down a column at pixel x, and their tops, to keep leaders from crossing.

    Neighbours whose leaders cross change places, at most n^2 times: between labels of one height
    each change shortens the leaders, so that it ends by itself. If the labels do not fit the
    column they close up.
    """
    order = sorted(range(len(points)), key=lambda k: (points[k][1], points[k][0]))
    close = min(1.0, (height - 16.0) / sum(heights))

    def tops() -> Floats:
        tall = close * np.array([heights[k] for k in order])
        wanted = np.array([points[k][1] for k in order]) - 0.5 * tall
        return _spread(wanted, tall, 8.0, height - 8.0)

    for _ in range(len(order) ** 2):
        place = tops()
        ends = [(x, y + 0.5 * close * heights[k]) for k, y in zip(order, place, strict=True)]
        for n in range(len(order) - 1):
            if _cross(points[order[n]], ends[n], points[order[n + 1]], ends[n + 1]):
                order[n], order[n + 1] = order[n + 1], order[n]
                break
        else:
            break
    return order, tops()


def _cross(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> bool:
    """Whether segments ab and cd have an inner point in common."""

    def side(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _anchor(label: _Label, panel: _Panel, buffers: Buffers) -> tuple[float, float]:
    """Pixel a label points at: for a lit part, the cell of it nearest the middle of its cells."""
    if label.part is not None and label.seen and panel.stage.solid is not None:
        y, x = np.nonzero(panel.stage.solid.part[buffers.triangle] == label.part)
        if len(y):
            k = np.argmin((y - y.mean()) ** 2 + (x - x.mean()) ** 2)
            return (x[k] + 0.5) / FINE, (y[k] + 0.5) / FINE
    x, y = panel.camera.project(label.point)[0]
    return float(x), float(y)


def _write_labels(image: Image, panel: _Panel, buffers: Buffers) -> None:
    """Labels in their column, each led to its point: a full dot if seen, a ring if hidden.

    Labels of lit parts carry a bar in the tone of the part. A column holds about 25 lines
    before they begin to overlap.
    """
    line, left = 16, panel.on_left
    points = [_anchor(label, panel, buffers) for label in panel.labels]
    out = 1 if left else -1
    edge = _MARGIN + panel.column if left else panel.camera.size[0] - _MARGIN - panel.column
    every = [_wrap(label.text, panel.column + 1) for label in panel.labels]
    heights = [line * len(block) + 12.0 for block in every]
    order, tops = _uncross(points, heights, edge + 18 * out, panel.camera.size[1])
    blocks = [every[k] for k in order]
    leads, dots, holes, bars = [], [], [], []
    for k, block, top in zip(order, blocks, tops, strict=True):
        middle = round(float(top)) + 6 + line * len(block) // 2 + 0.5  # the middle of a row
        leads.append([(edge + 7 * out, middle), (edge + 18 * out, middle), points[k]])
        dots.append(points[k])
        if not panel.labels[k].seen:
            holes.append(_circle(*points[k], 2.0))
        if panel.labels[k].part is not None:
            half = 0.5 * line * len(block) - 1
            bars.append([(edge + 5 * out, middle - half), (edge + 5 * out, middle + half)])
        for n, row in enumerate(block):
            base = math.floor(middle) - line * len(block) // 2 + line * n + 12
            _write(image, edge, base, row, _SMALL, "rs" if left else "ls")
    _strokes(image, leads, PAPER, 3.0)
    _strokes(image, [_circle(*dot, 4.6) for dot in dots], PAPER, 1.0)
    _strokes(image, leads, INK, 1.0)
    _strokes(image, [_circle(*dot, 3.2) for dot in dots], INK, 1.0)
    _strokes(image, holes, PAPER, 1.0)
    _strokes(image, bars, LIT[1], 3.0)


def _draw(panel: _Panel) -> Image:
    image, buffers = _paint(panel.stage.solid, panel.stage.ghost, panel.camera)
    if panel.labels:
        _write_labels(image, panel, buffers)
    return image


def render(
    bodies: Sequence[Body],
    *,
    view: View,
    size: tuple[int, int] = (1200, 900),
    lit: Mapping[int, str] | None = None,
    markers: Sequence[Marker] = (),
) -> Image:
    """One view of the bodies on paper.

    `lit` gives part labels a tone and a leader with the reason; `markers` are points (mm) with a
    text. Raises ValueError if there is nothing to draw.
    """
    stage = _stage(bodies, view, lit or {})
    (labels,) = _share_labels([stage], lit or {}, markers)
    return _draw(_arrange(stage, labels, size))


# --- pages --------------------------------------------------------------------------------------


def scale_length(scale: float, most: float) -> float:
    """The longest of 1, 2, 5 x 10^k mm that takes at most `most` pixels at `scale` px per mm."""
    power = 10.0 ** math.floor(math.log10(most / scale))
    return next(n * power for n in (5.0, 2.0, 1.0) if n * power * scale <= most * (1 + 1e-9))


def _hours(hour: float) -> str:
    """An hour of the dial as it is read: 12 rather than 0."""
    return f"{(hour - 1e-9) % 12.0 + 1e-9:.4g} h"


def _scale_bar(image: Image, right: float, y: int, scale: float) -> None:
    """A bar, one half hollow, that ends at `right`, with its length in mm."""
    from PIL import ImageDraw

    length = scale_length(scale, 170.0)
    draw = ImageDraw.Draw(image)
    x1, x0 = round(right), round(right - length * scale)
    draw.rectangle((x0, y, x1 - 1, y + 5), fill=INK)
    draw.rectangle((round(0.5 * (x0 + x1)), y + 2, x1 - 3, y + 3), fill=PAPER)
    _write(image, 0.5 * (x0 + x1), y - 6, f"{length:g} mm", _SMALL, "ms")


def _dial(image: Image, camera: Camera, x: float, y: float) -> None:
    """A small dial lying on the bench at pixel x, y, its hand at 12 h (+y)."""
    flat = replace(camera, origin=np.zeros(3), centre=(x, y), scale=1.0)

    def at(hour: float, radius: float) -> tuple[float, float]:
        turn = math.radians(30.0 * hour)
        point = np.array([radius * math.sin(turn), radius * math.cos(turn), 0.0])
        px, py = flat.project(point)[0]
        return float(px), float(py)

    ring = [at(0.1 * k, 25.0) for k in range(121)]
    ticks = [[at(h, 25.0), at(h, 19.5 if h % 3 == 0 else 22.5)] for h in range(12)]
    _strokes(image, [ring[:-1], ring[-2:], *ticks, [at(0, 2.0), at(6, 12.0)]], INK, 1.0)
    _strokes(image, [[at(0, 22), at(9.3, 4.0), at(2.7, 4.0), at(0, 22)]], INK, 1.0)
    tip = np.array(at(0, 25.0))
    ahead = (tip - (x, y)) / np.linalg.norm(tip - (x, y))
    tx, ty = tip + ahead * (9.0 + 8.0 * abs(ahead[0]))
    _write(image, float(tx), float(ty), "12 h", 12, "mm")


def _page(
    panels: Sequence[_Panel], headings: Sequence[str], title: str, caption: Sequence[str],
    size: tuple[int, int],
) -> Image:  # fmt: skip
    """Panels side by side under the title, at one scale, with caption and scale bar below."""
    from PIL import Image as Images
    from PIL import ImageDraw

    scale = min(panel.camera.scale for panel in panels)
    page = Images.new("RGB", size, PAPER)
    width, height = size
    foot = height - _foot(caption)
    for k, (panel, heading) in enumerate(zip(panels, headings, strict=True)):
        camera = replace(panel.camera, scale=scale)
        image = _draw(replace(panel, camera=camera))
        x = round(_EDGE + k * (width - 2 * _EDGE) / len(panels))
        page.paste(image, (x, _HEAD))
        _dial(page, camera, x + 44, foot - 48)
        _write(page, x + camera.size[0] / 2, foot - 12, heading, _SMALL, "ms")
    fit = (width - 2 * _EDGE) / max(_width(title, 25), 1)
    _write(page, _EDGE, 40, title, 25 * min(1.0, fit))
    draw = ImageDraw.Draw(page)
    draw.line((_EDGE, 54, width - _EDGE, 54), fill=INK, width=1)
    draw.line((_EDGE, foot, width - _EDGE, foot), fill=RULE, width=1)
    for n, text in enumerate(caption):
        _write(page, _EDGE, foot + 24 + 19 * n, text, 14)
    _scale_bar(page, width - _EDGE, foot + 34, scale)
    return page


def _broken(caption: Sequence[str], width: int) -> list[str]:
    """Caption lines broken to leave room for the scale bar on a page `width` pixels wide."""
    return [row for line in caption for row in _wrap(line, width - 2 * _EDGE - 200, 14)]


def _foot(caption: Sequence[str]) -> int:
    """Height of the foot of a page, pixels."""
    return max(62, 28 + 19 * len(caption))


def _cell(size: tuple[int, int], caption: Sequence[str]) -> tuple[int, int]:
    """Size of each of two panels, pixels: between title and heading."""
    return (round(size[0] / 2) - _EDGE, size[1] - _HEAD - _foot(caption) - 28)


def _png(image: Image) -> bytes:
    out = BytesIO()
    image.save(out, "PNG", compress_level=6)
    return out.getvalue()


def holder_picture(
    bodies: Sequence[Body],
    *,
    title: str,
    caption: Sequence[str] = (),
    cut_hour: float | None = None,
    markers: Sequence[Marker] = (),
    lit: Mapping[int, str] | None = None,
    size: tuple[int, int] = (1200, 700),
) -> bytes:
    """PNG of a holder: from outside, and cut through the axis along `cut_hour`.

    Without `cut_hour` the second view is from above. Both views have one scale, shown by the
    bar. A marker is led to its point in the first view that shows it; if none does, to a ring
    instead of a dot. Lit parts are labelled in every view that shows them. Raises ValueError if
    there is nothing to draw or a mesh to be cut is not closed.
    """
    lit, caption = lit or {}, _broken(caption, size[0])
    outside = View()
    stages = [_stage(bodies, outside, lit)]
    headings = [f"outside, seen from {_hours(outside.hour)}"]
    if cut_hour is None:
        stages.append(_stage(bodies, View(6.0, math.pi / 2), lit))
        headings.append("from above")
    else:
        eye = cut_hour + 3.0
        halves = [half for body in bodies if (half := cut(body, cut_hour)) is not None]
        stages.append(_stage(halves, View(eye, math.radians(24.0)), lit, front=1e-3))
        ends = f"{_hours(cut_hour + 6.0)} to {_hours(cut_hour)}"
        headings.append(f"cut from {ends}, seen from {_hours(eye)}")
    shared = _share_labels(stages, lit, markers)
    panels = [
        _arrange(stage, labels, _cell(size, caption))
        for stage, labels in zip(stages, shared, strict=True)
    ]
    return _png(_page(panels, headings, title, caption, size))


def _field_key(
    page: Image, y: int, unit: str, limits: tuple[float, float], beyond: tuple[bool, bool],
    unmeasured: bool,
) -> None:  # fmt: skip
    """The scale of a field with numbers and unit; pointed ends say that values go beyond."""
    from PIL import Image as Images
    from PIL import ImageDraw

    x0, wide, tall = _EDGE + 14, 420, 13
    colours = field_colours((np.floor(np.arange(wide) * _STEPS / wide) + 0.5) / _STEPS)
    page.paste(Images.fromarray(np.broadcast_to(colours, (tall, wide, 3)).copy()), (x0, y))
    for end, edge, out in ((0, x0, -1), (1, x0 + wide, 1)):
        if beyond[end]:
            tip = [(edge, y), (edge + 11 * out, y + tall / 2), (edge, y + tall), (edge, y)]
            _strokes(page, [tip], _rgb(colours[-end]), 1.0)
    draw = ImageDraw.Draw(page)
    ticks = np.linspace(limits[0], limits[1], 5)
    places = max(0, 2 - math.floor(math.log10(max(abs(limits[1] - limits[0]), 1e-12))))
    for k, tick in enumerate(ticks):
        x = x0 + round(k * (wide - 1) / 4)
        draw.line((x, y + tall, x, y + tall + 4), fill=INK)
        _write(page, x, y + tall + 18, f"{tick:.{places}f}", _SMALL, "ms")
    _write(page, x0 + wide + 22, y + 11, unit, 14)
    if unmeasured:
        x = x0 + wide + 110
        row, column = np.indices((tall, 22))
        swatch = np.tile(np.array(UNMEASURED[1], np.uint8), (tall * 22, 1))
        swatch = _mix(swatch, INK, 0.45 * _stripe((row + column).ravel())).reshape(tall, 22, 3)
        page.paste(Images.fromarray(swatch), (x, y))
        draw.rectangle((x, y, x + 21, y + tall - 1), outline=INK)
        _write(page, x + 28, y + 11, "not measured", _SMALL)


def _rgb(row: Bytes) -> Colour:
    return int(row[0]), int(row[1]), int(row[2])


def field_picture(
    body: Body,
    value_per_triangle: Floats,
    unit: str,
    limits: tuple[float, float],
    title: str,
    size: tuple[int, int] = (1200, 700),
) -> bytes:
    """PNG of a body from above and from below, painted with a value (T,) for each triangle.

    The scale runs evenly in lightness from the first to the second of `limits`; its ends are
    pointed where values go beyond. NaN is painted as not measured. The least and the greatest
    value are pointed at. Raises ValueError for a wrong number of values or empty limits.
    """
    values = np.asarray(value_per_triangle, np.float64)
    low, high = limits
    if values.shape != (len(body.triangles),):
        raise ValueError(f"{values.shape} values for {len(body.triangles)} triangles")
    if not low < high:
        raise ValueError(f"limits {low} to {high} are empty")
    known = np.isfinite(values)
    step = np.floor((np.where(known, values, low) - low) / (high - low) * _STEPS)
    tone = np.where(known, _FIELD + np.clip(step, 0, _STEPS - 1), _UNMEASURED).astype(np.int32)
    scene = build_scene([body], tone)
    views = (View(), View(elevation=-View().elevation))
    stages = [_Stage([body], view, scene, None) for view in views]
    markers = []
    for word, pick in (("least", np.nanargmin), ("greatest", np.nanargmax)):
        if known.any():
            k = int(pick(np.where(known, values, np.nan)))
            place = body.vertices[body.triangles[k]].mean(axis=0)
            markers.append((place, f"{word} {values[k]:.3g} {unit}"))
    shared = _share_labels(stages, {}, markers)
    panels = [
        _arrange(stage, labels, _cell(size, ()))
        for stage, labels in zip(stages, shared, strict=True)
    ]
    eye = _hours(views[0].hour)
    page = _page(panels, [f"above, seen from {eye}", f"below, seen from {eye}"], title, (), size)
    beyond = (bool((values < low).any()), bool((values > high).any()))
    _field_key(page, size[1] - _foot(()) + 16, unit, limits, beyond, not known.all())
    return _png(page)
