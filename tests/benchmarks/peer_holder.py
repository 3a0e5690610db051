"""The holder of `table.py` by build123d, a general solid modeller: STL FILE [runs].

Prints seconds of each run after the first, and the volume, as JSON.
"""

from __future__ import annotations

import json
import math
import sys
import time
from typing import Any

import build123d as b

CENTRED = (b.Align.CENTER, b.Align.CENTER, b.Align.MIN)
WORDS = (("MOVEMENT DIAL UP", 6.0), ("BENCH 26", 10.5), ("GENERAL", 8.0))


def at(hour: float, radius: float) -> tuple[float, float]:
    turn = math.radians(90.0 - 30.0 * hour)
    return radius * math.cos(turn), radius * math.sin(turn)


def holder() -> Any:
    body = b.Cylinder(21.0, 7.2, align=CENTRED)
    body = b.chamfer(body.edges().group_by(b.Axis.Z)[0], 0.5)
    body = b.chamfer(body.edges().group_by(b.Axis.Z)[-1], 0.4)
    body -= b.Pos(0, 0, 2.0) * b.Cylinder(12.1, 6.0, align=CENTRED)
    body -= b.Pos(0, 0, 6.0) * b.Cylinder(13.05, 2.0, align=CENTRED)
    body -= b.Pos(0, 0, 6.7) * b.Cone(13.05, 13.55, 0.5, align=CENTRED)
    for hour in (1.0, 4.0, 7.0, 10.0):
        x, y = at(hour, 7.0)
        body += b.Pos(x, y, 1.7) * b.Cylinder(1.25, 2.4, align=CENTRED)
        body += b.Pos(x, y, 4.1) * b.Cone(1.25, 0.8, 0.9, align=CENTRED)
    for hour in (2.0, 4.0):
        x, y = at(hour, 17.5)
        slot = b.Box(10.0, 3.5, 4.0, align=CENTRED)
        body -= b.Pos(x, y, 6.2) * b.Rot(0, 0, 90.0 - 30.0 * hour) * slot
    for hour in (1.0, 7.5):
        x, y = at(hour, 17.0)
        roof = b.extrude(b.Plane.YZ * b.Polygon((-1, 0), (1, 0), (0, 1), align=None), 12.0)
        body -= b.Pos(x, y, 2.0) * b.Rot(0, 0, 90.0 - 30.0 * hour) * b.Pos(-6.0, 0, 0) * roof
    for words, hour in WORDS:
        for k, letter in enumerate(words):
            if letter == " ":
                continue
            lies = hour + (k - len(words) / 2) * 0.2
            x, y = at(lies, 17.0)
            drawn = b.Pos(x, y, 6.8) * b.Rot(0, 0, -30.0 * lies) * b.Text(letter, font_size=2.0)
            body -= b.extrude(drawn, 1.0)
    return body


def main() -> None:
    target, runs = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 1
    times, made = [], None
    for _ in range(runs):
        begin = time.perf_counter()
        made = holder()
        b.export_stl(made, target, tolerance=0.005, angular_tolerance=0.2)
        times.append(time.perf_counter() - begin)
    print(json.dumps({"seconds": times, "volume": made.volume, "version": b.__version__}))


if __name__ == "__main__":
    main()
