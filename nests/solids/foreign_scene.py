"""OBJ, PLY, OFF and GLB of any hand, read by trimesh behind our bounds on size.

STL and 3MF are read by our own readers, which are stricter: trimesh takes a text STL that is
cut off as an empty one, and a 3MF whose extensions it does not know as the box that stands in for
the shape. The formats here have no unit but GLB, whose lengths are metres and whose y looks up
(Khronos Group, glTF 2.0 specification, 3.4); it is turned so that z does.
"""

from __future__ import annotations

import io
import struct
from pathlib import Path
from typing import Any

import numpy as np

from nests.solids.foreign_stl import Body, refuse_many
from nests.units import BadInput

LARGEST_SCENE = 200_000_000
"""Bytes of a file: as text, a million triangles take 60 to 100 million."""
MOST_BODIES = 1000
METRE = 1000.0
Y_UP = np.array(((1.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0)))
"""Rotation (3, 3) of corners, as columns, that lets y look up."""
WORDS = {".obj": "OBJ", ".ply": "PLY", ".off": "OFF", ".glb": "GLB"}

RAISED = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    LookupError,
    NameError,
    NotImplementedError,
    RecursionError,
    TypeError,
    ValueError,
    struct.error,
)
"""What trimesh raises for broken files: its parsers let out whatever they meet. Found by some
thousand mutated files of each format; of their kin, as they are caught too."""


def scene_bodies(path: Path) -> tuple[list[Body], float]:
    """The bodies that a file places, and the mm of its unit: those of a metre for GLB, else 1.

    Raises `BadInput` describing the fault.
    """
    kind = path.suffix.lower()
    if path.stat().st_size > LARGEST_SCENE:
        raise BadInput(
            f"{path.name} has {path.stat().st_size} bytes; at most {LARGEST_SCENE} are read of an "
            f"{WORDS[kind]}."
        )
    meshes = _meshes(path.read_bytes(), kind, path.name)
    if not meshes:
        raise BadInput(f"{path.name} holds no triangle.")
    if len(meshes) > MOST_BODIES:
        raise BadInput(f"{path.name} has {len(meshes)} bodies; at most {MOST_BODIES} are read.")
    refuse_many(sum(len(each.faces) for each in meshes), path.name)
    out = []
    for each in meshes:
        corners = np.asarray(each.vertices, dtype=np.float64)
        if kind == ".glb":
            corners = corners @ Y_UP.T
        out.append((np.ascontiguousarray(corners), np.asarray(each.faces, dtype=np.int64)))
    return out, METRE if kind == ".glb" else 1.0


def _meshes(data: bytes, kind: str, name: str) -> list[Any]:
    """Triangle meshes of a file, placed as it places them."""
    import trimesh

    try:
        scene = trimesh.load_scene(
            io.BytesIO(data), file_type=kind[1:], process=False, skip_materials=True
        )
        found = scene.dump()
    except ImportError:  # of a library that guesses at alphabets, which is not asked
        raise BadInput(f"{name} is no {WORDS[kind]} that can be read: it is not UTF-8.") from None
    except RAISED as error:
        raise BadInput(f"{name} is no {WORDS[kind]} that can be read: {_said(error)}.") from None
    return [each for each in found if isinstance(each, trimesh.Trimesh) and len(each.faces)]


def _said(error: Exception) -> str:
    """The first line of an error in a few words."""
    words = " ".join(str(error).split()) or type(error).__name__
    return words[:120].rstrip(".")
