"""What the sheet says was assumed: never clear, and each with what to measure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

from nests.consistency._looked import Looked
from nests.finding import Finding
from nests.places import Side
from nests.units import Quantity, Record

NOTHING: dict[str, tuple[str, str]] = {
    "/arbors": (
        "no arbor was looked for, so nothing may be pressed on it.",
        "measure place, jewel ⌀ and jewel height of every arbor, and write a sheet",
    ),
    "/casing_ledge": (
        "whether the rim has a flange was not looked at; one would not go into the seat.",
        "measure ⌀ and height of the flange, or look that there is none",
    ),
}
"""What of a sheet may be missing without a number that stands for it, and what to measure."""


def look(looked: Looked) -> Iterator[Finding]:
    """Every pointer under `assumed`."""
    for index, pointer in enumerate(looked.sheet.assumed):
        if pointer in NOTHING and not getattr(looked.sheet, pointer[1:]):
            yield looked.assumed(*NOTHING[pointer], pointer)
            continue
        value, words, about = _pointed(looked.sheet, pointer)
        if isinstance(value, Side):
            yield looked.assumed(
                f"{words} is taken to be {value.value}; it was not looked at.",
                f"look at the {about.meaning if about else words}",
                pointer,
            )
        elif not isinstance(value, int | float) or isinstance(value, bool) or about is None:
            yield looked.stop(
                f"assumed[{index}] is '{pointer}', which points at nothing that can be measured; "
                "allowed is a number of the sheet, such as /rim, or /arbors and /casing_ledge "
                "where there is none.",
                "take it away",
            )
        else:
            yield looked.assumed(
                f"{words} is taken to be {value:g} {about.unit}; it was not measured.",
                f"measure {_as_noun(about.meaning)}",
                pointer,
            )


def _as_noun(meaning: str) -> str:
    return meaning if meaning.startswith("how ") else f"the {meaning}"


def _pointed(sheet: Record, pointer: str) -> tuple[object, str, Quantity | None]:
    """What a JSON Pointer leads to, in words, and what its field says; None for nothing."""
    at: object = sheet
    words: list[str] = []
    about: Quantity | None = None
    for step in pointer.split("/")[1:] if pointer.startswith("/") else ():
        if isinstance(at, tuple):
            at = at[int(step)] if step.isdigit() and int(step) < len(at) else None
            words[-1] = f"{words[-1].removesuffix('s')} '{getattr(at, 'name', step)}':"
        elif isinstance(at, Record):
            found = next((each for each in fields(at) if each.name == step), None)
            about = found.metadata.get("quantity") if found is not None else None
            at = getattr(at, step) if found is not None else None
            words.append(step)
        else:
            at = None
    return at, " ".join(words), about
