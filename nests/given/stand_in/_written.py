"""Several numbers written as one option."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import ClassVar, TypeVar

from nests.lengths import read_length
from nests.units import BadInput, Record

W = TypeVar("W", bound="Written")


@dataclass(frozen=True, kw_only=True)
class Written(Record):
    """Several numbers that are written as one option, with commas between them."""

    form: ClassVar[str]
    """How it is written; the hour comes first, all else is in mm."""
    example: ClassVar[str]

    @classmethod
    def read(cls: type[W], text: str, label: str) -> W:
        """Read what was typed; `label` is the option for the sentence. Raises `BadInput`."""
        first, *rest = text.split(",")
        names = [each.name for each in fields(cls)]
        try:
            at = float(first)
        except ValueError:
            rest = []
        if len(rest) != len(names) - 1:
            raise BadInput(
                f"{label} is '{text}'; written is {cls.form} with commas between them and a point "
                f"in a decimal number, such as {cls.example}: the hour of the dial, then mm."
            )
        lengths = [read_length(each, f"{label} '{text}': {name}")
                   for name, each in zip(names[1:], rest, strict=True)]  # fmt: skip
        try:
            return cls(**dict(zip(names, [at, *(each.mm for each in lengths)], strict=True)))
        except BadInput as bad:
            raise BadInput(f"{label} is '{text}': {bad}") from None
