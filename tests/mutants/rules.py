"""How many small faults in the rules the tests find.

    python tests/mutants/rules.py [--only places] [--each 40] [--seed 1] [--quick]

Some places of each room are drawn at random, each is made wrong in one way (a comparison, an
operation, a number, least for most), and the tests of that room, the slow ones too, are run on a
copy of the checkout, two at a time, the quick ones first. Prints the share that is found, and every
fault that is not, with its line; how each is found goes to standard error. First the tests are run
as all is: they must find nothing.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import Queue

ROOT = Path(__file__).resolve().parents[2]
LEAST = 0.85
"""Share of faults that must be found."""
TOO_LONG = 900
"""s after which tests that do not end count as having found it."""
QUICK_FIRST = ("not slow and not long", "slow and not long")
"""Tests that are run, the quick ones first."""
PASSED, NONE_OF_THEM = 0, 5
"""What pytest ends with where nothing failed."""
ROOMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "places": (("nests/places.py",), ("tests/test_places.py", "tests/holder/test_mirror.py")),
    "mechanics": (
        ("nests/mechanics/*.py",),
        ("tests/outside/test_mechanics_*.py", "tests/outside/test_hold.py"),
    ),
    "fit": (("nests/study/fitted.py", "nests/checks/bench/fit.py"), ("tests/outside/test_fit.py",)),
    "planning": (("nests/planning/*.py",), ("tests/planning",)),
}  # fmt: skip
COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
REVERSED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE,
}  # fmt: skip
RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
}  # fmt: skip
OTHER = {"min": "max", "max": "min", "sin": "cos", "cos": "sin", "any": "all", "all": "any"}


@dataclass(frozen=True)
class Fault:
    """A module made wrong in one place: the line, what stood there, and what stands there now."""

    file: str
    line: int
    was: str
    now: str
    text: str

    def __str__(self) -> str:
        """In a line."""
        return f"{self.file}:{self.line}: {self.was} -> {self.now}"


def faults(file: str) -> Iterator[Fault]:
    """Every fault of a module."""
    source = (ROOT / file).read_text("utf-8")
    count = sum(1 for _ in _places(ast.parse(source)))
    for number in range(count):
        tree = ast.parse(source)
        node, change = list(_places(tree))[number]
        was = ast.unparse(node)
        change()
        now = ast.unparse(node)
        if was != now:
            yield Fault(file, getattr(node, "lineno", 0), was[:70], now[:70], ast.unparse(tree))


def _places(tree: ast.Module) -> Iterator[tuple[ast.AST, Callable[[], object]]]:
    """Places that can be made wrong, each with what does it."""
    words = {id(node.body[0].value) for node in ast.walk(tree)
             if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
             and node.body and isinstance(node.body[0], ast.Expr)}  # fmt: skip
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare) and len(node.ops) == 1:
            for table in (COMPARED, REVERSED):
                other = table.get(type(node.ops[0]))
                if other is not None and (table is REVERSED or _can_be_equal(node)):
                    yield node, lambda n=node, o=other: n.ops.__setitem__(0, o())
        elif isinstance(node, ast.BinOp) and type(node.op) in RECKONED:
            if not any(isinstance(e, ast.JoinedStr) for e in (node.left, node.right)):
                yield node, lambda n=node: setattr(n, "op", RECKONED[type(n.op)]())
        elif isinstance(node, ast.BoolOp):
            other = ast.Or if isinstance(node.op, ast.And) else ast.And
            yield node, lambda n=node, o=other: setattr(n, "op", o())
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
            yield node, lambda n=node: setattr(n, "op", ast.UAdd())
        elif isinstance(node, ast.Name) and node.id in OTHER and isinstance(node.ctx, ast.Load):
            yield node, lambda n=node: setattr(n, "id", OTHER[n.id])
        elif isinstance(node, ast.Attribute) and node.attr in OTHER:
            yield node, lambda n=node: setattr(n, "attr", OTHER[n.attr])
        elif isinstance(node, ast.Constant) and id(node) not in words and _is_number(node.value):
            yield node, lambda n=node: setattr(n, "value", _another(n.value))


def _can_be_equal(node: ast.Compare) -> bool:
    """Whether it may matter that a comparison takes in equality: of counts, and of what is no size.
    Two sizes that are never quite equal are compared alike with and without."""
    sides = (node.left, *node.comparators)
    counted = any(
        (isinstance(side, ast.Constant) and isinstance(side.value, int))
        or (
            isinstance(side, ast.Call) and isinstance(side.func, ast.Name) and side.func.id == "len"
        )
        for side in sides
    )
    return counted or not isinstance(node.ops[0], ast.Lt | ast.LtE | ast.Gt | ast.GtE)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _another(value: float) -> float:
    """One more of a count, a quarter more of a size."""
    return value + 1 if isinstance(value, int) else value * 1.25 or 1.0


def found(fault: Fault | None, copy: Path, tests: list[str], which: tuple[str, ...]) -> str:
    """How the tests find a fault in a copy of the checkout; nothing if they do not. Without a fault
    they must find none."""
    path = copy / (fault.file if fault else "nests/__init__.py")
    right = path.read_text("utf-8")
    if fault:
        path.write_text(fault.text, "utf-8")
    environment = {**os.environ, "PYTHONPATH": str(copy), "OPENBLAS_NUM_THREADS": "1",
                   "PYTHONDONTWRITEBYTECODE": "1"}  # fmt: skip
    command = [sys.executable, "-m", "pytest", "-x", "-p", "no:cacheprovider", *tests, "-m"]
    try:
        for each in which:
            done = subprocess.run(
                [*command, each], cwd=copy, env=environment, capture_output=True, timeout=TOO_LONG,
                check=False,
            )  # fmt: skip
            if done.returncode not in (PASSED, NONE_OF_THEM):
                return f"found by {each.split()[0].replace('not', 'quick')} tests"
        return ""
    except subprocess.TimeoutExpired:
        return f"found by not ending in {TOO_LONG} s"
    finally:
        path.write_text(right, "utf-8")


def copied(folder: Path) -> Path:
    """A copy of what the tests need."""
    for name in ("nests", "tests", "schemas"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("sheets", "printers", "work_plans"):
        shutil.copytree(ROOT / "gallery" / name, folder / "gallery" / name)
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


def listed(patterns: tuple[str, ...], root: Path) -> list[str]:
    """Files or folders of some patterns, below the root."""
    out = [path.relative_to(root).as_posix() for each in patterns for path in root.glob(each)]
    return sorted(name for name in out if not name.endswith("__init__.py"))


def main() -> int:
    """Print the share that is found in each room."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--only", choices=ROOMS)
    parser.add_argument("--each", type=int, default=40, help="faults tried in a room")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="leave the slow tests out")
    asked = parser.parse_args()
    short = 0
    with tempfile.TemporaryDirectory() as folder:
        copies: Queue[Path] = Queue()
        for number in range(2):
            copies.put(copied(Path(folder) / str(number)))
        for room in [asked.only] if asked.only else ROOMS:
            sources, patterns = ROOMS[room]
            every = [each for file in listed(sources, ROOT) for each in faults(file)]
            draw = random.Random(asked.seed).sample(every, min(asked.each, len(every)))
            tests = listed(patterns, ROOT)

            def tried(fault: Fault | None, tests: list[str] = tests) -> str:
                copy, start = copies.get(), time.monotonic()
                try:
                    how = found(fault, copy, tests, QUICK_FIRST[: 1 if asked.quick else 2])
                finally:
                    copies.put(copy)
                took = time.monotonic() - start
                what = fault or "as it is"
                print(f"{took:.0f} s: {how or 'not found'}: {what}", file=sys.stderr, flush=True)
                return how

            with ThreadPoolExecutor(2) as pool:
                if any(pool.map(tried, (None, None))):
                    print(f"{room}: the tests find a fault where none was made.", flush=True)
                    return 2
                seen = list(pool.map(tried, draw))
            share = sum(map(bool, seen)) / len(seen)
            short += share < LEAST
            print(f"{room}: {sum(map(bool, seen))} of {len(seen)} found, {100 * share:.0f} %; "
                  f"{len(every)} possible", flush=True)  # fmt: skip
            for fault in (f for f, there in zip(draw, seen, strict=True) if not there):
                print(f"  not found: {fault}", flush=True)
    return 1 if short else 0


if __name__ == "__main__":
    sys.exit(main())
