"""Finished documents as a person reads them: headings, tables and numbers, and nothing of nests."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import ezdxf
import html5lib
from ezdxf.entities import Dimension as Measure
from pypdf import PdfReader

NUMBER = re.compile(r"[-−+]?\d+(?:\.\d+)?")


def numbers(text: str) -> list[float]:
    """Every number in a text, in order; a true minus is one."""
    return [float(each.replace("−", "-")) for each in NUMBER.findall(text)]


def number_after(words: str, text: str) -> float:
    """The first number after some words of a text."""
    assert words in text, f"'{words}' is not in: {text}"
    found = numbers(text[text.index(words) + len(words) :])
    assert found, f"no number after '{words}' in: {text}"
    return found[0]


def number_before(words: str, text: str) -> float:
    """The last number before some words of a text."""
    assert words in text, f"'{words}' is not in: {text}"
    found = numbers(text[: text.index(words)])
    assert found, f"no number before '{words}' in: {text}"
    return found[-1]


@dataclass
class Page:
    """A page: its text block by block, in order, and its tables by caption."""

    texts: list[str] = field(default_factory=list)
    tables: dict[str, list[list[str]]] = field(default_factory=dict)
    under: dict[str, list[str]] = field(default_factory=dict)
    """Texts by the heading above them."""

    def table(self, start: str) -> list[list[str]]:
        """The rows of the one table whose caption has these words."""
        (found,) = [rows for caption, rows in self.tables.items() if start in caption]
        return found

    def row(self, table: str, first: str) -> list[str]:
        """The row of a table that begins with a cell."""
        (found,) = [row for row in self.table(table) if row[0] == first]
        return found


def read_page(data: bytes) -> Page:
    """What stands on a page."""
    tree = html5lib.parse(data.decode(), namespaceHTMLElements=False)
    out, heading = Page(), ""

    def words(node) -> str:
        return re.sub(r"\s+", " ", "".join(node.itertext())).strip()

    for node in tree.find("body").iter():
        if node.tag in ("h1", "h2", "h3"):
            heading = words(node)
        if node.tag in ("h1", "h2", "h3", "p", "li", "summary", "th", "td", "caption"):
            out.texts.append(words(node))
        if node.tag in ("h1", "h2", "h3", "p", "li"):
            out.under.setdefault(heading, []).append(words(node))
        if node.tag == "table":
            rows = [[words(c) for c in row] for row in node.find("tbody").iter("tr")]
            assert words(node.find("caption")) not in out.tables
            out.tables[words(node.find("caption"))] = rows
    return out


def squeezed(text: str) -> str:
    """Text without the breaks that a line or a cell puts in it."""
    return re.sub(r"[\s\-]+", "", text)


def pdf_pages(data: bytes) -> list[str]:
    """The text of each sheet, as pypdf reads it."""
    return [sheet.extract_text() for sheet in PdfReader(io.BytesIO(data)).pages]


@dataclass
class Plot:
    """A drawing read from its DXF: every text in order (a dimension's too), where it stands, and
    the dimensions as (text, measured by the file's own rule)."""

    words: list[str]
    at: list[tuple[float, float]]
    dimensions: list[tuple[str, float]]
    views: list[tuple[float, float]]
    """mm of paper and mm of drawing across the window of each layout."""
    shown: list[int]
    """At which of the texts each dimension's stands."""
    factors: list[float]
    """What each dimension's style multiplies lengths of the file with."""

    def cells(self, heading: str, columns: int, rows: int) -> list[list[str]]:
        """So many rows of the table under a heading, below its head."""
        found = self.words.index(heading) + 1
        flat = self.words[found : found + columns * (rows + 1)]
        table = [flat[k : k + columns] for k in range(0, len(flat), columns)]
        return table[1:]

    def after(self, words: str) -> str:
        """What stands after some words, such as a cell of the title block after its name."""
        return self.words[self.words.index(words) + 1]

    def line(self, *beginnings: str) -> str:
        """The texts from the first that begins so, run together."""
        start = next(k for k, w in enumerate(self.words) if w.startswith(beginnings))
        return " ".join(self.words[start : start + 8])


_SIGNS = (("%%c", "⌀"), ("%%p", "±"), ("%%d", "°"))


def plain(text: str) -> str:
    """Text of a DXF with its signs in place of their codes."""
    for code, sign in _SIGNS:
        text = text.replace(code, sign)
    return text


def read_dxf(data: bytes) -> Plot:
    """What is written in a drawing, as ezdxf reads it."""
    doc = ezdxf.read(io.StringIO(data.decode("utf-8")))
    out = Plot([], [], [], [], [], [])
    for entity in doc.modelspace():
        if entity.dxftype() == "TEXT":
            _, at, _ = entity.get_placement()
            out.words.append(plain(entity.dxf.text))
            out.at.append((at.x, at.y))
        if entity.dxftype() == "DIMENSION":
            shown = [t for t in entity.get_geometry_block() if t.dxftype() == "TEXT"]
            assert len(shown) == 1
            out.shown.append(len(out.words))
            out.words.append(plain(shown[0].dxf.text))
            out.at.append(tuple(entity.dxf.text_midpoint)[:2])
            out.dimensions.append((plain(shown[0].dxf.text), by_rule(entity)))
            style = doc.dimstyles.get(entity.dxf.dimstyle)
            out.factors.append(style.dxf.dimlfac)
            written = plain(entity.dxf.text).replace("<>", f"{entity.dxf.actual_measurement:.2f}")
            assert written == plain(shown[0].dxf.text), "the file's number and the one drawn differ"
    for layout in doc.layouts:
        for window in layout.query("VIEWPORT"):
            if window.dxf.id != 1 and layout.name != "Model":
                out.views.append((window.dxf.height, window.dxf.view_height))
    return out


def by_rule(entity: Measure) -> float:
    """What any reader of DXF measures between the points of a dimension, times its factor."""
    style = entity.doc.dimstyles.get(entity.dxf.dimstyle)
    return float(entity.get_measurement()) * style.dxf.dimlfac


def close(printed: float, wanted: float, places: int, more: float = 0.0) -> None:
    """A printed number is the wanted one, rounded to its places (`more` for what was measured)."""
    assert abs(printed - wanted) <= 0.5 * 10.0**-places + 1e-9 + more, f"{printed} != {wanted}"


def figures(said: Sequence[str]) -> list[list[float]]:
    """The numbers of each text."""
    return [numbers(each) for each in said]
