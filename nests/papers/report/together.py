"""What must not be parted by a turn of the sheet."""

from __future__ import annotations

from collections.abc import Sequence

from nests.papers.report.blocks import Block, Heading, Paragraph, Picture, Table
from nests.papers.report.grid import Grid
from nests.papers.report.png_data import png_data
from nests.papers.report.styles import BODY, HEADINGS, MOST_TOGETHER, NOTE, ROOM, TALLEST


def first_lines(count: int) -> int:
    """Lines that stay together at the beginning of a paragraph; three cannot be parted."""
    return count if count <= 3 else 2


def beginning(blocks: Sequence[Block]) -> float:
    """Height in mm of what must not be parted from a heading before it."""
    if not blocks:
        return 0.0
    first = blocks[0]
    if isinstance(first, Heading):
        style = HEADINGS[first.level]
        return style.before + style.line + style.after + beginning(blocks[1:])
    if isinstance(first, Picture):
        png = png_data(first.png)
        return min(TALLEST, ROOM * png.high / png.wide) + 2.0 + NOTE.line
    if isinstance(first, Table):
        grid = Grid.of(first)
        caption = NOTE.line + NOTE.after
        if not grid.together:
            return caption + grid.start
        second = blocks[1] if len(blocks) > 1 else None
        signed = isinstance(second, Table) and second.blanks and first.blanks
        more = 3.0 + beginning(blocks[1:]) if signed else 0.0
        return min(caption + grid.high + more, MOST_TOGETHER)
    if isinstance(first, Paragraph):
        rest = blocks[1:] if blocks[1:] and not isinstance(blocks[1], Heading | Paragraph) else ()
        rows = min(len(BODY.broken(first.text, ROOM)), 4)
        return rows * BODY.line + BODY.after + beginning(rest)
    return 2 * BODY.line
