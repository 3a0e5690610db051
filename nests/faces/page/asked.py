"""What a page asks, as it was sent: texts, numbers, a side, the wishes of a family."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeAlias

from nests.documents.schema import hints
from nests.families import family
from nests.places import Side
from nests.units import BadInput

Asked: TypeAlias = Mapping[str, Any]


def text(asked: Asked, key: str, default: str = "") -> str:
    """A text. Raises `BadInput`."""
    value = asked.get(key, default)
    if not isinstance(value, str):
        raise BadInput(f"{key} is no text.")
    return value


def number(asked: Asked, key: str) -> float:
    """A number, to a tenth of a micrometre. Raises `BadInput`."""
    value = asked.get(key)
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise BadInput(f"{key} is no number.")
    return round(float(value), 4)


def side(asked: Asked) -> Side:
    """The side that is looked at. Raises `BadInput`."""
    try:
        return Side(text(asked, "side", "dial"))
    except ValueError:
        raise BadInput("side is 'dial' or 'bridge'.") from None


def texts(asked: Asked) -> Mapping[str, str]:
    """The fields of a form. Raises `BadInput`."""
    found = asked.get("fields")
    if not isinstance(found, Mapping) or not all(isinstance(each, str) for each in found.values()):
        raise BadInput("fields is no set of texts.")
    return found


def wish(name: str, options: Mapping[str, Any]) -> dict[str, Any]:
    """Options as a family takes them: several numbers that are written as one are read. Raises
    `BadInput`."""
    out, types_of = dict(options), hints(family(name).Wish)  # type: ignore[arg-type]
    for key, value in options.items():
        if isinstance(value, list):
            inner = getattr(types_of[key], "__args__", (str,))[0]
            read = getattr(inner, "read", None)
            out[key] = tuple(value) if read is None else tuple(read(each, key) for each in value)
    return out
