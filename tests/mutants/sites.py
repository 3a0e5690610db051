"""Places where a number is printed, and how each is made wrong.

Modules are read with every such place wrapped in a call of `seen`, once; which of them lies, and
how, is set while the program runs, so that nothing is imported twice.
"""

from __future__ import annotations

import ast
import builtins
import importlib.machinery
import sys
from collections.abc import Callable, Collection
from dataclasses import dataclass, field, replace
from types import CodeType
from typing import Any

PRINTERS = ("figure", "counted", "signed", "str", "letter", "_hours", "_odds", "_bore", "_across",
            "_number", "Fit")  # fmt: skip
"""Functions whose numeric arguments are printed."""
NAMESAKES = (("nests.papers.drawing.plan_view", "_hours"),)
"""Of these names, a function that takes places on paper."""
MEASURERS = ("length_of", "height_of", "diameter_of", "across", "up", "_diameter", "_foot")
"""Functions that give a dimension."""


@dataclass(frozen=True)
class Site:
    """A place: module, line, its source, and whether that speaks of an hour."""

    module: str
    line: int
    source: str

    @property
    def where(self) -> str:
        return f"{self.module.replace('.', '/')}.py:{self.line}"


@dataclass
class Sites:
    """All places, what was seen at each and in which document, and the one that lies."""

    all: list[Site] = field(default_factory=list)
    hits: dict[int, dict[str, set[tuple[str, str]]]] = field(default_factory=dict)
    making: list[tuple[str, str]] | None = None
    """Papers and kind of the documents being made; None while nothing is to be noted."""
    lies: tuple[int, str] | None = None

    def seen(self, number: int, value: Any) -> Any:
        """The value, or a wrong one where this place lies."""
        kind = kind_of(value, self.all[number].source)
        if kind is None:
            return value
        if self.making:
            self.hits.setdefault(number, {}).setdefault(kind, set()).add(self.making[-1])
        if self.lies is not None and self.lies[0] == number and self.lies[1] in LIES[kind]:
            return LIES[kind][self.lies[1]](value)
        return value


SITES = Sites()


def kind_of(value: Any, source: str) -> str | None:
    """A truth, a side, a count, an hour, a figure, a dimension; None for what is none of them."""
    if isinstance(value, bool):
        return "truth" if source.startswith("either ") else None
    if isinstance(value, str):
        return "side" if value in ("dial", "bridge") else None
    if isinstance(value, int) or type(value).__name__.startswith("int"):
        return "count"
    if isinstance(value, float):
        return "hour" if "hour" in source else "figure"
    if type(value).__name__ in ("Measured", "Pending", "Dimension"):
        return "dimension"
    return None


def _dimension(by: Callable[[float], float]) -> Callable[[Any], Any]:
    def changed(made: Any) -> Any:
        if hasattr(made, "what"):
            return replace(made, what=changed(made.what))
        value = by(made.value)
        if not hasattr(made, "text"):
            return replace(made, value=value)
        words = f"{made.prefix}{value:.2f}{made.suffix}"
        return replace(made, value=value, text=replace(made.text, words=words))

    return changed


_TWICE, _MORE = {"twice": lambda v: 2 * v}, {"one more": lambda v: v + 1}
LIES: dict[str, dict[str, Callable[[Any], Any]]] = {
    "truth": {"the other word": lambda v: not v},
    "side": {"the other side": lambda v: {"dial": "bridge", "bridge": "dial"}[v]},
    "count": {**_TWICE, **_MORE},
    "hour": {**_TWICE, **_MORE, "the other side": lambda v: (12.0 - v) % 12.0},
    "figure": {**_TWICE, **_MORE, "the other sign": lambda v: -v},
    "dimension": {name: _dimension(by) for name, by in ({**_TWICE, **_MORE}).items()},
}
"""Ways to be wrong, by kind."""


class _Wrapper(ast.NodeTransformer):
    """Wraps what is printed; `only` keeps to texts with these words."""

    def __init__(self, module: str, only: str) -> None:
        self._module, self._only = module, only

    def _wrapped(self, node: ast.expr, source: str) -> ast.expr:
        SITES.all.append(Site(self._module, node.lineno, source))
        call = ast.Call(
            ast.Name("__seen__", ast.Load()), [ast.Constant(len(SITES.all) - 1), node], []
        )
        return ast.copy_location(call, node)

    def visit_Raise(self, node: ast.Raise) -> ast.Raise:
        return node  # a refusal is no document

    def visit_JoinedStr(self, node: ast.JoinedStr) -> ast.JoinedStr:
        text = "".join(v.value for v in node.values if isinstance(v, ast.Constant))
        for each in node.values:
            if isinstance(each, ast.FormattedValue):
                source = ast.unparse(each.value)
                each.value = self.visit(each.value)
                if each.conversion == -1 and self._only in text:
                    each.value = self._wrapped(each.value, source)
        return node

    def visit_Call(self, node: ast.Call) -> ast.expr:
        name = node.func.id if isinstance(node.func, ast.Name) else ""
        source = ast.unparse(node)
        self.generic_visit(node)
        if self._only:
            return node
        if name in PRINTERS and (self._module, name) not in NAMESAKES:
            node.args = [
                a if isinstance(a, ast.Constant | ast.Starred) else self._wrapped(a, ast.unparse(a))
                for a in node.args
            ]
        return self._wrapped(node, source) if name in MEASURERS else node

    def visit_IfExp(self, node: ast.IfExp) -> ast.IfExp:
        words = [e.value for e in (node.body, node.orelse) if isinstance(e, ast.Constant)]
        source = ast.unparse(node)
        self.generic_visit(node)
        if len(words) == 2 and all(isinstance(w, str) and len(w) > 2 for w in words):
            truth = ast.Call(ast.Name("bool", ast.Load()), [node.test], [])
            node.test = self._wrapped(ast.copy_location(truth, node.test), f"either {source}")
        return node


class _Loader(importlib.machinery.SourceFileLoader):
    only = ""

    def get_code(self, fullname: str) -> CodeType:
        tree = ast.parse(self.get_data(self.path), self.path)
        tree = ast.fix_missing_locations(_Wrapper(fullname, self.only).visit(tree))
        return compile(tree, self.path, "exec", dont_inherit=True)


class _Finder:
    def __init__(self, modules: Collection[str], only: dict[str, str]) -> None:
        self._modules, self._only = set(modules), only

    def find_spec(self, name: str, path: Any, target: Any = None) -> Any:
        if name not in self._modules:
            return None
        spec = importlib.machinery.PathFinder.find_spec(name, path)
        assert spec is not None
        assert spec.origin is not None
        spec.loader = _Loader(name, spec.origin)
        spec.loader.only = self._only.get(name, "")
        return spec


def watch(modules: Collection[str], only: dict[str, str]) -> None:
    """Have these modules wrapped when they are imported; none of them may have been yet."""
    assert not set(modules) & set(sys.modules)
    builtins.__seen__ = SITES.seen  # type: ignore[attr-defined]
    sys.meta_path.insert(0, _Finder(modules, only))  # type: ignore[arg-type]
