"""What strict readers of general use have against a finished file, by the ending of its name."""

from __future__ import annotations

import io
import json
import logging
import warnings
import zipfile
from collections.abc import Callable, Iterator

import ezdxf
import html5lib
import lib3mf
import numpy as np
import pikepdf
from lxml import etree
from PIL import Image
from pypdf import PdfReader
from pypdf.generic import IndirectObject

STL_HEAD, STL_TRIANGLE = 84, 50
"""Bytes of a binary STL before its triangles, and of each; Burns, Automated Fabrication, 1993,
section 6.5, from memory."""


def faults(name: str, data: bytes) -> list[str]:
    """What is wrong with a file; empty where every reader of its kind takes it as it is.

    Raises `KeyError` for a kind of file that no reader here knows.
    """
    readers = READERS[name.rsplit(".", 1)[1]]
    return [f"{name}: {each}" for reader in readers for each in _found(reader, data)]


def _found(reader: Callable[[bytes], Iterator[str]], data: bytes) -> list[str]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # a reader that mends with a warning has found a fault
            for own in (DeprecationWarning, ResourceWarning):  # of programs, not of the file
                warnings.simplefilter("ignore", own)
            return list(reader(data))
    except Exception as error:
        return [f"{reader.__name__}: {type(error).__name__}: {error}"]


def pdf_by_qpdf(data: bytes) -> Iterator[str]:
    """Syntax, streams, page tree and cross-reference table, nothing mended."""
    with pikepdf.open(io.BytesIO(data), attempt_recovery=False) as read:
        yield from read.check_pdf_syntax()
        yield from read.get_warnings()


def pdf_by_pypdf(data: bytes) -> Iterator[str]:
    """Every object stands where the cross-reference table says."""
    heard = _Heard()
    logging.getLogger("pypdf").addHandler(heard)
    try:
        read = PdfReader(io.BytesIO(data), strict=True)
        for generation, row in read.xref.items():
            for number in row:
                read.get_object(IndirectObject(number, generation, read))
        for page in read.pages:
            page.extract_text()
    finally:
        logging.getLogger("pypdf").removeHandler(heard)
    yield from heard.said


class _Heard(logging.Handler):
    """What a reader says instead of raising."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(record.getMessage())


def dxf(data: bytes) -> Iterator[str]:
    """ezdxf audits what it read; what it would mend is a fault."""
    audited = ezdxf.read(io.StringIO(data.decode("utf-8"))).audit()
    yield from (each.message for each in (*audited.errors, *audited.fixes))


def xml(data: bytes) -> Iterator[str]:
    """Well-formed, without recovery, entities or a network."""
    root = etree.fromstring(data, etree.XMLParser(resolve_entities=False, no_network=True))
    if not str(root.tag).startswith("{"):
        yield f"<{root.tag}> has no namespace"


def html(data: bytes) -> Iterator[str]:
    """No parse error of the HTML standard."""
    html5lib.HTMLParser(strict=True).parse(data, transport_encoding="utf-8")
    return iter(())


def three_mf(data: bytes) -> Iterator[str]:
    """lib3mf in strict mode has no warning."""
    reader = lib3mf.get_wrapper().CreateModel().QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    yield from (str(reader.GetWarning(k)) for k in range(reader.GetWarningCount()))


def package(data: bytes) -> Iterator[str]:
    """The archive's own sums hold, and every part of it is XML."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        if (bad := archive.testzip()) is not None:
            yield f"{bad} is not what its sum says"
        for each in archive.namelist():
            yield from (f"{each}: {fault}" for fault in xml(archive.read(each)))


def stl(data: bytes) -> Iterator[str]:
    """As long as it says, all numbers finite, and no normal looks into the solid."""
    count = int(np.frombuffer(data, "<u4", 1, STL_HEAD - 4)[0])
    if len(data) != STL_HEAD + STL_TRIANGLE * count:
        yield f"{len(data)} bytes for {count} triangles"
        return
    row = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    read = np.frombuffer(data, row, count, STL_HEAD)
    if not np.isfinite(read["corners"]).all():
        yield "a corner is no number"
    a, b, c = np.moveaxis(read["corners"].astype(float), 1, 0)
    out = np.cross(b - a, c - a)
    if (np.einsum("ij,ij->i", out, read["normal"].astype(float)) < 0.0).any():
        yield "a normal looks into the solid"


def png(data: bytes) -> Iterator[str]:
    """Its sums hold, and every line of it can be read."""
    Image.open(io.BytesIO(data)).verify()
    Image.open(io.BytesIO(data)).load()
    return iter(())


def data_document(data: bytes) -> Iterator[str]:
    """JSON as in RFC 8259: no name twice, no NaN."""

    def once(pairs: list[tuple[str, object]]) -> dict[str, object]:
        if len({name for name, _ in pairs}) < len(pairs):
            raise ValueError("one name stands twice")
        return dict(pairs)

    def refused(word: str) -> object:
        raise ValueError(f"{word} is no number of JSON")

    json.loads(data.decode("utf-8"), object_pairs_hook=once, parse_constant=refused)
    return iter(())


def text(data: bytes) -> Iterator[str]:
    """UTF-8, without control characters."""
    for sign in set(data.decode("utf-8")) - {"\n"}:
        if ord(sign) < 32:
            yield f"U+{ord(sign):04X}"


READERS: dict[str, tuple[Callable[[bytes], Iterator[str]], ...]] = {
    "pdf": (pdf_by_qpdf, pdf_by_pypdf),
    "dxf": (dxf,),
    "svg": (xml,),
    "html": (html,),
    "3mf": (three_mf, package),
    "stl": (stl,),
    "png": (png,),
    "json": (data_document,),
    "txt": (text,),
}
