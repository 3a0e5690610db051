"""A4 sheets to write on, as a tagged PDF: real text, an outline, and what each thing is.

Places are mm from the upper left corner of a sheet. Every mark belongs to an `Element` of the
structure, so that a reader reads headings, lists and tables as such, or is furniture.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from nests.papers.pdf_file import PdfFile, pdf_text
from nests.papers.report.helvetica import PT
from nests.papers.report.png_data import PngData

WIDE, HIGH = 210.0, 297.0
"""mm, A4 (ISO 216)."""
FONTS = ("Helvetica", "Helvetica-Bold", "Helvetica-Oblique")
UPRIGHT, BOLD, SLANTED = range(3)
FOOT_LEFT, FOOT_SIZE = 16.0, 8.5
"""mm from the left and pt of the line at the foot of every sheet."""


@dataclass(eq=False)
class Element:
    """A thing on the sheets: `kind` is its structure type (ISO 32000-1, 14.8.4)."""

    kind: str
    alt: str = ""
    scope: str = ""
    """What a TH heads: Row or Column."""
    kids: list[Element] = field(default_factory=list)
    marks: list[tuple[int, int]] = field(default_factory=list)
    """Sheet and number of the marked content."""

    def add(self, kind: str, alt: str = "", scope: str = "") -> Element:
        """A further element inside."""
        self.kids.append(Element(kind, alt, scope))
        return self.kids[-1]

    def every(self) -> Iterator[Element]:
        """Itself and all inside."""
        yield self
        for kid in self.kids:
            yield from kid.every()


class Sheets:
    """Sheets, of which the last is written on."""

    def __init__(self, foot: str) -> None:
        """No sheet yet; `foot` will stand at the bottom of every one, with its number."""
        self.root = Element("Document")
        self._foot = foot
        self._drawn: list[list[bytes]] = []
        self._marks: list[int] = []
        self._pictures: list[PngData] = []
        self._outline: list[tuple[int, str, int, float]] = []

    @property
    def count(self) -> int:
        """Sheets so far."""
        return len(self._drawn)

    def turn(self) -> None:
        """A new sheet."""
        self._drawn.append([])
        self._marks.append(0)

    def text(
        self, x: float, y: float, words: str, size: float, font: int, of: Element | None
    ) -> None:
        """Words in `winansi` letters on the baseline y, `size` in pt."""
        self._mark(_words(x, y, words, size, font), of)

    def fill(self, x: float, y: float, wide: float, high: float, grey: float) -> None:
        """A box of a grey from 0 (black) to 1."""
        self._mark(f"{grey:g} g {_box(x, y, wide, high)} re f 0 g".encode(), None)

    def rule(self, x: float, y: float, wide: float, high: float) -> None:
        """A thin line, level or upright."""
        at = f"{_pt(x)} {_pt(HIGH - y)} m {_pt(x + wide)} {_pt(HIGH - y - high)} l"
        self._mark(f"0.4 w 0.45 G {at} S".encode(), None)

    def picture(
        self, x: float, y: float, wide: float, high: float, png: PngData, of: Element
    ) -> None:
        """A picture in a box."""
        self._pictures.append(png)
        matrix = f"{_pt(wide)} 0 0 {_pt(high)} {_pt(x)} {_pt(HIGH - y - high)} cm"
        self._mark(f"q {matrix} /P{len(self._pictures) - 1} Do Q".encode(), of)

    def entry(self, level: int, title: str, y: float) -> None:
        """A line of the outline, `level` 0 or more, that leads to y on the last sheet."""
        self._outline.append((level, title, self.count - 1, y))

    def finished(self, title: str) -> bytes:
        """The file."""
        file = PdfFile()
        tree, structure = file.reserve(), file.reserve()
        fonts = " ".join(
            f"/F{k} << /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>"
            for k, name in enumerate(FONTS)
        )
        shown = " ".join(
            f"/P{k} {file.packed(each.packed, each.about())} 0 R"
            for k, each in enumerate(self._pictures)
        )
        resources = file.add(f"<< /Font << {fonts} >> /XObject << {shown} >> >>")
        pages = []
        for number, drawn in enumerate(self._drawn):
            foot = f"{self._foot} · page {number + 1} of {self.count}"
            below = _artifact(_words(FOOT_LEFT, HIGH - 9.0, foot, FOOT_SIZE, UPRIGHT))
            content = file.stream(b"\n".join([*drawn, below]))
            pages.append(
                file.add(
                    f"<< /Type /Page /Parent {tree} 0 R /MediaBox [0 0 {_pt(WIDE)} {_pt(HIGH)}] "
                    f"/Resources {resources} 0 R /Contents {content} 0 R /Tabs /S "
                    f"/StructParents {number} >>"
                )
            )
        kids = " ".join(f"{page} 0 R" for page in pages)
        file.put(tree, f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>")
        self._structure(file, structure, pages)
        outline = self._outlined(file, pages)
        catalog = file.add(
            f"<< /Type /Catalog /Pages {tree} 0 R /Lang (en) /MarkInfo << /Marked true >> "
            f"/StructTreeRoot {structure} 0 R {outline} "
            "/ViewerPreferences << /DisplayDocTitle true >> >>"
        )
        info = file.add(f"<< /Title {pdf_text(title)} /Producer (nests) >>")
        return file.bytes(catalog, info, "1.7")

    def _mark(self, drawn: bytes, of: Element | None) -> None:
        if of is None:
            self._drawn[-1].append(_artifact(drawn))
            return
        number = self._marks[-1]
        self._marks[-1] += 1
        of.marks.append((self.count - 1, number))
        begin = f"/{of.kind} << /MCID {number} >> BDC ".encode()
        self._drawn[-1].append(begin + drawn + b" EMC")

    def _structure(self, file: PdfFile, root: int, pages: list[int]) -> None:
        """The tree of elements, and for each sheet the element of each mark on it."""
        number = {id(each): file.reserve() for each in self.root.every()}
        owner: list[dict[int, int]] = [{} for _ in pages]
        parent = {id(self.root): root}
        for each in self.root.every():
            parent |= {id(kid): number[id(each)] for kid in each.kids}
            for sheet, mark in each.marks:
                owner[sheet][mark] = number[id(each)]
            inside = [
                f"<< /Type /MCR /Pg {pages[sheet]} 0 R /MCID {mark} >>"
                for sheet, mark in each.marks
            ] + [f"{number[id(kid)]} 0 R" for kid in each.kids]
            alt = f"/Alt {pdf_text(each.alt)} " if each.alt else ""
            scope = f"/A << /O /Table /Scope /{each.scope} >> " if each.scope else ""
            file.put(
                number[id(each)],
                f"<< /Type /StructElem /S /{each.kind} /P {parent[id(each)]} 0 R {alt}{scope}"
                f"/K [{' '.join(inside)}] >>",
            )
        nums = " ".join(
            f"{sheet} [{' '.join(f'{marks[k]} 0 R' for k in sorted(marks))}]"
            for sheet, marks in enumerate(owner)
        )
        file.put(
            root,
            f"<< /Type /StructTreeRoot /K [{number[id(self.root)]} 0 R] "
            f"/ParentTree << /Nums [{nums}] >> /ParentTreeNextKey {len(pages)} >>",
        )

    def _outlined(self, file: PdfFile, pages: list[int]) -> str:
        """The outline's objects, and its entry in the catalog."""
        if not self._outline:
            return ""
        root = file.reserve()
        number = [file.reserve() for _ in self._outline]
        levels = [level for level, *_ in self._outline]
        above = [
            next((i for i in range(k - 1, -1, -1) if levels[i] < levels[k]), -1)
            for k in range(len(levels))
        ]
        inside = {k: [i for i, a in enumerate(above) if a == k] for k in range(-1, len(levels))}

        def below(k: int) -> int:
            return sum(1 + below(i) for i in inside[k])

        def ends(k: int) -> str:
            if not inside[k]:
                return ""
            first, last = number[inside[k][0]], number[inside[k][-1]]
            return f"/First {first} 0 R /Last {last} 0 R /Count {below(k)}"

        for k, (_, title, sheet, y) in enumerate(self._outline):
            row = inside[above[k]]
            at = row.index(k)
            beside = f"/Prev {number[row[at - 1]]} 0 R " if at else ""
            beside += f"/Next {number[row[at + 1]]} 0 R " if at + 1 < len(row) else ""
            up = root if above[k] < 0 else number[above[k]]
            file.put(
                number[k],
                f"<< /Title {pdf_text(title)} /Parent {up} 0 R {beside}{ends(k)} "
                f"/Dest [{pages[sheet]} 0 R /XYZ 0 {_pt(HIGH - y)} null] >>",
            )
        file.put(root, f"<< /Type /Outlines {ends(-1)} >>")
        return f"/Outlines {root} 0 R"


def _words(x: float, y: float, words: str, size: float, font: int) -> bytes:
    said = words.encode("cp1252")
    for sign in (b"\\", b"(", b")"):
        said = said.replace(sign, b"\\" + sign)
    return f"BT /F{font} {size:g} Tf {_pt(x)} {_pt(HIGH - y)} Td (".encode() + said + b") Tj ET"


def _artifact(drawn: bytes) -> bytes:
    """Furniture of the sheet, which is not read aloud."""
    return b"/Artifact BMC " + drawn + b" EMC"


def _pt(millimetres: float) -> str:
    return f"{millimetres / PT:.2f}"


def _box(x: float, y: float, wide: float, high: float) -> str:
    return f"{_pt(x)} {_pt(HIGH - y - high)} {_pt(wide)} {_pt(high)}"
