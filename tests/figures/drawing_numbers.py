"""What a drawing prints, read from its DXF, against sheet, recipe, card and the exported solid."""

from __future__ import annotations

import html
import math
import re
from collections.abc import Callable
from itertools import permutations

import numpy as np
import pytest
import trimesh
from numbered_holders import Case
from read_papers import (
    Plot,
    close,
    number_after,
    number_before,
    numbers,
    squeezed,
)
from reckoned import (
    around,
    clock,
    first_below,
    flange_out,
    level_within,
    mirrored,
    post_end,
    post_gauged,
    post_place,
    rim_z,
    surface_at,
)

from nests.given.zones import Round
from nests.papers.drawing import Dimension
from nests.parts.body import Body
from nests.parts.cradle import Cradle
from nests.parts.mark import NOTCH, Mark
from nests.parts.mould import Mould
from nests.parts.plunger import Plunger
from nests.parts.ring_seat import RingSeat
from nests.parts.seat_below import SeatBelow
from nests.parts.stake_post import StakePost
from nests.places import Side

CHECKS: list[tuple[Callable[[Case], None], tuple[str, ...]]] = []
"""Each check, and the holders that print what it reads."""

EVERY = (
    "hands", "hands on soft posts", "pressed from above", "chronograph", "spring lever",
    "turned over", "swing tabs", "cradle", "shaped", "two sizes", "mould",
)  # fmt: skip
TAPPED = {1.6: 1.25, 2.0: 1.6, 2.5: 2.05, 3.0: 2.5, 4.0: 3.3}
"""mm ⌀ of threads (ISO 261) and of the drill that is usual before tapping them, from memory."""
ROUNDING = 0.005
"""mm; half of the last figure written."""


def of(*names: str) -> Callable[[Callable[[Case], None]], Callable[[Case], None]]:
    """Marks a check as one for these holders."""

    def kept(check: Callable[[Case], None]) -> Callable[[Case], None]:
        CHECKS.append((check, names))
        return check

    return kept


def plot_of(case: Case) -> Plot:
    plot: Plot = case.get("plot")
    return plot


def dimensions_of(case: Case) -> list[Dimension]:
    """The drawing's dimensions, for where on the solid each was measured."""
    return list(case.get("model").dimensions)


def on_the_mesh(mesh: trimesh.Trimesh, made: Dimension) -> float:
    """The distance of the two surfaces of the exported mesh that a dimension lies between."""
    first, second = (np.array(end) for end in made.ends)
    if made.name.endswith(": axis"):  # of a lying bore: midway between its flanks
        return float(second[2])
    if made.round:
        ahead = (second - first) / np.linalg.norm(second - first)
        return 2 * float(np.linalg.norm(second - first) + surface_at(mesh, second, ahead))
    level = second - first
    level[2] = 0.0
    ahead = np.array((0.0, 0.0, 1.0)) if made.upright else level / np.linalg.norm(level)
    if not made.upright:
        lift = np.array((0.0, 0.0, 2e-3))  # off the level faces the ends of a channel lie in
        first, second = first + lift, second + lift
    bench = float(mesh.bounds[0][2])  # what is given from there need have no foot right below
    a, b = (0.0 if made.upright and abs(end[2] - bench) < 1e-6 else surface_at(mesh, end, ahead)
            for end in (first, second))  # fmt: skip
    return float((second - first) @ ahead) + b - a


@of(*EVERY)
def lengths(case: Case) -> None:
    """Every dimension: the number drawn is that of the exported mesh, and what any reader of the
    file measures between its points."""
    plot, chord = plot_of(case), case.recipe.chord_error
    made = dimensions_of(case)
    assert len(made) == len(plot.dimensions) >= 4
    for each, (words, by_rule) in zip(made, plot.dimensions, strict=True):
        (written, *_) = numbers(words)
        assert written == pytest.approx(by_rule, abs=2 * chord + ROUNDING), each.name
        found = on_the_mesh(case.mesh(each.body), each)
        assert written == pytest.approx(found, abs=2 * chord + ROUNDING), each.name
        assert words.startswith("⌀") == each.round


@of("hands", "pressed from above", "turned over", "shaped", "two sizes")
def main_lengths(case: Case) -> None:
    """Seat, floor and body, from the sheet, the play and the card's bias."""
    recipe, card = case.recipe, case.recipe.printer
    drawn = {each.name: numbers(words)[0] for each, (words, _) in
             zip(dimensions_of(case), plot_of(case).dimensions, strict=True)}  # fmt: skip
    (seat,) = [p for p in recipe.parts if isinstance(p, RingSeat)]
    close(drawn["seat"], rim_z(recipe) - seat.drop, 2)
    if recipe.body.floor:
        close(drawn["floor"], recipe.body.floor, 2)
    close(drawn["total height"], recipe.body.height or rim_z(recipe) + recipe.body.depth, 2)
    outline = recipe.workpiece.outline
    if not isinstance(outline, Round):
        return
    close(drawn["outer"], outline.diameter + 2 * recipe.body.wall, 2)
    wanted = outline.diameter + 2 * flange_out(recipe, recipe.operation.side_up.other)
    wanted += 0.024 if seat.fit == "H7/g6" else seat.play  # ISO 286-1: the middle of 7 to 41 µm
    as_drawn = (wanted - card.inside_bias) / (1.0 + card.inside_bias_slope)
    close(drawn["seat bore"], as_drawn, 2)


@of("hands", "hands on soft posts", "pressed from above", "chronograph", "shaped")
def posts(case: Case) -> None:
    """The table of posts: places on the dial and in the holder, ends, tips and inserts."""
    recipe, mesh, chord = case.recipe, case.mesh(), case.recipe.chord_error
    mine = [p for p in recipe.parts if isinstance(p, StakePost)]
    rows = plot_of(case).cells("Posts", 10, len(mine))
    for number, (post, row) in enumerate(zip(mine, rows, strict=True), 1):
        no, under, hour, radius, x, y, contact, tip, across, kind = row
        assert (no, under) == (str(number), post.under)
        on_dial = post_place(recipe, post)
        far = math.hypot(*on_dial)
        if far > 0.005:
            close(numbers(hour)[0] or 12.0, clock(*on_dial), 2)
        close(numbers(radius)[0], far, 2)
        close(numbers(x)[0], on_dial[0] * mirrored(recipe), 2)
        close(numbers(y)[0], on_dial[1], 2)
        size, side, within = post_gauged(recipe, post)
        close(numbers(contact)[0], size, 3)
        close(numbers(contact)[1], within, 3)
        assert contact.endswith(f"{side} the ledge" if side else "mm")
        metal = post.kind in ("pin", "screw")
        high = post_end(recipe, post) - (post.insert_out if metal else 0.0)
        close(numbers(tip)[0], high, 2)
        at = (on_dial[0] * mirrored(recipe), on_dial[1])
        wide = numbers(across)[0] / 2
        inside = first_below(mesh, around(*at, wide - 3 * chord - 2 * ROUNDING, high + 0.1))
        assert np.median(inside) == pytest.approx(high, abs=chord + ROUNDING)
        outside = first_below(mesh, around(*at, wide + 2 * chord + 2 * ROUNDING, high + 0.1))
        assert np.median(outside) < high - chord
        assert metal == (kind != "printed")
        if metal:
            close(numbers(kind)[0], post.insert, 2)


@of("cradle")
def pads(case: Case) -> None:
    """The table of pads."""
    recipe = case.recipe
    down = recipe.operation.side_up.other
    rests = {rest.name: rest for rest in recipe.workpiece.rests if rest.side is down}
    rows = plot_of(case).cells("Pads", 5, len(rests))
    assert {row[0] for row in rows} == set(rests)
    for name, hour, x, y, height in rows:
        at = rests[name].zone.centre
        close(numbers(hour)[0], clock(at.x, at.y), 2)
        close(numbers(x)[0], at.x * mirrored(recipe), 2)
        close(numbers(y)[0], at.y, 2)
        z = rim_z(recipe) - rests[name].height
        close(numbers(height)[0], z, 3)
        close(numbers(height)[1], level_within(recipe, z), 3)


def _wanted_fits(case: Case) -> dict[str, tuple[float, str, float]]:
    """Nominal, what is asked and what should measure, by the beginning of a fit's name."""
    recipe, out = case.recipe, {}
    sheet = recipe.workpiece
    for part in recipe.parts:
        if isinstance(part, RingSeat) and isinstance(sheet.outline, Round):
            edge = sheet.outline.diameter + 2 * flange_out(recipe, recipe.operation.side_up.other)
            play = 0.024 if part.fit == "H7/g6" else part.play
            out["seat bore"] = (edge, part.fit or f"{part.play:.2f}", edge + play)
        if isinstance(part, Cradle):
            edge = sheet.outline.diameter + 2 * max(flange_out(recipe, side) for side in Side)
            out["pocket"] = (edge, f"{2 * part.clearance:.2f}", edge + 2 * part.clearance)
        if isinstance(part, SeatBelow):
            out["seat below"] = (part.diameter, f"{part.play:.2f}", part.diameter + part.play)
        if isinstance(part, Plunger):
            hour = sheet.pusher(part.pusher).hour
            out[f"guide at:{hour:g}"] = (part.pin, f"{part.play:.2f}", part.pin + part.play)
    posts = [p for p in recipe.parts if isinstance(p, StakePost)]
    for number, post in enumerate(posts, 1):
        if post.kind == "pin" or (post.kind == "screw" and post.insert not in TAPPED):
            out[f"in post:{number}:pin"] = (post.insert, "pin", post.insert + 0.05)
        if post.kind == "screw":
            thread = min(d for d, core in TAPPED.items() if d == post.insert
                         or (post.insert not in TAPPED and core >= post.insert + 0.05))  # fmt: skip
            out[f"in post:{number}:tap M{thread:g}"] = (thread, f"tap M{thread:g}", TAPPED[thread])
    return out


@of("hands", "pressed from above", "chronograph", "turned over", "cradle", "two sizes")
def fits(case: Case) -> None:
    """The table of fits: nominal and play of each, as it is drawn and as it should measure."""
    plot, card = plot_of(case), case.recipe.printer
    wanted = _wanted_fits(case)
    start = plot.words.index("Fits") + 6
    flat = plot.words[start : start + 5 * len(wanted)]
    found = set()
    for k in range(0, len(flat), 5):
        name, nominal, asked, drawn, measures = flat[k : k + 5]
        if not re.match("seat|pocket|guide|in post", name):
            break
        keys = [name]
        for beginning in ("guide at", "in post"):
            if name.startswith(beginning):
                things = re.findall(r"[\d.]+", name[len(beginning) :])
                last = f":{asked}" if beginning == "in post" else ""
                keys = [f"{beginning}:{float(t):g}{last}" for t in things]
        for key in keys:
            want, says, comes = wanted[key]
            found.add(key)
            close(numbers(nominal)[0], want, 2)
            played = re.fullmatch(r"\d+\.\d+", says) is not None
            assert numbers(asked) == [float(says)] if played else says == asked
            # a chord's breadth: bores are measured on their corners
            close(numbers(measures)[0], comes, 2, case.recipe.chord_error)
            close(numbers(measures)[1], card.scatter, 2)
            as_drawn = (comes - card.inside_bias) / (1.0 + card.inside_bias_slope)
            close(numbers(drawn)[0], as_drawn, 2, case.recipe.chord_error)
            assert all(c.startswith("⌀") for c in (nominal, drawn, measures))
    assert found == set(wanted)


@of("shaped")
def straight_fits(case: Case) -> None:
    """Of a seat that is not round: its width at each section, from the outline's corners."""
    recipe, card = case.recipe, case.recipe.printer
    (seat,) = [p for p in recipe.parts if isinstance(p, RingSeat)]
    ring = np.asarray(recipe.site().edge().bore(0.0))
    widest = sorted(np.ptp(ring, axis=0))
    plot = plot_of(case)
    found = [k for k, w in enumerate(plot.words) if w.startswith("seat bore across at")]
    assert len(found) == 2
    for k, most in zip(found, widest, strict=True):
        nominal, asked, drawn, measures = (numbers(w) for w in plot.words[k + 1 : k + 5])
        assert 0.9 * most < nominal[0] <= most + ROUNDING  # cut beside the axis, if at all
        assert asked == [pytest.approx(seat.play)]
        close(drawn[0] - nominal[0], seat.play - card.inside_bias, 2, ROUNDING + 4e-3)
        close(measures[0] - nominal[0], seat.play, 2, ROUNDING + 4e-3)
        close(measures[1], card.scatter, 2)
        shown = [numbers(w)[0] for w, _ in plot.dimensions]
        assert drawn[0] in shown


@of("mould")
def pad_fit(case: Case) -> None:
    """The mould's bore is the pad's ⌀."""
    (mould,) = [p for p in case.recipe.parts if isinstance(p, Mould)]
    card = case.recipe.printer
    plot = plot_of(case)
    nominal, _, drawn, measures = plot.words[plot.words.index("pad") + 1 :][:4]
    close(numbers(nominal)[0], mould.diameter, 2)
    close(numbers(measures)[0], mould.diameter, 2, case.recipe.chord_error)
    close(numbers(measures)[1], card.scatter, 2)
    close(numbers(drawn)[0], mould.diameter - card.inside_bias, 2, case.recipe.chord_error)


@of(*EVERY)
def cuts(case: Case) -> None:
    """The letters of the plan: what each is, at which hour, and how deep it goes."""
    plot, mesh, chord = plot_of(case), case.mesh(), case.recipe.chord_error
    made = {d.name: d for d in dimensions_of(case)}
    lettered = _letters(case)
    start = plot.words.index("Letters in the plan") + 5
    flat = plot.words[start:]
    hours: dict[str, list[float]] = {}
    count = 0
    while len(flat) >= 4 and flat[0] == chr(97 + count):
        letter, what, hour, low = flat[:4]
        flat, count = flat[4:], count + 1
        hours.setdefault(what.split(",")[0], []).append(float(hour))
        names = [n for n in made if re.sub(r" at [\d.]+ h", "", n) == what]
        at = f" at {float(hour):g} h"
        (name,) = names if len(names) == 1 else [n for n in names if at in n]
        assert lettered[letter] == name
        if what.startswith("clip"):
            close(numbers(low)[0], case.recipe.body.floor, 2)
            continue
        ends = np.array(made[name].ends)
        middle = (ends[0] if made[name].round else ends.mean(axis=0)) + (0.0, 0.0, 0.02)
        found = float(first_below(mesh, middle[None])[0])
        assert numbers(low)[0] == pytest.approx(max(found, 0.0), abs=chord + ROUNDING), what
        # it lies there: seen from above the hours of the dial run as the side up has them
        if math.hypot(*middle[:2]) > 1.0 and "arm" not in what and "slit" not in what:
            seen = clock(middle[0] * mirrored(case.recipe), middle[1])
            off = abs(seen - float(hour)) % 12.0
            assert min(off, 12.0 - off) < 0.35, what
    assert count >= 1
    _hours_of_parts(case, hours)


def _letters(case: Case) -> dict[str, str]:
    """The name of each length of the plan by the letter that stands on its leader."""
    plot = plot_of(case)
    plan = [(d.name, plot.shown[k]) for k, d in enumerate(dimensions_of(case))]
    return {plot.words[at + 1]: name for name, at in plan
            if re.fullmatch("[a-z]{1,2}", plot.words[at + 1])}  # fmt: skip


@of("hands", "chronograph", "spring lever", "turned over", "swing tabs", "two sizes")
def read_aloud(case: Case) -> None:
    """In the SVG every length has its name: what is numbered runs from 1, and a bore is a bore."""
    names = re.findall(r"<title>(.*?)</title>", case.get("svg").decode())
    made = dimensions_of(case)
    assert names[1:] == [html.escape(d.name) for d in made]  # the first is the drawing's own
    counted: dict[str, list[int]] = {}
    for each in made:
        base, last = re.fullmatch(r"(.*?)(?: (\d+))?", each.name).groups()  # type: ignore[union-attr]
        if base.endswith(("step", "⌀", "bottom", "boss", "seat", "seat bore")):
            counted.setdefault(base, []).append(int(last or 1))
        kind = re.search(r"(bore|outer)$", each.name)
        if each.round and each.body and kind:
            middle, surface = (np.array(e) for e in each.ends)
            inside = surface + 0.02 * (middle - surface) / np.linalg.norm(middle - surface)
            assert case.mesh(each.body).contains(inside[None])[0] == (kind[1] == "outer"), each.name
        if each.name.endswith(("boss", "bottom")):
            assert each.name.endswith("boss") == each.name.startswith("swing tab")
    for base, found in counted.items():
        # lengths that another view gives already are left out, but none is numbered past them
        assert len(set(found)) == len(found), base
        assert sorted(found) == list(range(min(found), min(found) + len(found))), base
        assert min(found) == 1, base


def _hours_of_parts(case: Case, told: dict[str, list[float]]) -> None:
    """The hours told are those of the recipe's parts, and of the sheet's stem and pushers."""
    sheet = case.recipe.workpiece
    for part in case.recipe.parts:
        name, hour = part.tag, getattr(part, "at", None)
        if name == "stem slot":
            assert sheet.stem is not None
            hour = sheet.stem.hour
        elif hasattr(part, "pusher"):
            hour = sheet.pusher(part.pusher).hour
            name = part.label()
        if name in told and isinstance(hour, float | int):
            assert any(f == pytest.approx(hour % 12.0 or 12.0, abs=0.005) or
                       f == pytest.approx(hour, abs=0.005) for f in told[name]), name  # fmt: skip


@of(*EVERY)
def notes(case: Case) -> None:
    """The notes: biases and scatter of the card, chamfers, and the depth of the engraving."""
    recipe, card = case.recipe, case.recipe.printer
    plot = plot_of(case)
    text = plot.line("Lengths as in the file")
    close(number_after("bores print", text), 1000 * card.inside_bias, 0)
    close(number_after("pins", text), 1000 * card.outside_bias, 0)
    close(number_after("⌀, ±", text), 1000 * card.scatter, 0)
    assert text[text.index("bores print") + 12] in "+-−"
    body = recipe.body
    assert isinstance(body, Body)
    rise = 1.0 / math.tan(math.radians(card.overhang))
    close(number_before("at the foot", text), body.foot_chamfer * rise, 2, 1e-3)
    close(number_before("at the top", text), body.edge_chamfer, 2, 1e-3)
    deep = [p.depth for p in recipe.parts if isinstance(p, Mark) and p.text != NOTCH]
    assert deep
    close(number_after("Letters", text), max(deep), 2)


@of(*EVERY)
def title(case: Case) -> None:
    """The title block: the scale the sheet is shown at, the sheets, and the side up."""
    plot = plot_of(case)
    ((paper, drawn),) = plot.views
    left, right = map(float, plot.after("scale").split(":"))
    assert left / right == pytest.approx(paper / drawn)
    sheets = [plot.words[k + 1] for k, w in enumerate(plot.words) if w == "sheet"]
    pages = case.get("drawing_pages")
    assert [re.findall(r"(\d+)/(\d+)", s)[0] for s in sheets] == [
        (str(k), str(len(pages))) for k in range(1, len(pages) + 1)
    ]
    up = case.recipe.operation.side_up.value
    sides = [plot.words[k + 1] for k, w in enumerate(plot.words) if w == "side up"]
    assert sides == [up] * len(sheets)


@of("hands", "turned over", "swing tabs", "chronograph", "shaped")
def scales_of_details(case: Case) -> None:
    """Beside the letter of a detail and the name of a loose body: how much larger it is drawn."""
    plot = plot_of(case)
    ((paper, drawn),) = plot.views
    told = {float(s) for w in plot.words for s in re.findall(r"\(([\d.]+):1\)", w)}
    main = paper / drawn
    # a style's factor is the main scale over the view's
    of_views = {round(main / factor, 6) for factor in plot.factors}
    assert told
    assert told | {main} == of_views | {main}
    for scale in told - {main}:
        assert scale in of_views


@of("swing tabs", "chronograph")
def loose_bodies(case: Case) -> None:
    """How many there are of a loose body that is drawn once."""
    plot = plot_of(case)
    count = len(case.holder.beside)
    titles = [w for w in plot.words if w.endswith(":1)") and len(w) > 8]
    told = sum(int(t.split(" × ")[0]) if " × " in t else 1 for t in titles)
    assert titles
    assert told == count


@of("hands", "pressed from above", "turned over", "shaped", "cradle")
def hours_round_the_plan(case: Case) -> None:
    """12, 3, 6 and 9 h stand where the dial has them, seen from the side up."""
    plot = plot_of(case)
    at = {w: p for w, p in zip(plot.words, plot.at, strict=True)
          if re.fullmatch(r"(12|3|6|9) h", w)}  # fmt: skip
    assert set(at) == {"12 h", "3 h", "6 h", "9 h"}
    middle = np.mean(list(at.values()), axis=0)
    for words, place in at.items():
        x, y = np.array(place) - middle
        hour = clock(float(x) * mirrored(case.recipe), float(y)) - float(words.split()[0])
        assert min(abs(hour), 12.0 - abs(hour)) < 1.0


@of("hands", "pressed from above", "chronograph", "shaped")
def numbers_of_posts(case: Case) -> None:
    """In the plan every post bears its number of the table, beside its place: no other way to give
    the numbers to the posts puts them nearer."""
    plot, recipe = plot_of(case), case.recipe
    end = plot.words.index("9 h")
    mine = [post_place(recipe, p) for p in recipe.parts if isinstance(p, StakePost)]
    told = {w: p for w, p in zip(plot.words[:end], plot.at[:end], strict=True) if w.isdigit()}
    assert set(told) == {str(k + 1) for k in range(len(mine))}
    places = np.array([(x * mirrored(recipe), y) for x, y in mine])
    labels = np.array([told[str(k + 1)] for k in range(len(mine))])

    def off(order: tuple[int, ...]) -> float:
        away = labels - places[list(order)]
        return float(np.sum((away - away.mean(axis=0)) ** 2))

    orders = list(permutations(range(len(mine))))
    assert min(orders, key=off) == orders[0]


@of(*EVERY)
def the_same_on_paper(case: Case) -> None:
    """PDF and SVG say what the DXF says."""
    wanted = [w for w in plot_of(case).words if numbers(w)]
    text = squeezed("".join(case.get("drawing_pages")).replace("−", ""))
    svg = squeezed(case.get("svg").decode().replace("−", ""))
    for each in wanted:
        assert squeezed(each.replace("−", "")) in text, each
    dims = [w for w, _ in plot_of(case).dimensions]
    assert all(w in svg for w in map(squeezed, dims)) or "<text" not in svg


@of("hands", "two sizes", "turned over")
def turned(case: Case) -> None:
    """The half-profile: brass without bias, the bore's IT8 and the seat's js9 of ISO 286-1."""
    plot, recipe = case.get("turned_plot"), case.recipe
    (seat,) = [p for p in recipe.parts if isinstance(p, RingSeat)]
    outline = recipe.workpiece.outline
    edge = outline.diameter + 2 * flange_out(recipe, recipe.operation.side_up.other)
    bore = edge + (0.024 if seat.fit == "H7/g6" else seat.play)
    # ISO 286-1, table 1: IT8 33 µm above 18 to 30 mm, 39 µm above 30 to 50 mm;
    # IT9 30 µm above 3 to 6 mm, 36 µm above 6 to 10 mm
    grade = 0.033 if bore <= 30.0 else 0.039
    (words,) = [w for w, _ in plot.dimensions if f"+{grade:.3f}/0" in w]
    close(numbers(words)[0], bore, 2)
    z = rim_z(recipe) - seat.drop
    half = 0.015 if z <= 6.0 else 0.018
    (words,) = [w for w, _ in plot.dimensions if f"±{half:.3f}" in w]
    close(numbers(words)[0], z, 2)
    assert sum("±" in w or "/0" in w for w, _ in plot.dimensions) == 2
    all_words = " ".join(plot.words)
    assert "IT8" in all_words
    assert f"{recipe.operation.side_up.value} up" in all_words
    drawn = [numbers(w)[0] for w, _ in plot.dimensions]
    body = outline.diameter + 2 * recipe.body.wall
    assert any(abs(v - body) < ROUNDING for v in drawn)
    for words, rule in plot.dimensions:
        close(numbers(words)[0], rule, 2, 2 * recipe.chord_error)
    scale = number_after("Scale", all_words)
    ((paper, view),) = plot.views
    assert scale == pytest.approx(paper / view)
