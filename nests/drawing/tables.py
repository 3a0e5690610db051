"""The tables of a drawing: posts and pads, fits, and notes."""

from __future__ import annotations

import re
from collections.abc import Sequence

from nests.drawing.labels import Noted, letter
from nests.drawing.lettering import FINE, LARGE, PLAIN, shortened, width, wrapped
from nests.drawing.planes import post_place
from nests.drawing.profile import Profile, Subject, bores
from nests.drawing.values import SHEET, SHEET_FINE, Block, Item, Stroke, Text
from nests.parts.cradle import Cradle
from nests.parts.mould import Mould
from nests.parts.plunger import Plunger
from nests.parts.pusher_slot import lever_z
from nests.parts.ring_seat import RingSeat
from nests.parts.seat_below import SeatBelow
from nests.parts.stake_post import StakePost
from nests.places import Place
from nests.sheet import Round

ROW = 4.4
"""mm; height of a row."""
PAD = 1.0
"""mm between a rule and the text beside it."""


def table(name: str, heading: str, head: Sequence[str], rows: Sequence[Sequence[str]]) -> Block:
    """A table with its upper left corner at the origin; first column to the left, others right."""
    wide = [
        max(
            width(head[k]) * FINE,
            *(width(row[k]) * PLAIN for row in rows),
        )
        + 2 * PAD
        for k in range(len(head))
    ]
    edges = [sum(wide[:k]) for k in range(len(head) + 1)]
    top = -LARGE - 2.0
    items: list[Item] = [Text((0.0, -LARGE), heading, LARGE)]
    for number in range(len(rows) + 2):
        pen = SHEET if number in (0, 1, len(rows) + 1) else SHEET_FINE
        y = top - number * ROW
        items.append(Stroke(((0.0, y), (edges[-1], y)), pen))
    bottom = top - (len(rows) + 1) * ROW
    for x in edges:
        items.append(Stroke(((x, top), (x, bottom)), SHEET_FINE))
    for number, row in enumerate([head, *rows]):
        size = FINE if number == 0 else PLAIN
        y = top - (number + 1) * ROW + (ROW - size) / 2
        for k, words in enumerate(row):
            if k == 0 or not _is_number(row[k] if number else rows[0][k]):
                items.append(Text((edges[k] + PAD, y), words, size))
            else:
                items.append(Text((edges[k + 1] - PAD, y), words, size, 1.0))
    return Block(name, tuple(items))


def _is_number(words: str) -> bool:
    return words[:1] in "⌀−-+0123456789"


def signed(value: float) -> str:
    """A number with two decimals and a true minus."""
    return f"{value + 0.0:.2f}".replace("-", "−").replace("−0.00", "0.00")


def post_table(subject: Subject) -> Block | None:
    """The posts, by number as in the plan; None without posts."""
    holder = subject.holder
    site = holder.recipe.site()
    rows: list[tuple[str, ...]] = []
    for each in holder.laid:
        part, at = each.part, post_place(subject, each.part)
        if not isinstance(part, StakePost) or at is None:
            continue
        hold = part.foothold(site)
        contact = hold.z - part.short
        # measured: the printed tip; a pin or a pad is set on it later
        radius, high = subject.faces.top(each.label, at.x, at.y) or (0.0, 0.0)
        tolerance, insert = _height_tolerance(subject, part), _insert(part)
        on_dial = site.frame.place(at)
        rows.append(
            (
                str(len(rows) + 1),
                shortened(part.under, 32.0, PLAIN),
                f"{on_dial.hour:.2f}",
                signed(at.radius),
                signed(at.x),
                signed(at.y),
                f"{contact:.2f} {tolerance}",
                signed(high),
                f"⌀{2 * radius:.2f}",
                insert,
            )
        )
    if not rows:
        return None
    head = ("no.", "under", "hour", "radius", "x", "y", "contact at z", "tip at z", "tip", "kind")
    return table("posts", "Posts", head, rows)


def _height_tolerance(subject: Subject, part: StakePost) -> str:
    """± scatter for a printed post; a set one may be as much too short as the endshake bears."""
    recipe = subject.holder.recipe
    if part.kind in ("printed", "soft"):
        return f"±{recipe.printer.scatter:.2f}"
    arbor = next((a for a in recipe.workpiece.arbors if a.name == part.under), None)
    return f"0/−{arbor.endshake_change if arbor else recipe.printer.scatter:.2f}"


def _insert(part: StakePost) -> str:
    if part.kind == "printed":
        return "printed"
    words = {"pin": "pin", "screw": "set screw, core", "soft": "soft disc"}[part.kind]
    return f"{words} ⌀{part.insert:.2f}"


def pad_table(subject: Subject) -> Block | None:
    """The pads of a cradle and their heights; None for any other holder."""
    if subject.seat is None or not isinstance(subject.seat[1], Cradle):
        return None
    label, part = subject.seat
    site = subject.holder.recipe.site()
    levels = subject.faces.levels(label)
    rows = []
    for contact in part.contacts(site):
        z = min(levels, key=lambda level: abs(level - contact.place[2]))
        on_dial = site.frame.place(Place(*contact.place[:2]))
        x, y = contact.place[:2]
        tolerance = f"±{subject.holder.recipe.printer.scatter:.2f}"
        name = shortened(contact.touches, 40.0, PLAIN)
        rows.append((name, f"{on_dial.hour:.2f}", signed(x), signed(y), f"{z:.2f} {tolerance}"))
    return table("pads", "Pads", ("under", "hour", "x", "y", "height z"), rows) if rows else None


def cut_table(cuts: list[Noted]) -> Block | None:
    """The cuts by their letters in the plan; None without any."""
    rows = [
        (
            letter(k),
            shortened(_plain(n.what.name), 44.0, PLAIN),
            f"{n.hour:g}",
            n.what.words(),
            signed(n.low),
        )
        for k, n in enumerate(cuts)
    ]
    return table("cuts", "Cuts", ("", "what", "hour", "width", "down to z"), rows) if rows else None


def _plain(name: str) -> str:
    """A name without the hour, which has a column of its own."""
    return re.sub(r" at [\d.]+ h", "", name)


def fit_table(subject: Subject, shown: Profile) -> Block | None:
    """What fits into what: nominal, asked, as drawn, and as it should measure when printed."""
    recipe = subject.holder.recipe
    card, site, sheet = recipe.printer, recipe.site(), recipe.workpiece
    rows: list[tuple[str, str, str, str, str]] = []

    def add(name: str, nominal: float, asked: str, drawn: float) -> None:
        comes_out = drawn * (1.0 + card.inside_bias_slope) + card.inside_bias
        measures = f"⌀{comes_out:.2f} ±{card.scatter:.2f}"
        rows.append((name, f"⌀{nominal:.2f}", asked, f"⌀{drawn:.2f}", measures))

    for each in subject.holder.laid:
        part = each.part
        if isinstance(part, RingSeat) and isinstance(sheet.outline, Round):
            nominal = sheet.outline.diameter + 2 * sheet.edge(site.side_down)[0]
            asked = part.fit or f"play {part.play:.2f}"
            for what, _ in bores(subject, shown)[-1:]:
                add("seat bore", nominal, asked, what.value)
        elif isinstance(part, SeatBelow):
            found = [c for c in subject.faces.cylinders(each.label) if c.bore]
            if found:
                add("seat below", part.diameter, f"play {part.play:.2f}", 2 * found[0].radius)
        elif isinstance(part, Cradle) and isinstance(sheet.outline, Round):
            flange = max(sheet.edge(side)[0] for side in (site.side_up, site.side_down))
            nominal = sheet.outline.diameter + 2 * flange
            for what, _ in bores(subject, shown)[-1:]:
                add("pocket", nominal, f"play {2 * part.clearance:.2f}", what.value)
        elif isinstance(part, Mould):
            for what, _ in bores(subject, shown)[-1:]:
                add("pad", part.diameter, "the pad's ⌀", what.value)
        elif isinstance(part, Plunger):
            angle = site.frame.angle(sheet.pusher(part.pusher).hour)
            z = lever_z(site, sheet.pusher(part.pusher))
            guides = [c for c in subject.faces.lying(each.label, angle, z) if c.bore]
            if guides:
                across = 2 * min(c.radius for c in guides)
                add(f"guide {part.pusher}", part.pin, f"play {part.play:.2f}", across)
        elif isinstance(part, StakePost) and part.kind != "printed":
            place = post_place(subject, part)
            assert place is not None
            found = [c for c in subject.faces.cylinders(each.label, place.x, place.y) if c.bore]
            if found:
                drawn = 2 * max(found, key=lambda c: c.high).radius
                name = f"{part.kind} under {part.under}"
                add(shortened(name, 36.0, PLAIN), part.insert, part.kind, drawn)
    if not rows:
        return None
    head = ("fit", "nominal", "asked", "as drawn", "should measure")
    return table("fits", "Fits", head, _same_as_one(rows))


def _same_as_one(rows: list[tuple[str, str, str, str, str]]) -> list[tuple[str, ...]]:
    """Rows that say the same of several things, as one."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for name, *rest in rows:
        groups.setdefault(tuple(rest), []).append(name)
    out: list[tuple[str, ...]] = []
    for said, names in groups.items():
        first = names[0] if len(names) == 1 else f"{len(names)} × {names[0].split(' ')[0]}"
        out.append((first, *said))
    return out


def notes(subject: Subject, room: float) -> Block:
    """What has to be known to use the drawing, in lines of at most `room` mm."""
    recipe = subject.holder.recipe
    card = recipe.printer
    said = [
        f"Lengths as in the file for printing. On '{card.name}' bores print "
        f"{1000 * card.inside_bias:+.0f} µm and pins {1000 * card.outside_bias:+.0f} µm on the ⌀, "
        f"±{1000 * card.scatter:.0f} µm.".replace("-", "−")
    ]
    kinds = {each.part.kind for each in subject.holder.laid if isinstance(each.part, StakePost)}
    if kinds & {"pin", "screw"}:
        said.append(
            "Set pins and screws to z on a flat plate with an indicator, foot on the plate."
        )
    if subject.holder.beside:
        said.append("Further bodies: " + ", ".join(name for name, _ in subject.holder.beside) + ".")
    if recipe.workpiece.remarks:
        said.append(recipe.workpiece.remarks)
    items: list[Item] = []
    y = -PLAIN
    for text in said:
        for line in wrapped(text, room, PLAIN):
            items.append(Text((0.0, y), line, PLAIN))
            y -= PLAIN + 1.4
        y -= 0.6
    return Block("notes", tuple(items))
