"""Records and JSON: the schema of a record class, a record to a document, a document to a record.

All three are read off the same dataclass fields, so names, units, limits and defaults cannot
differ between the class and its schema. Variants of one base (the zones, the outlines, the parts)
are told apart by the word under the base's `tag_key`.
"""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, Field, fields
from enum import Enum
from typing import Any, Literal, TypeVar, Union, get_args, get_origin

from nests.places import Place, Side, at_hour, read_place
from nests.units import BadInput, Record
from nests.units import hints as hints

R = TypeVar("R")

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_PLACE: dict[str, Any] = {
    "description": "Place in plan: x and y with the side they were read from, or hour and radius.",
    "type": "object",
    "if": {"properties": {"hour": {}}, "required": ["hour"]},
    "then": {
        "properties": {
            "hour": {"type": "number", "unit": "h", "minimum": 0, "maximum": 12},
            "radius": {"type": "number", "unit": "mm", "minimum": 0, "maximum": 100},
        },
        "required": ["hour", "radius"],
        "additionalProperties": False,
    },
    "else": {
        "properties": {
            "x": {"type": "number", "unit": "mm", "minimum": -100, "maximum": 100},
            "y": {"type": "number", "unit": "mm", "minimum": -100, "maximum": 100},
            "read_from": {"enum": [side.value for side in Side], "default": Side.DIAL.value},
        },
        "required": ["x", "y"],
        "additionalProperties": False,
    },
}

_SAYS_SIDE: dict[str, Any] = {
    "description": "A place by x and y that may have been read from either side.",
    "if": {"required": ["x"], "not": {"properties": {"x": {"const": 0}}}},
    "then": {
        "properties": {
            "read_from": {
                "description": "the side you looked at when you read x, 'dial' or 'bridge': seen "
                "from the other one x has the other sign"
            }
        },
        "required": ["read_from"],
    },
}
"""What a place by x and y must say besides where its owner asks for it; see `Record.says_side`. An
hour is the same from both sides, and so is an x of 0."""


def is_base(cls: type) -> bool:
    """Whether a record class is the base of variants told apart by a tag."""
    return "tag_key" in vars(cls)


def variants(base: type) -> dict[str, type]:
    """The variants of a tagged base by their tag, in alphabetical order."""
    found: dict[str, type] = {}
    queue: list[type] = list(base.__subclasses__())
    while queue:
        each = queue.pop()
        queue.extend(each.__subclasses__())
        if vars(each).get("tag"):
            found[vars(each)["tag"]] = each
    return dict(sorted(found.items()))


def schema_of(cls: type, title: str = "") -> dict[str, Any]:
    """The JSON Schema (2020-12) of a record class, with `$defs` for every record it uses."""
    definitions: dict[str, Any] = {}
    root = _object(cls, definitions)
    top = {
        "properties": {"document": {"const": title}, "edition": {"const": 1}, **root["properties"]},
        "required": ["document", "edition", *root.get("required", [])],
    }
    return {"$schema": DIALECT, "title": title, **root, **top, "$defs": definitions}


def _object(cls: type, definitions: dict[str, Any]) -> dict[str, Any]:
    properties = {each.name: _field_schema(cls, each, definitions) for each in fields(cls)}
    needed = [each.name for each in fields(cls) if not _has_default(each)]
    about = (cls.__doc__ or "").strip().split("\n")[0]
    tag: str = getattr(cls, "tag", "")
    if tag:
        key: str = cls.tag_key  # type: ignore[attr-defined]
        properties = {key: {"const": tag}, **properties}
        needed = [key, *needed]
    out: dict[str, Any] = {"description": about, "type": "object", "properties": properties}
    if needed:
        out["required"] = needed
    out["additionalProperties"] = False
    asks = _says_side(cls, definitions)
    if asks:
        out["allOf"] = [asks]
    return out


def _says_side(cls: type, definitions: dict[str, Any]) -> dict[str, Any]:
    """What a record class asks of the places in it; nothing if it has none, or none must say."""
    when: str | None = getattr(cls, "says_side", None)
    if when is None:
        return {}
    asks = _asks_of_places(cls)
    if asks:
        definitions.setdefault("SaysSide", _SAYS_SIDE)
    if not when or not asks:
        return asks
    *above, name = when.split(".")
    seen: dict[str, Any] = {"properties": {name: {"const": Side.BRIDGE.value}}, "required": [name]}
    for each in above:  # any of a list
        seen = {
            "properties": {each: {"not": {"items": {"not": seen}}}},
            "required": [each],
        }
    return {"if": seen, "then": asks}


def _asks_of_places(hint: Any) -> dict[str, Any]:
    """`SaysSide` at every place inside a value of a type; nothing if there is none."""
    origin, args = get_origin(hint), get_args(hint)
    if hint is Place:
        return {"$ref": "#/$defs/SaysSide"}
    if origin is tuple:
        inner = _asks_of_places(args[0])
        return {"items": inner} if inner else {}
    if origin in (Union, types.UnionType):
        return next((asks for each in args if (asks := _asks_of_places(each))), {})
    if not (isinstance(hint, type) and issubclass(hint, Record)):
        return {}
    found: dict[str, Any] = {}
    for cls in variants(hint).values() if is_base(hint) else (hint,):
        for each in fields(cls):
            if asks := _asks_of_places(hints(cls)[each.name]):
                found[each.name] = asks
    return {"properties": found} if found else {}


def _field_schema(cls: type, each: Field[Any], definitions: dict[str, Any]) -> dict[str, Any]:
    out = dict(_type_schema(hints(cls)[each.name], definitions))
    about = each.metadata.get("quantity")
    if about is not None:
        out["description"] = about.meaning
        if about.unit:
            out["unit"] = about.unit
        if about.low is not None:
            out["minimum"] = about.low
        if about.high is not None:
            out["maximum"] = about.high
        if about.origin:
            out["origin"] = about.origin
    if _has_default(each):
        default = each.default
        if each.default_factory is not MISSING:
            default = each.default_factory()
        out["default"] = plain(default)
    return out


def _type_schema(hint: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    origin, args = get_origin(hint), get_args(hint)
    if hint is float:
        return {"type": "number"}
    if hint in (int, str, bool):
        return {"type": {int: "integer", str: "string", bool: "boolean"}[hint]}
    if hint is Place:
        definitions.setdefault("Place", _PLACE)
        return {"$ref": "#/$defs/Place"}
    if origin is Literal:
        return {"enum": list(args)}
    if origin in (Union, types.UnionType):
        (inner,) = [a for a in args if a is not type(None)]
        base = _type_schema(inner, definitions)
        return (
            {**base, "type": [base["type"], "null"]}
            if "type" in base
            else {"if": {"not": {"type": "null"}}, "then": base}
        )
    if origin is tuple:
        return {"type": "array", "items": _type_schema(args[0], definitions)}
    if origin is not None and issubclass(origin, Mapping):
        return {
            "type": "object",
            "additionalProperties": _type_schema(args[1], definitions),
        }
    if issubclass(hint, Enum):
        return {"enum": [member.value for member in hint]}
    return _record_reference(hint, definitions)


def _record_reference(cls: type, definitions: dict[str, Any]) -> dict[str, Any]:
    name = cls.__name__
    if name in definitions:
        return {"$ref": f"#/$defs/{name}"}
    definitions[name] = {}  # holds the place, so that a record may contain itself
    if is_base(cls):
        choices = variants(cls)
        key: str = cls.tag_key  # type: ignore[attr-defined]
        definitions[name] = {
            "type": "object",
            "properties": {key: {"enum": list(choices)}},
            "required": [key],
            "allOf": [
                {
                    "if": {"properties": {key: {"const": tag}}, "required": [key]},
                    "then": _record_reference(each, definitions),
                }
                for tag, each in choices.items()
            ],
        }
    else:
        definitions[name] = _object(cls, definitions)
    return {"$ref": f"#/$defs/{name}"}


def _has_default(each: Field[Any]) -> bool:
    return each.default is not MISSING or each.default_factory is not MISSING


def plain(value: Any) -> Any:
    """A record (or any value inside one) as JSON-ready data; fields at their default stay out."""
    if isinstance(value, Place):
        return {"x": value.x, "y": value.y, "read_from": Side.DIAL.value}
    if isinstance(value, Record):
        out: dict[str, Any] = {}
        if value.tag:
            out[value.tag_key] = value.tag  # type: ignore[attr-defined]
        for each in fields(value):
            inner = getattr(value, each.name)
            if each.default is MISSING or inner != each.default:
                out[each.name] = plain(inner)
        return out
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple | list):
        return [plain(each) for each in value]
    if isinstance(value, Mapping):
        return {str(key): plain(inner) for key, inner in value.items()}
    return value


class _Broken:
    """In place of a record that cannot be, whose faults are told."""


_BROKEN = _Broken()


def record(cls: type[R], data: Any) -> R:
    """A record from data that is valid under `schema_of(cls)`. Raises `BadInput` with a sentence
    for each record in it that is beyond its limits, and its field."""
    faults: list[str] = []
    made = _build(cls, data, "", faults)
    if faults:
        raise BadInput(*faults)
    return made  # type: ignore[no-any-return]


def _build(hint: Any, data: Any, where: str, faults: list[str]) -> Any:
    origin, args = get_origin(hint), get_args(hint)
    if data is None or hint in (int, str, bool) or origin is Literal:
        return data
    if hint is float:
        return float(data) + 0.0
    if hint is Place:
        if "hour" in data:
            return at_hour(data["hour"], data["radius"])
        return read_place(data["x"], data["y"], Side(data.get("read_from", Side.DIAL)))
    if origin in (Union, types.UnionType):
        return _build(next(a for a in args if a is not type(None)), data, where, faults)
    if origin is tuple:
        some = [_build(args[0], e, f"{where}[{k}]", faults) for k, e in enumerate(data)]
        return _whole(tuple(some), some)
    if origin is not None and issubclass(origin, Mapping):
        by_key = {k: _build(args[1], each, f"{where}.{k}", faults) for k, each in data.items()}
        return _whole(by_key, by_key.values())
    if issubclass(hint, Enum):
        return hint(data)
    if is_base(hint):
        hint = variants(hint)[data[hint.tag_key]]
    types_of = hints(hint)
    names = {each.name for each in dataclasses.fields(hint)}
    given = {
        k: _build(types_of[k], v, f"{where}.{k}", faults) for k, v in data.items() if k in names
    }
    if _whole(given, given.values()) is _BROKEN:
        return _BROKEN
    try:
        return hint(**given)
    except BadInput as bad:
        within = where.lstrip(".")
        faults += [f"{within}: {each}" if within else each for each in bad.faults]
        return _BROKEN


def _whole(made: Any, parts: Iterable[Any]) -> Any:
    """What was made, or that it is broken because one of its parts is."""
    return _BROKEN if any(each is _BROKEN for each in parts) else made
