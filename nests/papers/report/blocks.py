"""What a report is made of, before it is a page or a sheet of paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any, TypeAlias


@dataclass(frozen=True)
class Heading:
    """A heading; `level` 2 below the title, 3 below that."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Paragraph:
    """Running text."""

    text: str


@dataclass(frozen=True)
class Listing:
    """Points in no order."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """Rows under heads; the first cell of a row heads it.

    `widths` are shares of the width of the page; '' in a cell is a blank to fill in with a pen
    where `blanks` names its column.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    blanks: tuple[int, ...] = ()


@dataclass(frozen=True)
class Picture:
    """A PNG with words for who cannot see it."""

    png: bytes
    alt: str


@dataclass(frozen=True)
class Folded:
    """What few will read: opened under `summary` on the page, at the end of the paper as `title`.

    Nothing that asks for anything to be done is ever folded.
    """

    summary: str
    title: str
    blocks: tuple[Heading | Paragraph | Listing | Table | Picture, ...]


Block: TypeAlias = Heading | Paragraph | Listing | Table | Picture | Folded


@dataclass(frozen=True)
class Document:
    """A report: `name` stands in the foot of every page."""

    title: str
    subtitle: str
    name: str
    blocks: tuple[Block, ...]


def texts(part: Any) -> Iterator[str]:
    """Every text of a report, or of a part of one."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for each in part:
            yield from texts(each)
    elif not isinstance(part, bytes | int | float):
        for each in fields(part):
            yield from texts(getattr(part, each.name))
