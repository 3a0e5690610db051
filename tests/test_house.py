"""How the house is built, read from its syntax trees: no room asks a part for its class."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import nests.parts  # noqa: F401  registers every part
from nests.documents.schema import variants
from nests.parts.base import Part

ROOT = Path(__file__).parent.parent / "nests"
CLASSES = {cls.__name__ for cls in variants(Part).values()}
OWN_ROOMS = ("parts", "families")
CUT_FROM = {"holder/recipe.py": {"Body"}}
"""A recipe has a field for the body it is cut from, so it names that class in its type."""


def modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(ROOT.rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        if name.split("/")[0] not in OWN_ROOMS:
            yield name, ast.parse(path.read_text("utf-8"))


def questions(name: str, tree: ast.Module) -> Iterator[str]:
    """What a module asks of a part's class."""
    allowed = CUT_FROM.get(name, set())
    for node in ast.walk(tree):
        where = f"{name}:{getattr(node, 'lineno', 0)}"
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("nests.parts"):
            yield from (f"{where} {a.name}" for a in node.names if a.name in CLASSES - allowed)
        if isinstance(node, ast.Name | ast.Attribute) and isinstance(node.ctx, ast.Load):
            word = node.id if isinstance(node, ast.Name) else node.attr
            if word in ("hasattr", "issubclass") and name not in ("documents/schema.py",):
                yield f"{where} {word}"
        if isinstance(node, ast.Compare):
            asked = [node.left, *node.comparators]
            if any(isinstance(each, ast.Attribute) and each.attr == "tag" for each in asked):
                yield f"{where} compares a tag"
            if any(_is_type_of_part(each) for each in asked):
                yield f"{where} compares a type"
        if isinstance(node, ast.MatchClass) and ast.unparse(node.cls) in CLASSES:
            yield f"{where} matches {ast.unparse(node.cls)}"
        if isinstance(node, ast.Constant) and node.value in ("stake post", "ring seat"):
            yield f"{where} names a part by its tag"


def _is_type_of_part(node: ast.expr) -> bool:
    called = isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    if not called or node.func.id != "type" or not node.args:  # type: ignore[attr-defined]
        return False
    first = node.args[0]  # type: ignore[attr-defined]
    return isinstance(first, ast.Attribute) and first.attr == "part"


def test_no_room_asks_a_part_for_its_class() -> None:
    assert [each for name, tree in modules() for each in questions(name, tree)] == []


def test_families_name_parts_to_write_them_and_ask_none_for_its_class() -> None:
    found = []
    for path in sorted((ROOT / "families").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            asked = ast.unparse(node.func) in ("isinstance", "issubclass", "type", "hasattr")
            if asked and {n.id for n in ast.walk(node) if isinstance(n, ast.Name)} & CLASSES:
                found.append(f"{path.name}:{node.lineno} {ast.unparse(node)}")
    assert found == []


def test_the_reader_of_questions_finds_them() -> None:
    asked = """
from nests.parts.clip import Clip
def f(each):
    match each.part:
        case Clip():
            return 1
    return each.part.tag == "clip" or hasattr(each, "at") or type(each.part) is int
"""
    found = list(questions("x.py", ast.parse(asked)))
    assert len(found) == 5, found
    assert list(questions("holder/recipe.py", ast.parse("from nests.parts.body import Body"))) == []


def test_nothing_catches_whatever_comes() -> None:
    """A fault of the program is not dressed up as one of the input."""
    found = set()
    for path in sorted(ROOT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            caught = "nothing"
            if isinstance(node, ast.ExceptHandler):
                caught = "Exception" if node.type is None else ast.unparse(node.type)
            elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith("suppress"):
                caught = ast.unparse(node)
            if {"Exception", "BaseException"} & set(re.findall(r"\w+", caught)):
                found.add(path.relative_to(ROOT).as_posix())
    assert found == set()


WHOLE = {
    "checks/printer/fine_detail.py": "map(study.engraved, labels)",
    "faces/drawer_care.py": "(each.open for each in rows)",
    "papers/picture/light.py": "(v * u for v, u in zip(_windows(light), use, strict=True))",
    "papers/picture/pages.py": "wide",
    "planning/cover.py": "(weights[j] for j in",
    "solids/foreign_3mf_placed.py": "(many[each] for each in",
}
"""Sums of whole numbers and of arrays that do not look like it: where, and what is summed."""


def test_fractions_are_summed_exactly() -> None:
    """The built-in `sum` of floats rounds otherwise from Python 3.12 on: What's New In 3.12, gh
    100425. `math.fsum` gives the exact sum, rounded once, in every release."""
    loose = []
    for path in sorted(ROOT.rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Call) or ast.unparse(node.func) != "sum":
                continue
            what = node.args[0]
            if not _counts(what) and not ast.unparse(what).startswith(WHOLE.get(name, "nothing")):
                loose.append(f"{name}:{node.lineno} {ast.unparse(node)}")
    assert loose == []


def _counts(what: ast.expr) -> bool:
    """Whether it counts what is so, or sums lengths of lists, or bits."""
    if not isinstance(what, ast.GeneratorExp):
        return False
    each = what.elt
    if isinstance(each, ast.BinOp):
        return isinstance(each.op, ast.LShift)
    return isinstance(each, ast.Compare) or ast.unparse(each).startswith("len(")


def test_rooms_use_no_private_module_of_another() -> None:
    """`_name` modules are for their own room alone."""
    found = []
    for path in sorted(ROOT.rglob("*.py")):
        own = path.relative_to(ROOT).parts[0]
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("nests."):
                _, room, *inner = (node.module or "").split(".")
                private = any(each.startswith("_") for each in inner)
                if private and room != own:
                    found.append(f"{path.name}: {node.module}")
    assert found == []


def test_no_file_outgrows_one_reading() -> None:
    long = {
        path.relative_to(ROOT).as_posix(): count
        for path in ROOT.rglob("*.py")
        if (count := len(path.read_text("utf-8").splitlines())) > 345
    }
    assert long == {}
