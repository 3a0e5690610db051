"""Documents of holders in a drawer, spoilt: each is named, and the one beside it stays in use."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from nests.kinds.kept import make_id
from tests.faults.hostile.row import Row
from tests.faults.hostile.running import inside
from tests.faults.hostile.sources import holder
from tests.faults.hostile.spoil import Steps, put, shown, text, twice, without

FIRST, SECOND = (make_id("movement holder", number) for number in (1, 2))
OWN = ("d/.index.npz", "d/.lock", "d/.labels.json")
"""What a drawer keeps for itself."""
LAST = ("history", 0)

SPOILT: tuple[tuple[Steps, str, Any, str], ...] = (
    (("id",), "of another holder", "M7-X", "id"),
    (("id",), "of another kind", make_id("case holder", 1), "id"),
    (("id",), "with the wrong check character", "M1-A", "id"),
    (("id",), "in small letters", FIRST.lower(), "id"),
    (("id",), "a path upwards", "../M1-L", "id"),
    (("id",), "of the one beside it", SECOND, SECOND),
    (("was",), "of nobody", "once", "was"),
    (("history",), "empty", [], "history"),
    (("history",), "an object", {}, "history"),
    ((*LAST, "number"), "null", None, "number"),
    ((*LAST, "number"), "a fraction", 1.5, "number"),
    ((*LAST, "number"), "zero", 0, "number"),
    ((*LAST, "number"), "as high as the schema lets it", 10**9, "number"),
    ((*LAST, "number"), "higher", 10**10, "number"),
    ((*LAST, "did"), "of nobody", "lost", "did"),
    ((*LAST, "did"), "not the filing", "gauged", "history"),
    ((*LAST, "did"), "an undoing of nothing", "undone", "undoes"),
    ((*LAST, "state"), "a list", [], "state"),
    ((*LAST, "state"), "in capitals", "Retired", "state"),
    ((*LAST, "state"), "retired without a reason", "retired", "reason"),
    ((*LAST, "date"), "a word", "yesterday", "date"),
    ((*LAST, "date"), "a day that is none", "2031-02-30", "2031-02-30"),
    ((*LAST, "undoes"), "a change that never was", 9, "undone"),
    ((*LAST, "redoes"), "a change that never was", 9, "redone"),
    ((*LAST, "by"), "with a line break", "A\nB", "by"),
    ((*LAST, "readings"), "a list", [], "readings"),
    ((*LAST, "readings"), "of a word", {"sizes": {"seat": "wide"}}, "seat"),
    ((*LAST, "readings"), "of a word in a list", {"sizes": {"seat": ["wide"]}}, "seat"),
    ((*LAST, "readings"), "of a mass below zero", {"mass": -1}, "mass"),
    ((*LAST, "readings"), "tried neither good nor bad", {"tried": {"edges": "fine"}}, "edges"),
    (("recipe",), "null", None, "recipe"),
    (("recipe", "parts"), "an object", {}, "parts"),
    (("recipe", "parts", 0, "part"), "of nobody", "ring seet", "ring seet"),
    (("recipe", "workpiece", "rim"), "true", True, "rim"),
    (("recipe", "workpiece", "name"), "with a line break", "A\nB", "name"),
    (("recipe", "operation", "side_up"), "of nobody", "left", "side_up"),
    (("recipe", "printer", "layer"), "zero", 0, "layer"),
    (("edition",), "2", 2, "edition"),
    (("document",), "of another kind", "sheet", "sheet"),
)  # fmt: skip


def rows() -> Iterator[Row]:
    """Each spoilt document through the check of the drawer, and some through every command."""
    for steps, what, value, word in SPOILT:
        content = lambda s=steps, v=value: put(holder(), s, v)  # noqa: E731
        yield _kept(shown(steps), what, content, word)
    yield _kept("id", "left out", lambda: without(holder(), ("id",)), "'id'")
    yield _kept("id", "given twice", lambda: twice(holder(), ("id",)), "'id'")
    yield _kept("history", "out of order", lambda: put(holder(), ("history",), [
        holder(3)["history"][0], holder(1)["history"][0]]), "out of order")  # fmt: skip
    yield _kept("the document", "empty", lambda: b"", "not JSON")
    yield _kept("the document", "cut in half", lambda: text(holder())[:999], "not JSON")
    yield _kept("the document", "zeros", lambda: bytes(4096), "not JSON")
    for command, code in COMMANDS.items():
        for what, spoilt in WHOLE.items():
            yield _by(command, code, what, spoilt)


def two(folder: Path, spoilt: bytes | None = None) -> None:
    """A drawer of two holders, the first of them spoilt."""
    (folder / "d").mkdir()
    (folder / "d" / f"{FIRST}.json").write_bytes(text(holder()) if spoilt is None else spoilt)
    (folder / "d" / f"{SECOND}.json").write_bytes(text(holder(2)))


def _kept(field: str, what: str, content: Any, word: str) -> Row:
    def plant(folder: Path) -> Sequence[str]:
        two(folder, content())
        return "drawer", "check", "--drawer", "d"

    names = (f"{FIRST}.json", word, "1 holders can be used")
    return Row("kept", f"kept-holder in a drawer: {field}", what, plant, inside, 2, names, OWN)


COMMANDS: dict[tuple[str, ...], int] = {
    ("drawer", "list"): 0,
    ("find", "--diameter", "26"): 0,
    ("drawer", "labels", "--out", "labels.pdf"): 0,
    ("drawer", "export", "--out", "out.zip"): 0,
    ("retire", FIRST, "--reason", "x"): 2,
    ("drawer", "show", FIRST): 2,
    ("drawer", "measure", FIRST, "seat=26.1"): 2,
    ("reinstate", FIRST): 2,
    ("drawer", "import", f"d/{FIRST}.json"): 2,
}
WHOLE = {
    "cut in half": lambda: text(holder())[:999],
    "number null": lambda: put(holder(), (*LAST, "number"), None),
    "state a list": lambda: put(holder(), (*LAST, "state"), []),
}


def _by(command: tuple[str, ...], code: int, what: str, content: Any) -> Row:
    def plant(folder: Path) -> Sequence[str]:
        two(folder, content())
        return *command, "--drawer", "d"

    adds = (*OWN, "labels.pdf", "out.zip")
    field = f"kept-holder: read by {' '.join(command[:2])}"
    return Row("kept", field, what, plant, inside, code, (f"{FIRST}.json",), adds)
