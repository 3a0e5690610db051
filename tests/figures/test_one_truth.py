"""What is written about a post on report, drawing, acceptance list and in findings is one height,
and what may be anywhere within its ± still keeps the jewel in place.

Everything is read from the finished papers. Heights are held against each other, and against the
sheet by plain subtraction; the draws take what paper lets pass as even between its ends (JCGM
100:2008, 4.3.7) and ask the contact solver of each draw by itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
import pytest
from movements import movement
from orders import orders
from read_papers import Page, numbers, read_dxf, read_page

from nests.choosing import choose
from nests.given.printer_card import PrinterCard
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.orders.examine import judge
from nests.orders.gallery import PIECES, Piece, ordered
from nests.papers.drawing import dxf, model
from nests.papers.report.holder import holder_report
from nests.papers.report.page import page
from nests.study import Study
from nests.units import BadInput
from tests.pieces import every

HEIGHT = re.compile(r"([\d.]+) ± ([\d.]+) mm (below|above) the ledge")
DRAWS, SOLVED = 100_000, 400
SIZE = r"⌀\s?([\d.]+)"
WORKSHOP = 40
"""Movements of the workshop, each with the first of its orders that presses something."""


class Papers:
    """The finished papers of a holder, as a person reads them."""

    def __init__(self, recipe: Recipe) -> None:
        self.recipe, self.study = recipe, Study.of(compose(recipe))
        assert self.study.holder is not None
        self.findings = judge(self.study)
        holder = self.study.holder
        report = holder_report(holder, self.study, self.findings, {}, "0" * 12)
        self.page: Page = read_page(page(report))
        self.plot = read_dxf(dxf(model(holder)))

    def accepted(self) -> dict[str, tuple[float, float, str]]:
        """Height, ± and side of every post's end on the list of acceptance, by what is over it."""
        out = {}
        for what, _, limits, _, _ in self.page.table("Gauge the print"):
            found = HEIGHT.fullmatch(limits)
            if found and "stake post under " in what:
                out[what.partition("stake post under ")[2]] = _height(found)
        return out

    def drawn(self, names: list[str]) -> dict[str, tuple[float, float, str]]:
        """The same in the drawing's table of posts."""
        rows = self.plot.cells("Posts", 10, len(names))
        return {row[1]: _height(HEIGHT.fullmatch(row[6])) for row in rows}

    def told(self) -> Iterator[tuple[str, tuple[float, float, str]]]:
        """The same in every sentence of the report that says one, with the sentence."""
        for text in self.page.texts:
            if HEIGHT.fullmatch(text):  # a cell of the list
                continue
            for found in HEIGHT.finditer(text):
                yield text, _height(found)


def _height(found: re.Match[str] | None) -> tuple[float, float, str]:
    assert found is not None
    return float(found[1]), float(found[2]), found[3]


def _pressing(piece: Piece) -> bool:
    return any(part.post() is not None for part in ordered(piece).recipe.parts)


def one_height(papers: Papers) -> int:
    """Hold every height that is said against all others of the same post; how many were read."""
    accepted = papers.accepted()
    posts = {post.under: post for part in papers.recipe.parts if (post := part.post())}
    if not accepted:  # it lies on pads: heights are from the bench
        return 0
    assert set(accepted) == set(posts)
    assert papers.drawn(list(posts)) == accepted
    count = 2 * len(accepted)
    sheet, down = papers.recipe.workpiece, papers.recipe.side_up.other
    for name, (size, _, side) in accepted.items():
        # and it is what the sheet says, less what the post ends short: plain subtraction
        faces = [a.jewel(down) for a in sheet.arbors if a.name == name]
        rests = [r.height for r in sheet.rests if r.name == name and r.side is down]
        (over,) = [f.height for f in faces if f is not None] or rests
        drop = next(s.drop for part in papers.recipe.parts
                    if (s := part.shelf(papers.recipe.site())) is not None)  # fmt: skip
        below = over + posts[name].short - drop
        assert size == pytest.approx(abs(below), abs=6e-4)
        assert abs(below) < 1e-9 or side == ("below" if below > 0 else "above")
    for text, height in papers.told():
        near = [name for name in accepted if name.lower() in text.lower()]
        assert near, text
        assert height in [accepted[name] for name in near], text
        count += 1
    return count


def one_diameter(papers: Papers) -> int:
    """⌀ of inserts, threads and cups: on the list of what is bought, in the drawing's fits, on the
    list of acceptance, and in the reasons; how many were read."""
    bought = [row for caption, rows in papers.page.tables.items()
              if caption.startswith("What goes into it") for row in rows]  # fmt: skip
    metal = [post for part in papers.recipe.parts
             if (post := part.post()) and post.kind in ("pin", "screw")]  # fmt: skip
    counted = sum(int(row[0]) for row in bought if "stake post" in row[3])
    inserted = [post.inserted(papers.recipe.site()) for post in metal]
    assert counted == sum(2 if i.screw is not None and not i.alone else 1 for i in inserted if i)
    fits = papers.plot.words
    count = 0
    for row in bought:
        if "stake post" not in row[3]:
            continue
        thread = re.search(r"M([\d.]+) ×", row[1])
        size = float(thread[1]) if thread else _across(row[1])
        asked = f"tap M{size:g}" if thread else "pin"
        spots = [k for k, word in enumerate(fits) if word == asked]
        assert any(numbers(fits[k - 1])[0] == pytest.approx(size) for k in spots), row
        count += 1
        cup = re.search(rf"a cup {SIZE} × ([\d.]+) mm deep", row[2])
        if cup is not None:
            told = [
                r for r in papers.page.table("Gauge the print") if r[0].startswith("end of the")
            ]
            assert any(cup[0] in r[2] for r in told)
            count += 1
    return count


def _across(what: str) -> float:
    """⌀ of a pin or rod as it is asked for."""
    found = re.search(rf"{SIZE}|, ([\d.]+) ×", what)
    assert found is not None, what
    return float(found[1] or found[2])


def one_force(papers: Papers) -> int:
    """The force on an arbor: in what it is for, in the reason, and in the finding."""
    count = 0
    (purpose,) = [t for t in papers.page.texts if t.startswith("It carries the")]
    for name, force in re.findall(r"([\w ]+?) with up to ([\d.]+) N", purpose):
        name = name.removeprefix("Pressed: ").strip()
        for finding in (f for f in papers.findings if f.check == "load path"):
            if finding.says.startswith(f"pressing on '{name}' with"):
                assert f"with {force} N" in finding.says
                count += 1
        for text in papers.page.texts:
            if text.lower().startswith(f"{name.lower()}: "):
                assert f"{force} N pressed" in text
                count += 1
    return count


FAMILIES = ("thin", "hand-setting", "pressing", "chronograph", "shaped")
WITH_POSTS = [piece for piece in PIECES if piece.family in FAMILIES]


@pytest.mark.slow
@pytest.mark.parametrize("piece", every(WITH_POSTS))
def test_the_papers_of_a_gallery_holder_say_one_thing(piece: Piece) -> None:
    papers = Papers(ordered(piece).recipe)
    read = one_height(papers), one_diameter(papers), one_force(papers)
    metal = sum(post.kind in ("pin", "screw") for part in papers.recipe.parts
                if (post := part.post()))  # fmt: skip
    assert read[0] >= 2 * bool(papers.accepted())
    assert read[1] >= metal


@pytest.mark.parametrize("first", [
    pytest.param(first, marks=pytest.mark.long if first else pytest.mark.slow)
    for first in range(0, WORKSHOP, 10)
])  # fmt: skip
def test_the_papers_of_workshop_holders_say_one_thing(first: int) -> None:
    heights = sizes = forces = 0
    for seed in range(first, first + 10):
        sheet = movement(seed)
        for each in orders(sheet):
            if each.operation is None or not each.operation.presses:
                continue
            try:
                best = choose(each.family, sheet, each.operation, each.options, PrinterCard(),
                              explain=False)  # fmt: skip
            except BadInput:
                continue
            papers = Papers(best.recipe)
            heights += one_height(papers)
            sizes += one_diameter(papers)
            forces += one_force(papers)
            break
    assert heights >= 60
    assert sizes >= 5
    assert forces >= 20


def _pressed_on_a_ledge() -> list[Piece]:
    return [piece for piece in WITH_POSTS if piece.family != "shaped"][:10]


@pytest.mark.slow
@pytest.mark.parametrize("piece", every(_pressed_on_a_ledge()))
def test_whatever_paper_lets_pass_keeps_the_jewel(piece: Piece) -> None:
    """Every size on paper drawn within its limits, and every height of the sheet within what it was
    measured to: in 99 of 100 draws no jewel slides by more than its endshake may change."""
    papers = Papers(ordered(piece).recipe)
    accepted, recipe = papers.accepted(), papers.recipe
    sheet, down = recipe.workpiece, recipe.side_up.other
    random = np.random.default_rng(7)
    tried = 0
    for path in papers.study.press_paths:
        known, name = path.known, path.known.arbor.name
        assert known.post is not None
        size, within, side = accepted[name]
        gauged = size + random.uniform(-within, within, DRAWS)  # from the ledge, of each print
        below = gauged if side == "below" else -gauged
        jewel = known.arbor.jewel(down)
        assert jewel is not None
        drop = next(s.drop for part in recipe.parts
                    if (s := part.shelf(recipe.site())) is not None)  # fmt: skip
        number = [a.name for a in sheet.arbors].index(name)
        place = [j.side for j in known.arbor.jewels].index(down)
        pointer = f"/arbors/{number}/jewels/{place}/height"
        known_to = sheet.uncertainties.get(pointer, sheet.uncertainty)
        measured = random.uniform(-known_to, known_to, DRAWS)
        gaps = below + drop - (jewel.height + measured)
        if known.post.kind == "screw":  # set under the workpiece as it lies
            gaps = known.post.gap + random.uniform(-within, within, DRAWS)
        allowed = known.arbor.endshake_change
        for one in path.both:
            assert one.pressed is not None
            # all else being drawn, the slide goes with the gap alone, and never back: solved at so
            # many gaps, it is known between them
            tabled = np.linspace(gaps.min(), gaps.max(), SOLVED)
            solved = one.pressed.paths(known.force, tabled, known.post.stiffness,
                                       one.pressed.carried.supports.gaps[None])  # fmt: skip
            assert (np.diff(solved.slide) >= -1e-9).all()
            slide = np.interp(gaps, tabled, solved.slide)
            assert float((np.abs(slide) <= allowed + 1e-6).mean()) >= 0.99
        tried += 1
    assert tried == len(papers.study.press_paths)
