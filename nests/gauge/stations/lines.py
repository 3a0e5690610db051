"""Lines: one letter, engraved in finer and finer strokes."""

from __future__ import annotations

from nests.gauge.specimen import Ground, Specimen, Station, engraving, lettered, tried
from nests.units import Length

LINES: tuple[Length, ...] = (0.1, 0.15, 0.2, 0.25, 0.3, 0.4)
STEP: Length = 3.6
TALL: Length = 3.0
LETTER = "R"
"""Upright, level, round and leaning strokes in one."""


def stations(ground: Ground) -> tuple[Station, ...]:
    """The row of letters, finest first."""
    out = []
    for number, line in enumerate(LINES):
        x = number * STEP + 0.4
        name, fails = f"line-{line:g}", line < ground.card.smallest_line
        cut = engraving(lettered(LETTER, TALL, line, x, 0.4), ground)
        around = (x - 0.4, 0.0, x + STEP - 1.0, TALL + 0.8)
        rows = tried(name, "line", line)
        out.append(Specimen(name, around, rows, None, cut, "smallest_line", fails))
    how = "by eye, with the loupe: every stroke shows and none runs into another"
    return (Station("L", how, STEP * len(LINES), TALL + 0.8, tuple(out), "front"),)
