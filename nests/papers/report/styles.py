"""How a report stands on paper: faces, margins, and the room that things are given."""

from __future__ import annotations

from dataclasses import dataclass

from nests.papers.report.helvetica import lines
from nests.papers.report.sheets import BOLD, HIGH, SLANTED, UPRIGHT, WIDE

MARGIN, LEAST_Y, MOST_Y = 16.0, 16.0, HIGH - 17.0
"""mm; where the text stands on a sheet."""
ROOM = WIDE - 2 * MARGIN
TALLEST = 105.0
"""mm; height of a picture on the page."""
PAD = 1.0
"""mm; round the text of a cell."""
PEN = 8.0
"""mm; least height of a row to be filled in with a pen: common practice, no source."""
MOST_TOGETHER = MOST_Y - LEAST_Y - 30.0
"""mm; what may be kept on one sheet, under a heading and a sentence."""
LONGEST_ROW = 150.0
"""mm; a row longer than that is parted, so that it cannot ask for more than a sheet."""
SHORT = 90.0
"""mm; a table no higher is not parted."""
HEAD_GREY = 0.91


@dataclass(frozen=True)
class Style:
    """A face: size in pt, mm from line to line, font, and mm before and after."""

    size: float
    line: float
    font: int = UPRIGHT
    before: float = 0.0
    after: float = 0.0

    def broken(self, text: str, room: float) -> list[str]:
        """The text in lines of at most `room` mm."""
        return lines(text, room, self.size, self.font == BOLD)


TITLE = Style(17.0, 8.0, BOLD, after=1.0)
HEADINGS = {2: Style(13.0, 6.5, BOLD, before=5.0, after=1.5), 3: Style(11.0, 5.5, BOLD, 3.0, 1.0)}
BODY = Style(10.0, 5.0, after=1.5)
NOTE = Style(8.5, 4.2, SLANTED, after=1.0)
CELL, HEAD = Style(8.5, 4.0), Style(8.5, 4.0, BOLD)
