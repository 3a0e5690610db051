"""The plan of the movement as one side shows it: what stands where on the paper.

Paper units: the middle is 0, 0, y runs down, and `REACH` lies a little inside the ring of hours.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from nests.given.sheet import Sheet
from nests.orders import shown, shown_plan
from nests.orders.shown_plan import Thing
from nests.orders.trying import Trial
from nests.places import Side, at_hour

REACH = 86.0
"""Paper units from the middle to the outermost edge that is drawn."""
HOURS = 94.0
HALF = 100.0
LETTER = 4.3
"""Height of letters in paper units, about 10 px on a laptop."""
WORDS = {
    "arbor": "arbor", "jewel": "jewel", "rest": "rest: may be touched",
    "keep-clear": "keep clear", "stem": "stem", "pusher": "pusher", "dial foot": "dial foot",
    "lug": "lug",
}  # fmt: skip


@dataclass(frozen=True)
class Drawn:
    """A thing on the paper: x, y and r in paper units, `path` its outline, `label` where its name
    stands."""

    thing: Thing
    x: float
    y: float
    r: float
    path: str
    label: tuple[float, float, str]
    says: str


@dataclass(frozen=True)
class Pole:
    """A post on the paper: number of its part, its label, what it carries."""

    index: int
    label: str
    under: str
    x: float
    y: float
    r: float
    goals: tuple[tuple[str, float, float], ...]


def drawn(sheet: Sheet, side: Side, trial: Trial | None) -> dict[str, Any]:
    """All that the plan of a side shows."""
    out = trial.recipe.body.wall if trial is not None else 0.0
    scale = REACH / (shown_plan.reaches(sheet) + out + 0.4)
    things = shown_plan.things(sheet, side)
    holder, parts, poles = "", [], []
    if trial is not None and trial.recipe.workpiece.name == sheet.name:
        turned = trial.recipe.side_up is not side
        for label, loops in _shadows_of(trial).items():
            line = _path(_turned(loops, turned), scale)
            if label == trial.holder.laid[0].label:
                holder = line
            elif loops:
                parts.append((label, line))
        poles = _poles(trial, side, scale)
    placed = _labelled(things, poles, scale)
    return {
        "side": side.value, "scale": round(scale, 6), "things": placed, "holder": holder,
        "parts": parts, "poles": poles,
        "edge": _path([shown_plan.edge(sheet.outline, side)], scale),
        "flange": _flange(sheet, side, scale), "hours": _hours(side), "name": sheet.name,
        "ruler": _ruler(scale),
    }  # fmt: skip


_last: list[Any] = [None, {}]


def _shadows_of(trial: Trial) -> dict[str, list[shown.Loop]]:
    """The shadows of a holder, worked out once for both sides."""
    known, found = _last
    if known is not trial:
        found = shown.shadows(trial.holder)
        _last[:] = [trial, found]
    return found  # type: ignore[no-any-return]


def _turned(loops: Sequence[shown.Loop], over: bool) -> list[shown.Loop]:
    """Loops of the holder as they are seen from the other side."""
    return [[shown_plan.over(point) for point in each] for each in loops] if over else list(loops)


def _flange(sheet: Sheet, side: Side, scale: float) -> str:
    wide, _ = sheet.edge(side)
    return _path([shown_plan.edge(sheet.outline, side, wide)], scale) if wide else ""


def _path(loops: Iterable[Iterable[tuple[float, float]]], scale: float) -> str:
    """Loops as the path of a drawing."""
    return " ".join(
        "M" + "L".join(f"{x * scale:.2f} {-y * scale:.2f}" for x, y in each) + "Z" for each in loops
    )


def _hours(side: Side) -> list[tuple[int, float, float, float, float, float, float]]:
    """Every hour: where it is written, and both ends of its stroke."""
    out = []
    for hour in range(1, 13):
        x, y = shown_plan.seen(at_hour(float(hour % 12), 1.0), side)
        inner = 89.0 if hour % 3 == 0 else 90.0
        out.append((hour, x * HOURS, -y * HOURS, x * inner, -y * inner, x * 88.0, -y * 88.0))
    return out


def _ruler(scale: float) -> tuple[float, float]:
    """Length of a line of so many mm that is some 30 units long."""
    length = next(n for n in (1, 2, 5, 10, 20, 50) if n * scale > 18 or n == 50)
    return length, length * scale


def _labelled(things: Sequence[Thing], poles: Sequence[Pole], scale: float) -> list[Drawn]:
    """Things with their names where they are in nobody's way, as far as there is room."""
    taken = [(p.x - p.r - 2, p.y - p.r - 2, p.x + p.r + 2, p.y + p.r + 2) for p in poles]
    for each in things:  # the middles of arbors stay free
        if each.kind == "arbor":
            x, y = each.x * scale, -each.y * scale
            taken.append((x - 2.5, y - 2.5, x + 2.5, y + 2.5))
    out, order = [], {"stem": 0, "pusher": 0, "arbor": 1, "rest": 2, "keep-clear": 3}
    spots = {}
    for each in sorted(things, key=lambda t: order.get(t.kind, 9)):
        if each.near and each.kind in order:
            spots[each.at] = _spot(each, scale, taken)
    for each in things:
        x, y = each.x * scale, -each.y * scale
        r = each.diameter * scale / 2
        where = (
            ""
            if each.kind == "jewel"
            else (
                f", {each.hour:.2f} h" if each.by_hour else f", x {each.x:.2f}, y {each.y:.2f} mm"
            )
        )
        says = f"{WORDS[each.kind]}: {each.name}{where}"
        out.append(
            Drawn(each, x, y, r, _path(each.loops, scale), spots.get(each.at, (0, 0, "")), says)
        )
    return out


def _spot(
    each: Thing, scale: float, taken: list[tuple[float, float, float, float]]
) -> tuple[float, float, str]:
    """Where a name stands: x, y, and which end of it lies there."""
    wide, high = len(each.name) * LETTER * 0.5, LETTER
    x, y = each.x * scale, -each.y * scale
    if each.by_hour:
        away = math.hypot(x, y) or 1.0
        x, y = x * (1 + 9.0 / away), y * (1 + 9.0 / away)
    gaps = (4.0, 8.0, 13.0)
    tries = [(a - wide / 2, b + high / 3) for a, b in _inside(each, scale)]
    for gap in gaps:
        beside = [(x + gap, y + high / 3), (x - gap - wide, y + high / 3)]
        if each.by_hour and x < 0.0:
            beside.reverse()
        tries += [*beside, (x - wide / 2, y - gap), (x - wide / 2, y + gap + high * 0.7)]
    best, least = tries[0], math.inf
    for left, base in tries:
        box = (left - 0.6, base - high, left + wide + 0.6, base + 1.0)
        over = math.fsum(_overlap(box, other) for other in taken)
        far = max(math.hypot(a, b) for a in box[::2] for b in box[1::2]) - 87.0
        over += max(far, 0.0) * 4.0
        if over < least - 1e-9:
            best, least = (left, base), over
    left, base = best
    taken.append((left - 0.6, base - high, left + wide + 0.6, base + 1.0))
    return round(left, 2), round(base, 2), "start"


def _inside(each: Thing, scale: float) -> list[tuple[float, float]]:
    """Where a name may stand inside an area: its middle, or of a ring some places along it."""
    if each.kind not in ("rest", "keep-clear"):
        return []
    x, y = each.x * scale, -each.y * scale
    if len(each.loops) < 2:
        return [(x, y)]
    spans = [math.hypot(loop[0][0] - each.x, loop[0][1] - each.y) for loop in each.loops]
    middle = (max(spans) + min(spans)) / 2 * scale
    turns = (6.0, 12.0, 5.0, 7.0, 11.0, 1.0, 8.0, 4.0)
    return [
        (x + middle * math.sin(turn * math.pi / 6), y - middle * math.cos(turn * math.pi / 6))
        for turn in turns
    ]


def _overlap(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> float:
    wide = min(a[2], b[2]) - max(a[0], b[0])
    high = min(a[3], b[3]) - max(a[1], b[1])
    return max(wide, 0.0) * max(high, 0.0)


def _poles(trial: Trial, side: Side, scale: float) -> list[Pole]:
    """The posts, and to each what else it might stand under."""
    sheet, down = trial.recipe.workpiece, trial.recipe.side_up.other
    goals = [
        (arbor.name, *shown_plan.seen(arbor.at, side))
        for arbor in sheet.arbors if arbor.jewel(down) is not None
    ]  # fmt: skip
    for each in shown_plan.things(sheet, side):
        if each.kind == "rest" and sheet.rest(each.name).side is down and each.place:
            goals.append((each.name, each.x, each.y))
    on_paper = tuple((name, x * scale, -y * scale) for name, x, y in goals)
    out = []
    for post in trial.posts():
        x, y = shown_plan.seen(post.at, side)
        out.append(Pole(post.index, post.label, post.under, x * scale, -y * scale,
                        post.wide * scale / 2, on_paper))  # fmt: skip
    return out
