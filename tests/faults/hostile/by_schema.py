"""Rows written by the schemas: every field of every kind of document, once with each mechanism.

The least document that has the field is built from the schema, and one thing in it is spoilt. The
sentence must name the field by its path. A definition is walked through once, where it is met
first, in the order of `KINDS`; a sheet within a recipe is not walked through again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from nests.documents.files import schema
from tests.faults.hostile.row import Row
from tests.faults.hostile.spoil import Data, Steps, checked, shown, text

KINDS = ("sheet", "work-plan", "printer", "recipe", "kept-holder", "plan")
STRAY = "fieldofnobody"
KEY = "some key"
"""Stands for any key of a mapping."""


@dataclass(frozen=True)
class Spot:
    """An object in the least document that has it; `document` puts another in its place."""

    kind: str
    steps: Steps
    node: Data
    least: Data
    document: Callable[[Any], Data]

    def field(self, name: str) -> str:
        """A field of the object by its path, with the variant that the object is."""
        tags = [each["const"] for each in self.node["properties"].values() if "const" in each]
        variant = str(tags[0]) if tags and self.steps else ""
        variant = (
            "hour and radius" if set(self.node["properties"]) == {"hour", "radius"} else variant
        )
        which = f" ({variant})" if variant else ""
        return f"{self.kind}: {shown(self.steps)}{which}{'.' if self.steps else ''}{name}"

    def spoilt(self, **changes: Any) -> bytes:
        """The document with fields of the object changed."""
        return text(self.document({**self.least, **changes}))


class Walk:
    """The definitions of the schemas, each once."""

    def __init__(self) -> None:
        self.seen: set[str] = set()

    def spots(self) -> Iterator[Spot]:
        """Every object of every kind."""
        for kind in KINDS:
            of = schema(kind)
            # what another kind is, of which more is met in it, is walked through as that kind
            self.seen |= {each for each in of["$defs"] if each in ("Sheet", "PrinterCard")}
            yield from self._object(kind, of, (), lambda value: value)
            self.seen.add({"recipe": "Recipe"}.get(kind, kind))

    def _object(self, kind: str, node: Data, steps: Steps, document: Any) -> Iterator[Spot]:
        least = minimal(node, schema(kind)["$defs"])
        yield Spot(kind, steps, node, least, document)
        for name, inner in node["properties"].items():

            def around(value: Any, name: str = name) -> Data:
                return document({**least, name: value})  # type: ignore[no-any-return]

            yield from self._below(kind, inner, (*steps, name), around)

    def _below(self, kind: str, node: Data, steps: Steps, document: Any) -> Iterator[Spot]:
        """The objects that a value may be or hold."""
        if "$ref" in node:
            name = node["$ref"].rsplit("/", 1)[1]
            if name not in self.seen:
                self.seen.add(name)
                yield from self._below(kind, schema(kind)["$defs"][name], steps, document)
        elif node.get("type") == "array":
            yield from self._below(kind, node["items"], (*steps, 0), lambda v: document([v]))
        elif "then" in node and "properties" not in node.get("then", {}):  # it, or nothing
            yield from self._below(kind, node["then"], steps, document)
        elif "else" in node:  # a place
            yield from self._object(kind, node["then"], steps, document)
            yield from self._object(kind, node["else"], steps, document)
        elif "allOf" in node and node.get("additionalProperties") is not False:
            for each in node["allOf"]:
                yield from self._below(kind, each["then"], steps, document)
        elif "properties" in node:
            yield from self._object(kind, node, steps, document)
        elif isinstance(node.get("additionalProperties"), dict):
            inner = node["additionalProperties"]
            as_object = {"properties": {KEY: inner}, "additionalProperties": inner}
            yield Spot(kind, steps, as_object, {}, document)


def minimal(node: Data, definitions: Data) -> Any:
    """The least value that is valid under a part of a schema."""
    if "$ref" in node:
        return minimal(definitions[node["$ref"].rsplit("/", 1)[1]], definitions)
    if "const" in node or "enum" in node:
        return node["const"] if "const" in node else node["enum"][0]
    if "else" in node:
        return minimal(node["else"], definitions)
    if "allOf" in node and node.get("additionalProperties") is not False:
        return minimal(node["allOf"][0]["then"], definitions)
    if "properties" in node:
        fields = node["properties"]
        return {name: minimal(fields[name], definitions) for name in node.get("required", ())}
    words = node.get("type", "null")
    if words in ("number", "integer"):
        low, high = node.get("minimum", 0), node.get("maximum", 0)
        return low if low > 0 else min(high, 0)
    return {"string": "word", "boolean": False, "array": [], "object": {}}.get(words)


def rows() -> Iterator[Row]:
    """All rows that the schemas write."""
    for spot in Walk().spots():
        where = shown(spot.steps) or "the document"
        for name, node in spot.node["properties"].items():
            field = spot.field(name)
            says = shown((*spot.steps, name))
            for mechanism, value in _spoilt(node):
                yield checked("schema", field, mechanism, spot.spoilt(**{name: value}), says)
        for name in spot.node.get("required", ()):
            less = {key: value for key, value in spot.least.items() if key != name}
            field = spot.field(name)
            says = _lacking(name, where, spot.node)
            content = text(spot.document(less))
            yield checked("schema", field, "left out", content, *says)
        if spot.node.get("additionalProperties") is False:
            field = spot.field("beside its fields")
            content = spot.spoilt(**{STRAY: 1})
            yield checked("schema", field, "a field of nobody", content, where, f"'{STRAY}'")


def _lacking(name: str, where: str, node: Data) -> tuple[str, ...]:
    """What must be said where a field is left out."""
    if name == "document":
        return ("field 'document'",)
    if name == "hour" and set(node["properties"]) == {
        "hour",
        "radius",
    }:  # then the place is one by x and y
        return where, "'x'"
    return where, f"'{name}'"


def _spoilt(node: Data) -> Iterator[tuple[str, Any]]:
    """Values that a field cannot have, each with its mechanism."""
    words = node.get("type", "")
    types = {words} if isinstance(words, str) else set(words)
    yield ("a word for a number", "twelve") if types & {"number", "integer"} else ("a number", 7)
    if "null" not in types and "if" not in node:
        yield "null", None
    if "enum" in node or "const" in node:
        yield "a word of nobody", "twaddle"
    if "minimum" in node:
        yield "below its range", node["minimum"] - 1
    if "maximum" in node:
        yield "above its range", node["maximum"] + 1
    if "integer" in types:
        yield "a fraction", 1.5
