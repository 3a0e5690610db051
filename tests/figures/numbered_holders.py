"""The holders whose documents are read, and the documents themselves, each made once.

A `Case` makes a document when it is asked for, from others it asks for in turn. Who asked whom is
kept, so that a bench that changes the program can make anew just what the change reaches.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import trimesh
from read_papers import Page, Plot, pdf_pages, read_dxf, read_page

from nests import families
from nests.checks import judge
from nests.checks.bench import load_path
from nests.documents.files import data_folder
from nests.families.round import stand_in
from nests.finding import Finding, by_gravity
from nests.given.operation import USUAL, Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.compose import Holder, compose
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.orders.order import at_work
from nests.papers import drawing
from nests.papers.report import holder_report, page, paper
from nests.parts.stake_post import StakePost
from nests.places import Side
from nests.printing.mesh_files import NamedMesh, in_single, stl
from nests.solids.solid import Solid, triangles
from nests.study import Study

ROOT = data_folder("gallery")
BENCH = read(ROOT / "printers" / "bench-printer.json", PrinterCard)
ODD = replace(
    BENCH,
    layer=0.03,
    inside_bias=-0.071,
    inside_bias_slope=0.002,
    outside_bias=0.037,
    scatter=0.023,
    density=1.19,
    layer_time=9.5,
    resin_price=73.0,
    currency="EUR",
)
"""A card on which no figure is as round as usual, so that none can stand for another."""
DOT = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8ffff"
    "3f0005fe02fe0def46b80000000049454e44ae426082"
)
"""A PNG of one white pixel: pictures have tests of their own."""
DIGEST = "0123456789ab"


MAKING: list[tuple[str, str]] = []
"""Papers and kind of the documents being made, the innermost last."""


@dataclass
class Papers:
    """Documents by kind, made when asked for; `asked` tells by which kinds each was asked for."""

    name: str
    made: dict[str, Any] = field(default_factory=dict)
    asked: dict[str, set[str]] = field(default_factory=dict)

    FINISHED = ()
    """Kinds that go out of the house, as bytes or as words."""

    def get(self, kind: str) -> Any:
        """A document."""
        for _, by in MAKING[-1:]:
            self.asked.setdefault(kind, set()).add(by)
        if kind not in self.made:
            MAKING.append((self.name, kind))
            try:
                self.made[kind] = getattr(self, "_" + kind)()
            finally:
                MAKING.pop()
        return self.made[kind]

    def with_dependents(self, kinds: set[str]) -> set[str]:
        """These kinds and all that are made from them."""
        out, todo = set(kinds), list(kinds)
        while todo:
            more = self.asked.get(todo.pop(), set()) - out
            out |= more
            todo += more
        return out

    def forget(self, kinds: set[str]) -> None:
        """Make these anew when they are asked for next."""
        for kind in kinds:
            self.made.pop(kind, None)

    @contextmanager
    def read_by(self) -> Iterator[set[str]]:
        """Collects the kinds that are asked for from outside meanwhile."""
        before, out = self.get, set()  # type: ignore[var-annotated]

        def noted(kind: str) -> Any:
            if not MAKING:
                out.add(kind)
            return before(kind)

        self.get = noted  # type: ignore[method-assign]
        try:
            yield out
        finally:
            del self.get


@dataclass
class Case(Papers):
    """A holder and what is printed about it."""

    sheet: Sheet = field(default_factory=lambda: stand_in(26.0, 4.6))
    write: Callable[[], Recipe] = lambda: Recipe(name="none", workpiece=stand_in(26.0, 4.6))
    unchanged: Callable[[], Recipe] | None = None
    """The family's own recipe, where `write` changes it."""

    FINISHED = ("page", "paper", "dxf", "svg", "drawing_pdf", "turned")

    @cached_property
    def recipe(self) -> Recipe:
        return self.write()

    @cached_property
    def holder(self) -> Holder:
        return compose(self.recipe)

    @cached_property
    def study(self) -> Study:
        return Study.of(self.holder)

    @cached_property
    def _judged(self) -> tuple[Finding, ...]:
        return by_gravity(tuple(judge(self.study)))

    @cached_property
    def _meshes(self) -> dict[str, trimesh.Trimesh]:
        return {}

    def mesh(self, body: str = "") -> trimesh.Trimesh:
        """The holder as exported, or one of the loose bodies printed beside it."""
        if body not in self._meshes:
            solid = dict(self.holder.beside)[body] if body else self.holder.solid
            self._meshes[body] = exported(solid)
        return self._meshes[body]

    def _reasons(self) -> tuple[str, ...]:
        return self.write().reasons

    def _findings(self) -> tuple[Finding, ...]:
        """Found; those that give the load path in words are worded anew."""
        words = iter(load_path.check(self.study))
        anew = {f.place: f for f in words}
        return tuple(anew.get(f.place, f) if f.check == "load path" else f for f in self._judged)

    def _report(self) -> Any:
        holder = replace(self.holder, recipe=replace(self.recipe, reasons=self.get("reasons")))
        return holder_report(
            holder, self.study, self.get("findings"), {"Outside and cut": DOT}, DIGEST
        )

    def _page(self) -> bytes:
        return page(self.get("report"))

    def _paper(self) -> bytes:
        return paper(self.get("report"))

    def _model(self) -> Any:
        return drawing.model(self.holder)

    def _dxf(self) -> bytes:
        return drawing.dxf(self.get("model"))

    def _svg(self) -> bytes:
        return drawing.svg(self.get("model"))

    def _drawing_pdf(self) -> bytes:
        return drawing.pdf(self.get("model"))

    def _turned(self) -> bytes:
        return drawing.turned_dxf(self.holder) or b""

    def _read(self) -> Page:
        return read_page(self.get("page"))

    def _sheets(self) -> list[str]:
        return pdf_pages(self.get("paper"))

    def _plot(self) -> Plot:
        return read_dxf(self.get("dxf"))

    def _drawing_pages(self) -> list[str]:
        return pdf_pages(self.get("drawing_pdf"))

    def _turned_plot(self) -> Plot:
        return read_dxf(self.get("turned"))


def exported(solid: Solid) -> trimesh.Trimesh:
    """A solid as its STL gives it back, read by trimesh."""
    data = stl(NamedMesh("body", in_single(triangles(solid))))
    return trimesh.load(io.BytesIO(data), file_type="stl")


def sheet_of(name: str) -> Sheet:
    return read(ROOT / "sheets" / f"{name}.json", Sheet)


def _written(
    name: str,
    family: str,
    sheet: Sheet,
    operation: Operation | None,
    card: PrinterCard = BENCH,
    change: Callable[[Recipe], Recipe] | None = None,
    **options: Any,
) -> Case:
    rule = families.family(family)
    work = at_work(sheet, operation) if operation is not None else sheet

    def write() -> Recipe:
        return rule.recipe(work, operation, rule.Wish(**options), card)

    if change is None:
        return Case(name, sheet=work, write=write)
    return Case(name, sheet=work, write=lambda: change(write()), unchanged=write)


HANDS = Operation(
    name="hands",
    side_up=Side.DIAL,
    says="hands pressed on",
    presses=(Press(arbor="centre", force=15.0, least=9.0, most=21.0),),
    stem=True,
)
"""The hardest press is not the one that is usual."""
HARD = replace(HANDS, presses=(Press(arbor="third wheel", force=22.0, most=26.0),),
               side_up=Side.BRIDGE)  # fmt: skip


def _soft(recipe: Recipe) -> Recipe:
    """Every metal post printed, and printed short: the load path stops, and says what would do."""
    return replace(
        recipe,
        parts=tuple(
            replace(part.as_kind("printed"), short=0.06)
            if isinstance(part, StakePost) and part.kind in ("pin", "screw")
            else part
            for part in recipe.parts
        ),
    )


def _usual(name: str) -> Operation:
    """Of the usual operations, but pressed so hard that jewels slide: more numbers on paper."""
    work = USUAL.operation(name)
    return replace(work, presses=tuple(replace(each, force=20.0) for each in work.presses))


def cases() -> dict[str, Case]:
    """The holders, by name; nothing is made yet."""
    inv_26, inv_30 = sheet_of("inv-26-a"), sheet_of("inv-30-c")
    all_cases = (
        _written("hands", "hand-setting", inv_26, HANDS, ODD),
        _written("hands on soft posts", "hand-setting", inv_26, HANDS, change=_soft),
        _written("pressed from above", "pressing", sheet_of("inv-30-t"), HARD),
        _written("pressed, soft posts", "pressing", sheet_of("inv-30-t"), HARD, change=_soft),
        _written("chronograph", "chronograph", inv_30, _usual("chronograph-hands"),
                 pushed_by="plunger"),
        _written("spring lever", "chronograph", inv_30, _usual("chronograph-hands"),
                 pushed_by="spring lever", wall=12.0),
        _written("turned over", "inspection", sheet_of("inv-20-u"), _usual("looking"), ODD),
        _written("swing tabs", "inspection", inv_26, None, hold="swing tab", side_up=Side.DIAL),
        _written("cradle", "cradle", inv_26, None, ODD, sub_assembly="INV 26-A auto works",
                 side_up=Side.BRIDGE),
        _written("shaped", "shaped", sheet_of("inv-17-t"), _usual("hand-setting"),
                 body="outline"),
        _written("two sizes", "round", stand_in(30.0, 6.0), None, ODD, diameter=30.0, height=6.0,
                 below=25.6, fit="H7/g6"),
        _written("mould", "cushion", sheet_of("inv-case-38"), None),
    )  # fmt: skip
    return {each.name: each for each in all_cases}


CASES = cases()
