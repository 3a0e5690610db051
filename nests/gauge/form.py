"""The reading form of a gauge plate on paper: its rows are exactly those of the document."""

from __future__ import annotations

from collections.abc import Iterator

from nests.gauge.not_read import not_read
from nests.gauge.plate import GaugePlate
from nests.gauge.specimen import Station
from nests.kinds.gauge_readings import GaugeRow
from nests.papers.drawing import svg
from nests.papers.typeset import FONT, compiled, quoted, shown

HEAD = f"""
#set document(title: "Reading form of the gauge plate", date: none)
#set page(paper: "a4", margin: (x: 14mm, top: 12mm, bottom: 13mm), footer: text(size: 7.5pt,
  fill: luma(30%))[Lengths in mm. #h(1fr) page #context counter(page).display()])
#set text(font: {FONT}, size: 8.5pt, lang: "en", hyphenate: false)
#set par(leading: 0.5em, spacing: 0.6em)
#show heading.where(level: 1): set text(size: 14pt)
#show heading.where(level: 2): set text(size: 10pt)
#show heading: set block(above: 3mm, below: 1.4mm)
#show table.cell.where(y: 0): strong
"""
MORE = (
    "A plate that came off well shows only that so much may be peeled at once. Of any other print "
    "whose largest layer came off well, or did not, add a row to the table: peel, its mm², good or "
    "bad."
)
UNITS = {"overhang": "°", "cup": " mm³", "peel": " mm²"}
"""Unit of what was drawn, where it is not mm."""
BEFORE = (
    "Wash, dry and cure the plate as you will the holders: it is the whole way that is measured.",
    "x runs along the row of rings, from the large to the small ones; y runs from the steps to the "
    "walls. Heights are read from the face that lay on the build plate.",
    "Read what is gauged three times, each time anew from zero, and write down what you read, also "
    "where it seems odd: it is pointed out, and nothing is left out behind your back.",
)


def form(plate: GaugePlate) -> bytes:
    """The form as PDF."""
    from nests.gauge.drawing import drawing

    card = plate.card
    lines = [
        HEAD,
        "#heading(level: 1)[Reading form of the gauge plate]",
        f"#par[For: #{_said(card.name)}, layers of #{_said(f'{card.layer:g}')} mm. "
        "Gauged with: .................... Date: .............. By: ..............]",
        *(f"#par[#{_said(each)}]" for each in BEFORE),
        f'#figure(alt: {_said("Drawing of the gauge plate")}, image("plate.svg", width: 100%))',
        "#pagebreak()",
    ]
    alike: dict[str, list[Station]] = {}
    for station in plate.stations:  # those that are read alike stand beside each other
        alike.setdefault(station.how, []).append(station)
    for how, some in alike.items():
        rows = tuple(row for station in some for each in station.specimens for row in each.rows)
        lines += _table(" ".join(station.letters for station in some), how, rows)
    lines.append(f"#par[#{_said(MORE)}]")
    lines.append("#heading(level: 2)[Not read from this plate, and kept from the card]")
    lines += [f"#par[#{_said(each)}]" for each in not_read()]
    return compiled("\n".join(lines), {"plate.svg": svg(drawing(plate))})


def _table(letters: str, how: str, rows: tuple[GaugeRow, ...]) -> Iterator[str]:
    kinds = " and ".join(dict.fromkeys(row.sort for row in rows))
    yield f"#heading(level: 2)[#{_said(f'{letters}, {kinds}: {how}')}]"
    gauged = rows[0].gauged
    heads = ["row", "as drawn", *(("1st", "2nd", "3rd") if gauged else ("good", "bad", "remarks"))]
    wide = "(34mm, 20mm, 1fr, 1fr, 1fr)"
    yield f"#table(columns: {wide}, inset: 0.95mm, stroke: 0.4pt,"
    yield f"  table.header({', '.join(f'[#{_said(each)}]' for each in heads)}),"
    for row in rows:
        unit = UNITS.get(row.sort, "")
        drawn = f"{row.drawn:g}{unit}"
        if row.height:
            drawn += f", from {row.height:g} up"
        blank = "[#box(height: 3.1mm)], [], []"
        yield f"  [#{_said(row.name)}], [#{_said(drawn)}], {blank},"
    yield ")"


def _said(text: str) -> str:
    return quoted(shown(text))
