"""Places from what was written down of them: all of a workpiece balanced together.

Each place that was taken by distances is first looked for by itself, from those that are known;
then all are balanced at once with the ⌀s that the jaws lay on, so that what two places have in
common, such as one edge or one jewel, is not counted as if it were read twice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from nests.measuring.ground import Edge, Ground, Sized, ToPlace, crossings
from nests.measuring.network import (
    LIMIT,
    STATED,
    Balanced,
    Left,
    Reading,
    Vector,
    balanced,
    doubt,
    misfit,
)
from nests.places import Place, hours_between
from nests.units import BadInput, Hour, Length

LARGEST: Length = 1.0
"""mm of doubt that a sheet may have of a length."""
SAME: Length = 1e-3
"""mm between two answers of one search that are one place."""
AS_GOOD = LIMIT**2
"""What the squares of a second place may be more, and it still suits the readings."""


@dataclass(frozen=True)
class Located:
    """A place, ± mm that hold 95 % (along x and y, and whatever the direction), what is left of its
    readings, and the other places that suit them as well."""

    place: Place
    along: tuple[Length, Length]
    doubt: Length
    covariance: Vector
    left: tuple[Left, ...] = ()
    others: tuple[Place, ...] = ()
    misfit: str = ""


def located(edge: Edge, things: Mapping[str, ToPlace]) -> dict[str, Located]:
    """Where everything lies. Raises `BadInput` for what cannot be placed, naming it."""
    order = _in_order(things)
    root = {name: _root(name, things) for name in order}
    own = [name for name in order if root[name] == name]
    used = {root[to] for name in own for to in things[name].written.needs}
    alone = [n for n in own if things[n].written.at is not None and n not in used]
    found = {name: _by_itself(things[name]) for name in alone}
    joined = [name for name in own if name not in found]
    if joined:
        found |= _joined(edge, {name: things[name] for name in order}, joined, root)
    return {name: found[root[name]] for name in order}


def _root(name: str, things: Mapping[str, ToPlace]) -> str:
    """The thing on whose axis a thing stands in the end; itself, mostly."""
    while things[name].written.like:
        name = things[name].written.like
    return name


def _by_itself(thing: ToPlace) -> Located:
    """A place by hour and radius or x and y that nothing else is measured from: its ± holds."""
    assert thing.written.at is not None
    deviation = Sized(0.0, thing.doubt).deviation
    around = np.diag([deviation**2, deviation**2])
    return Located(thing.written.at, (thing.doubt, thing.doubt), doubt(around), around)


def _joined(
    edge: Edge, things: Mapping[str, ToPlace], joined: Sequence[str], root: Mapping[str, str]
) -> dict[str, Located]:
    """Places that have to do with each other, balanced at once; each stands after those that it
    is measured from."""
    ground = Ground(edge, things)
    for k, half in enumerate(edge.halves):
        ground.put("edge", str(k), half)
    for name in dict.fromkeys(n for each in joined for n in _widths(each, things[each])):
        ground.put("across", name, _width(name, things))
    spans: list[Reading] = []
    others: dict[str, tuple[Place, ...]] = {}
    owns: dict[str, slice] = {}
    for name in joined:
        written, where = things[name].written, len(ground.start)
        if written.at is not None:
            ground.put("own x", name, Sized(written.at.x, things[name].doubt))
            ground.put("own y", name, Sized(written.at.y, things[name].doubt))
        else:
            own = [ground.ought(each, name, where) for each in written.spans]
            traces = [ground.trace(each, name) for each in written.spans]
            starts = [p for pair in combinations(traces, 2) for p in crossings(*pair)]
            best, others[name] = _looked_for(name, own, starts, ground.start, edge,
                                             things[name].near)  # fmt: skip
            ground.start += [best.x, best.y]
            owns[name] = slice(len(spans), len(spans) + len(own))
            spans += own
        for each in (n for n, stands in root.items() if stands == name):
            ground.at["place", each] = where
    whole = balanced(ground.start, [*ground.known, *spans])
    count = len(ground.known)
    out: dict[str, Located] = {}
    for name in joined:
        mine = owns.get(name, slice(0, 0))
        left = whole.left[count + mine.start : count + mine.stop]
        out[name] = _told(name, ground.at["place", name], whole, left, others.get(name, ()))
    return out


def _told(
    name: str, where: int, whole: Balanced, left: tuple[Left, ...], others: tuple[Place, ...]
) -> Located:
    x, y = whole.values[where : where + 2]
    around = whole.covariance[where : where + 2, where : where + 2]
    wide = doubt(around)
    if wide > LARGEST:
        raise BadInput(
            f"the place of '{name}' is only known within ± {wide:.2f} mm by these distances; one "
            "more is needed, from a thing that lies in another direction."
        )
    along = STATED * math.sqrt(around[0, 0]), STATED * math.sqrt(around[1, 1])
    return Located(
        Place(float(x) + 0.0, float(y) + 0.0), along, wide, around, left, others,
        _misfit(name, left),
    )  # fmt: skip


def _misfit(name: str, left: Sequence[Left]) -> str:
    """The reading that does not fit, in a sentence; '' if all do."""
    worst = misfit(left)
    if not worst:
        return ""
    far = max(abs(each.residual) for each in worst)
    times = max(abs(each.normalised) for each in worst)
    about = (
        f"by {far:.2f} mm, {times:.1f} times its deviation; {LIMIT:g} is allowed (normalised "
        "residual, Baarda 1968, from memory)"
    )
    if len(worst) == 1:
        return (
            f"of the place of '{name}' the reading '{worst[0].says}' does not fit the others "
            f"{about}: measure it again."
        )
    names = " or ".join(f"'{each.says}'" for each in worst)
    return (
        f"of the place of '{name}' one reading does not fit {about}; {names} cannot be told apart "
        "by what was read: measure them again, or one distance more."
    )


def _widths(name: str, thing: ToPlace) -> list[str]:
    return [each or name for each in thing.written.across]


def _width(name: str, things: Mapping[str, ToPlace]) -> Sized:
    across = things[name].across
    if across is None:
        raise BadInput(f"jaws lay on '{name}', and its diameter is not known; measure it.")
    return across


def _in_order(things: Mapping[str, ToPlace]) -> list[str]:
    """Names, each after those it is measured from. Raises `BadInput` for a circle, or no such
    thing."""
    out: list[str] = []
    left = dict(things)
    while left:
        ready = [n for n, each in left.items() if set(each.written.needs) <= set(out)]
        if not ready:
            name = next(iter(left))
            lacks = next(n for n in left[name].written.needs if n not in out)
            why = "is measured from it in turn" if lacks in left else "has no place yet"
            raise BadInput(f"the place of '{name}' is measured from '{lacks}', which {why}.")
        out += ready
        for name in ready:
            del left[name]
    return out


def _looked_for(
    name: str, own: Sequence[Reading], starts: Sequence[Place], known: Sequence[float], edge: Edge,
    near: Hour | None,
) -> tuple[Place, tuple[Place, ...]]:  # fmt: skip
    """The place that suits the readings best, or of several the nearest to an hour, and the others
    that suit them. Raises `BadInput` where they fix none."""
    fixed = np.array(known)

    def moved(reading: Reading) -> Reading:
        ought = reading.ought
        return replace(reading, ought=lambda v: ought(np.concatenate((fixed, v))))

    own = [moved(each) for each in own]
    found: list[tuple[float, Place]] = []
    refused = "the distances lie in one line with it and do not fix it."
    for start in starts:
        try:
            each = balanced((start.x, start.y), own)
        except BadInput as bad:
            refused = str(bad)
            continue
        at = Place(float(each.values[0]), float(each.values[1]))
        if all(at.distance(other) > SAME for _, other in found):
            found.append((each.squares, at))
    radius = max(half.value for half in edge.halves)
    found = [(s, at) for s, at in found if at.radius < 1.5 * radius] or found
    if not found:
        raise BadInput(f"the place of '{name}': {refused}")
    least = min(squares for squares, _ in found)
    if len(own) == 2 and least > AS_GOOD:
        short = math.sqrt(least) * math.hypot(*(each.deviation for each in own))
        raise BadInput(
            f"the place of '{name}': the two distances do not meet, by some {short:.2f} mm; "
            "measure them again."
        )
    suit = sorted((s, p.x, p.y) for s, p in found if s <= least + AS_GOOD)
    places = [Place(x, y) for _, x, y in suit]
    best = places[0] if near is None else min(places, key=lambda p: hours_between(p.hour, near))
    return best, tuple(each for each in places if each is not best)
