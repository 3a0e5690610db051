"""The slip: the readings of the one thing that is looked at, each field read off its schema."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from nests.documents.schema import plain
from nests.faces.page import fields
from nests.faces.page.fields import Node
from nests.given.sheet import Sheet
from nests.orders import shown_plan
from nests.places import Place, Side, at_hour, read_place
from nests.units import BadInput

HIDDEN = ("document", "edition", "part", "workpiece", "printer", "operation", "uncertainties",
          "sub_assemblies", "assumed", "chord_error")  # fmt: skip
"""What is not typed on a slip: it has a place of its own, or is a document itself."""
FOLDED = ("tag", "shape", "type")
USUAL = ("arbors", "rests", "keep_clear", "pushers", "stem", "dial", "dial_feet", "casing_ledge",
         "lugs", "flank")  # fmt: skip
"""What may be added to a sheet, in the order of the bench."""


@dataclass(frozen=True)
class Reads:
    """What a slip says of a place: what was read, the hour it lies near, ± mm, what is left of each
    reading in mm, and which does not fit; `names` is what may be measured from."""

    text: str = ""
    near: str = ""
    doubt: str = ""
    left: tuple[tuple[str, str], ...] = ()
    misfit: str = ""
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Row:
    """One field: `at` its pointer, `texts` what stands in it (four numbers of a place)."""

    at: str
    label: str
    kind: str
    text: str = ""
    unit: str = ""
    hint: str = ""
    meaning: str = ""
    choices: tuple[str, ...] = ()
    texts: Mapping[str, str] = field(default_factory=dict)
    needed: bool = False
    assumed: bool = False
    read: Reads | None = None


@dataclass(frozen=True)
class Group:
    """Fields that belong together; `at` their pointer where they may be taken away."""

    title: str
    at: str
    rows: tuple[Row, ...]
    may_go: bool = False


@dataclass(frozen=True)
class Slip:
    """What lies beside the drawing. `adds` are (pointer, words) of what may be added inside it."""

    title: str
    at: str
    groups: tuple[Group, ...]
    adds: tuple[tuple[str, str], ...] = ()
    draft: bool = False
    may_go: bool = False
    about: str = ""


def slip(document: str, schema: str, data: Any, pointer: str, side: Side) -> Slip:
    """The slip of what stands at a pointer. Raises `BadInput`."""
    node, value = fields.at(schema, data, pointer)
    if node.kind != "object" or not isinstance(value, Mapping | type(None)):
        raise BadInput("there is nothing to be read at that place.")
    at = f"{document}:{pointer}"
    groups, adds = [], []
    rows = tuple(each for each in _rows(node, value or {}, at, side) if each.label not in FOLDED)
    groups.append(Group("", at, rows))
    for key in _keys(node):
        inner = (value or {}).get(key)
        child = node.inner(key, inner)
        where, words = f"{at}/{key}", _words(key)
        if _flat(key, child):
            continue  # among the rows of the thing itself
        if child.kind == "list":
            adds.append((where, _one(words)))
            for index, each in enumerate(inner or ()):
                if (pointer or document == "options") and isinstance(each, Mapping):
                    item = fields.resolved(child.schema["items"], child.root, each)
                    here = f"{where}/{index}"
                    own = tuple(_rows(item, each, here, side))
                    groups.append(Group(f"{_one(words)} {index + 1}", here, own, True))
        elif child.kind == "object":
            if inner is None and child.may_lack and child.schema.get("default") is None:
                adds.append((where, words))
            elif pointer or key in ("outline", "plate", "bridges"):
                some = _rows(child, inner or {}, where, side)
                own = tuple(each for each in some if each.label not in FOLDED)
                groups.append(Group(words, where, own, inner is not None and child.may_lack))
    name = (value or {}).get("name") or (value or {}).get("under")
    title = str(name or _words(pointer.rsplit("/", 2)[-2 if pointer[-1:].isdigit() else -1]) or
                "the whole")  # fmt: skip
    return Slip(title, at, tuple(each for each in groups if each.rows), tuple(adds),
                may_go=bool(pointer), about=node.meaning)  # fmt: skip


def draft(document: str, schema: str, data: Any, pointer: str, side: Side, shape: str) -> Slip:
    """An empty slip for something to be added at a pointer; `shape` of its area. Raises
    `BadInput`."""
    node, _ = fields.at(schema, data, pointer)
    item = node.items() if node.kind == "list" else node
    rows: list[Row] = []
    for key in _keys(item):
        seed: Any = {"shape": shape} if shape else None
        child = item.inner(key, seed)
        needed = key in item.needed()
        if child.kind == "object" and needed:
            rows += [_needed(row, child) for row in _rows(child, seed or {}, f"/{key}", side)]
        elif child.kind not in ("object", "list"):
            rows += _one_row(child, None, f"/{key}", key, side, needed)
    title = f"new {_one(_words(pointer.rsplit('/', 1)[-1]))}"
    return Slip(title, f"{document}:{pointer}", (Group("", "", tuple(rows)),), draft=True,
                about=item.meaning)  # fmt: skip


def _needed(row: Row, child: Node) -> Row:
    key = row.at.rsplit("/", 1)[-1]
    needed = key in child.needed() or key in FOLDED
    return Row(**{**vars(row), "needed": needed})


def _keys(node: Node) -> list[str]:
    return [key for key in node.schema.get("properties", {}) if key not in HIDDEN]


def _rows(node: Node, value: Mapping[str, Any], at: str, side: Side) -> Iterator[Row]:
    """The rows of an object: what is a number, a word, a place; an inner shape is laid flat."""
    for key in _keys(node):
        child = node.inner(key, value.get(key))
        if _flat(key, child):
            yield from _rows(child, value.get(key) or {}, f"{at}/{key}", side)
        elif child.kind not in ("object", "list"):
            yield from _one_row(child, value.get(key), f"{at}/{key}", key, side,
                                key in node.needed())  # fmt: skip


def _flat(key: str, child: Node) -> bool:
    """Whether an inner shape is laid flat among the rows of its thing."""
    return key == "zone" or (child.kind == "object" and key == "shape")


def _one_row(child: Node, value: Any, at: str, key: str, side: Side, needed: bool) -> Iterator[Row]:
    if child.kind == "place":
        yield Row(at, _words(key), "place", texts=place_texts(value, side), needed=needed,
                  meaning=child.meaning)  # fmt: skip
        return
    if child.kind == "choice" and "const" in child.schema:
        return
    default = child.schema.get("default")
    hint = child.span()
    if default not in (None, "", [], ()):
        hint = f"{_text(default)} if nothing is typed" + (f"; {hint}" if hint else "")
    yield Row(
        at, _words(key), child.kind, _text(value), child.unit, hint, child.meaning,
        ("yes", "no") if child.kind == "boolean" else child.choices, needed=needed,
    )  # fmt: skip


def row_at(document: str, schema: str, data: Any, pointer: str, side: Side) -> Row | None:
    """The row of one field by itself, named with what it is of; None for what has a slip of its
    own. Raises `BadInput`."""
    node, value = fields.at(schema, data, pointer)
    if node.kind in ("object", "list", "place"):
        return None
    keys = [key for key in fields.keys_of(pointer) if not key.isdigit()]
    (row,) = _one_row(node, value, f"{document}:{pointer}", keys[-1], side, needed=False)
    return replace(row, label=_words(" ".join(keys[-2:])))


def place_texts(value: Any, side: Side) -> dict[str, str]:
    """A place both ways: hour and radius, and x and y as they are seen from a side."""
    if not isinstance(value, Mapping):
        return {"hour": "", "radius": "", "x": "", "y": ""}
    if "hour" in value:
        at = at_hour(float(value["hour"]), float(value["radius"]))
    elif isinstance(value.get("x"), int | float):
        at = read_place(value["x"], value["y"], Side(value.get("read_from", "dial")))
    else:
        at = Place(0.0, 0.0)
    x, y = shown_plan.seen(at, side)
    return {"hour": f"{at.hour:.3f}".rstrip("0").rstrip("."), "radius": f"{at.radius:.3f}",
            "x": f"{x + 0.0:.3f}", "y": f"{y + 0.0:.3f}"}  # fmt: skip


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:g}" if abs(value) < 1e6 else str(value)
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return "" if value is None else str(plain(value))


def _words(key: str) -> str:
    return key.replace("_", " ")


def _one(words: str) -> str:
    """One of many."""
    known = {"dial feet": "dial foot", "corners": "corner", "keep clear": "keep-clear"}
    return known.get(words, words.removesuffix("s"))


def one_of(key: str) -> str:
    """What one of the things under a field is called."""
    return _one(_words(key))


def index(sheet: Sheet, side: Side) -> list[tuple[str, list[tuple[str, str]]]]:
    """What is on a sheet, by kind: (pointer, name) of each."""
    found: dict[str, list[tuple[str, str]]] = {}
    for each in shown_plan.things(sheet, side):
        if each.kind != "jewel":
            found.setdefault(each.kind, []).append((f"sheet:{each.at}", each.name))
    order = ("arbor", "rest", "keep-clear", "stem", "pusher", "dial foot", "lug")
    return [(kind, found[kind]) for kind in order if kind in found]
