"""OBJ, PLY, OFF and GLB are judged as the same body in STL is; the writer is trimesh's."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

import nests
from nests.solids.foreign import read_mesh
from nests.solids.foreign_scene import MOST_BODIES, Y_UP
from nests.units import BadInput

KINDS = ("obj", "ply", "off", "glb")


def written(mesh: Any, folder: Path, kind: str, name: str = "body") -> Path:
    """A mesh drawn in mm with z up, as a program that keeps to the format writes it."""
    mesh = mesh.copy()
    if kind == "glb":
        mesh.vertices = mesh.vertices @ Y_UP / 1000.0
    path = folder / f"{name}.{kind}"
    content = mesh.export(file_type=kind)
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def ring() -> Any:
    return trimesh.creation.annulus(9.0, 15.0, 6.0, sections=64)


@pytest.mark.parametrize("kind", KINDS)
def test_volume_and_box_are_those_of_the_body(tmp_path: Path, kind: str) -> None:
    solid = read_mesh(written(ring(), tmp_path, kind))
    assert solid.volume() == pytest.approx(ring().volume, rel=1e-5)
    box = np.array(solid.bounding_box()).reshape(2, 3)
    assert np.allclose(box, ring().bounds, atol=1e-4)


def test_findings_are_those_of_the_same_body_in_stl(tmp_path: Path) -> None:
    stl = tmp_path / "body.stl"
    ring().export(stl)
    wanted = {(f.check, f.grade) for f in nests.check(stl)}
    for kind in KINDS:
        found = {(f.check, f.grade) for f in nests.check(written(ring(), tmp_path, kind))}
        assert found == wanted, kind


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_broken_is_one_sentence(tmp_path: Path, kind: str) -> None:
    whole = written(ring(), tmp_path, kind)
    data = whole.read_bytes()
    opened = ring()
    opened.update_faces(np.arange(len(opened.faces)) != 7)
    cases = {
        "cut": data[: len(data) // 3],
        "noise": bytes(np.random.default_rng(7).integers(0, 256, 4000, dtype=np.uint8)),
        "empty": b"",
        "word": b"hello",
        "open": written(opened, tmp_path, kind, "opened").read_bytes(),
    }
    for name, content in cases.items():
        path = tmp_path / f"{name}.{kind}"
        path.write_bytes(content)
        with pytest.raises(BadInput) as caught:
            read_mesh(path)
        assert str(caught.value).startswith(path.name), (name, str(caught.value))
        assert "\n" not in str(caught.value)


def test_bodies_that_a_glb_places_are_made_one(tmp_path: Path) -> None:
    scene = trimesh.Scene()
    cube = trimesh.creation.box((0.01, 0.01, 0.01))
    for k in range(3):
        scene.add_geometry(
            cube, transform=trimesh.transformations.translation_matrix((0.02 * k, 0, 0))
        )
    path = tmp_path / "three.glb"
    path.write_bytes(scene.export(file_type="glb"))
    assert read_mesh(path).volume() == pytest.approx(3000.0, rel=1e-5)
    assert MOST_BODIES == 1000


def test_a_glb_in_millimetres_is_asked_about(tmp_path: Path) -> None:
    path = tmp_path / "mm.glb"
    path.write_bytes(ring().export(file_type="glb"))
    with pytest.raises(BadInput, match="a holder is 5 to 500 mm; it would be 30 mm"):
        read_mesh(path)


def test_trimesh_takes_stl_that_ours_refuses(tmp_path: Path) -> None:
    """The reason why STL is read by our own reader."""
    text = trimesh.creation.box((20.0, 20.0, 20.0)).export(file_type="stl_ascii")
    path = tmp_path / "cut.stl"
    path.write_text(text[: len(text) // 2], "utf-8")
    assert len(trimesh.load_mesh(path, process=False).faces) == 0
    with pytest.raises(BadInput, match="it is cut off"):
        read_mesh(path)
