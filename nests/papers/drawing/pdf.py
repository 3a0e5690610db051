"""A drawing as PDF, a page for each sheet: the SVG of the sheet, and its text where it stands.

The lettering is strokes, as in the other files; over each text lies the same in letters that are
not seen, so that it can be searched and copied. Set by typst; nothing depends on the clock.
"""

from __future__ import annotations

from nests.papers.drawing.svg import sheet_svg
from nests.papers.drawing.values import Drawing, Text, texts_of
from nests.papers.typeset import FONT, compiled, quoted, shown

CAPITAL = 0.66
"""Height of a capital of the font as a share of its size."""
HEAD = f"""
#set text(font: {FONT}, lang: "en", hyphenate: false, fill: rgb(0, 0, 0, 0),
  top-edge: "baseline", bottom-edge: "baseline")
#let said(x, y, size, turn, words) = place(top + left, dx: x, dy: y,
  rotate(turn, origin: top + left, box(text(size: size, words))))
"""


def pdf(drawing: Drawing) -> bytes:
    """PDF of the sheets. The same drawing gives the same bytes."""
    wide, tall = drawing.size
    title = quoted(shown(drawing.title))
    lines = [
        f"#set document(title: {title}, date: none)",
        f"#set page(width: {wide:.3f}mm, height: {tall:.3f}mm, margin: 0mm)",
        HEAD,
    ]
    pictures = {}
    for number, sheet in enumerate(drawing.sheets):
        name = f"sheet{number}.svg"
        pictures[name] = sheet_svg(drawing, number)
        alt = quoted(shown(f"{drawing.title}, sheet {number + 1}"))
        lines += ["#pagebreak()"] if number else []
        lines.append(f'#place(top + left, image("{name}", width: 100%, alt: {alt}))')
        lines += [
            _said(each, tall) for block in sheet for each in texts_of(block.items) if each.words
        ]
    return compiled("\n".join(lines), pictures)


def _said(text: Text, tall: float) -> str:
    """A text in letters that are not seen, from its left on its base line."""
    left, low, *_ = text.box()
    x, y = (text.at[0], low) if text.turned else (left, text.at[1])
    turn = "-90deg" if text.turned else "0deg"
    size = text.height / CAPITAL
    words = quoted(shown(text.words))
    return f"#said({x:.3f}mm, {tall - y:.3f}mm, {size:.3f}mm, {turn}, {words})"
