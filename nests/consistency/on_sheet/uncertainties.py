"""Uncertainties: of lengths that are there, smaller than what was measured."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

from nests.consistency._looked import Looked
from nests.finding import Finding
from nests.places import Place
from nests.units import Quantity, Record

READ = (
    "/outline", "/rests/", "/arbors/", "/keep_clear/", "/dial/", "/dial_feet/", "/stem",
    "/casing_ledge",
)  # fmt: skip
"""Pointers to values whose own uncertainty some check asks for."""


def look(looked: Looked) -> Iterator[Finding]:
    """The general one, and those of single values."""
    sheet = looked.sheet
    if sheet.uncertainty >= sheet.rim:
        yield looked.stop(
            f"uncertainty is {sheet.uncertainty:g} mm; the rim is {sheet.rim:g} mm high, and less "
            "than that is allowed.",
            value=sheet.uncertainty, limit=sheet.rim,
        )  # fmt: skip
    for pointer, doubt in sheet.uncertainties.items():
        value, about = _pointed(sheet, pointer)
        if value is None:
            yield looked.stop(
                f"uncertainties: '{pointer}' points at no number of the sheet.",
                "write it as /outline/diameter",
            )
        elif about is not None and about.unit != "mm":
            yield looked.stop(
                f"uncertainties: '{pointer}' is {doubt:g} mm, but it points at a value in "
                f"{about.unit or 'no unit'}; lengths in mm are allowed.",
                "take it away",
            )
        elif not 0.0 <= doubt <= 1.0:
            yield looked.stop(f"uncertainties: '{pointer}' is {doubt:g} mm; allowed is 0 to 1 mm.")
        elif about is not None and about.low is not None and 0.0 < about.low <= value <= doubt:
            yield looked.stop(
                f"uncertainties: '{pointer}' is {doubt:g} mm; the value is {value:g} mm, and less "
                "than that is allowed.",
                value=doubt, limit=value,
            )  # fmt: skip
        elif not pointer.startswith(READ):
            yield looked.unlooked(
                f"uncertainties: '{pointer}', {doubt:g} mm; no check asks for the uncertainty of "
                f"that value, and {sheet.uncertainty:g} mm counts.",
                "raise the uncertainty of all lengths where it matters",
            )


def _pointed(sheet: Record, pointer: str) -> tuple[float | None, Quantity | None]:
    """The number a JSON Pointer (RFC 6901) leads to, and what its field says; None for none."""
    if not pointer.startswith("/"):
        return None, None
    at: object = sheet
    about: Quantity | None = None
    for step in pointer.split("/")[1:]:
        step = step.replace("~1", "/").replace("~0", "~")
        if isinstance(at, tuple):
            at = at[int(step)] if step.isdigit() and int(step) < len(at) else None
        elif isinstance(at, Record):
            found = next((each for each in fields(at) if each.name == step), None)
            about = found.metadata.get("quantity") if found is not None else None
            at = getattr(at, step) if found is not None else None
        elif isinstance(at, Place) and step in ("x", "y"):
            at, about = getattr(at, step), None
        else:
            at = None
    number = isinstance(at, int | float) and not isinstance(at, bool)
    return (float(at) if number else None), about  # type: ignore[arg-type]
