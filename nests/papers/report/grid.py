"""A table broken into lines: where its columns stand, and how high its rows are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nests.papers.report.blocks import Table
from nests.papers.report.styles import (
    CELL,
    HEAD,
    LONGEST_ROW,
    MARGIN,
    MOST_TOGETHER,
    PAD,
    PEN,
    ROOM,
    SHORT,
    Style,
)

Row = Sequence[Sequence[str]]
"""Lines of each cell."""


@dataclass(frozen=True)
class Grid:
    """A table broken into lines: the left edge of each column, its head and rows, and heights."""

    lefts: tuple[float, ...]
    head: Row
    head_high: float
    rows: tuple[Row, ...]
    highs: tuple[float, ...]
    filled_in: bool

    @property
    def high(self) -> float:
        """mm, in all."""
        return self.head_high + sum(self.highs)

    @property
    def together(self) -> bool:
        """Whether it stands on one sheet: it is short, or to be filled in with a pen and not too
        long for that."""
        return self.high <= (MOST_TOGETHER if self.filled_in else SHORT)

    @property
    def start(self) -> float:
        """mm; the head and its first row, or both rows of two, as far as a sheet holds them."""
        rows = self.highs if len(self.highs) == 2 else self.highs[:1]
        return self.head_high + min(sum(rows), LONGEST_ROW)

    @classmethod
    def of(cls, block: Table) -> Grid:
        """The grid of a table as wide as the text."""
        wide = [ROOM * share / sum(block.widths) for share in block.widths]
        least = PEN if block.blanks else 0.0

        def broken(cells: Sequence[str], style: Style) -> Row:
            return [
                style.broken(text, w - 2 * PAD) if text else []
                for text, w in zip(cells, wide, strict=True)
            ]

        head = broken(block.head, HEAD)
        rows = tuple(broken(cells, CELL) for cells in block.rows)
        return cls(
            lefts=tuple(MARGIN + sum(wide[:k]) for k in range(len(wide))),
            head=head,
            head_high=_high(head),
            rows=rows,
            highs=tuple(max(least, _high(row)) for row in rows),
            filled_in=bool(block.blanks),
        )


def _high(row: Row) -> float:
    return 2 * PAD + max(len(cell) for cell in row) * CELL.line
