"""`nests check` of meshes drawn elsewhere: each fault in one sentence, in bounded memory and time.

The faulty meshes are made with trimesh, and lib3mf's own writer, not with the code under test.
"""

from __future__ import annotations

import io
import re
import struct
import subprocess
import sys
import zipfile
import zlib
from pathlib import Path
from typing import NamedTuple

import lib3mf
import numpy as np
import pytest
import trimesh

from nests.faces.cli import main
from nests.solids.foreign import LARGEST_FILE, read_mesh
from nests.solids.foreign_3mf import LARGEST_INSIDE
from nests.solids.foreign_stl import LARGEST_COUNT
from nests.units import BadInput

MEMORY = 2_000_000_000
SIZES = (30.0, 20.0, 5.0)
VOLUME = 3000.0


def box(sizes=SIZES, at=(0.0, 0.0, 0.0)):
    return trimesh.creation.box(sizes, trimesh.transformations.translation_matrix(at))


def binary(mesh, header=b""):
    rows = np.zeros(len(mesh.faces), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    rows["v"] = mesh.vertices[mesh.faces]
    return header.ljust(80, b" ") + struct.pack("<I", len(rows)) + rows.tobytes()


def text(mesh):
    return mesh.export(file_type="stl_ascii").encode()


def soup(vertices, faces):
    return trimesh.Trimesh(np.asarray(vertices, float), np.asarray(faces), process=False)


def together(*meshes):
    return trimesh.util.concatenate(list(meshes))


def opened():
    mesh = box()
    return soup(mesh.vertices, mesh.faces[1:])


def turned_out(mesh):
    return soup(mesh.vertices, mesh.faces[:, ::-1])


def one_turned():
    faces = box().faces.copy()
    faces[3] = faces[3][::-1]
    return soup(box().vertices, faces)


def not_a_number():
    mesh = box()
    vertices = np.array(mesh.vertices)
    vertices[2, 1] = np.nan
    return soup(vertices, mesh.faces)


SQUARE = [[0, 1, 2], [0, 2, 3]]
BOTH_SIDES = SQUARE + [face[::-1] for face in SQUARE]


def sheet():
    """A square of 20 mm in a slanting plane, front and back, nothing between."""
    return soup([[0, 0, 0], [20, 0, 20], [20, 20, 20], [0, 20, 0]], BOTH_SIDES)


def fin():
    """A box with an upright sheet on it that has no thickness."""
    return together(box(), soup([[-5, 0, 2.5], [5, 0, 2.5], [5, 0, 9], [-5, 0, 9]], BOTH_SIDES))


def knotted():
    """One connected skin that runs through itself: a bar whose end is bent into its middle."""
    path = np.array([[0, 0, 0], [20, 0, 0], [20, 15, 0], [8, 15, 0], [8, -10, 0.7]], float)
    square = np.array([[-2, -2], [2, -2], [2, 2], [-2, 2]], float)
    along = np.gradient(path, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    side = np.cross([0.0, 0.0, 1.0], along)
    up = np.array([0.0, 0.0, 1.0])
    rings = path[:, None] + square[None, :, :1] * side[:, None] + square[None, :, 1:] * up
    mesh = soup(rings.reshape(-1, 3), _tube(len(path)))
    return mesh if mesh.volume > 0 else turned_out(mesh)


def _tube(count):
    faces = [[0, 2, 1], [0, 3, 2]]
    for ring in range(count - 1):
        for k in range(4):
            a, b = 4 * ring + k, 4 * ring + (k + 1) % 4
            faces += [[a, b, b + 4], [a, b + 4, a + 4]]
    last = 4 * (count - 1)
    return faces + [[last, last + 1, last + 2], [last, last + 2, last + 3]]


def overlapping():
    return together(box(), box(at=(11.0, 7.0, 1.0)))


def in_one_plane():
    return together(box(), box(at=(10.0, 0.0, 0.0)))


def body_in_body():
    return together(box(), box((4.0, 4.0, 2.0)))


def turned_apart():
    return together(box(), turned_out(box((4.0, 4.0, 2.0), at=(40.0, 0.0, 0.0))))


def scaled(factor):
    mesh = box()
    mesh.apply_scale(factor)
    return mesh


FAULTS = {
    "open": (opened, r"is not closed: 3 edges"),
    "inside out": (lambda: turned_out(box()), r"is inside out: its volume is -3e\+03 mm³"),
    "one face turned": (one_turned, r"is not closed: 3 edges .* of one turn"),
    "not a number": (not_a_number, r"a corner that is not a finite number"),
    "sheet": (sheet, r"without thickness"),
    "fin": (fin, r"2 triangles that lie on another: a wall without thickness"),
    "twice": (lambda: together(box(), box()), r"12 triangles .* or a body given twice"),
    "knotted": (knotted, r"crosses itself, first at \("),
    "overlapping": (overlapping, r"crosses itself, first at \("),
    "overlapping in one plane": (in_one_plane, r"overlaps itself or is inside out in part"),
    "body in body": (body_in_body, r"overlaps itself or is inside out in part"),
    "shell turned apart": (turned_apart, r"inside out"),
    "10 µm": (lambda: scaled(1 / 3000), r"is 0\.01 mm across.* 10 mm if .* in metres"),
    "10 m": (lambda: scaled(1000 / 3), r"is 1e\+04 mm across.* 10 mm if .* in micrometres"),
    "inches": (lambda: scaled(1 / 25.4), r"is 1\.181 mm across.* 30 mm if .* in inches"),
    "metres": (lambda: scaled(1e-3), r"is 0\.03 mm across.* 30 mm if .* in metres"),
    "centimetres": (lambda: scaled(0.1), r"is 3 mm across.* 30 mm if .* in centimetres"),
}


def refused(capsys, path):
    """The one sentence with which a file is refused by the command line."""
    with pytest.raises(SystemExit) as left:
        main(["check", str(path)])
    said = capsys.readouterr()
    assert left.value.code == 2
    assert said.out == ""
    assert said.err.startswith(f"nests: {path.name} ")
    assert said.err.count("\n") == 1
    assert said.err.endswith(".\n")
    return said.err


@pytest.mark.parametrize("form", [binary, text])
@pytest.mark.parametrize("fault", FAULTS)
def test_fault_is_described(capsys, tmp_path, fault, form):
    make, sentence = FAULTS[fault]
    path = tmp_path / "given.stl"
    path.write_bytes(form(make()))
    assert re.search(sentence, refused(capsys, path))


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("empty.stl", b"", "is empty"),
        ("empty.3mf", b"", "is empty"),
        ("none.stl", bytes(84), "holds no triangle"),
        ("none_text.stl", b"solid x\nendsolid x\n", "holds no triangle"),
        ("short.stl", b"abc", "has only 3 bytes"),
        ("cut.stl", binary(box())[:-70], "announces 12 triangles and has bytes for 10.6"),
        ("cut_named.stl", binary(box(), b"solid part")[:-70], "announces 12 triangles"),
        ("more.stl", binary(box()) + bytes(100), "announces 12 triangles .* for 14.0"),
        ("cut_text.stl", text(box())[:900], "text STL without its end"),
        (
            "lost_line.stl",
            re.sub(rb"\n\s*vertex[^\n]*", b"", text(box()), count=1),
            "with 35 corners, no multiple of three",
        ),
        (
            "word.stl",
            re.sub(rb"vertex \S+", b"vertex abc", text(box()), count=1),
            "a corner that is no three numbers",
        ),
        ("no_zip.3mf", b"PK" + bytes(100), "is no 3MF package"),
    ],
)
def test_unreadable_file_is_described(capsys, tmp_path, name, data, sentence):
    path = tmp_path / name
    path.write_bytes(data)
    assert re.search(sentence, refused(capsys, path))


@pytest.mark.parametrize("form", [binary, text, lambda mesh: binary(mesh, b"solid facet")])
def test_valid_stl_is_read(tmp_path, form):
    path = tmp_path / "given.stl"
    path.write_bytes(form(box()))
    assert read_mesh(path).volume() == pytest.approx(VOLUME, rel=1e-6)


def test_cavity_and_island_in_it_are_no_fault(tmp_path):
    mesh = together(box(), turned_out(box((10.0, 10.0, 3.0))), box((2.0, 2.0, 1.0)))
    path = tmp_path / "given.stl"
    path.write_bytes(binary(mesh))
    assert read_mesh(path).volume() == pytest.approx(VOLUME - 300.0 + 4.0, rel=1e-6)


# --- 3MF --------------------------------------------------------------------------------------


def matrix(rows):
    """A lib3mf transform from (4, 3): row vectors, the shift last."""
    transform = lib3mf.Transform()
    for i in range(4):
        for j in range(3):
            transform.Fields[i][j] = rows[i][j]
    return transform


def shifted(x, y, z, scale=(1, 1, 1)):
    return np.vstack([np.diag(scale), (x, y, z)]).astype(float)


class Package:
    """A 3MF under construction."""

    def __init__(self, unit=None):
        self.model = lib3mf.get_wrapper().CreateModel()
        self.model.SetUnit(lib3mf.ModelUnit.MilliMeter if unit is None else unit)

    def mesh(self, mesh):
        made = self.model.AddMeshObject()
        made.SetGeometry(
            [lib3mf.Position((lib3mf.ctypes.c_float * 3)(*v)) for v in mesh.vertices.tolist()],
            [lib3mf.Triangle((lib3mf.ctypes.c_uint32 * 3)(*f)) for f in mesh.faces.tolist()],
        )
        return made

    def group(self, *parts):
        made = self.model.AddComponentsObject()
        for each, rows in parts:
            made.AddComponent(each, matrix(rows))
        return made

    def place(self, thing, rows=None):
        self.model.AddBuildItem(thing, matrix(shifted(0, 0, 0) if rows is None else rows))
        return self

    def data(self):
        return bytes(self.model.QueryWriter("3mf").WriteToBuffer())

    def write(self, path):
        path.write_bytes(self.data())
        return path


def test_assembly_of_components_is_judged_as_one(tmp_path):
    """Two overlapping components, the group itself in a group: volume by hand."""
    package = Package()
    brick = package.mesh(box())
    pair = package.group((brick, shifted(0, 0, 0)), (brick, shifted(10, 0, 0)))
    package.place(package.group((pair, shifted(0, 0, 7, (1, 1, 2)))))
    solid = read_mesh(package.write(tmp_path / "given.3mf"))
    assert solid.volume() == pytest.approx(40.0 * 20.0 * 10.0, rel=1e-6)
    assert np.allclose(solid.bounding_box(), (-15, -10, 2, 25, 10, 12), atol=1e-5)


def test_mirrored_transform_keeps_the_inside_inside(tmp_path):
    package = Package()
    wedge = trimesh.convex.convex_hull([[0, 0, 0], [20, 0, 0], [0, 10, 0], [0, 0, 6]])
    package.place(package.mesh(wedge), shifted(0, 0, 0, (-1, 1, 1)))
    solid = read_mesh(package.write(tmp_path / "given.3mf"))
    assert solid.volume() == pytest.approx(20 * 10 * 6 / 6, rel=1e-6)
    assert np.allclose(solid.bounding_box(), (-20, 0, 0, 0, 10, 6), atol=1e-5)


def test_overlapping_objects_are_united(tmp_path):
    package = Package()
    brick = package.mesh(box())
    package.place(brick).place(brick, shifted(11, 7, 1))
    solid = read_mesh(package.write(tmp_path / "given.3mf"))
    assert solid.volume() == pytest.approx(2 * VOLUME - 19 * 13 * 4, rel=1e-6)


def test_unit_of_a_3mf_is_obeyed(tmp_path):
    package = Package(lib3mf.ModelUnit.Inch)
    package.place(package.mesh(box((1.0, 0.5, 0.25))))
    solid = read_mesh(package.write(tmp_path / "given.3mf"))
    assert solid.volume() == pytest.approx(25.4**3 / 8, rel=1e-6)


def test_components_that_multiply_are_stopped(capsys, tmp_path):
    """Each of 20 groups holds the one before twice: a million boxes from a few lines."""
    package = Package()
    thing = package.mesh(box())
    for _ in range(20):
        thing = package.group((thing, shifted(0, 0, 0)), (thing, shifted(1, 0, 0)))
    path = package.place(thing).write(tmp_path / "given.3mf")
    assert "places more than 1000 objects" in refused(capsys, path)


def test_flattening_transform_and_empty_build(capsys, tmp_path):
    package = Package()
    brick = package.mesh(box())
    assert "places no object" in refused(capsys, package.write(tmp_path / "a.3mf"))
    package.place(brick, shifted(0, 0, 0, (1, 1, 0)))
    assert "flattens" in refused(capsys, package.write(tmp_path / "b.3mf"))


def test_faulty_mesh_in_a_3mf_is_described(capsys, tmp_path):
    package = Package()
    package.place(package.mesh(turned_out(box())))
    assert "is inside out" in refused(capsys, package.write(tmp_path / "given.3mf"))


def test_package_without_a_model_and_model_with_entities(capsys, tmp_path):
    path = tmp_path / "given.3mf"
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("note.txt", "nothing here")
    assert "no readable 3MF model" in refused(capsys, path)
    good = Package()
    good.place(good.mesh(box()))
    entities = "".join(f'<!ENTITY e{k} "{f"&e{k - 1};" * 10 if k else "lol"}">' for k in range(12))
    with (
        zipfile.ZipFile(io.BytesIO(good.data())) as given,
        zipfile.ZipFile(path, "w") as package,
    ):
        for name in given.namelist():
            data = given.read(name)
            if name.endswith(".model"):
                data = data.replace(
                    b"<model", f"<!DOCTYPE model [{entities}]><model".encode(), 1
                ).replace(b"<resources>", b"<resources>&e11;", 1)
            package.writestr(name, data)
    assert "no readable 3MF model" in refused(capsys, path)


class Ran(NamedTuple):
    """What a run in its own process said, and the memory it took in bytes."""

    code: int
    out: str
    err: str
    memory: int


def alone(path: Path, seconds: float) -> Ran:
    """`nests check` in its own process, killed after `seconds`.

    Memory is the high-water mark of the new image; `ru_maxrss` would count the parent's too.
    """
    script = (
        "import re, sys\n"
        "from pathlib import Path\n"
        "from nests.faces.cli import main\n"
        "try:\n    main(['check', sys.argv[1]])\n"
        "finally:\n"
        "    status = Path('/proc/self/status').read_text()\n"
        "    print(*re.findall(r'VmHWM:\\s+(\\d+)', status))\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script, str(path)],
        capture_output=True, text=True, timeout=seconds, check=False,
        cwd=Path(__file__).resolve().parents[2],
    )  # fmt: skip
    assert "Traceback" not in ran.stderr
    return Ran(ran.returncode, ran.stdout, ran.stderr, int(ran.stdout.splitlines()[-1]) * 1024)


def zeros(path: Path, count: int) -> Path:
    """A deflated package with one model of `count` zeros, written piece by piece."""
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package,
        package.open("3D/3dmodel.model", "w", force_zip64=False) as out,
    ):
        for _ in range(count // 1_000_000):
            out.write(bytes(1_000_000))
    return path


def test_zip_bomb_is_stopped(tmp_path):
    path = zeros(tmp_path / "bomb.3mf", LARGEST_INSIDE + 1_000_000)
    assert path.stat().st_size < 1_000_000
    ran = alone(path, 60.0)
    assert ran.code == 2
    assert ran.err == (
        f"nests: bomb.3mf unpacks to more than {LARGEST_INSIDE} bytes; no more are read.\n"
    )
    assert ran.memory < MEMORY / 4


@pytest.mark.parametrize("checksum", ["kept", "forged"])
def test_zip_that_lies_about_its_size_is_stopped(tmp_path, checksum):
    """Both headers say 1000 bytes; more zeros than are read lie behind them."""
    path = zeros(tmp_path / "lie.3mf", LARGEST_INSIDE + 1_000_000)
    data = bytearray(path.read_bytes())
    directory = data.index(b"PK\x01\x02")
    crc = struct.pack("<I", zlib.crc32(bytes(1000)))
    for at, crc_at in ((directory + 24, directory + 16), (22, 14)):
        data[at : at + 4] = struct.pack("<I", 1000)
        if checksum == "forged":
            data[crc_at : crc_at + 4] = crc
    path.write_bytes(data)
    with zipfile.ZipFile(path) as package:
        assert package.infolist()[0].file_size == 1000
    ran = alone(path, 60.0)
    assert ran.code == 2
    assert ran.err.count("\n") == 1
    assert ("damaged" if checksum == "kept" else "no readable 3MF model") in ran.err
    assert ran.memory < MEMORY / 4


# --- large ones -------------------------------------------------------------------------------


def ball(rings: int, around: int):
    """A closed ball of 2·around·rings triangles, from its parameters."""
    polar = np.linspace(0.0, np.pi, rings + 2)[1:-1]
    turn = np.linspace(0.0, 2 * np.pi, around, endpoint=False)
    p, t = (each.ravel() for each in np.meshgrid(polar, turn, indexing="ij"))
    skin = 20.0 * np.column_stack([np.sin(p) * np.cos(t), np.sin(p) * np.sin(t), np.cos(p)])
    low, high = len(skin), len(skin) + 1
    row = np.arange(rings - 1)[:, None] * around
    k, after = np.arange(around), (np.arange(around) + 1) % around
    a, b, c, d = (x.ravel() for x in (row + k, row + after, row + k + around, row + after + around))
    last = (rings - 1) * around
    faces = np.vstack([
        np.column_stack([a, c, b]), np.column_stack([b, c, d]),
        np.column_stack([np.full(around, low), k, after]),
        np.column_stack([np.full(around, high), last + after, last + k]),
    ])  # fmt: skip
    return soup(np.vstack([skin, (0, 0, 20.0), (0, 0, -20.0)]), faces)


@pytest.mark.slow
def test_a_text_of_two_million_triangles_is_refused_by_its_size(tmp_path):
    first, *facets = text(ball(10, 10)).decode().split("facet normal")
    facet = f"facet normal{facets[0]}".encode() * 10_000
    path = tmp_path / "large.stl"
    with path.open("wb") as file:
        file.write(first.encode())
        for _ in range(200):
            file.write(facet)
        file.write(b"endsolid")
    assert path.stat().st_size > LARGEST_FILE
    ran = alone(path, 120.0)
    assert ran.code == 2
    assert f"at most {LARGEST_FILE}" in ran.err
    assert ran.memory < MEMORY


@pytest.mark.slow
def test_as_many_triangles_as_allowed_are_judged(tmp_path):
    mesh = ball(500, 1000)
    assert len(mesh.faces) == LARGEST_COUNT
    path = tmp_path / "large.stl"
    path.write_bytes(binary(mesh))
    ran = alone(path, 300.0)
    assert ran.code in (0, 1)
    assert "this takes up to" in ran.err
    assert "check 24 of 24" in ran.err
    assert "Traceback" not in ran.err
    assert "1000000 triangles" in ran.out
    assert ran.memory < MEMORY


def test_more_triangles_than_are_judged_are_refused_with_the_limit(tmp_path):
    count = LARGEST_COUNT + 1
    path = tmp_path / "large.stl"
    path.write_bytes(bytes(80) + count.to_bytes(4, "little") + bytes(50 * count))
    ran = alone(path, 60.0)
    assert ran.code == 2
    assert f"at most {LARGEST_COUNT}" in ran.err


def test_read_mesh_raises_for_a_missing_file(tmp_path):
    with pytest.raises(BadInput, match="cannot be read"):
        read_mesh(tmp_path / "none.stl")
