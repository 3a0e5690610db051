"""A drawing as SVG: lettering by strokes, each text a group that says what it is."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape  # xml.sax.saxutils loads the network library with it

from nests.papers.drawing.lettering import width, written
from nests.papers.drawing.values import (
    Arc,
    Dimension,
    Drawing,
    Fill,
    Hatch,
    Item,
    Pen,
    Point,
    Stroke,
    Text,
)

INK = "#101418"


def svg(drawing: Drawing) -> bytes:
    """SVG of the sheets side by side, in mm."""
    return _svg(drawing.title, drawing.items, drawing.width, drawing.size[1])


def sheet_svg(drawing: Drawing, number: int) -> bytes:
    """SVG of one sheet, counted from 0, in mm."""
    items = [item for block in drawing.sheets[number] for item in block.items]
    return _svg(drawing.title, items, *drawing.size)


def _svg(title: str, items: Iterable[Item], wide: float, tall: float) -> bytes:
    body = "\n".join(line for item in items for line in _item(item, tall))
    title = escape(title)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{tall:g}mm" '
        f'viewBox="0 0 {wide:g} {tall:g}" fill="none" stroke="{INK}" stroke-linecap="round" '
        f'stroke-linejoin="round">\n<title>{title}</title>\n'
        f'<rect width="{wide:g}" height="{tall:g}" fill="#fff" stroke="none"/>\n{body}\n</svg>\n'
    ).encode()


def _item(item: Item, tall: float) -> list[str]:
    if isinstance(item, Stroke):
        return [f'<path d="{_path(item.points, tall, item.closed)}"{_pen(item.pen)}/>']
    if isinstance(item, Arc):
        return [_arc(item, tall)]
    if isinstance(item, Fill):
        return [f'<path d="{_path(item.points, tall, True)}" fill="{INK}" stroke="none"/>']
    if isinstance(item, Hatch):
        path = " ".join(_path(line, tall, False) for line in item.lines)
        return [f'<path d="{path}"{_pen(item.pen)}/>'] if path else []
    if isinstance(item, Dimension):
        parts: list[Item] = [*item.lines, *item.arrows, item.text]
        inner = [line for part in parts for line in _item(part, tall)]
        return ["<g>", f"<title>{escape(item.name)}</title>", *inner, "</g>"]
    return [_text(item, tall)]


def _pen(pen: Pen) -> str:
    dashes = f' stroke-dasharray="{" ".join(f"{d:g}" for d in pen.dashes)}"' if pen.dashes else ""
    return f' stroke-width="{pen.width:g}"{dashes}'


def _path(points: tuple[Point, ...], tall: float, closed: bool) -> str:
    line = "L".join(f"{x:.3f} {tall - y:.3f}" for x, y in points)
    return f"M{line}{'Z' if closed else ''}"


def _arc(arc: Arc, tall: float) -> str:
    (x, y), r = arc.centre, arc.radius
    if arc.last - arc.first >= 360.0 - 1e-9:
        return f'<circle cx="{x:.3f}" cy="{tall - y:.3f}" r="{r:.3f}"{_pen(arc.pen)}/>'
    a, b = math.radians(arc.first), math.radians(arc.last)
    large = int(arc.last - arc.first > 180.0)
    return (
        f'<path d="M{x + r * math.cos(a):.3f} {tall - y - r * math.sin(a):.3f}'
        f"A{r:.3f} {r:.3f} 0 {large} 0 {x + r * math.cos(b):.3f} "
        f'{tall - y - r * math.sin(b):.3f}"{_pen(arc.pen)}/>'
    )


def placed(text: Text) -> list[tuple[Point, ...]]:
    """The strokes of a text where it stands, in mm of paper."""
    off = -text.anchor * width(text.words)
    x0, y0 = text.at
    out = []
    for line in written(text.words):
        at = [((x + off) * text.height, y * text.height) for x, y in line]
        if text.turned:
            at = [(-y, x) for x, y in at]
        out.append(tuple((x0 + x, y0 + y) for x, y in at))
    return out


def _text(text: Text, tall: float) -> str:
    path = " ".join(_path(line, tall, False) for line in placed(text))
    said = f' role="img" aria-label="{escape(text.words)}"'
    return f'<g{said}><path d="{path}" stroke-width="{text.height / 10:g}"/></g>'
