"""OBJ, PLY, OFF and GLB broken at random: read, or refused with one sentence, and nothing else."""

import json
import struct
import warnings

import numpy as np
import pytest
import trimesh

from nests.solids.foreign import read_mesh
from nests.units import BadInput

WORDS = (b"-", b"1e400", b"nan", b"99999999999", b"\n", b" ", b"/", b"{", b"[", b"null", b"-7")


def seeds(kind):
    body = trimesh.creation.box((20.0, 10.0, 5.0))
    if kind == "ply":
        return [body.export(file_type="ply", encoding=e) for e in ("binary", "ascii")]
    if kind == "obj":
        plain = body.export(file_type="obj").encode()
        return [plain, b"mtllib a.mtl\no one\nusemtl x\n" + plain]
    if kind == "off":
        return [body.export(file_type="off").encode()]
    two = trimesh.Scene([body.copy().apply_scale(1e-3)])
    aside = trimesh.transformations.translation_matrix((0.04, 0.0, 0.0))
    two.add_geometry(body.copy().apply_scale(1e-3), transform=aside)
    return [two.export(file_type="glb")]


def mutated(data, random):
    """One to five faults of one sort: bytes changed, lost, put in, doubled, cut off, shuffled."""
    out, sort = bytearray(data), int(random.integers(0, 8))
    for _ in range(int(random.integers(1, 6))):
        near = min(len(out), 400) if random.random() < 0.5 else len(out)
        at = int(random.integers(0, max(near, 1)))
        if sort == 0 and out:
            out[at] = int(random.integers(0, 256))
        elif sort == 1:
            del out[at : at + int(random.integers(1, 30))]
        elif sort == 2:
            out[at:at] = bytes(random.integers(0, 256, 8, dtype=np.uint8))
        elif sort == 3:
            out[at:at] = out[at : at + 40]
        elif sort == 4:
            del out[max(at, 20) :]
        elif sort == 5:
            out[at : at + 1] = WORDS[int(random.integers(0, len(WORDS)))]
        elif sort == 6:
            digits = [k for k, c in enumerate(out) if 48 <= c <= 57]
            if digits:
                out[digits[int(random.integers(0, len(digits)))]] = int(random.integers(48, 58))
        else:
            lines = bytes(out).split(b"\n")
            out = bytearray(b"\n".join(lines[k] for k in random.permutation(len(lines))))
    return bytes(out)


def sentence(path):
    """With what a file is refused, or nothing if it is read."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            read_mesh(path)
    except BadInput as refused:
        return str(refused)
    return ""


@pytest.mark.parametrize("kind", ["obj", "ply", "off", "glb"])
def test_mutated_files_end_in_a_solid_or_a_sentence(tmp_path, kind):
    random, path = np.random.default_rng(11), tmp_path / f"given.{kind}"
    said, whole = [], seeds(kind)
    for number in range(300):
        path.write_bytes(mutated(whole[number % len(whole)], random))
        said.append(sentence(path))
    refused = [each for each in said if each]
    assert len(refused) > 100
    assert all(each.startswith(path.name) and "\n" not in each for each in refused)


def test_a_glb_whose_nodes_hold_one_another(tmp_path):
    """Two nodes, each the child of the other: read or refused, but not followed for ever."""
    data = seeds("glb")[0]
    length = struct.unpack("<I", data[12:16])[0]
    scene = json.loads(data[20 : 20 + length])
    scene["nodes"][0]["children"], scene["nodes"][1]["children"] = [1], [0]
    text = json.dumps(scene).encode()
    text += b" " * (-len(text) % 4)
    rest = data[20 + length :]
    head = struct.pack("<4sII", b"glTF", 2, 20 + len(text) + len(rest))
    path = tmp_path / "given.glb"
    path.write_bytes(head + struct.pack("<II", len(text), 0x4E4F534A) + text + rest)
    said = sentence(path)
    assert not said or said.startswith(path.name)
