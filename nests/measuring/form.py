"""The form for the bench: one A4 page for each side of the movement, the rows those of the table.

What is read with the dial side up stands on the first page, what is read with the bridge side up on
the second. On the plan of each the hours run as they are seen from that side, so that nothing is
mirrored in the head: 3 h is on the right of the dial side and on the left of the bridge side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nests.kinds.measured import Measured
from nests.measuring.bench import (
    ACROSS,
    ARBORS,
    EACH_FRAGILE,
    EACH_REST,
    FRAGILE,
    MASS,
    PRESSED,
    PUSHER,
    RESTS,
    STOCK,
    WHOLE,
    Ask,
    place_of,
)
from nests.measuring.written_place import FORMS
from nests.papers.typeset import FONT, compiled, quoted, shown
from nests.places import Frame, Side, at_hour

FREE = {"arbor": 8, "fragile": 3, "rest": 6, "pusher": 3}
FREE_DIAL = 3
"""Empty rows for each kind of thing on the page of the bridge side, and of either that is on the
dial side."""
RADIUS = 27.0
"""mm of the plan that places are sketched on."""
BRIDGE_FIRST = ("bridge height", "rim level")
"""Of the whole what is read with the bridge side up."""
HEAD = f"""
#set document(title: "Measuring form", date: none)
#set page(paper: "a4", margin: (x: 13mm, top: 11mm, bottom: 12mm), footer: text(size: 7.5pt,
  fill: luma(30%))[Lengths in mm, hours of the dial. #h(1fr) page #context counter(page).display()
  of 2])
#set text(font: {FONT}, size: 8.5pt, lang: "en", hyphenate: false)
#set par(leading: 0.5em, spacing: 0.6em)
#show heading.where(level: 1): set text(size: 14pt)
#show heading.where(level: 2): set text(size: 10pt)
#show heading: set block(above: 3mm, below: 1.6mm)
#show table.cell.where(y: 0): strong
"""


def form(record: Measured | None = None) -> bytes:
    """The form as PDF of two pages, empty, or with the name of what is measured on it."""
    name = (record.text("whole", "", "name") if record is not None else None) or ""
    whole = [each for each in WHOLE if each.usual and each.asks != "name"]
    dial = [each for each in whole if each.asks not in BRIDGE_FIRST]
    bridge = [each for each in whole if each.asks in BRIDGE_FIRST]
    place = place_of("arbor")[0]
    pressed = [each for each in PRESSED if each.usual]
    fragile = [place, *(each for each in EACH_FRAGILE if each.usual)]
    lines = [
        HEAD,
        *_top(Side.DIAL, name),
        *_facts([*dial, *STOCK, MASS]),
        "#heading(level: 2)[Pushers]",
        *_things([each for each in PUSHER if each.usual], FREE["pusher"]),
        *_rows([place, *EACH_REST], FREE_DIAL, RESTS.says),
        *_rows(fragile, FREE_DIAL, FRAGILE.says),
        *_plan(Side.DIAL),
        "#pagebreak()",
        *_top(Side.BRIDGE, name),
        *_facts(bridge),
        *_rows([place, ACROSS, *pressed], FREE["arbor"], ARBORS[0].says),
        *_rows(fragile, FREE["fragile"], FRAGILE.says),
        *_rows([place, *EACH_REST], FREE["rest"], RESTS.says),
        *_plan(Side.BRIDGE),
    ]
    return compiled("\n".join(lines), {})


def _rows(asks: Sequence[Ask], free: int, says: str) -> Iterator[str]:
    """A heading, and empty rows."""
    yield f"#heading(level: 2)[#{_said(says)}]"
    yield from _things(asks, free)


def _said(text: str) -> str:
    return quoted(shown(text))


def _top(side: Side, name: str) -> Iterator[str]:
    yield f"#heading(level: 1)[#{_said(f'Measuring form, {side.value} side up')}]"
    called = _said(name or "." * 60)
    yield f"#par[Name: #{called} #h(1fr) Date: .................... By: ...................]"


def _facts(asks: Sequence[Ask]) -> Iterator[str]:
    """What is asked once: the question, the tool, and a blank."""
    yield "#table(columns: (1fr, 24mm, 30mm), inset: 1.25mm, stroke: 0.4pt,"
    yield "  table.header([What], [With], [Read]),"
    for each in asks:
        unit = f" ({each.unit})" if each.unit else ""
        how = f" ({each.how})" if each.how else ""
        words = f"{each.asks}{unit}: {each.says}{how}"
        yield f"  [#{_said(words)}], [#{_said(each.tool)}], [#box(height: 4.2mm)],"
    yield ")"


def _things(asks: Sequence[Ask], free: int) -> Iterator[str]:
    """A row for each thing of one kind: its name, and what is asked of it."""
    wide = ["1.6fr", *("1.9fr" if each.form in ("place", "names") else "1fr" for each in asks)]
    yield f"#table(columns: ({', '.join(wide)}), inset: 1.2mm, stroke: 0.4pt, align: bottom,"
    heads = [f"{e.asks} ({e.unit})" if e.unit and e.form != "place" else e.asks for e in asks]
    yield f"  table.header({', '.join(f'[#{_said(each)}]' for each in ('name', *heads))}),"
    for _ in range(free):
        yield f"  [#box(height: 4.2mm)], {', '.join('[]' for _ in asks)},"
    yield ")"


def _plan(side: Side) -> Iterator[str]:
    """A circle with its hours as they are seen from a side, to sketch on."""
    frame, wide = Frame(side, 0.0, 0.0), 2 * RADIUS + 14.0
    alt = f"Circle with the hours of the dial as seen from the {side.value} side, to sketch on"
    yield "#grid(columns: (auto, 1fr), column-gutter: 6mm, align: horizon,"
    yield f"  figure(alt: {_said(alt)}, box(width: {wide}mm, height: {wide}mm, {{"
    middle = wide / 2
    yield f"  place(dx: 7mm, dy: 7mm, circle(radius: {RADIUS}mm, stroke: 0.5pt))"
    for hour in range(1, 13):
        at = frame.place(at_hour(float(hour), 1.0))
        ends = ", ".join(
            f"{end}: ({middle + k * at.x:.2f}mm, {middle - k * at.y:.2f}mm)"
            for end, k in (("start", RADIUS - 1.5), ("end", RADIUS + 1.0))
        )
        yield f"  place(line({ends}, stroke: 0.5pt))"
        x, y = middle + (RADIUS + 4.0) * at.x, middle - (RADIUS + 4.0) * at.y
        yield (
            f"  place(dx: {x - 4:.2f}mm, dy: {y - 2:.2f}mm, "
            f"box(width: 8mm, height: 4mm, align(center + horizon)[{hour}]))"
        )
    yield f"  place(line(start: ({middle - 2}mm, {middle}mm), end: ({middle + 2}mm, {middle}mm)))"
    yield f"  place(line(start: ({middle}mm, {middle - 2}mm), end: ({middle}mm, {middle + 2}mm)))"
    yield "  })),"
    seen = f"Seen from the {side.value} side. {HEIGHTS[side]}"
    words = (seen, f"A place: {FORMS}.", JAWS)
    yield f"  [{' '.join(f'#par[#{_said(each)}]' for each in words)}])"


HEIGHTS = {
    Side.DIAL: "Heights of what is entered here are read from the dial-side rim face, and typed "
    "so: '0.4 on dial'.",
    Side.BRIDGE: "Heights are read from the bridge-side rim face.",
}
JAWS = (
    "A distance is 'from' middle to middle, 'over' with the jaws outside both, 'between' with the "
    "jaws inside. Third distances are worth the minute: they show a slip."
)
