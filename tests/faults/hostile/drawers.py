"""The folder of a drawer, and what is carried into and out of it."""

from __future__ import annotations

import io
import os
import warnings
import zipfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from tests.faults.hostile.kept import FIRST, OWN, SECOND, two
from tests.faults.hostile.row import Row
from tests.faults.hostile.running import inside
from tests.faults.hostile.sources import SHEET, holder
from tests.faults.hostile.spoil import put, text

Line = tuple[str, ...]
Spoil = Callable[[Path], object]
D = ("--drawer", "d")
LIST: Line = ("drawer", "list", *D)
RETIRE: Line = ("retire", SECOND, "--reason", "x", *D)
MORE = (*OWN, f"d/{SECOND}.json")


def _zip(*entries: tuple[str, bytes], packed: int = zipfile.ZIP_STORED) -> bytes:
    made = io.BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(made, "w", packed) as out:
        warnings.simplefilter("ignore")  # one name twice is what is wanted
        for name, content in entries:
            out.writestr(name, content)
    return made.getvalue()


def _encrypted() -> bytes:
    data = bytearray(_zip((f"{FIRST}.json", text(holder()))))
    data[6] |= 1
    data[data.index(b"PK\x01\x02") + 8] |= 1
    return bytes(data)


CARRIED: dict[str, tuple[Callable[[], bytes], str]] = {
    "empty": (lambda: b"", "no exported drawer"),
    "no ZIP": (lambda: b"not a zip", "no exported drawer"),
    "cut off": (lambda: _zip((f"{FIRST}.json", text(holder())))[:-40], "no exported drawer"),
    "a path upwards": (lambda: _zip((f"../{FIRST}.json", text(holder()))), "holders only"),
    "a path from the root": (lambda: _zip((f"/tmp/{FIRST}.json", text(holder()))), "holders only"),
    "a photograph": (lambda: _zip(("a.jpg", b"\xff\xd8")), "holders only"),
    "one holder twice": (lambda: _zip(*[(f"{FIRST}.json", text(holder()))] * 2), "twice"),
    "under another name": (lambda: _zip((f"{SECOND}.json", text(holder()))), FIRST),
    "encrypted": (_encrypted, "encrypted"),
    "a letter changed": (
        lambda: _zip((f"{FIRST}.json", text(holder()))).replace(b"INV 26-A", b"INV 26-B"), "CRC"),
    "thirty million zeros": (
        lambda: _zip((f"{FIRST}.json", bytes(30_000_000)), packed=zipfile.ZIP_DEFLATED),
        "unpacks to more"),
    "a spoilt document": (
        lambda: _zip((f"{FIRST}.json", put(holder(), ("history", 0, "number"), None))), "number"),
    "a document of another kind": (
        lambda: _zip((f"{FIRST}.json", Path(SHEET).read_bytes())), "sheet"),
}  # fmt: skip

TYPED: dict[str, dict[str, tuple[Line, int, str]]] = {
    "a holder": {
        "of nobody": (("retire", "M9-P", "--reason", "x", *D), 2, "M9"),
        "with a wrong check character": (("retire", "M1-A", "--reason", "x", *D), 2, "M1-A"),
        "a path upwards": (("drawer", "show", "../d/M1-L", *D), 2, "../d/M1-L"),
        "empty": (("drawer", "show", "", *D), 2, "''"),
        "a thousand letters": (("drawer", "show", "M" * 1000, *D), 2, "MMM"),
        "in use, reinstated": (("reinstate", FIRST, *D), 2, FIRST),
    },
    "a reading": {
        "without its value": (("drawer", "measure", FIRST, "seat", *D), 2, "seat"),
        "of nobody": (("drawer", "measure", FIRST, "seet=26.1", *D), 2, "seet"),
        "a word": (("drawer", "measure", FIRST, "seat=wide", *D), 2, "wide"),
        "not a number": (("drawer", "measure", FIRST, "seat=nan", *D), 2, "nan"),
        "far off": (("drawer", "measure", FIRST, "seat=90", *D), 2, "seat"),
        "good and bad": (("drawer", "measure", FIRST, "edges=good", "edges=bad", *D), 2, "edges"),
        "neither good nor bad": (("drawer", "measure", FIRST, "edges=fine", *D), 2, "fine"),
        "nothing at all": (("drawer", "measure", FIRST, *D), 2, ""),
    },
    "--mass": {
        "a word": (("drawer", "measure", FIRST, "--mass", "heavy", *D), 2, "--mass"),
        "not a number": (("drawer", "measure", FIRST, "--mass", "nan", *D), 2, "mass"),
        "below zero": (("drawer", "measure", FIRST, "--mass", "-1", *D), 2, "mass"),
    },
    "--date of a change": {
        "a word": (("drawer", "measure", FIRST, "seat=26.1", "--date", "x", *D), 2, "date"),
        "a day that is none": (
            ("retire", FIRST, "--reason", "x", "--date", "2031-02-30", *D), 2, "2031-02-30"),
    },
    "--by": {
        "a line break": (("retire", FIRST, "--reason", "x", "--by", "A\nB", *D), 2, "by"),
        "a control": (("retire", FIRST, "--reason", "x", "--by", "\x1b[2J", *D), 2, "by"),
    },
    "--reason": {
        "left out": (("retire", FIRST, *D), 2, "--reason"),
        "empty": (("retire", FIRST, "--reason", "", *D), 2, "reason"),
        "blanks": (("retire", FIRST, "--reason", "  ", *D), 2, "reason"),
    },
    "undo": {
        "without anybody to ask": (("drawer", "undo", *D), 2, "--yes"),
        "redo of nothing": (("drawer", "redo", *D), 2, "redo"),
    },
    "labels": {
        "over a document": (
            ("drawer", "labels", "--out", f"d/{FIRST}.json", *D), 2, f"{FIRST}.json"),
        "no columns": (
            ("drawer", "labels", "--columns", "0", "--out", "l.pdf", *D), 2, "columns"),
        "a million columns": (
            ("drawer", "labels", "--columns", "1000000", "--out", "l.pdf", *D), 2, "columns"),
        "rows below zero": (
            ("drawer", "labels", "--rows", "-1", "--out", "l.pdf", *D), 2, "rows"),
        "a folder for a file": (("drawer", "labels", "--out", "d", *D), 2, "exists already"),
        "below no folder": (("drawer", "labels", "--out", "no/l.pdf", *D), 2, "no/l.pdf"),
    },
    "export": {
        "over a document": (
            ("drawer", "export", "--out", f"d/{FIRST}.json", *D), 2, "exists already"),
        "below no folder": (("drawer", "export", "--out", "no/o.zip", *D), 2, "no/o.zip"),
    },
    "import": {
        "what is not there": (("drawer", "import", "none.zip", *D), 2, "none.zip"),
        "a folder": (("drawer", "import", "d", *D), 2, "no file"),
    },
    "file": {
        "no pack": (("file", "d", *D), 2, "d"),
        "a sheet": (("file", SHEET, *D), 2, "sheet"),
        "what is not there": (("file", "none", *D), 2, "none"),
    },
}  # fmt: skip


def _to(name: str, target: str) -> Spoil:
    return lambda d: (d / name).symlink_to(target)


LYING: dict[str, dict[str, tuple[Spoil, Line, int, str]]] = {
    "the lock": {
        "a folder": (lambda d: (d / ".lock").mkdir(), RETIRE, 2, "cannot be the lock"),
        "a circle of links": (_to(".lock", ".lock"), RETIRE, 2, "cannot be the lock"),
    },
    "the index": {
        "a folder": (lambda d: (d / ".index.npz").mkdir(), LIST, 0, FIRST),
        "a circle of links": (_to(".index.npz", ".index.npz"), LIST, 0, FIRST),
        "a device without an end": (_to(".index.npz", "/dev/zero"), LIST, 0, FIRST),
        "a pipe": (lambda d: os.mkfifo(d / ".index.npz"), LIST, 0, FIRST),
        "zeros": (lambda d: (d / ".index.npz").write_bytes(bytes(999)), LIST, 0, FIRST),
        "a ZIP of nothing": (lambda d: (d / ".index.npz").write_bytes(_zip()), LIST, 0, FIRST),
        "a program to be unpickled": (
            lambda d: (d / ".index.npz").write_bytes(
                _zip(("holders.npy", b"cos\nsystem\n(S'touch owned'\ntR."))), LIST, 0, FIRST),
    },
    "a document": {
        "a folder": (lambda d: (d / "M3-G.json").mkdir(), LIST, 0, "M3-G.json"),
        "a pipe": (lambda d: os.mkfifo(d / "M3-G.json"), LIST, 0, "M3-G.json"),
        "a device without an end": (_to("M3-G.json", "/dev/zero"), LIST, 0, "M3-G.json"),
        "a circle of links": (_to("M3-G.json", "M3-G.json"), LIST, 0, "M3-G.json"),
        "a link to nowhere": (_to("M3-G.json", "none"), LIST, 0, "M3-G.json"),
        "a name as long as can be": (
            lambda d: (d / f"{'x' * 250}.json").write_text("{"), LIST, 0, "xxx"),
        "a name that is no text": (
            lambda d: Path(os.fsdecode(bytes(d) + b"/caf\xe9.json")).write_text("{"), LIST, 0,
            "caf"),
        "a name with a line break": (lambda d: (d / "a\nb.json").write_text("{"), LIST, 0, "a b"),
        "a second one, in conflict": (
            lambda d: (d / f"{FIRST} (1).json").write_bytes(text(holder())), LIST, 0, "second"),
        "more than a document has": (
            lambda d: (d / "M3-G.json").write_bytes(b" " * 20_000_001), LIST, 0, "M3-G.json"),
        "ten thousand of nobody": (
            lambda d: [(d / f"n{k}.json").write_text("{") for k in range(10_000)], LIST, 0,
            FIRST),
    },
    "left by a writer that died": {
        "half a document": (
            lambda d: (d / f".{FIRST}.json.123").write_text("{"), RETIRE, 0, SECOND),
        "a folder": (lambda d: (d / f".{FIRST}.json.123").mkdir(), RETIRE, 0, SECOND),
    },
}  # fmt: skip


def rows() -> Iterator[Row]:
    """What is typed, what lies in the folder, what is carried in."""
    for field, ways in TYPED.items():
        for what, (line, code, word) in ways.items():
            yield Row("drawers", field, what, _planted(line), inside, code, (word,), OWN)
    for field, lying in LYING.items():
        for what, (spoil, line, code, word) in lying.items():
            adds = (*MORE, ".lock") if code == 0 and line == RETIRE else OWN
            if field.startswith("left"):
                adds = (*adds, f"d/.{FIRST}.json.123")
            yield Row("drawers", field, what, _planted(line, spoil), inside, code, (word,), adds)
    for what, (content, word) in CARRIED.items():
        for into in ("d", "new"):
            yield _carried(what, content, word, into)


def _planted(line: Line, spoil: Spoil | None = None) -> Callable[[Path], Sequence[str]]:
    def plant(folder: Path) -> Sequence[str]:
        two(folder)
        if spoil is not None:
            spoil(folder / "d")
        return line

    return plant


def _carried(what: str, content: Callable[[], bytes], word: str, into: str) -> Row:
    def plant(folder: Path) -> Sequence[str]:
        two(folder)
        (folder / "carried.zip").write_bytes(content())
        return "drawer", "import", "carried.zip", "--drawer", into

    field = f"an export, into {'a drawer' if into == 'd' else 'a new one'}"
    return Row("drawers", field, what, plant, inside, 2, (word,), OWN)
