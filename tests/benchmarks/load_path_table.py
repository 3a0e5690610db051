"""Who takes the press: the README's table and its picture.

    python tests/benchmarks/load_path_table.py [picture.png]

One invented movement of 26 mm, a jewel 4 mm off its middle that slides in its hole from 14 N, a
press of 20 N. Brass plates from 0.5 to 2.5 mm lie on a ledge and one post under the jewel, or on
three posts of which one stands under the jewel. The gap is what the post is short of the jewel.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeAlias

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, Jewel, PlateStock, Rest, Sheet
from nests.given.zones import Disc, Round
from nests.holder.recipe import Recipe
from nests.load_path.paths import PressPath, press_paths
from nests.load_path.supports import SETTING, props
from nests.mechanics.jewel import JewelPaths
from nests.papers.picture.writing import strokes, write
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Side, at_hour

ROOT = Path(__file__).resolve().parents[2]
Floats: TypeAlias = NDArray[np.float64]
How: TypeAlias = Literal["printed", "pin", "screw", "carried"]
PRESS, PUSH_OUT, ALLOWED = 20.0, 14.0, 0.010
PLATES = (0.5, 0.8, 1.2, 1.6, 2.5)
GAPS = (0.0, 0.01, 0.02, 0.04, 0.06)
JEWEL = at_hour(9.0, 4.0)
OTHERS = {"A": at_hour(2.0, 8.0), "B": at_hour(5.0, 8.0)}


def pressed(how: How, thickness: float) -> PressPath:
    """The load path of one movement in one holder, its post bearing."""
    jewel = Jewel(side=Side.BRIDGE, diameter=1.6, height=1.0, push_out_force=PUSH_OUT)
    sheet = Sheet(
        name="invented",
        outline=Round(diameter=26.0),
        rim=2.0,
        bridge_height=1.5,
        bridges=PlateStock(thickness=thickness),
        arbors=(Arbor(name="jewel", at=JEWEL, jewels=(jewel,), endshake_change=ALLOWED),),
        rests=tuple(
            Rest(name=n, side=Side.BRIDGE, height=1.0, zone=Disc(centre=at, diameter=3.0))
            for n, at in OTHERS.items()
        ),
    )
    kind: Literal["printed", "pin", "screw"] = "printed" if how == "carried" else how
    post = StakePost(under="jewel", kind=kind, tip=1.4, insert=1.4, shank=3.5)
    parts: tuple[Part, ...] = (RingSeat(), post)
    if how == "carried":
        rests = (StakePost(under=n, tip=1.4, shank=3.5) for n in OTHERS)
        parts = (RingSeat(drop=0.5), post, *rests)
    recipe = Recipe(name="invented", workpiece=sheet, body=Body(under=3.0), parts=parts)
    supports = props(recipe.site(), [(part.label(), part) for part in parts])
    (path,) = press_paths(recipe.site(), supports, {"jewel": PRESS})
    return path


def over_gaps(path: PressPath, gaps: Sequence[float]) -> JewelPaths:
    """The load path with the post at each gap."""
    assert path.pressed is not None
    assert path.known.post is not None
    return path.pressed.paths(
        PRESS,
        path.known.lies + np.asarray(gaps, dtype=np.float64),
        path.known.post.stiffness,
        path.pressed.carried.supports.gaps[None],
    )


def cells(how: How, thickness: float) -> list[str]:
    """Through the jewel / the plate moves down / the endshake changes, for every gap."""
    many = over_gaps(pressed(how, thickness), GAPS)
    return [
        f"{100 * abs(fit) / PRESS:.0f} % / {1000 * down:.0f} / {1000 * slide:.0f}"
        for fit, down, slide in zip(many.fit_force, many.deflection, many.slide, strict=True)
    ]


def table() -> str:
    """Markdown: a row for each kind of post and plate; alike rows are told once."""
    heads = " | ".join(f"{1000 * gap:.0f} µm short" for gap in GAPS)
    lines = [f"| post | plate | {heads} |", "|---" * (2 + len(GAPS)) + "|"]
    found = {how: [cells(how, t) for t in PLATES] for how in ("printed", "pin", "screw", "carried")}
    # a pin and a screw differ in how well they are set, and all plates on posts in nothing
    assert found["pin"] == found["screw"]
    assert all(row == found["carried"][0] for row in found["carried"])
    for name, rows in (("printed", found["printed"]), ("pin or screw", found["pin"])):
        lines += [
            f"| {name} | {t:g} mm | {' | '.join(r)} |" for t, r in zip(PLATES, rows, strict=True)
        ]
    return "\n".join([*lines, f"| carried on three | any | {' | '.join(found['carried'][0])} |"])


@dataclass(frozen=True)
class Panel:
    """A chart's frame in pixels with the ranges of its axes."""

    left: float
    top: float
    wide: float
    tall: float
    most_x: float
    most_y: float

    def at(self, x: Floats | float, y: Floats | float) -> Floats:
        """Pixels (n, 2) of values."""
        across = self.left + np.asarray(x) / self.most_x * self.wide
        down = self.top + self.tall - np.asarray(y) / self.most_y * self.tall
        return np.column_stack(np.broadcast_arrays(np.atleast_1d(across), np.atleast_1d(down)))


INK, GREY, PALE = (25, 25, 25), (120, 120, 120), (225, 225, 225)
DASHES = ((1.0, 0.0), (14.0, 5.0), (7.0, 4.0), (2.5, 4.0), (12.0, 4.0, 2.5, 4.0))
"""On and off in pixels, one pattern for each plate."""


def dashed(points: Floats, pattern: Sequence[float]) -> list[list[tuple[float, float]]]:
    """A line through pixels (n, 2) cut into the dashes of a pattern."""
    if pattern[1] == 0.0:
        return [[(float(x), float(y)) for x, y in points]]
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    out, at, index = [], 0.0, 0
    while at < run[-1]:
        end = min(at + pattern[index % len(pattern)], run[-1])
        if index % 2 == 0:
            inner = run[(run > at) & (run < end)]
            stops = np.concatenate([[at], inner, [end]])
            x, y = (np.interp(stops, run, points[:, k]) for k in (0, 1))
            out.append([(float(a), float(b)) for a, b in zip(x, y, strict=True)])
        at, index = end, index + 1
    return out


def frame(
    image: Image.Image, panel: Panel, title: str, unit: str, ticks: Sequence[float], form: str
) -> None:
    """Axes, faint lines across and their numbers."""
    for value in ticks:
        ends = panel.at(np.array([0.0, panel.most_x]), value)
        strokes(image, [[(float(x), float(y)) for x, y in ends]], PALE, 1.0)
        write(image, panel.left - 8, float(ends[0, 1]), format(value, form), 13, "rm")
    for gap in np.linspace(0.0, panel.most_x, 7):
        x, y = panel.at(float(gap), 0.0)[0]
        strokes(image, [[(float(x), float(y)), (float(x), float(y) + 5)]], INK, 1.0)
        write(image, float(x), float(y) + 20, f"{gap:.2f}", 13, "ms")
    corner = [panel.at(x, y)[0] for x, y in ((0, panel.most_y), (0, 0), (panel.most_x, 0))]
    strokes(image, [[(float(x), float(y)) for x, y in corner]], INK, 1.5)
    write(image, panel.left, panel.top - 34, title, 17)
    write(image, panel.left, panel.top - 14, unit, 13, "ls", GREY)
    middle = panel.left + panel.wide / 2
    write(image, middle, panel.top + panel.tall + 42, "post short of the jewel, mm", 13, "ms")


def reaches(image: Image.Image, panel: Panel) -> None:
    """How far off each kind of post may be: a bar from bearing to its worst."""
    card, sheet = PrinterCard(), 0.02
    worst = {
        "screw, set in place": SETTING,
        "pin, set to height": SETTING + sheet,
        "printed": card.scatter + sheet,
    }
    for row, (name, off) in enumerate(worst.items()):
        (x0, y), (x1, _) = panel.at(np.array([0.0, off]), 0.0)
        level = float(y) + 66 + 24 * row
        ends = [[(float(x), level - 5), (float(x), level + 5)] for x in (x0, x1)]
        strokes(image, [[(float(x0), level), (float(x1), level)], *ends], INK, 2.0)
        write(image, float(x1) + 8, level, f"{name}: may be {off:.2f} mm short", 13, "lm")


def label_ends(image: Image.Image, panel: Panel, ends: dict[str, float]) -> None:
    """Names beside the ends of the lines; lines that end as one share a label."""
    heights = {name: float(panel.at(panel.most_x, value)[0, 1]) for name, value in ends.items()}
    groups: list[tuple[float, list[str]]] = []
    for name, y in sorted(heights.items(), key=lambda each: each[1]):
        if groups and y - groups[-1][0] < 2.0:
            groups[-1][1].append(name)
        else:
            groups.append((y, [name]))
    last = -math.inf
    for y, names in groups:
        last = max(y, last + 16.0)
        write(image, panel.left + panel.wide + 8, last, ", ".join(sorted(names)), 13, "lm")


def picture(path: Path) -> None:
    """Two charts over the gap: share through the jewel, and change of endshake."""
    image = Image.new("RGB", (1240, 600), (255, 255, 255))
    gaps = np.linspace(0.0, 0.06, 121)
    left = Panel(70, 90, 420, 360, 0.06, 100.0)
    right = Panel(720, 90, 400, 360, 0.06, 0.064)
    frame(image, left, "Through the jewel's friction fit", "% of a press of 20 N",
          (0, 20, 40, 60, 80, 100), ".0f")  # fmt: skip
    frame(image, right, "The endshake changes", "mm; the jewel slides from 14 N",
          (0.0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06), ".2f")  # fmt: skip
    limit = right.at(np.array([0.0, 0.06]), ALLOWED)
    strokes(image, [[(float(x), float(y)) for x, y in limit]], GREY, 2.5)
    write(image, right.left + 6, float(limit[0, 1]) - 5, "allowed", 13, "ls", GREY)
    ends: dict[str, dict[str, float]] = {"left": {"on posts": 0.0}, "right": {"on posts": 0.0}}
    for thickness, pattern in zip(PLATES, DASHES, strict=True):
        many = over_gaps(pressed("pin", thickness), gaps)
        shares, slides = 100 * np.abs(many.fit_force) / PRESS, many.slide
        for side, panel, values in (("left", left, shares), ("right", right, slides)):
            strokes(image, dashed(panel.at(gaps, values), pattern), INK, 2.0)
            ends[side][f"{thickness:g} mm"] = float(values[-1])
    for side, panel in (("left", left), ("right", right)):
        axis = panel.at(np.array([0.0, panel.most_x]), 0.0)
        strokes(image, [[(float(x), float(y)) for x, y in axis]], INK, 4.0)  # carried on posts
        label_ends(image, panel, ends[side])
    key = "plate on its ledge, a pin post under the jewel; 'on posts': carried on three posts"
    write(image, left.left, 30, f"Who takes the press?  {key}", 15)
    reaches(image, left)
    for row, (thickness, pattern) in enumerate(zip(PLATES, DASHES, strict=True)):
        x, y = right.left + 140 * (row % 3), right.top + right.tall + 72 + 26 * (row // 3)
        strokes(image, dashed(np.array([(x, y), (x + 60.0, y)]), pattern), INK, 2.0)
        write(image, x + 66, y, f"{thickness:g} mm", 13, "lm")
    image.save(path, optimize=True)


def main() -> None:
    """Print the table and write the picture."""
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "gallery/pictures/load-path.png"
    print(table())
    picture(target)


if __name__ == "__main__":
    main()
