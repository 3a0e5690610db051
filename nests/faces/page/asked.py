"""What a page asks, as it was sent: texts, numbers, a side, the wishes of a family."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeAlias, get_args

from nests.documents.schema import hints, plain, record
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
    """Options as a family takes them: what is several numbers is a value of its own. Raises
    `BadInput`."""
    out = dict(options)
    for key, value in options.items():
        if isinstance(value, list):
            inner = _inner(name, key)
            out[key] = tuple(
                record(inner, each) if isinstance(each, Mapping) else each for each in value
            )
    return out


def written(name: str, key: str, text: str) -> list[dict[str, Any]]:
    """An option that is several numbers written as one, and may be given more than once with blanks
    between, as it is kept. Raises `BadInput`."""
    inner = _inner(name, key)
    return [plain(inner.read(each, key)) for each in text.split()]


def _inner(name: str, key: str) -> Any:
    """The type of what is in an option of which there may be many."""
    return get_args(hints(family(name).Wish)[key])[0]  # type: ignore[arg-type]
