"""A drawing as DXF R2010: the solid at 1:1 in mm, real dimensions, plain layers.

The views of the main scale stand in model space at true size, so a length taken there is a length
of the solid; the sheet round them is as many times larger as the scale reduces, and a detail is
enlarged in its place, its dimensions with the factor that makes them true. The layout 'sheet'
shows it at the scale for printing. Fixed handles, times and ids: same drawing, same bytes.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from typing import TYPE_CHECKING, Any

from nests.papers.drawing.dimensions import ABOVE, ARROW, OVER
from nests.papers.drawing.lettering import PLAIN
from nests.papers.drawing.values import (
    PENS,
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
from nests.units import printed

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

STYLE = "lettering"
NARROW = 0.85
"""Width of letters to their usual width: readers without the font take a wider one."""
_MARK = {"⌀": "%%c", "Ø": "%%c", "±": "%%p", "°": "%%d", "−": "-", "–": "-", "≤": "<=", "≥": ">="}
_WIDTHS = (13, 18, 25, 35, 50, 70)


def dxf(drawing: Drawing) -> bytes:
    """DXF of all sheets, side by side."""
    return written(drawing.items, drawing.scale, (drawing.width, drawing.size[1]), drawing.title)


def written(items: tuple[Item, ...], scale: float, size: tuple[float, float], title: str) -> bytes:
    """DXF of things on paper, at 1/`scale` of it, with a layout of `size` mm that shows them."""
    with _fixed():
        from ezdxf.filemanagement import new

        doc = new("R2010", units=4)
        doc.header["$MEASUREMENT"] = 1
        doc.header["$LUNITS"] = 2
        doc.header["$LTSCALE"] = 1.0
        doc.header["$DWGCODEPAGE"] = "ANSI_1252"
        doc.header["$PROJECTNAME"] = title
        writer = _Writer(doc, scale)
        for item in items:
            writer.add(item)
        doc.layouts.rename("Layout1", "sheet")
        layout = doc.layout("sheet")
        layout.page_setup(size=size, margins=(0, 0, 0, 0), units="mm")  # type: ignore[attr-defined]
        middle = (size[0] / 2, size[1] / 2)
        layout.add_viewport(  # type: ignore[attr-defined]
            center=middle,
            size=size,
            view_center_point=(middle[0] / scale, middle[1] / scale),
            view_height=size[1] / scale,
        )
        # ezdxf would add these from a set, in another order each time
        for name in sorted(doc.entitydb.dxf_types_in_use()):
            doc.classes.add_class(name)
        out = io.StringIO()
        doc.write(out)
        return out.getvalue().encode(doc.output_encoding, "dxfreplace")


@contextmanager
def _fixed() -> Iterator[None]:
    """ezdxf without clock and random ids."""
    options: Any = import_module("ezdxf").options
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


class _Writer:
    """Puts things on paper into model space, `scale` times smaller."""

    def __init__(self, doc: Document, scale: float) -> None:
        self._doc, self._scale = doc, scale
        self._space: Any = doc.modelspace()
        doc.styles.add(STYLE, font="isocp.shx", dxfattribs={"width": NARROW})
        for pen in PENS:
            doc.layers.add(pen.layer, lineweight=_weight(pen.width), linetype=self._line_type(pen))
        self._styles: dict[float, str] = {}

    def add(self, item: Item, space: Any = None) -> None:
        """One thing."""
        space = space if space is not None else self._space
        if isinstance(item, Stroke):
            points = [self._at(p) for p in item.points]
            if len(points) == 2 and not item.closed:
                space.add_line(*points, dxfattribs=self._look(item.pen))
            else:
                space.add_lwpolyline(points, close=item.closed, dxfattribs=self._look(item.pen))
        elif isinstance(item, Arc):
            self._arc(item, space)
        elif isinstance(item, Fill):
            points = [self._at(p) for p in item.points]
            space.add_solid([*points, points[-1]], dxfattribs=self._look(item.pen))
        elif isinstance(item, Hatch):
            self._hatch(item, space)
        elif isinstance(item, Text):
            self._text(item, space)
        else:
            self._dimension(item)

    def _at(self, point: Point) -> Point:
        return (point[0] / self._scale, point[1] / self._scale)

    def _look(self, pen: Pen) -> dict[str, Any]:
        own = next(each for each in PENS if each.layer == pen.layer)
        look: dict[str, Any] = {"layer": pen.layer}
        if own.width != pen.width:
            look["lineweight"] = _weight(pen.width)
        return look

    def _line_type(self, pen: Pen) -> str:
        if not pen.dashes:
            return "Continuous"
        name = pen.layer.replace(" ", "_").upper()
        lengths = [d / self._scale * (-1 if k % 2 else 1) for k, d in enumerate(pen.dashes)]
        self._doc.linetypes.add(
            name, [math.fsum(map(abs, lengths)), *lengths], description=pen.layer
        )
        return name

    def _arc(self, arc: Arc, space: Any) -> None:
        centre, radius = self._at(arc.centre), arc.radius / self._scale
        if arc.last - arc.first >= 360.0 - 1e-9:
            space.add_circle(centre, radius, dxfattribs=self._look(arc.pen))
        else:
            space.add_arc(centre, radius, arc.first, arc.last, dxfattribs=self._look(arc.pen))

    def _hatch(self, hatch: Hatch, space: Any) -> None:
        made = space.add_hatch(dxfattribs=self._look(hatch.pen))
        step = hatch.spacing / self._scale
        shift = step * math.sqrt(0.5)
        lines = [[45.0, (0.0, 0.0), (-shift, shift), []]]
        made.set_pattern_fill("ANSI31", definition=lines)
        for number, ring in enumerate(hatch.rings):
            path = [self._at(p) for p in ring]
            made.paths.add_polyline_path(path, is_closed=True, flags=1 if number == 0 else 16)

    def _text(self, text: Text, space: Any) -> None:
        from ezdxf.enums import TextEntityAlignment as Align

        align = {0.0: Align.LEFT, 0.5: Align.CENTER, 1.0: Align.RIGHT}[text.anchor]
        made = space.add_text(
            marked(text.words),
            height=text.height / self._scale,
            rotation=90.0 if text.turned else 0.0,
            dxfattribs={"style": STYLE, **self._look(text.pen)},
        )
        made.set_placement(self._at(text.at), align=align)

    def _dimension(self, item: Dimension) -> None:
        """A dimension entity that looks as it does on paper, and its block of lines and text."""
        block = self._doc.blocks.new_anonymous_block(type_char="D")
        parts: list[Item] = [*item.lines, *item.arrows, item.text]
        for part in parts:
            self.add(part, block)
        aligned = item.angle % 90.0 != 0.0 or (not item.text.turned and item.angle % 180.0 != 0.0)
        first, second, at = self._at(item.first), self._at(item.second), self._at(item.at)
        attributes = {
            "layer": "dimensions",
            "dimstyle": self._style(item.scale),
            "geometry": block.name,
            "dimtype": 160 | (1 if aligned else 0),
            "defpoint": at,
            "defpoint2": first,
            "defpoint3": second,
            "text_midpoint": self._at(_middle(item.text)),
            "actual_measurement": item.value,
            "text": marked(f"{item.prefix}{_figure(item.value)}{item.suffix}"),
        }
        if not aligned:
            attributes["angle"] = item.angle
        self._space.new_entity("DIMENSION", attributes)

    def _style(self, scale: float) -> str:
        """The dimension style of a view's scale: a factor makes its measurements true."""
        if scale not in self._styles:
            name = "main" if scale == self._scale else f"detail {scale:g} to 1"
            self._doc.dimstyles.add(
                name,
                dxfattribs={
                    "dimtxsty": STYLE,
                    "dimscale": 1.0 / self._scale,
                    "dimlfac": self._scale / scale,
                    "dimtxt": PLAIN,
                    "dimasz": ARROW,
                    "dimexe": OVER,
                    "dimexo": 0.0,
                    "dimgap": ABOVE,
                    "dimtad": 1,
                    "dimdec": 2,
                    "dimtdec": 2,
                    "dimzin": 0,
                    "dimdsep": ord("."),
                    "dimtih": 0,
                    "dimtoh": 0,
                    "dimtmove": 1,
                },
            )
            self._styles[scale] = name
        return self._styles[scale]


def _figure(value: float) -> str:
    """What stands for the length: the sign for what a reader measures, or the figure on paper.

    Half-way between two figures readers round either way, so there the figure is written out.
    """
    steps = 100.0 * value - 0.5
    return printed(value) if abs(steps - round(steps)) < 1e-3 else "<>"


def marked(words: str) -> str:
    """Text with the signs every reader of DXF knows by their codes."""
    return "".join(_MARK.get(sign, sign) for sign in words)


def _middle(text: Text) -> Point:
    left, low, right, high = text.box()
    return ((left + right) / 2, (low + high) / 2)


def _weight(width: float) -> int:
    return min(_WIDTHS, key=lambda w: abs(w - 100 * width))
