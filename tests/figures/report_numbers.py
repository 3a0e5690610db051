"""What a report prints, on the page and on paper, against sheet, operation, recipe, card, solid."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable

import pytest
from numbered_holders import DIGEST, Case
from read_papers import (
    Page,
    close,
    number_after,
    number_before,
    numbers,
    squeezed,
)
from reckoned import (
    clock,
    flange_out,
    layers_of,
    level_within,
    mirrored,
    post_gauged,
    post_place,
    rim_z,
    usually,
    widths,
)

from nests.finding import Finding, Grade
from nests.given.zones import Round
from nests.load_path.paths import PressPath
from nests.papers.typeset import shown
from nests.parts.cradle import Cradle
from nests.parts.ring_seat import RingSeat
from nests.parts.seat_below import SeatBelow
from nests.parts.stake_post import StakePost
from nests.places import Side

CHECKS: list[tuple[Callable[[Case], None], tuple[str, ...]]] = []
"""Each check, and the holders that print what it reads: on any other it would read nothing."""

EVERY = (
    "hands", "hands on soft posts", "pressed from above", "pressed, soft posts", "chronograph",
    "spring lever", "turned over", "swing tabs", "cradle", "shaped", "two sizes", "mould",
)  # fmt: skip
PRESSED = (*EVERY[:6], "shaped")


def of(*names: str) -> Callable[[Callable[[Case], None]], Callable[[Case], None]]:
    """Marks a check as one for these holders."""

    def kept(check: Callable[[Case], None]) -> Callable[[Case], None]:
        CHECKS.append((check, names))
        return check

    return kept


def page_of(case: Case) -> Page:
    page: Page = case.get("read")
    return page


def hardest(case: Case) -> dict[str, float]:
    """N on each arbor: the most that occurs, not what is usual."""
    out: dict[str, float] = {}
    for press in case.recipe.operation.presses:
        for arbor in case.sheet.arbors:
            if press.arbor == arbor.name or (press.arbor == "every hand" and arbor.carries):
                stated = [n for n in (press.force, press.most) if n is not None]
                most = max(stated) if stated else usually(arbor.carries)
                out[arbor.name] = max(most, out.get(arbor.name, 0.0))
    return out


@of(*EVERY)
def findings(case: Case) -> None:
    """A row for every finding: its check, what it says, value, limit, unit and place."""
    page = page_of(case)
    for grade in Grade:
        mine = [f for f in case.get("findings") if f.grade is grade]
        rows = [r for caption, t in page.tables.items() if f"grade {grade.value}" in caption
                for r in t]  # fmt: skip
        assert [r[0] for r in rows] == [f.check for f in mine]
        for finding, (_, says, figures) in zip(mine, rows, strict=True):
            assert squeezed(finding.says[1:].rstrip(".")) in squeezed(says)
            assert squeezed(finding.remedy.rstrip(".")) in squeezed(says)
            _figures(finding, figures)
            _spot(case, finding, says)


def _figures(finding: Finding, printed: str) -> None:
    """Value and limit to four figures, each with its unit."""
    both = [v for v in (finding.value, finding.limit) if v is not None]
    unit = re.escape(finding.unit)
    found = re.match(rf"(?:(-?[\d.]+) ?{unit})?(?:;? ?limit (-?[\d.]+) ?{unit})?(?:;|$)", printed)
    told = [g for g in found.groups() if g is not None] if found else []
    assert len(told) == len(both), printed
    for said, value in zip(told, both, strict=True):
        assert float(said) == pytest.approx(value, rel=5e-4, abs=1e-6), printed


def _spot(case: Case, finding: Finding, says: str) -> None:
    """Where it is: hour and mm from the axis on the dial, and how high."""
    if finding.place is None:
        return
    x, y, z = finding.place
    x *= mirrored(case.recipe)
    where = says[len(finding.says.rstrip(".")) :]
    *at, high = numbers(where[: where.index(" high")])
    close(high, z, 2)
    if math.hypot(x, y) < 0.005:
        assert "axis" in where
    else:
        close(at[0], clock(x, y), 2)
        close(at[1], math.hypot(x, y), 2)


@of(*EVERY)
def counts(case: Case) -> None:
    """How many were found of each grade: in the summary, over each table, and of each check."""
    page = page_of(case)
    count = Counter(f.grade for f in case.get("findings"))
    (summary,) = [t for t in page.texts if t.startswith("Found: ")]
    told = {grade: int(n) for n, grade in re.findall(r"(\d+) (\w+)", summary)}
    assert told == {grade.value: n for grade, n in count.items()}
    for grade, n in count.items():
        (caption,) = [c for c in page.tables if c.endswith(f"of grade {grade.value}")]
        assert numbers(caption) == [n]
        assert ("findings" in caption) == (n != 1)
    (clear,) = [t for t in page.texts if t.startswith("Checked and found to hold")]
    each = Counter(f.check for f in case.get("findings") if f.grade is Grade.CLEAR)
    named = {m[0]: int(m[1] or 1) for m in re.findall(r"([a-z ]+?)(?: \((\d+)\))?[,.]",
                                                      clear.split(": ")[1])}  # fmt: skip
    assert {k.strip(): n for k, n in named.items()} == each
    (folded,) = [t for t in page.texts if t.endswith("findings in full")]
    assert numbers(folded) == [count[Grade.CLEAR]]


@of(*PRESSED)
def presses(case: Case) -> None:
    """What it is for: the side up, and every press with the most force that occurs."""
    page = page_of(case)
    up = case.recipe.operation.side_up.value
    assert f"{up} side up" in page.texts[1]
    purpose = " ".join(page.under["What it is for"])
    assert f"{up} side up" in purpose
    told = hardest(case)
    assert told
    assert purpose.count("with up to") == len(told)
    for arbor, most in told.items():
        assert number_after(f"{arbor} with up to", purpose) == pytest.approx(most)


@of("hands", "hands on soft posts", "chronograph", "turned over", "swing tabs", "cradle",
    "two sizes", "mould", "shaped")  # fmt: skip
def printing(case: Case) -> None:
    """Layers, volume, mass, time and price, from the exported bodies and the card."""
    page, card = page_of(case), case.recipe.printer
    bodies = [case.mesh(), *(case.mesh(name) for name, _ in case.holder.beside)]

    def told(what: str) -> tuple[list[float], str]:
        _, figure, origin = page.row("Settings", what)
        return numbers(figure), origin

    volume = sum(float(each.volume) for each in bodies) / 1000.0  # divergence theorem, by trimesh
    close(told("volume")[0][0], volume, 2, 1e-3)
    assert ("loose" in told("volume")[1]) == bool(case.holder.beside)
    assert ("beside" in told("loose bodies")[1]) == bool(case.holder.beside)
    close(told("mass, cured")[0][0], volume * card.density, 1, 1e-3)
    assert told("layer")[0] == [pytest.approx(card.layer)]
    (layers,) = told("layers")[0]
    assert layers == layers_of(case.recipe, case.mesh())
    minutes = math.ceil(layers * card.layer_time / 60.0)
    *hours, rest = told("time")[0]
    assert 60 * sum(hours) + rest == minutes
    assert rest < 60
    assert numbers(told("time")[1])[0] == pytest.approx(card.layer_time)
    if card.resin_price is not None:
        close(told("cost")[0][0], volume / 1000.0 * card.resin_price, 2, 1e-4)
    else:
        assert told("cost")[0] == []


def _limits(page: Page, *words: str) -> list[list[str]]:
    """Rows of the acceptance list whose first cell has some words."""
    return [r for r in page.table("Gauge the print") if all(w in r[0] for w in words)]


def _nominal(row: list[str], wanted: float, within: float, places: int) -> None:
    nominal, tolerance = numbers(row[2])
    close(nominal, wanted, places)
    close(tolerance, within, places)
    assert "mm" in row[2]


@of("hands", "pressed from above", "chronograph", "turned over", "cradle", "two sizes", "shaped")
def bores_to_gauge(case: Case) -> None:
    """The seat's nominal and tolerance: outline, flange and play, and the card's scatter."""
    page, recipe = page_of(case), case.recipe
    scatter = recipe.printer.scatter
    for part in recipe.parts:
        if isinstance(part, SeatBelow):
            (row,) = _limits(page, "⌀", "below")
            _nominal(row, part.diameter + part.play, scatter, 2)
        if not isinstance(part, RingSeat | Cradle):
            continue
        if isinstance(part, RingSeat):
            name, out = "seat", flange_out(recipe, recipe.operation.side_up.other)
            # H7/g6 above 18 to 30 mm: 0 to 21 µm and -7 to -20 µm (ISO 286-1, tables 1, 4 and 5)
            play = 0.024 if part.fit == "H7/g6" else part.play
            assert part.fit in ("", "H7/g6")
        else:
            name, play = "pocket", 2 * part.clearance
            out = max(flange_out(recipe, side) for side in Side)
        outline = recipe.workpiece.outline
        if isinstance(outline, Round):
            (row,) = [r for r in _limits(page, "⌀", name) if "below" not in r[0]]
            _nominal(row, outline.diameter + 2 * out + play, scatter, 2)
            continue
        rows = _limits(page, "width", name)
        assert len(rows) == 2
        for hours, wide in zip((("3 h", "9 h"), ("12 h", "6 h")), widths(recipe, out + play / 2),
                               strict=True):  # fmt: skip
            (row,) = [r for r in rows if all(hour in r[0] for hour in hours)]
            nominal, tolerance = numbers(row[2])
            close(nominal, wide, 2, 2 * recipe.chord_error)
            close(tolerance, scatter, 2)


@of("hands", "pressed from above", "turned over", "shaped", "two sizes")
def ledge_to_gauge(case: Case) -> None:
    """The ledge's height, from the heights of the sheet; its tolerance, from layers and scatter."""
    (seat,) = [p for p in case.recipe.parts if isinstance(p, RingSeat)]
    (row,) = _limits(page_of(case), "ledge")
    z = rim_z(case.recipe) - seat.drop
    _nominal(row, z, level_within(case.recipe, z), 3)


@of("hands", "hands on soft posts", "pressed from above", "chronograph", "shaped")
def posts_to_gauge(case: Case) -> None:
    """Every post: where on the dial, how high, and how far it may be off."""
    page = page_of(case)
    posts = [p for p in case.recipe.parts if isinstance(p, StakePost)]
    assert posts
    for post in posts:
        (row,) = [r for r in _limits(page, "height") if r[0].endswith(f"under {post.under}")]
        size, side, within = post_gauged(case.recipe, post)
        _nominal(row, size, within, 3)
        assert not side or (f"{side} the ledge" in row[2] and "ledge" in row[1])
        assert ("set" in row[1]) == (post.kind in ("pin", "screw"))
        _gauged_at(row[1], *post_place(case.recipe, post))


def _gauged_at(where: str, x: float, y: float) -> None:
    if math.hypot(x, y) < 0.005:
        assert "axis" in where
        return
    hour = float(re.findall(r"([\d.]+) h\b", where)[0])
    close(hour, clock(x, y), 2)
    close(number_after(" h,", where), math.hypot(x, y), 2)


@of("cradle")
def pads_to_gauge(case: Case) -> None:
    """Every pad of a cradle: where on the dial, how high, and how far it may be off."""
    page, recipe = page_of(case), case.recipe
    down = recipe.operation.side_up.other
    rests = [rest for rest in recipe.workpiece.rests if rest.side is down]
    rows = _limits(page, "pad under")
    assert len(rows) == len(rests) >= 3
    for rest in rests:
        (row,) = [r for r in rows if r[0].endswith(f"under {rest.name}")]
        z = rim_z(recipe) - rest.height
        _nominal(row, z, level_within(recipe, z), 3)
        at = rest.zone.centre
        _gauged_at(row[1], at.x, at.y)


def _paths(case: Case) -> dict[str, PressPath]:
    return {path.known.arbor.name: path for path in case.study.press_paths}


@of(*PRESSED)
def load_paths(case: Case) -> None:
    """The sentence about each press: forces that balance, slides, odds, gaps, and the stock."""
    page, recipe = page_of(case), case.recipe
    rows = [r for rows in page.tables.values() for r in rows if r[0] == "load path"]
    forces = hardest(case)
    assert len(rows) == len(forces)
    down = recipe.operation.side_up.other
    stock = case.sheet.bridges if down is Side.BRIDGE else case.sheet.plate
    for name, force in forces.items():
        (row,) = [r for r in rows if f"'{name}'" in r[1]]
        path, says = _paths(case)[name], row[1]
        assert number_after(f"'{name}' with", says) == pytest.approx(force)
        fit = number_before("N run through", says)
        (jewel,) = [j for j in case.sheet.arbor(name).jewels if j.side is down]
        holds = number_after("slides from", says)
        if jewel.push_out_force is not None:
            close(holds, jewel.push_out_force, 1)
        elif jewel.interference is None:  # 10 MPa on the flank, from memory
            close(holds, 10.0 * math.pi * jewel.diameter * jewel.thickness, 1)
        else:
            close(holds, path.known.push_out.force, 1)
        post = number_after("post takes", says)
        ledge, others = number_after("the ledge", says), number_after("other supports", says)
        assert post + ledge + others == pytest.approx(force, abs=0.16)  # three rounded figures
        assert fit == pytest.approx(ledge + others, abs=0.16)  # what runs on through the plate
        assert min(post, ledge + 0.01, fit + 0.01) > 0.0
        close(post, path.path.post, 1)
        close(ledge, sum(n for p, n in path.path.others.items() if p == "ring seat"), 1)
        close(others, sum(n for p, n in path.path.others.items() if p != "ring seat"), 1)
        _slides(says, path)
        moved = path.path.deflection
        close(number_after("gives" if moved >= 0 else "lifts", says), abs(1000 * moved), 1)
        _gap(says, path)
        assert number_after("one plate of", row[2]) == pytest.approx(stock.thickness)


def _slides(says: str, path: PressPath) -> None:
    """How far the jewel slides as drawn and at worst, and how often by more than allowed."""
    drawn, worst = re.findall(r"slides by (\d+) µm as drawn and ([\d.]+) µm at worst", says)[0]
    close(float(drawn), 1000 * abs(path.path.slide), 0)
    at_worst = max(p.spread.worst_slide for p in path.both if p.spread is not None)
    close(float(worst), 1000 * at_worst, 1)
    often = max(p.spread.over_slide for p in path.both if p.spread is not None)
    if "allowed never" in says:
        assert often == 0.0
        assert at_worst <= path.known.arbor.endshake_change + 1e-9
        return
    share, cases = re.findall(r"in (?:fewer than )?(\d+) of (\d+) cases", says)[0]
    if "fewer" in says:
        assert often < float(share) / float(cases)
    else:
        close(float(share), often * float(cases), 0)


def _gap(says: str, path: PressPath) -> None:
    post = path.known.post
    assert post is not None
    gap = 1000 * (post.gap - path.known.lies)
    tail = says[says.index(f"{post.kind} post ") :]
    bears, off = "bears" in tail, "short" in tail
    assert bears == (abs(gap) < 0.5)
    if not bears:
        assert off == (gap > 0.0)
        close(number_before("µm short" if off else "µm proud", tail), abs(gap), 0)
    close(number_after("as drawn, ±", tail), 1000 * sum(s.half_width for s in post.spread), 0)


@of("hands", "pressed from above", "chronograph", "shaped")
def reasons(case: Case) -> None:
    """Why each post is as it is: its press, the slide, and the height it is set to; no number that
    differs from what the load path, the drawing and the acceptance list say of the same post."""
    page = page_of(case)
    told = page.under["Why it is made this way"]
    for name, force in hardest(case).items():
        (text,) = [t for t in told if re.match(rf"{name}: [\d.]+ N", t, re.IGNORECASE)]
        assert number_after(":", text) == pytest.approx(force)
        _slides(text, _paths(case)[name])
        (post,) = [p for p in case.recipe.parts
                   if isinstance(p, StakePost) and p.under == name]  # fmt: skip
        _set_to(text, case, post)
        (row,) = [r for r in page.table("Gauge the print")
                  if r[0].startswith("height") and r[0].endswith(f"under {name}")]  # fmt: skip
        assert post.kind == "printed" or row[2] in text


def _set_to(text: str, case: Case, post: StakePost) -> None:
    """The height of a post's end from the ledge, its ±, and how far past bearing."""
    if post.kind not in ("pin", "screw"):
        assert "set its end" not in text
        return
    size, side, within = post_gauged(case.recipe, post)
    (told,) = re.findall(r"([\d.]+) ± ([\d.]+) mm (below|above) the ledge", text)
    close(float(told[0]), size, 3)
    close(float(told[1]), within, 3)
    assert told[2] == side
    if post.kind == "pin":
        assert re.search("set (its end )?to", text)
    elif post.short == 0.0:
        assert "until it bears" in text
    else:
        close(number_before("µm past bearing", text), -1000 * post.short, 0)


@of("hands on soft posts", "pressed, soft posts")
def remedies(case: Case) -> None:
    """Where a post fails, the one that would do: the one the family itself takes."""
    assert case.unchanged is not None
    page, wanted = page_of(case), case.unchanged()
    for name in hardest(case):
        (row,) = [r for rows in page.tables.values() for r in rows
                  if r[0] == "load path" and f"'{name}'" in r[1]]  # fmt: skip
        (post,) = [p for p in wanted.parts if isinstance(p, StakePost) and p.under == name]
        remedy = row[1][row[1].index("Remedy") :]
        _set_to(remedy, case, post)
        assert f"a {post.kind} post" in remedy


@of(*EVERY)
def paper(case: Case) -> None:
    """Every text with a number stands on paper, too, and every sheet says which of how many."""
    sheets = case.get("sheets")
    text = ""
    for number, each in enumerate(sheets, 1):
        foot = re.findall(rf"recipe {DIGEST} · page (\d+) of (\d+)", each)
        assert foot == [(str(number), str(len(sheets)))]
        text += each[: each.rindex(f"{shown(case.get('report').name)} · page")]
    on_paper = squeezed(text)
    for each in page_of(case).texts:
        if numbers(each) and "in full" not in each and DIGEST not in each:
            assert squeezed(shown(each)) in on_paper, each
