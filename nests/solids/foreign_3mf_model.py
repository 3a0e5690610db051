"""What the XML of a 3MF asks for beyond triangles: refused, for a stand-in is not the shape.

A reader that does not know an extension is left with what the core says: often a box round the
shape that is meant. So every model part of a package is looked through before it is believed.
Read are the core, model parts in several files (production extension), colours and materials, and
sets of triangles; anything else in an object, in the resources or in the build is refused, and so
is a required extension that is none of these. Metadata may be what it likes.

Names and namespaces: 3MF Consortium, core specification 1.3 and the extensions it publishes, from
memory; a namespace that is not listed here is refused as well, by its own name.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, NoReturn
from xml.parsers import expat

from nests.solids.foreign_3mf_placed import PLACING, Placed
from nests.units import BadInput

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
HARMLESS = frozenset(
    (
        "http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
        "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07",
        "http://www.w3.org/XML/1998/namespace",
        "http://www.w3.org/2001/XMLSchema-instance",
    )
)
"""Namespaces that add nothing to a shape and take nothing from it."""
NOT_READ: Mapping[str, str] = {
    "http://schemas.microsoft.com/3dmanufacturing/slice/2015/07": "slice stacks",
    "http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02": "beam lattices",
    "http://schemas.microsoft.com/3dmanufacturing/beamlattice/balls/2020/07": "balls of lattices",
    "http://schemas.microsoft.com/3dmanufacturing/securecontent/2019/04": "secure content",
    "http://schemas.microsoft.com/3dmanufacturing/production/alternatives/2021/04": "alternatives",
    "http://schemas.microsoft.com/3dmanufacturing/displacement/2022/07": "displacement",
    "http://schemas.3mf.io/3dmanufacturing/displacement/2023/10": "displacement",
    "http://schemas.3mf.io/3dmanufacturing/booleanoperations/2023/07": "boolean operations",
    "http://schemas.3mf.io/3dmanufacturing/volumetric/2022/01": "volumes",
    "http://schemas.3mf.io/3dmanufacturing/implicit/2023/12": "implicit shapes",
}
"""Published extensions by what a user would call them."""
UNITS: Mapping[str, float] = {
    "micron": 1e-3,
    "millimeter": 1.0,
    "centimeter": 10.0,
    "inch": 25.4,
    "foot": 304.8,
    "meter": 1000.0,
}
"""mm of each unit a model may name; without one it is in millimetres (core 1.3, 3.4)."""
LONGEST_TOKEN = 1 << 20
"""Bytes between two marks of the XML: no tag of a model is as long as that."""
DEEPEST = 64
"""Elements inside each other; the core needs 7."""

_INSIDE: Mapping[str, frozenset[str]] = {
    "model": frozenset(("metadata", "resources", "build")),
    "resources": frozenset(("object", "basematerials")),
    "basematerials": frozenset(("base",)),
    "object": frozenset(("mesh", "components", "metadatagroup")),
    "mesh": frozenset(("vertices", "triangles")),
    "vertices": frozenset(("vertex",)),
    "triangles": frozenset(("triangle",)),
    "components": frozenset(("component",)),
    "build": frozenset(("item",)),
    "item": frozenset(("metadatagroup",)),
}
"""Elements of the core by the element they stand in."""
_ANYTHING = frozenset(("metadata", "metadatagroup"))
"""Elements whose inside tells nothing of a shape."""
_PLACES = frozenset(("path", "UUID"))
"""Attributes of the production extension: where the object lies, and what it is called."""
_STARTS = (b"<", b"\xef\xbb\xbf<", b"\xff\xfe<", b"\xfe\xff\0<", b"<\0", b"\0<")
"""How XML begins, in the encodings there are for it in a package."""
_CHUNK = 1 << 18


def unit_of_models(package: Path, name: str) -> float:
    """mm of the unit in which the models of an unpacked package are drawn.

    Raises `BadInput` for what the models ask for and what is not read here, for a unit that is
    none, and for XML that is unsafe or broken; `name` is the file's, for the sentence.
    """
    units: dict[str, float] = {}
    placed = Placed(name)
    with zipfile.ZipFile(package) as entries:
        for entry in entries.namelist():
            with entries.open(entry) as stream:
                asks = _looked_through(stream, _Asks(name, entry, placed))
            if asks is not None and asks.is_model:
                units[asks.unit] = UNITS[asks.unit]
    if len(units) > 1:
        raise BadInput(
            f"{name} is drawn in {' and '.join(sorted(units))}; all its models must have one unit."
        )
    placed.refuse()
    return next(iter(units.values()), 1.0)


def _looked_through(stream: IO[bytes], asks: _Asks) -> _Asks | None:
    """What an entry of a package asks for; None if it is no XML, and need not be."""
    name, surely = asks.name, asks.part.lower().endswith(".model")
    chunks = _chunks(stream)
    first = next(chunks, b"")
    if not surely and not first.lstrip().startswith(_STARTS):
        return None
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartDoctypeDeclHandler = asks.doctype
    parser.StartNamespaceDeclHandler = asks.namespace
    parser.StartElementHandler = asks.start
    parser.EndElementHandler = asks.end
    fed = 0
    try:
        for chunk in (first, *chunks):
            parser.Parse(chunk, False)
            fed += len(chunk)
            if asks.done and not surely:
                return asks
            if asks.done:
                raise BadInput(
                    f"{name} is a package, but no readable 3MF model is in it: what should be one "
                    "is no model of the 3MF core."
                )
            if fed - parser.CurrentByteIndex > LONGEST_TOKEN:
                raise BadInput(
                    f"{name} is a package, but no readable 3MF model is in it: more than "
                    f"{LONGEST_TOKEN} bytes of its XML are one word."
                )
        parser.Parse(b"", True)
    except expat.ExpatError:
        if asks.is_model or surely:
            raise BadInput(
                f"{name} is a package, but no readable 3MF model is in it: its XML is broken."
            ) from None
    return asks


def _chunks(stream: IO[bytes]) -> Iterator[bytes]:
    while chunk := stream.read(_CHUNK):
        yield chunk


@dataclass
class _Asks:
    """A model part while it is read: refuses at the first thing that is not read."""

    name: str
    part: str
    """Path of the entry in the package."""
    placed: Placed
    is_model: bool = False
    unit: str = "millimeter"
    done: bool = False
    """Whether nothing that follows matters."""
    _spaces: dict[str, str] = field(default_factory=dict)
    """Namespaces by prefix, as in scope on the model element."""
    _path: list[str] = field(default_factory=list)
    _passed: int = 0
    """How deep inside an element that tells nothing of a shape."""
    _object: str = ""

    def doctype(self, *_: object) -> NoReturn:
        """No entity is ever expanded."""
        raise BadInput(
            f"{self.name} is a package, but no readable 3MF model is in it: its XML has a DOCTYPE, "
            "and none is allowed."
        )

    def namespace(self, prefix: str | None, uri: str | None) -> None:
        """Note a prefix until the model element has come."""
        if not self._path:
            self._spaces[prefix or ""] = uri or ""

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """An element begins."""
        if self.done:
            return
        if self._passed or len(self._path) >= DEEPEST:
            self._deeper()
            return
        space, _, word = tag.rpartition(" ")
        if not self._path:
            if (space, word) != (CORE, "model"):
                self.done = True  # a relationship, a setting: no shape
                return
            self.is_model = True
            self._model(attributes)
        elif space == CORE and word in _INSIDE[self._path[-1]]:
            if word == "object":
                called = attributes.get("name") or attributes.get("id", "")
                self._object = f"the object '{called}'"
            if word in _ANYTHING:
                self._passed = 1
                return
            self._attributes(attributes)
            if word in PLACING:
                path = attributes.get(f"{PRODUCTION} path", "")
                self.placed.note(self.part, word, attributes, path)
        elif space in HARMLESS or self._path == ["model"]:
            self._passed = 1
            return
        elif space == CORE:
            self._refuse(f"has the element '{word}', which is not read")
        else:
            self._refuse(f"asks for {extension(space)}, which is not read (element '{word}')")
        self._path.append(word)
        if word not in _INSIDE:  # a vertex, a triangle: nothing is looked for inside
            self._path.pop()
            self._passed = 1

    def _deeper(self) -> None:
        self._passed += 1
        if self._passed + len(self._path) > DEEPEST:
            raise BadInput(
                f"{self.name} is a package, but no readable 3MF model is in it: its XML is nested "
                f"more than {DEEPEST} deep."
            )

    def end(self, tag: str) -> None:
        """An element ends."""
        if self._passed:
            self._passed -= 1
        elif self._path and self._path.pop() == "object":
            self._object = ""

    def _model(self, attributes: Mapping[str, str]) -> None:
        for key in attributes:
            if key.lower() in ("unit", "units") and key != "unit":
                raise BadInput(f"{self.name}: its model has the field '{key}'; 'unit' is allowed.")
        self.unit = attributes.get("unit", "millimeter")
        if self.unit not in UNITS:
            raise BadInput(
                f"{self.name}: the unit of its model is '{self.unit}'; allowed is "
                f"{', '.join(UNITS)}, or none for millimeter."
            )
        for prefix in attributes.get("requiredextensions", "").split():
            space = self._spaces.get(prefix)
            if space is None:
                raise BadInput(
                    f"{self.name} requires the extension '{prefix}' and does not say which one "
                    "that is; it is not read."
                )
            if space not in HARMLESS | {CORE, PRODUCTION}:
                raise BadInput(
                    f"{self.name} requires {extension(space)}, which is not read; export the shape "
                    "as plain triangles."
                )

    def _attributes(self, attributes: Mapping[str, str]) -> None:
        for key in attributes:
            space, _, word = key.rpartition(" ")
            if not space or space in HARMLESS or (space == PRODUCTION and word in _PLACES):
                continue
            self._refuse(f"asks for {extension(space)}, which is not read (attribute '{word}')")

    def _refuse(self, why: str) -> NoReturn:
        what = self._object or f"its {self._path[1] if len(self._path) > 1 else 'model'}"
        raise BadInput(f"{self.name}: {what} {why}; export the shape as plain triangles.")


def extension(space: str) -> str:
    """An extension by the name its users give it, else by its namespace."""
    known = NOT_READ.get(space)
    return f"the 3MF extension for {known}" if known else f"the 3MF extension '{space}'"
