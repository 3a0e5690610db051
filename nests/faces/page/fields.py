"""The fields of a document, read off its schema: what stands at a pointer, and how it is typed.

A pointer is a JSON Pointer (RFC 6901). The schemas are those that the records themselves give.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

from nests.documents.files import schema as document_schema
from nests.documents.schema import schema_of
from nests.families import family
from nests.lengths import read_length
from nests.units import BadInput

PLACE = "Place"
DOCUMENTS = ("sheet", "recipe")


@dataclass(frozen=True)
class Node:
    """A schema without references, and the schema it is a part of."""

    schema: Mapping[str, Any]
    root: Mapping[str, Any]
    name: str = ""

    @property
    def kind(self) -> str:
        """number, integer, string, boolean, choice, place, object, list or texts."""
        if self.name == PLACE:
            return "place"
        if "enum" in self.schema or "const" in self.schema:
            return "choice"
        said = self.schema.get("type", "object")
        plain = next((t for t in said if t != "null"), "") if isinstance(said, list) else said
        if plain == "array":
            return "texts" if self.items().kind == "string" else "list"
        return str(plain)

    @property
    def may_lack(self) -> bool:
        """Whether none is an answer."""
        said = self.schema.get("type", "")
        return isinstance(said, list) or "default" in self.schema

    @property
    def unit(self) -> str:
        """Its unit."""
        return str(self.schema.get("unit", ""))

    @property
    def meaning(self) -> str:
        """What it is, in words."""
        return str(self.schema.get("description", ""))

    @property
    def choices(self) -> tuple[str, ...]:
        """What may be chosen."""
        return tuple(map(str, self.schema.get("enum", ())))

    def span(self) -> str:
        """The allowed range in words."""
        low, high = self.schema.get("minimum"), self.schema.get("maximum")
        return "" if low is None or high is None else f"{low:g} to {high:g}"

    def items(self) -> Node:
        """The node of what is in the list."""
        return resolved(self.schema["items"], self.root, None)

    def inner(self, key: str, value: Any) -> Node:
        """The node of a property, where `value` stands in it. Raises `BadInput` if there is none"""
        found = self.schema.get("properties", {}).get(key)
        if found is None:
            raise BadInput(f"there is no field '{key}' here.")
        return resolved(found, self.root, value)

    def needed(self) -> tuple[str, ...]:
        """Properties it cannot do without."""
        return tuple(self.schema.get("required", ()))


def resolved(schema: Mapping[str, Any], root: Mapping[str, Any], value: Any) -> Node:
    """A node with its references followed; of variants that which `value` is tagged as, else the
    first."""
    name, merged = "", dict(schema)
    while True:
        if "$ref" in merged:
            name = merged.pop("$ref").rsplit("/", 1)[-1]
            merged = {**root["$defs"][name], **merged}
        elif "then" in merged and merged.get("if") == {"not": {"type": "null"}}:
            then = merged.pop("then")
            merged.pop("if")
            merged = {**then, **merged, "default": None}
        else:
            break
    tags = [each for each in merged.get("allOf", ()) if _tag(each)]
    if tags and name != PLACE:
        key, _ = _tag(tags[0])
        wanted = value.get(key) if isinstance(value, Mapping) else None
        chosen = next((e for e in tags if _tag(e)[1] == wanted), tags[0])
        choices = [_tag(each)[1] for each in tags]
        found = resolved(chosen["then"], root, value)
        inside = {**found.schema["properties"], key: {"enum": choices, "description": key}}
        return Node({**found.schema, "properties": inside}, root, found.name)
    return Node(merged, root, name)


def _tag(rule: Mapping[str, Any]) -> tuple[str, str] | Any:
    """Key and word of a rule that tells a variant by its tag; nothing for another rule."""
    asked = rule.get("if", {}).get("properties", {})
    if len(asked) == 1 and "then" in rule and "$ref" in rule["then"]:
        ((key, about),) = asked.items()
        if isinstance(about, Mapping) and "const" in about:
            return key, about["const"]
    return None


@cache
def root_of(document: str) -> Node:
    """The root node of a document: sheet, recipe, or the options of a family as `options.round`."""
    if document.startswith("options."):
        whole = schema_of(family(document.removeprefix("options.")).Wish)
        return Node(whole, whole)
    if document not in DOCUMENTS:
        raise BadInput(f"there is no document '{document}' here.")
    whole = document_schema(document)
    return Node(whole, whole)


def keys_of(pointer: str) -> tuple[str, ...]:
    """The steps of a pointer. Raises `BadInput`."""
    if pointer and not pointer.startswith("/"):
        raise BadInput(f"'{pointer[:60]}' is no pointer.")
    parts = pointer.split("/")[1:]
    return tuple(each.replace("~1", "/").replace("~0", "~") for each in parts)


def walked(document: str, data: Any, pointer: str) -> Iterator[tuple[str, Node, Any]]:
    """Key, node and value of every step of a pointer; a value that is not there is None.

    Raises `BadInput` for a pointer that leads nowhere.
    """
    node, value = root_of(document), data
    yield "", node, value
    for key in keys_of(pointer):
        if node.kind == "list":
            some = value if isinstance(value, list) else []
            if not key.isascii() or not key.isdigit() or int(key) >= len(some):
                raise BadInput(f"there is nothing at '{pointer[:60]}' any more.")
            value = some[int(key)]
            node = resolved(node.schema["items"], node.root, value)
        else:
            value = value.get(key) if isinstance(value, Mapping) else None
            node = node.inner(key, value)
        yield key, node, value


def at(document: str, data: Any, pointer: str) -> tuple[Node, Any]:
    """Node and value at a pointer. Raises `BadInput`."""
    *_, (_, node, value) = walked(document, data, pointer)
    return node, value


def put(data: Any, pointer: str, value: Any) -> Any:
    """Data with another value at a pointer; None takes it away. What is above is made where it
    lacks. Raises `BadInput`."""
    keys = keys_of(pointer)
    if not keys:
        return value
    out = copy.deepcopy(data) if data is not None else {}
    here = out
    for key in keys[:-1]:
        here = here[int(key)] if isinstance(here, list) else here.setdefault(key, {})
    last = keys[-1]
    if isinstance(here, list):
        if value is None:
            del here[int(last)]
        else:
            here[int(last)] = value
    elif value is None:
        here.pop(last, None)
    else:
        here[last] = value
    return out


def without_item(pointers: Iterable[str], gone: str) -> dict[str, str]:
    """Where pointers lead after an item of a list was taken away; those into it lead nowhere."""
    head, _, last = gone.rpartition("/")
    out = {}
    for each in pointers:
        rest = each.removeprefix(f"{head}/")
        index, slash, tail = rest.partition("/")
        if rest == each or not last.isdigit() or not index.isdigit() or int(index) < int(last):
            out[each] = each
        elif int(index) > int(last):
            out[each] = f"{head}/{int(index) - 1}{slash}{tail}"
    return out


def read_text(node: Node, text: str, label: str) -> Any:
    """What was typed, as its field takes it; None for nothing. Raises `BadInput`."""
    text = text.strip()
    if not text:
        return None
    kind = node.kind
    if kind in ("number", "integer"):
        if node.unit == "mm":
            return read_length(text.replace(",", "."), label).mm
        try:
            number = float(text.replace(",", "."))
        except ValueError:
            span = node.span()
            raise BadInput(
                f"{label} is '{text[:60]}'; a number is needed{f', {span}' if span else ''}"
                f"{f' {node.unit}' if node.unit else ''}."
            ) from None
        return int(number) if kind == "integer" and number.is_integer() else number
    if kind == "boolean":
        return {"yes": True, "no": False}.get(text, text)
    if kind == "texts":
        return [each.strip() for each in text.split(",") if each.strip()]
    return text


def wish_fields(name: str) -> dict[str, Any]:
    """The fields of the options of a family, by name."""
    return {each.name: each for each in fields(family(name).Wish)}
