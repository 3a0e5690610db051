"""The tables of a drawing: posts and pads, the letters of the plan; and its notes."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from nests.holder.buying import to_buy
from nests.holder.compose import Holder
from nests.holder.gauging import to_gauge
from nests.letters.code_points import TOLD, lacking
from nests.papers.drawing.labels import letter
from nests.papers.drawing.lettering import LARGE, PLAIN, drawn, shortened, width, wrapped
from nests.papers.drawing.noted import Noted
from nests.papers.drawing.planes import post_place
from nests.papers.drawing.profile import Subject
from nests.papers.drawing.values import SHEET, SHEET_FINE, Block, Item, Stroke, Text
from nests.parts.answers import first_of_each
from nests.parts.heights import level_within
from nests.parts.post import Post
from nests.places import Place
from nests.units import dial_hour, printed

ROW = 4.4
"""mm; height of a row."""
PAD = 1.0
"""mm between a rule and the text beside it."""
WORDS = 60.0
"""mm; longest line of a column of words."""


def table(
    name: str,
    heading: str,
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    said: bool = False,
) -> Block:
    """A table with its upper left corner at the origin; numbers stand to the right but in its first
    column, all to the left where it is `said` in words. A row without its first cell goes on with
    the one above."""
    wide = [
        max(
            width(head[k]) * PLAIN,
            *(width(row[k]) * PLAIN for row in rows),
        )
        + 2 * PAD
        for k in range(len(head))
    ]
    edges = [math.fsum(wide[:k]) for k in range(len(head) + 1)]
    top = -LARGE - 2.0
    items: list[Item] = [Text((0.0, -LARGE), heading, LARGE)]
    goes_on = {number + 1 for number, row in enumerate(rows) if not row[0]}
    for number in sorted(set(range(len(rows) + 2)) - goes_on):
        pen = SHEET if number in (0, 1, len(rows) + 1) else SHEET_FINE
        y = top - number * ROW
        items.append(Stroke(((0.0, y), (edges[-1], y)), pen))
    bottom = top - (len(rows) + 1) * ROW
    for x in edges:
        items.append(Stroke(((x, top), (x, bottom)), SHEET_FINE))
    for number, row in enumerate([head, *rows]):
        y = top - (number + 1) * ROW + (ROW - PLAIN) / 2
        for k, words in enumerate(row):
            if k == 0 or said or not _is_number(row[k] if number else rows[0][k]):
                items.append(Text((edges[k] + PAD, y), words, PLAIN))
            else:
                items.append(Text((edges[k + 1] - PAD, y), words, PLAIN, 1.0))
    return Block(name, tuple(items))


def _is_number(words: str) -> bool:
    return words[:1] in "⌀−-+0123456789"


def signed(value: float) -> str:
    """A number with two decimals and a true minus."""
    return printed(value + 0.0).replace("-", "−").replace("−0.00", "0.00")


def post_table(subject: Subject) -> Block | None:
    """The posts, by number as in the plan; None without posts."""
    holder = subject.holder
    site = holder.recipe.site()
    limits = tip_limits(holder)
    rows: list[tuple[str, ...]] = []
    for each in holder.laid:
        part, at = each.part.post(), post_place(subject, each.part)
        if part is None or at is None:
            continue
        # measured: the printed tip; a pin or a pad is set on it later
        radius, high = subject.faces.top(each.label, at.x, at.y) or (0.0, 0.0)
        on_dial = site.frame.place(at)
        rows.append(
            (
                str(len(rows) + 1),
                shortened(part.under, 32.0, PLAIN),
                printed(on_dial.hour),
                signed(at.radius),
                signed(at.x),
                signed(at.y),
                limits[each.label],
                signed(high),
                f"⌀{printed(2 * radius)}",
                _insert(part),
            )
        )
    if not rows:
        return None
    head = ("no.", "under", "hour", "radius", "x", "y", "end, as gauged", "tip z", "tip", "kind")
    return table("posts", "Posts", head, rows)


def tip_limits(holder: Holder) -> dict[str, str]:
    """To what the end of each post is accepted, as the list of acceptance has it, by label."""
    return {
        holder.laid[row.part + 1].label: row.feature.limits()
        for row in to_gauge(holder.recipe)
        if row.part is not None and row.feature.sort == "tip"
    }


def _insert(part: Post) -> str:
    if part.kind == "printed":
        return "printed"
    words = {"pin": "pin", "screw": "screw", "soft": "soft disc"}[part.kind]
    return f"{words} ⌀{printed(part.insert)}"


def pad_table(subject: Subject) -> Block | None:
    """The pads of a cradle and their heights; None for any other holder."""
    if subject.seat is None:
        return None
    label, part = subject.seat
    site = subject.holder.recipe.site()
    if part.shelf(site) is not None:
        return None
    levels = subject.faces.levels(label)
    rows = []
    for contact in first_of_each(part.contacts(site)):
        z = min(levels, key=lambda level: abs(level - contact.place[2]))
        on_dial = site.frame.place(Place(*contact.place[:2]))
        x, y = contact.place[:2]
        name = shortened(contact.touches, 40.0, PLAIN)
        rows.append(
            (
                name,
                printed(on_dial.hour),
                signed(x),
                signed(y),
                f"{printed(z, 3)} ±{printed(level_within(site, z), 3)}",
            )
        )
    return table("pads", "Pads", ("under", "hour", "x", "y", "height z"), rows) if rows else None


def metal_table(subject: Subject) -> Block | None:
    """What is bought, cut and drilled, each word of it; None where nothing is."""
    rows: list[tuple[str, ...]] = []
    for each in to_buy(subject.holder.recipe):
        columns = [
            [str(each.count)],
            wrapped(each.what, WORDS, PLAIN),
            wrapped(each.work, 1.3 * WORDS, PLAIN),
            wrapped(each.place, WORDS, PLAIN),
        ]
        rows += zip_longest(*columns, fillvalue="")
    head = ("", "to buy, cut and drill", "what is done", "for")
    return table("metal", "Not printed", head, rows, said=True) if rows else None


def cut_table(cuts: list[Noted]) -> Block | None:
    """What the letters in the plan stand for, where it is, and how deep; None without any."""
    rows = [
        (letter(k), shortened(_plain(n.what.name), 75.0, PLAIN), dial_hour(n.hour), signed(n.low))
        for k, n in enumerate(cuts)
    ]
    head = ("", "what", "hour", "down to z")
    return table("cuts", "Letters in the plan", head, rows) if rows else None


def _plain(name: str) -> str:
    """A name without the hour, which has a column of its own."""
    return re.sub(r" at [\d.]+ h", "", name)


def _bias(offset: float, slope: float) -> str:
    """A bias in words; with its slope over the ⌀ where it has one."""
    more = f" {1000 * slope:+.2f} µm per mm" if slope else ""
    return f"{1000 * offset:+.0f} µm{more}"


def notes(subject: Subject, room: float) -> Block:
    """What has to be known to use the drawing, in lines of at most `room` mm."""
    recipe = subject.holder.recipe
    card = recipe.printer
    said = [
        f"Lengths as in the file for printing. On '{card.name}' bores print "
        f"{_bias(card.inside_bias, card.inside_bias_slope)} and pins "
        f"{_bias(card.outside_bias, card.outside_bias_slope)} on the ⌀, "
        f"±{1000 * card.scatter:.0f} µm.".replace("-", "−"),
        _edges(subject),
    ]
    kinds = {post.kind for each in subject.holder.laid if (post := each.part.post()) is not None}
    if kinds & {"pin", "screw"}:
        said.append(
            "Set pins and screws with an indicator: foot on a flat plate, zero as the table says."
        )
    if recipe.workpiece.remarks:
        remarks = recipe.workpiece.remarks
        said.append(f"{remarks[0].upper()}{remarks[1:]}")
    if lacking(_words(subject.holder), drawn):
        said.append(TOLD)
    items: list[Item] = []
    y = -PLAIN
    for text in filter(None, said):
        for line in wrapped(text, room, PLAIN):
            items.append(Text((0.0, y), line, PLAIN))
            y -= PLAIN + 1.4
        y -= 0.6
    return Block("notes", tuple(items))


def _words(holder: Holder) -> Iterator[str]:
    """What a person named, as far as a drawing says it."""
    recipe = holder.recipe
    yield from (recipe.name, recipe.workpiece.name, recipe.operation.name, recipe.family)
    yield from (recipe.printer.name, recipe.workpiece.remarks, recipe.date)
    yield from (each.label for each in holder.laid)
    yield from (each.touches for each in holder.contacts)
    yield from (name for name, _ in holder.beside)


def _edges(subject: Subject) -> str:
    """Chamfers of the outer edges and the depth of the engraving, as measured."""
    said = []
    outer = next((c for c in subject.faces.cylinders("body") if not c.bore), None)
    if outer is not None:
        foot, top = outer.low, subject.faces.levels("body")[-1] - outer.high
        said.append(f"Outer edge: chamfer {printed(foot)} at the foot, {printed(top)} at the top.")
    depths = [
        subject.faces.levels("body")[-1] - subject.faces.levels(each.label)[-1]
        for each in subject.holder.laid
        if each.part.engraves()
    ]
    if depths:
        said.append(f"Letters {printed(max(depths))} deep. The notch is at 12 h.")
    return " ".join(said)
