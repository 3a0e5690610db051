"""Meshes that are none, are broken, or lie: made with trimesh and lib3mf, not with our writers."""

from __future__ import annotations

import re
import struct
import zipfile
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path

import numpy as np

from tests.faults.hostile.row import Row
from tests.faults.hostile.running import inside
from tests.faults.hostile.spoil import holds
from tests.solids import test_3mf_extensions as written
from tests.solids.test_bad_meshes import FAULTS, Package, binary, box, shifted, text

WORDS = {
    "open": "is not closed", "inside out": "is inside out", "one face turned": "is not closed",
    "not a number": "not a finite number", "sheet": "without thickness", "fin": "lie on another",
    "twice": "given twice", "knotted": "crosses itself", "overlapping": "crosses itself",
    "overlapping in one plane": "overlaps itself", "body in body": "overlaps itself",
    "shell turned apart": "inside out", "10 µm": "0.01 mm across", "10 m": "1e+04 mm across",
    "inches": "in inches", "metres": "in metres", "centimetres": "in centimetres",
}  # fmt: skip
"""What must be said of each broken shape of `test_bad_meshes`."""


def exported(kind: str, fault: str) -> bytes:
    """A broken shape in a format of trimesh."""
    mesh = FAULTS[fault][0]()
    if kind == "glb":  # a scene of metres
        mesh.apply_scale(1e-3)
    made = mesh.export(file_type=kind)
    return made if isinstance(made, bytes) else made.encode()


GOOD_STL, GOOD_TEXT = binary(box()), text(box())
ELSEWHERE = {"twice": "lies inside another"}
"""What is said where every corner stands for itself, and not by its place."""
SHAPED = ("open", "inside out", "one face turned", "twice", "overlapping", "body in body")
"""Faults of shape that every format can hold; some writers drop what is not a number."""

STL: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "is empty"),
    "three bytes": (b"abc", "has only 3 bytes"),
    "no triangle": (bytes(84), "holds no triangle"),
    "no triangle, as text": (b"solid x\nendsolid x\n", "holds no triangle"),
    "cut off": (GOOD_STL[:-70], "announces 12 triangles"),
    "more than announced": (GOOD_STL + bytes(100), "announces 12 triangles"),
    "four thousand million announced": (GOOD_STL[:80] + b"\xff" * 4 + GOOD_STL[84:], "announces"),
    "text without its end": (GOOD_TEXT[:900], "without its end"),
    "a corner lost": (re.sub(rb"\n\s*vertex[^\n]*", b"", GOOD_TEXT, count=1), "35 corners"),
    "a word for a number": (re.sub(rb"vertex \S+", b"vertex abc", GOOD_TEXT, count=1),
                            "no three numbers"),
    "a number beyond a float": (re.sub(rb"vertex \S+", b"vertex 1e999", GOOD_TEXT, count=1),
                                "finite"),
    "numbers as large as a float": (
        GOOD_STL[:96] + struct.pack("<9f", *[3e38, -3e38, 3e38] * 3) + GOOD_STL[132:], "across"),
    "a line of ten million letters": (b"solid " + b"n" * 10_000_000, "given.stl"),
    "a document": (b'{"document": "sheet"}', "given.stl"),
    "a package": (b"PK\x03\x04" + bytes(200), "given.stl"),
}  # fmt: skip
OTHERS: dict[str, dict[str, bytes]] = {
    "obj": {"empty": b"", "a corner that is not there": b"v 0 0 0\nf 1 2 9\n",
            "words": b"v a b c\n",
            "no face": b"v 0 0 0\n", "every byte": bytes(range(256)),
            "a face of one corner": b"v 0 0 0\nf 1\n",
            "another file": b"mtllib /etc/passwd\nv 0 0 0\n"},
    "ply": {"empty": b"", "head alone": b"ply\nformat ascii 1.0\nend_header\n",
            "no end of the head": b"ply\nformat ascii 1.0\nelement vertex 4000000000\n",
            "four thousand million corners": b"ply\nformat binary_little_endian 1.0\n"
            b"element vertex 4000000000\nproperty float x\nproperty float y\n"
            b"property float z\nend_header\n",
            "a type of nobody": b"ply\nformat ascii 1.0\nelement vertex 1\nproperty wide x\n"
            b"end_header\n0\n",
            "a format of nobody": b"ply\nformat morse 1.0\nend_header\n"},
    "off": {"empty": b"", "head alone": b"OFF\n", "less than announced": b"OFF\n9 9 9\n0 0 0\n",
            "words": b"OFF\na b c\n", "below zero": b"OFF\n-1 -1 -1\n",
            "another head": b"COFF4D\n1 1 1\n"},
    "glb": {"empty": b"", "head alone": b"glTF" + struct.pack("<II", 2, 12),
            "longer than it is": b"glTF" + struct.pack("<II", 2, 4_000_000_000),
            "an edition of nobody": b"glTF" + struct.pack("<II", 9, 12),
            "no JSON inside": b"glTF" + struct.pack("<IIII", 2, 24, 4, 0x4E4F534A) + b"{{{{",
            "another file": b"glTF" + struct.pack("<IIII", 2, 72, 52, 0x4E4F534A)
            + b'{"buffers":[{"uri":"/etc/passwd","byteLength":10}]}  '},
}  # fmt: skip


def _package(make: Callable[[Package], object]) -> Callable[[], bytes]:
    def content() -> bytes:
        package = Package()
        make(package)
        return package.data()

    return content


def _groups(levels: int, each: int) -> str:
    """A model of groups of which every one holds the one before so many times."""
    of = "".join(
        f'<object id="{k}" type="model"><components>'
        + f'<component objectid="{k - 1}"/>' * each
        + "</components></object>"
        for k in range(2, levels + 2)
    )
    return written.model(written.thing() + of, build=f'<item objectid="{levels + 1}"/>')


def _placed(rows: np.ndarray) -> Callable[[Package], object]:
    return lambda package: package.place(package.mesh(box()), rows)


def _zipped(names: dict[str, bytes], kind: int = zipfile.ZIP_DEFLATED) -> bytes:
    made = BytesIO()
    with zipfile.ZipFile(made, "w", kind) as package:
        for name, content in names.items():
            package.writestr(name, content)
    return made.getvalue()


MODEL, NO_MODEL = "3D/3dmodel.model", "no readable 3MF model"


def _model(content: str) -> bytes:
    """A package with one model, written by hand."""
    made = BytesIO()
    written.package(made, content)
    return made.getvalue()


def _entities(count: int) -> str:
    inner = "".join(f'<!ENTITY e{k} "{f"&e{k - 1};" * 10 if k else "lol"}">' for k in range(count))
    return f"<!DOCTYPE model [{inner}]>"


MODELS: dict[str, tuple[str, str]] = {
    "entities that multiply": (
        written.model(written.thing() + f"&e{11};", before=_entities(12)), "DOCTYPE"),
    "an entity of a file": (
        written.model(written.thing() + "&x;",
                      before='<!DOCTYPE model [<!ENTITY x SYSTEM "file:///etc/passwd">]>'),
        "DOCTYPE"),
    "an entity of an address": (
        written.model(written.thing() + "&x;",
                      before='<!DOCTYPE model [<!ENTITY x SYSTEM "http://localhost:9/">]>'),
        "DOCTYPE"),
    "no XML": ("not xml", "its XML is broken"),
    "cut in half": (written.model()[:300], "its XML is broken"),
    "nothing to build": (written.model(build=" "), "places no object"),
    "an object that is not there": (written.model(build='<item objectid="9"/>'), NO_MODEL),
    "a number that is none": (written.model(build='<item objectid="one"/>'), NO_MODEL),
    "a unit of nobody": (written.model(unit=' unit="furlong"'), "'furlong'"),
    "an object that holds itself": (
        written.model('<object id="1" type="model"><components><component objectid="1"/>'
                      "</components></object>"), "holds itself"),
    "a triangle of a corner that is not there": (
        written.model(written.thing(written.mesh().replace('v1="0"', 'v1="99"', 1))),
        NO_MODEL),
    "a corner below zero": (
        written.model(written.thing(written.mesh().replace('v1="0"', 'v1="-1"', 1))),
        NO_MODEL),
    "a corner that is no number": (
        written.model(written.thing(written.mesh().replace('x="0.0"', 'x="nan"', 1))),
        NO_MODEL),
    "a corner beyond a float": (
        written.model(written.thing(written.mesh().replace('x="30.0"', 'x="1e999"', 1))),
        NO_MODEL),
    "a placing of eleven numbers": (
        written.model(build='<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0"/>'),
        NO_MODEL),
    "an extension of nobody that is required": (
        written.model(more=' requiredextensions="q" xmlns:q="urn:nobody"'), "urn:nobody"),
    "components that multiply to a million": (_groups(20, 2), "more than 1000 objects"),
    "components that multiply to 2^38": (_groups(38, 2), "more than 1000 objects"),
    "a chain of 990 components": (_groups(990, 1), "at most 64"),
    "a hundred thousand deep": ("<a>" * 100_000, "given.3mf"),
}  # fmt: skip
PACKAGES: dict[str, tuple[bytes, str]] = {
    "no package": (b"PK" + bytes(100), "is no 3MF package"),
    "empty": (b"", "is empty"),
    "a package of nothing": (_zipped({}), "given.3mf"),
    "no model": (_zipped({"note.txt": b"nothing"}), NO_MODEL),
    "a model outside": (_zipped({"_rels/.rels": written.relations("/../../outside.model").encode(),
                                 "../../outside.model": written.model().encode()}), NO_MODEL),
    "four hundred million zeros": (_zipped({MODEL: bytes(400_000_000)}), "unpacks to more"),
    "cut off": (_model(written.model())[:-60], "given.3mf"),
    "a letter changed": (
        _zipped({MODEL: written.model().encode()}, zipfile.ZIP_STORED).replace(
            b"millimeter", b"millimetre"), "damaged"),
    "ten thousand files": (
        _zipped({f"n{k}": b"" for k in range(10_000)}), "10000 entries"),
}  # fmt: skip
BUILT: dict[str, tuple[Callable[[Package], object], str]] = {
    "placed nowhere": (lambda p: p.mesh(box()), "places no object"),
    "flattened": (_placed(shifted(0, 0, 0, (1, 1, 0))), "flattens"),
    "made as large as a house": (_placed(shifted(0, 0, 0, (1000, 1, 1))), "mm across"),
    "made too small to see": (_placed(shifted(0, 0, 0, (1e-4, 1e-4, 1e-4))), "flattens"),
}  # fmt: skip


def rows() -> Iterator[Row]:
    """By format."""
    for fault, word in WORDS.items():
        yield _mesh("stl", fault, lambda f=fault: binary(FAULTS[f][0]()), word)
        yield _mesh("stl", f"{fault}, as text", lambda f=fault: text(FAULTS[f][0]()), word)
    for what, (content, word) in STL.items():
        yield _mesh("stl", what, content, word)
    for kind, ways in OTHERS.items():
        for what, content in ways.items():
            yield _mesh(kind, what, content, f"given.{kind}")
        for fault in SHAPED:
            yield _mesh(kind, fault, lambda k=kind, f=fault: exported(k, f),
                        ELSEWHERE.get(fault, WORDS[fault]))  # fmt: skip
    for what, (model, word) in MODELS.items():
        yield _mesh("3mf", what, lambda m=model: _model(m), word)
    for what, (content, word) in PACKAGES.items():
        yield _mesh("3mf", what, content, word)
    for what, (make, word) in BUILT.items():
        yield _mesh("3mf", what, _package(make), word)
    good = binary(box())
    for name, word in (("given.step", "is not"), ("given.stl.json", "is not"), ("given", "is not"),
                       ("given.3mf", "no 3MF package"), ("given.glb", "given.glb"),
                       ("given.ply", "given.ply"), ("given.off", "given.off")):  # fmt: skip
        yield Row("meshes", f"ending {Path(name).suffix or 'of none'}", "an STL so called",
                  holds(good, name), inside, 2, (word,))  # fmt: skip
    for unit in ("m", "um", "inch"):
        yield Row("meshes", "--unit", f"{unit} for a shape in mm",
                  holds(good, "given.stl", "check", "given.stl", "--unit", unit), inside, 2,
                  ("across",))  # fmt: skip


def _mesh(kind: str, what: str, content: bytes | Callable[[], bytes], word: str) -> Row:
    name = f"given.{kind}"
    return Row("meshes", kind, what, holds(content, name), inside, 2, (word,))
