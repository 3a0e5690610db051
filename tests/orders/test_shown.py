"""What goes to a screen, read back: it is the solid that is judged, with the names of its parts."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
import trimesh
from manifold3d import CrossSection
from numpy.typing import NDArray

from nests.documents.files import data_folder
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.orders import shown
from nests.orders.trying import Trial, tried
from nests.solids.solid import pillar, triangles

SHEETS = data_folder("gallery") / "sheets"


@pytest.fixture(scope="module")
def trial() -> Trial:
    sheet = read(SHEETS / "inv-26-a.json", Sheet)
    return tried("hand-setting", {}, sheet=sheet, operation="hand-setting")


def read_back(content: bytes) -> tuple[dict[str, Any], list[NDArray[Any]]]:
    """The head, and points, faces, names of faces, edges, names of edges."""
    long = int.from_bytes(content[:4], "little")
    head = json.loads(content[4 : 4 + long])
    at, out = 4 + long, []
    counts = [(head["points"], 3), (head["faces"], 3), (head["faces"], 1), (head["edges"], 2),
              (head["edges"], 1)]  # fmt: skip
    for k, (count, each) in enumerate(counts):
        kind = "<f4" if k == 0 else "<u4"
        out.append(np.frombuffer(content, kind, count * each, at).reshape(count, each))
        at += 4 * count * each
    assert at == len(content)
    return head, out


def test_the_holder_is_the_solid_and_each_face_has_the_part_that_made_it(trial: Trial) -> None:
    holder = trial.holder
    head, (points, faces, names, _, _) = read_back(shown.holder_scene(holder))
    assert np.array_equal(faces, holder.mesh.faces)
    assert np.allclose(points, holder.mesh.vertices, atol=2e-6)
    assert np.allclose(head["low"], holder.mesh.vertices.min(axis=0))
    assert np.allclose(head["high"], holder.mesh.vertices.max(axis=0))
    assert head["names"] == [each.label for each in holder.laid]
    told = [head["names"][k] for k in names[:, 0]]
    assert told == [holder.part_of(face) for face in range(len(faces))]
    assert head["firm"] == len(faces)
    assert head["firm_edges"] == head["edges"]


def test_edges_are_those_at_which_the_surface_is_bent(trial: Trial) -> None:
    """Against the angles between neighbouring faces by trimesh."""
    holder = trial.holder
    head, (_, _, names, edges, owners) = read_back(shown.holder_scene(holder))
    mesh = trimesh.Trimesh(holder.mesh.vertices, holder.mesh.faces, process=False)
    angles, limit = mesh.face_adjacency_angles, np.arccos(shown.CREASE)
    sure = np.abs(angles - limit) > 1e-3
    wide = mesh.area_faces[mesh.face_adjacency].min(axis=1) > 1e-9  # slivers have no direction
    there = {tuple(sorted(each)) for each in edges.tolist()}
    adjacent = np.sort(mesh.face_adjacency_edges, axis=1)
    for edge, angle, is_sure in zip(adjacent.tolist(), angles, sure & wide, strict=True):
        assert not is_sure or (tuple(edge) in there) == (angle > limit)
    assert len(there) == head["edges"] == len(edges)
    made = {tuple(e): {int(names[f, 0]) for f in pair}
            for e, pair in zip(adjacent.tolist(), mesh.face_adjacency, strict=True)}  # fmt: skip
    assert all(int(o) in made[tuple(sorted(e))]
               for e, o in zip(edges.tolist(), owners[:, 0], strict=True))  # fmt: skip


def test_what_lies_in_it_comes_with_the_workpiece_last(trial: Trial) -> None:
    laid = shown.pieces(trial.holder)
    head, (points, faces, names, edges, owners) = read_back(shown.pieces_scene(laid))
    assert head["kinds"] == [each.kind for each in laid]
    ghost = [each.kind == "workpiece" for each in laid]
    assert {False, True} == set(ghost)
    assert head["firm"] == sum(len(triangles(e.solid).faces) for e in laid if e.kind != "workpiece")
    assert not any(ghost[k] for k in names[: head["firm"], 0])
    assert all(ghost[k] for k in names[head["firm"] :, 0])
    assert not any(ghost[k] for k in owners[: head["firm_edges"], 0])
    assert all(ghost[k] for k in owners[head["firm_edges"] :, 0])
    for number, each in enumerate(laid):
        own = faces[names[:, 0] == number]
        mesh = trimesh.Trimesh(points.astype(float), own, process=False)
        assert mesh.volume == pytest.approx(each.solid.volume(), rel=1e-4, abs=1e-5)
    assert edges.max() < len(points)


def test_pillars_of_other_plans_and_heights_are_others() -> None:
    """Each is what the kernel extrudes, whatever was asked before."""
    square, triangle = [(0, 0), (2, 0), (2, 2), (0, 2)], [(0, 0), (3, 0), (0, 3)]
    plans = [CrossSection([square]), CrossSection([triangle]), CrossSection([square])]
    for low, high in ((0.0, 1.0), (0.5, 1.5), (0.0, 2.0)):
        for plan in plans:
            made = pillar(plan, low, high)
            assert made.volume() == pytest.approx(plan.area() * (high - low))
            assert made.bounding_box()[2::3] == (low, high)


def test_shadows_follow_the_part_that_is_changed(trial: Trial) -> None:
    """Against the areas that the kernel projects."""
    for each in (trial, tried("round", {}, sheet=trial.recipe.workpiece, operation="train-work")):
        for _ in range(2):
            found = shown.shadows(each.holder)
            for laid in each.holder.laid:
                solids = [s for s in (laid.shape.adds, laid.shape.cuts) if s is not None]
                wanted = sum(float(s.project().simplify(0.03).area()) for s in solids)
                assert sum(map(signed, found[laid.label])) == pytest.approx(wanted, abs=1e-6)


def signed(loop: list[tuple[float, float]]) -> float:
    """The area in a loop, mm²; a hole is negative."""
    x, y = np.asarray(loop, dtype=float).T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2.0
