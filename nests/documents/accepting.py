"""Whether a document holds to its schema, told fast; why it does not is left to a full validator.

A schema becomes nested functions, once. Only the keywords that the shipped schemas use are known,
with the meaning JSON Schema (draft 2020-12) gives them; any other is refused, so that none is
passed over in silence.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, TypeAlias

Schema: TypeAlias = Mapping[str, Any]
Accepts: TypeAlias = Callable[[Any], bool]

_SAYS = frozenset(("$schema", "$defs", "title", "description", "default", "unit", "origin"))
"""Keywords that tell something and ask for nothing; `unit` and `origin` are of these schemas."""
_ASKS = frozenset(
    ("$ref", "type", "enum", "const", "minimum", "maximum", "items", "properties", "required")
) | frozenset(("additionalProperties", "allOf", "not", "if", "then", "else"))
_DEFINED = "#/$defs/"


def acceptor(schema: Schema) -> Accepts:
    """A function that tells whether a value read from JSON is valid under a schema.

    Raises `ValueError` for a schema with a keyword, type or reference that is not known here.
    """
    made: dict[str, Accepts] = {}
    begun: set[str] = set()

    def referred(pointer: str) -> Accepts:
        name = pointer.removeprefix(_DEFINED)
        if not pointer.startswith(_DEFINED) or name not in schema.get("$defs", {}):
            raise ValueError(f"the reference {pointer!r} leads nowhere")
        if name not in begun:  # a definition may refer to itself
            begun.add(name)
            made[name] = compiled(schema["$defs"][name])
        return lambda value: made[name](value)

    def compiled(part: Schema) -> Accepts:
        if unknown := part.keys() - _SAYS - _ASKS:
            raise ValueError(f"keywords not known: {', '.join(sorted(unknown))}")
        asks: list[Accepts] = []
        if "type" in part:
            asks.append(_typed(part["type"]))
        if "enum" in part:
            asks.append(_among(part["enum"]))
        if "const" in part:
            asks.append(_among([part["const"]]))
        if "minimum" in part or "maximum" in part:
            asks.append(_within(part.get("minimum", -math.inf), part.get("maximum", math.inf)))
        if part.keys() & {"properties", "required", "additionalProperties"}:
            fields = {name: compiled(each) for name, each in part.get("properties", {}).items()}
            others = part.get("additionalProperties", {})
            more = None if others is False else compiled(others)
            asks.append(_object(fields, part.get("required", ()), more))
        if "items" in part:
            asks.append(_every(compiled(part["items"])))
        if "$ref" in part:
            asks.append(referred(part["$ref"]))
        if "not" in part:
            asks.append(_opposite(compiled(part["not"])))
        if "if" in part:
            asks.append(_either(*(compiled(part.get(word, {})) for word in ("if", "then", "else"))))
        asks += [compiled(each) for each in part.get("allOf", ())]
        return asks[0] if len(asks) == 1 else _together(asks)

    return compiled(schema)


def _together(asks: Sequence[Accepts]) -> Accepts:
    return lambda value: all(ask(value) for ask in asks)


def _opposite(ask: Accepts) -> Accepts:
    return lambda value: not ask(value)


def _either(condition: Accepts, then: Accepts, otherwise: Accepts) -> Accepts:
    return lambda value: then(value) if condition(value) else otherwise(value)


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


_TYPES: dict[str, Accepts] = {
    "object": lambda value: isinstance(value, dict),
    "array": lambda value: isinstance(value, list),
    "string": lambda value: isinstance(value, str),
    "boolean": lambda value: isinstance(value, bool),
    "null": lambda value: value is None,
    "number": _number,
    "integer": lambda value: _number(value) and value % 1 == 0,
}


def _typed(names: str | Sequence[str]) -> Accepts:
    names = [names] if isinstance(names, str) else names
    if unknown := set(names) - _TYPES.keys():
        raise ValueError(f"types not known: {', '.join(sorted(unknown))}")
    if len(names) == 1:
        return _TYPES[names[0]]
    kinds = [_TYPES[name] for name in names]
    return lambda value: any(kind(value) for kind in kinds)


def _among(options: Iterable[Any]) -> Accepts:
    # JSON's true is not 1, Python's is
    told = [(isinstance(each, bool), each) for each in options]
    if any(isinstance(each, dict | list) for _, each in told):
        raise ValueError("only words and numbers are known as constants")
    return lambda value: (isinstance(value, bool), value) in told


def _within(low: float, high: float) -> Accepts:
    return lambda value: not _number(value) or low <= value <= high


def _every(ask: Accepts) -> Accepts:
    return lambda value: not isinstance(value, list) or all(ask(each) for each in value)


def _object(
    fields: Mapping[str, Accepts], required: Iterable[str], others: Accepts | None
) -> Accepts:
    """Fields by name, those that must be there, and what any other must be; None: no other."""
    needed = frozenset(required)

    def accepts(value: Any) -> bool:
        if not isinstance(value, dict):
            return True
        if not needed <= value.keys():
            return False
        for name, inner in value.items():
            ask = fields.get(name, others)
            if ask is None or not ask(inner):
                return False
        return True

    return accepts
