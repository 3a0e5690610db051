"""A picture of what the lines of a card leave: a panel for each bias, in µm over the size drawn,
and one for the foot, in µm over the height.

A mark is told by its shape: disc, read in x or in z; ring, read in y. What does not go with the
others bears its name.
"""

from __future__ import annotations

import math

from nests.gauge.bias import Bias
from nests.gauge.fitting import CardFit
from nests.gauge.foot import Foot
from nests.gauge.remarks import WORDS
from nests.planning.chart import INK, LINE, SHADE, Box, Chart, Circle, Shape, Words, svg
from nests.units import Length

WIDE, TALL = 760, 200
"""px of the field of a panel."""
LEFT, RIGHT, HEAD, FOOT = 70, 110, 44, 44
SMALL = 11
LEAST = 1.0
"""µm that a panel shows at least, also where every row lies on its line."""
HALF_STEPS = (1.0, 2.0, 5.0)


def picture(fit: CardFit) -> bytes:
    """SVG of the residuals. The same readings give the same bytes."""
    shapes: list[Shape] = []
    top = HEAD
    title = f"{fit.card.name}: printed less the line, µm"
    shapes.append(Words(16, 24, title, size=15))
    for each in fit.biases:
        shapes += _panel(each, top, fit.card.scatter)
        top += HEAD + TALL + FOOT
    if fit.foot is not None:
        shapes += _foot_panel(fit.foot, top)
        top += HEAD + TALL + FOOT
    key = "disc: in x or z; ring: in y; band: ± scatter of the card, of a foot what may be scatter"
    shapes.append(Words(16, top + 4, key, size=SMALL))
    return svg(Chart(LEFT + WIDE + RIGHT, top + 20, tuple(shapes)))


def _panel(each: Bias, top: int, scatter: Length) -> list[Shape]:
    floor, middle = top + HEAD + TALL, top + HEAD + TALL / 2
    points = [
        (axis, row, 1000 * float(line.residuals[k]))
        for axis, line in each.lines
        for k, row in enumerate(r for r in each.rows if not axis or r.axis == axis)
    ]
    most = _rounded(max([LEAST, 1000 * scatter, *(abs(off) for _, _, off in points)]))
    far = max(row.drawn for row in each.rows)

    def x(drawn: Length) -> float:
        return LEFT + WIDE * drawn / (1.04 * far)

    def y(off: float) -> float:
        return middle - TALL / 2 * off / most

    lines = " and ".join(
        f"{f'{axis}: ' if axis else ''}{1000 * line.intercept:+.1f} µm {1000 * line.slope:+.2f} "
        "µm per mm"
        for axis, line in each.lines
    )
    band = 1000 * scatter
    out: list[Shape] = [
        Words(LEFT, top + HEAD - 12, f"{WORDS[each.field]}: {lines}"),
        Box(LEFT, y(band), WIDE, y(-band) - y(band), SHADE),
        Box(LEFT, y(0.0) - 0.5, WIDE, 1.0, LINE),
        Box(LEFT, top + HEAD, 1.0, TALL, INK),
        Box(LEFT, floor, WIDE, 1.0, INK),
    ]
    for off in (-most, 0.0, most):
        out.append(Words(LEFT - 44, y(off) + 4, f"{off:+.0f}".replace("+0", "0"), size=SMALL))
    step = _rounded(far / 8)
    for k in range(int(far / step) + 1):
        out.append(Words(x(k * step), floor + 16, f"{k * step:g}", "middle", SMALL))
    out.append(Words(LEFT + WIDE + 8, floor + 4, "mm drawn", size=SMALL))
    odd = {row.name for row, _ in each.odd()}
    for _, row, off in points:
        out.append(Circle(x(row.drawn), y(off), 4.5, ring=row.axis == "y"))
        if row.name in odd:
            out.append(Words(x(row.drawn) + 8, y(off) + 4, row.name, size=SMALL))
    return out


def _foot_panel(foot: Foot, top: int) -> list[Shape]:
    """What each share of the bars stands out on a side, over the height it begins at, and the foot
    of the card: as high as it spreads, up to where it ends."""
    floor = top + HEAD + TALL
    outs = [1000 * each.out for each in foot.shares]
    most = _rounded(max([LEAST, *outs]))
    far = max([each.height for each in foot.shares]) or 1.0
    low = min([0.0, *outs])

    def x(height: Length) -> float:
        return LEFT + WIDE * (0.02 + 0.94 * height / far)

    def y(out: float) -> float:
        return floor - TALL * (out - low) / (most - low)

    words = f"foot: {1000 * foot.spread:.0f} µm on a side"
    end = far if foot.height is None else foot.height
    if foot.height is not None:
        words += f", over at {foot.height:g} mm and not yet at {foot.still:g} mm"
    out: list[Shape] = [Words(LEFT, top + HEAD - 12, words)]
    if foot.sure is not None:
        band = min(1000 * foot.sure, most)
        out.append(Box(LEFT, y(band), WIDE, y(0.0) - y(band), SHADE))
    if foot.height is not None and foot.still is not None:
        left, wide = x(foot.still), x(foot.height) - x(foot.still)
        out.append(Box(left, top + HEAD, wide, TALL, SHADE))
    out += [
        Box(x(0.0), y(1000 * max(foot.spread, 0.0)) - 0.5, x(end) - x(0.0), 1.0, LINE),
        Box(LEFT, y(0.0) - 0.5, WIDE, 1.0, LINE),
        Box(LEFT, top + HEAD, 1.0, TALL, INK),
        Box(LEFT, floor, WIDE, 1.0, INK),
    ]
    for value in (0.0, most):
        out.append(Words(LEFT - 44, y(value) + 4, f"{value:.0f}", size=SMALL))
    for height in dict.fromkeys(each.height for each in foot.shares):
        out.append(Words(x(height), floor + 16, f"{height:g}", "middle", SMALL))
    out.append(Words(LEFT + WIDE + 8, floor + 4, "mm up", size=SMALL))
    odd = {row.name for row in foot.odd}
    for each, value in zip(foot.shares, outs, strict=True):
        out.append(Circle(x(each.height), y(value), 4.5, ring=each.axis == "y"))
        if each.row.name in odd:
            out.append(Words(x(each.height) + 8, y(value) + 4, each.row.name, size=SMALL))
    return out


def _rounded(most: float) -> float:
    """The least of 1, 2, 5 × 10^k that is no less."""
    power = 10.0 ** math.floor(math.log10(most))
    return next(k * power for k in (*HALF_STEPS, 10.0) if k * power >= most * (1 - 1e-9))
